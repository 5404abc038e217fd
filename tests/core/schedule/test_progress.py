"""Standings from invented shots: on by interval, back by interval, retests at 7, 21 and 42 days, low flight shown."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from trainer.core.bag import Cell, Swing
from trainer.core.schedule.progress import (
    ADULT_RULES,
    JUNIOR_RULES,
    OVERDUE_AFTER,
    PastShot,
    Standing,
    mean_interval,
    standing_of,
    standings,
    swings_seen_low,
)
from trainer.core.schedule.stages import Stage

LOW = Cell("7 iron", 0.0254, Swing.THREE_QUARTER)
FIRST = date(2026, 3, 1)
ORDER = [Stage.SETTLE, Stage.STEP, Stage.MIX, Stage.TEST]


def shots(errors: list[float | None], day: int = 0) -> list[PastShot]:
    return [PastShot(FIRST + timedelta(days=day), LOW, error) for error in errors]


def good(balls: int, day: int = 0) -> list[PastShot]:
    return shots([(-1) ** ball * (0.05 + 0.01 * (ball % 3)) for ball in range(balls)], day)


def bad(balls: int, day: int = 0) -> list[PastShot]:
    return shots([0.2 + 0.02 * (ball % 3) for ball in range(balls)], day)


def test_the_interval_is_student_s_at_twelve_balls_and_never_narrower_above() -> None:
    rng = np.random.default_rng(1)
    for count in (12, 15, 18):
        errors = rng.uniform(0, 0.2, count)
        half = stats.t.ppf(0.9, count - 1) * np.std(errors, ddof=1) / np.sqrt(count)
        low, high = mean_interval(list(errors))
        assert (high - low) / 2 == pytest.approx(half, rel=1e-6 if count == 12 else 0.03)
        assert (high - low) / 2 >= half - 1e-9


@pytest.mark.parametrize(
    ("balls", "stage"), [(11, Stage.SETTLE), (12, Stage.STEP), (24, Stage.MIX), (36, Stage.TEST)]
)
def test_twelve_good_balls_move_on_one_stage(balls: int, stage: Stage) -> None:
    standing = standing_of(good(balls))
    assert (standing.stage, standing.balls, standing.mastered) == (stage, balls, False)


def test_bad_balls_move_back_and_never_below_the_first() -> None:
    assert standing_of([*good(24), *bad(12)]).stage is Stage.STEP
    assert standing_of(bad(60)).stage is Stage.SETTLE


def test_what_is_neither_good_nor_bad_stays() -> None:
    middling = shots([0.02, 0.22] * 9)
    assert standing_of(middling).stage is Stage.SETTLE


def test_juniors_stay_longer() -> None:
    assert standing_of(good(12), JUNIOR_RULES).stage is Stage.SETTLE
    assert standing_of(good(18), JUNIOR_RULES).stage is Stage.STEP


def test_a_mastered_shot_is_due_at_7_21_and_42_days_and_lost_when_it_fails() -> None:
    hit = good(48)
    day = 0
    for gap in (7, 21, 42, 42):
        standing = standing_of(hit)
        assert standing.mastered
        assert standing.due == FIRST + timedelta(days=day + gap)
        day += gap
        hit += good(6, day)
    lost = standing_of([*good(48), *bad(6, 7)])
    assert not lost.mastered
    assert lost.stage is Stage.MIX


def test_balls_before_the_day_do_not_put_it_off() -> None:
    assert standing_of([*good(48), *good(6, 3)]).due == FIRST + timedelta(days=7)


def test_what_is_left_alone_is_overdue() -> None:
    standing = standing_of(good(5))
    assert standing.due == FIRST + OVERDUE_AFTER
    assert not standing.is_overdue(FIRST + OVERDUE_AFTER - timedelta(days=1))
    assert standing.is_overdue(FIRST + OVERDUE_AFTER)
    assert standing_of([]) == Standing()


@given(st.lists(st.one_of(st.none(), st.floats(-0.5, 0.5)), max_size=80), st.integers(0, 40))
def test_one_more_ball_moves_by_at_most_one_stage(errors: list[float | None], last_day: int) -> None:
    hit = shots(errors)
    before, after = standing_of(hit), standing_of([*hit, *shots([0.05], last_day)])
    assert abs(ORDER.index(after.stage) - ORDER.index(before.stage)) <= 1
    assert after.balls == before.balls + 1


def test_each_cell_stands_alone() -> None:
    other = Cell("8 iron")
    found = standings([*good(12), PastShot(FIRST, other, 0.3)], ADULT_RULES)
    assert found[LOW].stage is Stage.STEP
    assert found[other] == Standing(Stage.SETTLE, 1, FIRST, FIRST + OVERDUE_AFTER)


def signs(*low: bool, vouched: bool = False, swing: Swing = Swing.THREE_QUARTER) -> list[PastShot]:
    return [PastShot(FIRST, Cell("7 iron", 0.0, swing), low=each, vouched=vouched) for each in low]


@pytest.mark.parametrize(
    ("seen", "checked"),
    [
        ([], False),
        (signs(True, True), False),
        (signs(True, True, True), True),
        (signs(False, False, True, True, True), True),
        (signs(True, True, True, False, False, False), False),
        (signs(True, vouched=True), True),
        ([*signs(True, vouched=True), *signs(False)], False),
        (signs(True, True, True, swing=Swing.FULL), False),
    ],
)
def test_low_flight(seen: list[PastShot], checked: bool) -> None:
    assert (Swing.THREE_QUARTER in swings_seen_low(seen)) is checked


def test_one_swing_does_not_speak_for_another() -> None:
    assert swings_seen_low(signs(True, True, True, swing=Swing.HALF)) == {Swing.HALF}
