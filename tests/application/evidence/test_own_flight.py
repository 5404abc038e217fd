"""Balls of which more was seen than their carry: their own flight tells the wind's part, and they teach more."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest

from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.learning import bench_of, learn
from trainer.application.estimates.snapshot import Range80, snapshot
from trainer.application.evidence.gathering import gather
from trainer.application.evidence.history import read_history
from trainer.application.session.recording import begin
from trainer.application.setup.proposed_bag import propose_bag
from trainer.core.bag import Cell
from trainer.core.conditions import Seen, Wind, WindKnowledge
from trainer.core.estimate.observations import Observations
from trainer.core.flight.trajectory import Flight, Launch, fly
from trainer.core.flight.wind import wind_field
from trainer.core.profile import CarryBasis, KnownCarry, Profile
from trainer.core.units import from_si, to_si
from trainer.store.store import Store, open_store

KNOWN = KnownCarry("7 iron", to_si(150, "yd"), CarryBasis.MEASURED)
PROFILE = Profile("kim", propose_bag(KNOWN), KNOWN, seen=Seen.LASER)
BEGIN = datetime(2026, 4, 1, 18, 0)
HEAD = Wind(WindKnowledge.READ, 6.0, 0.0)
FLAT = Launch(51.0, math.radians(11.0), 480.0)
"""A flat hitter's 7 iron: the usual speed, five degrees lower and with less spin than the loft would have it."""


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "store.db", write=True) as opened:
        opened.save_profile(PROFILE, BEGIN)
        yield opened


def strikes(count: int, seed: int = 1) -> Launch:
    rng = np.random.default_rng(seed)
    return Launch(
        FLAT.ball_speed_mps * np.exp(rng.normal(0, 0.02, count)),
        np.asarray(FLAT.launch_rad) + np.deg2rad(rng.normal(0, 1.0, count)),
        FLAT.spin_rad_s * np.exp(rng.normal(0, 0.06, count)),
    )


def play(store: Store, wind: Wind, told: Callable[[Launch, Flight, int], str], balls: int = 20) -> None:
    """Twenty 7 irons of the flat hitter, each typed with what `told` says beside its carry."""
    recorder = begin(store, "kim", StatedConditions(wind=wind), BEGIN)
    launch = strikes(balls)
    flight = fly(launch, wind_field(wind))
    for i in range(balls):
        recorder.line(f"7 iron: {from_si(float(flight.carry_m[i]), 'yd'):.0f} {told(launch, flight, i)}", BEGIN)


def nothing(launch: Launch, flight: Flight, i: int) -> str:
    return ""


def hang(launch: Launch, flight: Flight, i: int) -> str:
    return f"hang={flight.flight_s[i] + np.random.default_rng(i).normal(0, 0.15):.1f}"


def device(launch: Launch, flight: Flight, i: int) -> str:
    speed, angle, spin = (
        np.asarray(part)[i] for part in (launch.ball_speed_mps, launch.launch_rad, launch.spin_rad_s)
    )
    return f"speed={from_si(speed, 'mph'):.1f}mph launch={np.rad2deg(angle):.1f} spin={spin * 30 / np.pi:.0f}"


def still_air(store: Store) -> Range80:
    table = snapshot(read_history(store, "kim"), StatedConditions(), BEGIN)
    return table.figures(Cell("7 iron")).still_air_carry_m


def observations(store: Store) -> Observations:
    history = read_history(store, "kim")
    return gather(history, bench_of(history), BEGIN).observations


TRUTH_M = float(np.median(fly(strikes(2000, 9)).carry_m))


@pytest.mark.parametrize("told", [hang, device], ids=["time in the air", "launch data"])
def test_a_flat_hitter_is_not_given_back_a_wind_that_he_did_not_meet(
    store: Store, tmp_path: Path, told: Callable[[Launch, Flight, int], str]
) -> None:
    play(store, HEAD, told)
    with open_store(tmp_path / "other.db", write=True) as other:
        other.save_profile(PROFILE, BEGIN)
        play(other, HEAD, nothing)
        blind = still_air(other)
    seen = still_air(store)
    assert seen.low80 < TRUTH_M < seen.high80
    assert seen.half_width_m < 0.75 * blind.half_width_m


@pytest.mark.parametrize("told", [hang, device, nothing], ids=["time in the air", "launch data", "carry alone"])
def test_todays_carry_is_where_todays_balls_landed(store: Store, told: Callable[[Launch, Flight, int], str]) -> None:
    play(store, HEAD, told)
    truth_m = float(np.median(fly(strikes(2000, 9), wind_field(HEAD)).carry_m))
    today = snapshot(read_history(store, "kim"), StatedConditions(), BEGIN).figures(Cell("7 iron")).carry_today_m
    assert today.low80 < truth_m < today.high80
    assert today.half_width_m < 5.0


def test_a_flat_hitters_other_clubs_are_taken_to_be_flatter_too(store: Store) -> None:
    play(store, HEAD, device)
    bench = bench_of(read_history(store, "kim"))
    lower = np.asarray(bench.unshifted.deliveries.launch.launch_rad) - np.asarray(bench.deliveries.launch.launch_rad)
    own, other = (np.rad2deg(lower[bench.index[Cell(club)]]) for club in ("7 iron", "9 iron"))
    # launched at 11°, some 8° below what the loft would have
    assert own > 4
    assert 1 < other < own


def test_the_time_in_the_air_tells_each_balls_own_wind_effect(store: Store) -> None:
    play(store, HEAD, hang)
    told = observations(store)
    launch = strikes(20)
    own = np.log(fly(launch, wind_field(HEAD)).carry_m / fly(launch).carry_m)
    with_hang = told.own_wind_log != 0
    assert with_hang.sum() >= 15
    history = read_history(store, "kim")
    bench = bench_of(history).unshifted
    effects = bench.effects(np.array([bench.index[Cell("7 iron")]]), -HEAD.speed_mps, 0.0, HEAD.height_m)
    usual = float(np.log(effects.carry_m / effects.carry_still_m)[0])
    errors = told.own_wind_log[with_hang] - own[with_hang]
    # 0.15 s of time in the air: some 3 yd of 130; that the cell's usual flight is not his, about 7
    assert np.sqrt(np.mean(errors**2)) < 0.03
    assert np.sqrt(np.mean(errors**2)) < 0.6 * np.sqrt(np.mean((usual - own) ** 2))


def test_launch_data_without_a_carry_teach_and_a_computed_carry_is_not_told_twice(store: Store) -> None:
    recorder = begin(store, "kim", StatedConditions(wind=HEAD), BEGIN)
    recorder.line("7 iron: speed=114mph launch=11 spin=4600", BEGIN)
    recorder.line("7 iron: 131 speed=114mph launch=11", BEGIN)
    recorder.line("7 iron: 131", BEGIN)
    told = observations(store)
    assert told.flown.tolist() == [True, True, False]
    assert told.low_m[0] == 0
    assert np.isinf(told.high_m[0])
    # a spin that was not measured leaves more open
    assert told.flown_sd_log[1] > told.flown_sd_log[0]
    measured = Launch(to_si(114, "mph"), math.radians(11), 4600 * np.pi / 30)
    assert told.flown_m[0] == pytest.approx(float(fly(measured).carry_m), rel=1e-6)


def test_where_there_is_no_wind_a_time_in_the_air_changes_nothing(store: Store) -> None:
    play(store, replace(HEAD, speed_mps=0.2), hang)
    assert np.abs(observations(store).own_wind_log).max() < 0.01


def test_two_flags_either_side_tell_a_wind_that_was_read_from_the_wrong_side(store: Store) -> None:
    """Read straight into the face; in truth 30° from the right: balls at both flags drift left."""
    recorder = begin(store, "kim", StatedConditions(wind=HEAD), BEGIN)
    recorder.line("flag left 140yd -30deg", BEGIN)
    recorder.line("flag right 140yd 30deg", BEGIN)
    true = replace(HEAD, from_rad=math.radians(30))
    rng = np.random.default_rng(5)
    for i in range(20):
        name, bearing = (("left", -30.0), ("right", 30.0))[i % 2]
        flight = fly(strikes(1, i), wind_field(true.turned(math.radians(bearing))))
        side = from_si(float(flight.side_m[0]), "yd") + rng.normal(0, 3)
        short = from_si(float(flight.carry_m[0]), "yd") - 140
        recorder.line(f"7 iron: {name}{short:+.0f} {abs(side):.0f}{'R' if side > 0 else 'L'}", BEGIN)
    history = read_history(store, "kim")
    posterior = learn(history, BEGIN).posterior
    across = posterior.draws.across[:, 0]
    blown_mps = -HEAD.speed_mps * math.sin(math.radians(30))
    assert across.mean() == pytest.approx(blown_mps, abs=2.0)
    assert across.std() < 0.8 * posterior.observations.readings.across_sd_mps[0]
