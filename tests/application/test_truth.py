"""The whole way of a shot against a truth that is known: an invented golfer, flown, typed and estimated."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from trainer.application.conditions.stated import StatedConditions
from trainer.application.demo.playing import Golfer
from trainer.application.estimates.snapshot import snapshot
from trainer.application.evidence.cells import lay_out
from trainer.application.evidence.gathering import gather
from trainer.application.evidence.history import read_history
from trainer.application.session.recording import begin
from trainer.application.setup.proposed_bag import propose_bag
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import REFERENCE_AIR, Seen, Wind, WindKnowledge
from trainer.core.flight.aerodynamics import BallFactors
from trainer.core.flight.trajectory import fly
from trainer.core.profile import CarryBasis, KnownCarry, Profile
from trainer.core.units import to_si
from trainer.exchange.cell_text import print_cell
from trainer.store.store import Store, open_store

KNOWN = KnownCarry("7 iron", to_si(150, "yd"), CarryBasis.MEASURED)
PROFILE = Profile("kim", propose_bag(KNOWN), KNOWN, seen=Seen.LASER)
CELLS = (Cell("7 iron"), Cell("8 iron"), Cell("6 iron"), Cell("7 iron", 0.0254, Swing.THREE_QUARTER))
BEGIN = datetime(2026, 4, 1, 18, 0)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "store.db", write=True) as opened:
        opened.save_profile(PROFILE, BEGIN)
        yield opened


def wind(speed_mps: float, from_deg: float) -> Wind:
    return Wind(WindKnowledge.READ, speed_mps, math.radians(from_deg))


def play(store: Store, golfer: Golfer, winds: list[Wind], balls: int, rng: np.random.Generator) -> None:
    """One evening a wind, `balls` of each cell, the wind read right."""
    for evening, blowing in enumerate(winds):
        when = BEGIN + timedelta(days=evening)
        recorder = begin(store, "kim", StatedConditions(wind=blowing), when)
        day_log = rng.normal(0, golfer.day_log_sd)
        for _ in range(balls):
            for cell in CELLS:
                typed = golfer.strike(cell, blowing, REFERENCE_AIR, day_log, rng)
                recorder.line(f"{print_cell(cell, PROFILE.units)}: {typed}", when)


def true_still_air_m(golfer: Golfer, cell: Cell, rng: np.random.Generator) -> float:
    """Median still-air carry of the golfer's struck balls, by flying many."""
    return float(np.median(fly(golfer.struck(cell, 0.0, 2000, rng), ball=golfer.ball).carry_m))


def test_four_evenings_in_varied_winds_find_the_truth(store: Store) -> None:
    rng = np.random.default_rng(20)
    golfer = Golfer(PROFILE, bag_log=-0.06, mishit_share=0.0, eye_sd_m=2.0, ball=BallFactors())
    play(store, golfer, [wind(5, 0), wind(5, 180), wind(3, 90), wind(6, 20)], 8, rng)
    history = read_history(store, "kim")
    table = snapshot(history, StatedConditions(), BEGIN + timedelta(days=10))
    for cell in CELLS:
        carry = table.figures(cell).still_air_carry_m
        truth = true_still_air_m(golfer, cell, rng)
        assert carry.median == pytest.approx(truth, abs=4.0), cell
        assert carry.half_width_m < 6.0


@pytest.mark.parametrize("seed", [0, *(pytest.param(seed, marks=pytest.mark.proof) for seed in (1, 2))])
def test_the_wind_taken_out_beats_the_raw_mean(store: Store, seed: int) -> None:
    rng = np.random.default_rng(seed)
    golfer = Golfer(PROFILE, bag_log=float(rng.normal(0, 0.04)), mishit_share=0.0, ball=BallFactors())
    play(store, golfer, [wind(7, 0)], 6, rng)
    history = read_history(store, "kim")
    table = snapshot(history, StatedConditions(), BEGIN + timedelta(days=1))
    ours, raw = [], []
    for cell in CELLS:
        truth = true_still_air_m(golfer, cell, rng)
        seen = [shot.entry.carry_m or 0.0 for shot in history.shots if shot.cell == cell]
        ours.append(abs(table.figures(cell).still_air_carry_m.median - truth))
        raw.append(abs(float(np.mean(seen)) - truth))
    assert np.mean(ours) < 0.6 * np.mean(raw)


def test_a_flag_to_the_side_turns_the_wind_before_it_is_taken_out(store: Store) -> None:
    """Two flags 60° either side of a line into the wind: both see half of it along, so both tell the same carry."""
    recorder = begin(store, "kim", StatedConditions(wind=wind(6, 0)), BEGIN)
    recorder.line("flag left 140yd -60deg", BEGIN)
    recorder.line("flag right 140yd 60deg", BEGIN)
    for _ in range(10):
        recorder.line("7 iron: left+0", BEGIN)
        recorder.line("8 iron: right+0", BEGIN)
    turned = snapshot(read_history(store, "kim"), StatedConditions(), BEGIN)
    still = turned.figures(Cell("7 iron")).still_air_carry_m.median
    # Half of a 6 m/s headwind takes about a tenth off a 7 iron; the whole of it takes about a fifth.
    assert 1.03 < still / to_si(140, "yd") < 1.16


def test_a_readings_error_meets_flags_either_side_alike_and_not_in_line(store: Store) -> None:
    """Flags 60° either side: what the reading is off across the line helps one and costs the other."""
    recorder = begin(store, "kim", StatedConditions(wind=wind(6, 0)), BEGIN)
    for flag in ("flag left 140yd -60deg", "flag ahead 140yd 0deg", "flag right 140yd 60deg"):
        recorder.line(flag, BEGIN)
    for name in ("left", "ahead", "right"):
        recorder.line(f"7 iron: {name}+0", BEGIN)
    history = read_history(store, "kim")
    bench = lay_out(PROFILE.bag)
    seen = gather(history, bench, BEGIN).observations
    left, ahead, right = range(3)
    along, across = seen.wind_slope_per_mps, seen.across_slope_per_mps
    assert along[left] == pytest.approx(along[right], rel=1e-6)
    assert across[left] == pytest.approx(-across[right], rel=1e-6)
    # A headwind 1 m/s stronger than read changes the wind along a flag 60° off by half of that.
    assert 0 < along[left] < 0.8 * along[ahead]
    assert across[ahead] == pytest.approx(0, abs=1e-4)
