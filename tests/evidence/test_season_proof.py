"""Seasons of golfers who are not the model: errors, coverage, balls, regret and called ranges of every method.

`python -m tests.evidence --players 96 --seed 7` prints the kept table (`season_results.md`).
"""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.evidence.__main__ import FIRST_COLUMNS, in_words, main
from tests.evidence.season_evenings import BALLS, EVENINGS, PLANS, Diary, evenings
from tests.evidence.season_golfers import (
    AERODYNAMICS,
    Form,
    Golfer,
    bad_strikes,
    invent,
    middle_carry_m,
    scatter,
    struck,
    wanted,
)
from tests.evidence.season_methods import METHODS, ORACLE, means_said, squares_said
from tests.evidence.season_play import Learner, dealt, learn_all, next_evening
from tests.evidence.seasons import ARMS, GOAL_YD, balls_to_goal, play_seasons, table_of
from trainer.application.evidence.gathering import gather
from trainer.core.conditions import Ball, ReadingMethod
from trainer.core.constants import Z80
from trainer.core.flight.aerodynamics import COEFFICIENT_SETS, bearman_harvey
from trainer.core.flight.trajectory import fly

QUICK, QUICK_EVENINGS, PROVED, SEED = 2, 2, 96, 7
Table = dict[str, Any]


@pytest.fixture(scope="module")
def quick() -> Table:
    return table_of(play_seasons(QUICK, SEED, QUICK_EVENINGS))


@pytest.fixture(scope="module")
def golfer() -> Golfer:
    return invent(3, np.random.default_rng(3))


def one_evening(golfer: Golfer) -> Learner:
    night = evenings(golfer, np.random.default_rng(1))[0]
    learner = Learner(golfer, Diary())
    return next_evening(learner, night, dealt(learner), np.random.default_rng(2))


def test_two_evenings_beat_averages_and_the_rule(quick: Table) -> None:
    """Two golfers show the order only; how much it is better by is the proof's matter."""
    for arm in ARMS:
        ours = quick[arm]["ours"]
        assert ours["rmse_yd"] < min(quick[arm][name]["rmse_yd"] for name in ("cell_means", "least_squares"))
        assert ours["regret_yd"] < min(quick[arm][name]["regret_yd"] for name in ("cell_means", "rule"))


def test_every_method_has_the_keys_that_hold(quick: Table) -> None:
    for arm in ARMS:
        assert tuple(quick[arm]) == METHODS
        for row in quick[arm].values():
            assert all(key in row for key, _ in FIRST_COLUMNS)
            assert row["regret_yd"] >= 0
        assert quick[arm][ORACLE]["regret_yd"] == 0
    json.dumps(quick, allow_nan=False)
    words = in_words(quick, QUICK, SEED)
    assert f"--players {QUICK} --seed {SEED}" in words


def test_calls_are_held_against_balls_they_did_not_know(quick: Table) -> None:
    ours = quick["agenda"]["ours"]
    assert 0.25 < ours["called50_held"] < ours["called80_held"] <= 1.0
    assert 0 < ours["called_crps_yd"] < quick["agenda"]["rule_with_knockdowns"]["called_crps_yd"]


@pytest.mark.parametrize("arguments", [["--players", "0"], ["--seed", "-1"]])
def test_what_cannot_be_played_is_refused(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as refused:
        main(arguments)
    assert refused.value.code == 2
    assert "at least one player" in capsys.readouterr().err


def test_the_same_seed_gives_the_same_golfer_and_evening(golfer: Golfer) -> None:
    again = invent(3, np.random.default_rng(3))
    assert again.profile == golfer.profile
    assert one_evening(again).diary.shots == one_evening(golfer).diary.shots
    assert invent(3, np.random.default_rng(4)).profile != golfer.profile


def test_golfers_fly_by_no_set_that_the_trainer_was_fitted_to() -> None:
    for number in range(4):
        one = invent(number, np.random.default_rng(number))
        assert one.coefficients is COEFFICIENT_SETS[AERODYNAMICS[number % 2]]
        assert one.coefficients is not bearman_harvey


def test_a_field_runs_from_tour_to_high_handicap() -> None:
    field = [invent(number, np.random.default_rng(number)) for number in range(16)]
    seven_yd = [one.profile.known_carry.carry_m / 0.9144 for one in field]
    assert min(seven_yd) < 125
    assert max(seven_yd) > 165
    bad = [one.strikes.bad_share for one in field]
    assert min(bad) >= 0.03
    assert max(bad) <= 0.15
    assert {one.habits.method for one in field} == {ReadingMethod.METER, ReadingMethod.FELT}
    assert {one.habits.ball for one in field} == {Ball.RANGE, Ball.PLAYING}


def test_bad_strikes_only_ever_lose_and_are_skewed(golfer: Golfer) -> None:
    wrong = bad_strikes(golfer, np.random.default_rng(4), (40_000,))
    assert np.mean(wrong.bad) == pytest.approx(golfer.strikes.bad_share, abs=0.01)
    lost = wrong.lost_log[wrong.bad]
    assert lost.min() >= 0
    assert np.all(wrong.lost_log[~wrong.bad] == 0)
    assert np.mean(((lost - lost.mean()) / lost.std()) ** 3) > 1


def test_a_meter_reads_fifteen_per_cent_off() -> None:
    golfer = invent(0, np.random.default_rng(0))
    assert golfer.habits.method is ReadingMethod.METER
    steady = np.random.default_rng(9).normal(0, 0.09, 80)
    ratios = [
        stretch.read.speed_mps / stretch.true.speed_mps
        for number, high in enumerate(steady.tolist())
        for evening in evenings(_reading_high(golfer, high), np.random.default_rng(number))
        for stretch in evening.stretches
    ]
    assert np.std(np.log(ratios)) == pytest.approx(0.15, abs=0.02)


def _reading_high(golfer: Golfer, log_error: float) -> Golfer:
    return replace(golfer, habits=replace(golfer.habits, reads_high=log_error))


def test_the_true_carry_is_the_middle_of_struck_balls(golfer: Golfer) -> None:
    cells = wanted(golfer.bench)
    launch = struck(golfer, cells, Form(), scatter(np.random.default_rng(8), (2000, 1)))
    carry = fly(launch, ball=golfer.balls[Ball.PLAYING], coefficients=golfer.coefficients).carry_m
    assert middle_carry_m(golfer, cells) == pytest.approx(np.exp(np.log(carry).mean(axis=0)), rel=0.008)


def test_wanted_are_full_and_low_of_every_club(golfer: Golfer) -> None:
    cells = [golfer.bench.cells[i] for i in wanted(golfer.bench)]
    assert len(cells) == 2 * len(golfer.profile.bag.clubs)
    assert [cell.is_stock for cell in cells] == [True, False] * len(golfer.profile.bag.clubs)


def test_golfers_of_different_bags_are_fitted_together_as_alone() -> None:
    """The model sees ratios to the stock carries only, so a common bag changes nothing but the draws' noise."""
    pair = [one_evening(invent(number, np.random.default_rng(number))) for number in (0, 1)]
    assert pair[0].golfer.measured is pair[1].golfer.measured
    moment = pair[0].diary.shots[-1].at
    together = learn_all(pair, moment, np.random.default_rng(5))
    for learner, known in zip(pair, together, strict=True):
        alone = learn_all([learner], moment, np.random.default_rng(6))[0]
        both = [each.posterior.draws.eta for each in (known, alone)]
        sd = both[0].std(axis=0)
        assert np.abs(both[0].mean(axis=0) - both[1].mean(axis=0)).max() < 0.6 * sd.max()
        assert known.posterior.cells is learner.golfer.bench.arrays


def test_textbook_intervals_of_one_shot_are_those_of_its_mean(golfer: Golfer) -> None:
    learner = one_evening(golfer)
    history = learner.diary.history(golfer)
    seen = gather(history, golfer.bench, history.shots[-1].at).observations
    cell = int(wanted(golfer.bench)[0])
    count = 9
    alone = seen.taken(np.flatnonzero(seen.low_m > 0)[:count])
    alone = replace(alone, cell=np.full(count, cell), wind_log=np.zeros(count))
    log = np.log(alone.low_m)
    width = Z80 * log.std(ddof=1) / math.sqrt(count)
    means, squares = means_said(golfer.bench.arrays, alone), squares_said(golfer.bench.arrays, alone)
    assert math.log(squares.middle[cell]) == pytest.approx(log.mean())
    assert math.log(squares.high80[cell] / squares.middle[cell]) == pytest.approx(width)
    assert means.middle[cell] == pytest.approx(alone.low_m.mean())
    assert math.log(means.high80[cell] / means.middle[cell]) == pytest.approx(width, rel=0.01)
    assert np.isnan(means.low80[np.arange(len(means.low80)) != cell]).all()


def test_balls_to_goal_counts_the_first_evening_within_it_and_never_as_all() -> None:
    over, within = GOAL_YD + 1, GOAL_YD - 1
    still = np.array([[within] * EVENINGS, [over, within, *[over] * (EVENINGS - 2)], [over] * EVENINGS])
    assert balls_to_goal(still).tolist() == [BALLS, 2 * BALLS, EVENINGS * BALLS]
    assert len(PLANS) == EVENINGS


@pytest.mark.proof
def test_seasons(capsys: pytest.CaptureFixture[str]) -> None:
    table = table_of(play_seasons(PROVED, SEED))
    with capsys.disabled():
        print("\n" + in_words(table, PROVED, SEED))  # noqa: T201  # the proof's result
    for arm in ARMS:
        ours, others = table[arm]["ours"], table[arm]
        assert all(share >= 0.75 for share in ours["coverage80_by_evening"])
        assert ours["rmse_yd"] <= 0.5 * others["cell_means"]["rmse_yd"]
        assert ours["rmse_yd"] <= 0.65 * others["least_squares"]["rmse_yd"]
        assert ours["regret_yd"] <= 0.4 * others["rule"]["regret_yd"]
        assert ours["regret_yd"] <= 0.6 * others["cell_means"]["regret_yd"]
        assert ours["regret_yd_by_wind"]["to 4 m/s"] <= 0.6 * others["rule"]["regret_yd_by_wind"]["to 4 m/s"]
        assert ours["regret_yd"] < others["no_balls"]["regret_yd"]
        assert ours["balls_to_goal"] < others["cell_means"]["balls_to_goal"]
    assert all(share >= 0.75 for share in table["agenda"]["ours"]["today_coverage80_by_evening"])
    calls = table["agenda"]
    assert 0.77 <= calls["ours"]["called80_held"] <= 0.86
    assert 0.45 <= calls["ours"]["called50_held"] <= 0.58
    assert calls["ours"]["called_crps_yd"] < calls["cell_means"]["called_crps_yd"]
