"""The fixed baselines: each ball is foreseen from those before it alone, as a batch fit to those would."""

from __future__ import annotations

import math
from dataclasses import fields

import numpy as np
import pytest

from trainer.core.decide.baselines import (
    LEAST_EARLIER,
    BallsSeen,
    by_cell_means,
    by_least_squares,
    by_no_balls,
    by_rule,
    error_sd_log,
    stated_m,
)
from trainer.core.estimate.evidence import CellSet, Floats
from trainer.core.estimate.priors import REMEMBERED_CARRY

CLUBS, GRIPS = 3, (0.0, 1.0, 2.0)
_CELLS = [(club, grip, swing) for club in range(CLUBS) for grip in GRIPS for swing in ("full", "three", "half")]
CELLS = CellSet(
    loft_deg=np.array([27.0, 34.0, 42.0]),
    stock_carry_m=np.array([150.0, 137.0, 120.0]),
    club=np.array([club for club, _, _ in _CELLS]),
    grip_down_in=np.array([grip for _, grip, _ in _CELLS]),
    three_quarter=np.array([float(swing == "three") for *_, swing in _CELLS]),
    half=np.array([float(swing == "half") for *_, swing in _CELLS]),
)


def seen(count: int, seed: int = 1, clubs: tuple[int, ...] = (0, 1, 2)) -> BallsSeen:
    rng = np.random.default_rng(seed)
    held = np.flatnonzero(np.isin(CELLS.club, clubs))
    cell = rng.choice(held, count)
    wind_log = rng.normal(0, 0.1, count)
    carry = stated_m(CELLS)[cell] * np.exp(0.03 + wind_log + 0.05 * rng.standard_normal(count))
    return BallsSeen(cell, carry, wind_log, rng.normal(0, 5, count), rng.random(count) > 0.1)


def first(balls: BallsSeen, count: int) -> BallsSeen:
    return BallsSeen(*(getattr(balls, field.name)[:count] for field in fields(BallsSeen)))


def batch_means(before: BallsSeen) -> Floats:
    out = stated_m(CELLS)
    for cell in np.unique(before.cell[before.teaches]):
        mine = before.teaches & (before.cell == cell)
        out[cell] = np.mean(before.carry_m[mine] * np.exp(-before.wind_log[mine]))
    return out


def batch_squares(before: BallsSeen) -> Floats:
    rows = np.column_stack([np.eye(CLUBS)[CELLS.club], CELLS.grip_down_in, CELLS.three_quarter, CELLS.half])
    usual = np.array([0.0] * CLUBS + [-0.025, math.log(0.9), math.log(0.75)])
    stock = CELLS.stock_carry_m[CELLS.club]
    cell = before.cell[before.teaches]
    z = (np.log(before.carry_m / stock[before.cell]) - before.wind_log)[before.teaches]
    fitted = np.linalg.lstsq(rows[cell], z, rcond=None)[0]
    weights = np.where((rows[cell] != 0).any(axis=0), fitted, usual)
    return np.asarray(stock * np.exp(rows @ weights))


@pytest.mark.parametrize("clubs", [(0, 1, 2), (1,)])
def test_each_ball_is_foreseen_as_a_fit_to_those_before_it_would(clubs: tuple[int, ...]) -> None:
    balls = seen(60, clubs=clubs)
    means, squares = by_cell_means(CELLS, balls), by_least_squares(CELLS, balls)
    for i in (0, 1, 2, 7, 30, 59):
        before, wind = first(balls, i), math.exp(balls.wind_log[i])
        assert means[i] == pytest.approx(batch_means(before)[balls.cell[i]] * wind, rel=1e-9)
        assert squares[i] == pytest.approx(batch_squares(before)[balls.cell[i]] * wind, rel=1e-6)


def test_what_came_later_changes_nothing() -> None:
    balls = seen(40)
    for method in (by_cell_means, by_least_squares, by_rule):
        np.testing.assert_allclose(method(CELLS, balls)[:15], method(CELLS, first(balls, 15)), rtol=1e-12)
    early = error_sd_log(by_rule(CELLS, balls), balls.carry_m)[:15]
    np.testing.assert_allclose(early, error_sd_log(by_rule(CELLS, first(balls, 15)), balls.carry_m[:15]), rtol=1e-12)


def test_the_rule_is_a_yard_a_mph_of_head_and_half_of_tail() -> None:
    mph, yard = 0.44704, 0.9144
    one = np.array([0, 0, 0])
    balls = BallsSeen(one, np.full(3, 140.0), np.zeros(3), mph * np.array([-10.0, 0.0, 10.0]), np.ones(3, dtype=bool))
    foreseen = by_rule(CELLS, balls)
    np.testing.assert_allclose(foreseen - foreseen[1], [-10 * yard, 0, 5 * yard], atol=1e-9)
    assert foreseen[1] == pytest.approx(150.0)


def test_no_balls_is_what_was_believed_before() -> None:
    balls = seen(5)
    low = int(np.flatnonzero((CELLS.club == 1) & (CELLS.grip_down_in == 2) & (CELLS.half == 1))[0])
    one = BallsSeen(np.array([low]), balls.carry_m[:1], np.array([0.1]), np.zeros(1), np.ones(1, dtype=bool))
    expected = 137.0 * 0.95 * 0.75 * math.exp(-0.05 + 0.1)
    assert float(by_no_balls(CELLS, REMEMBERED_CARRY, one)[0]) == pytest.approx(expected, rel=1e-9)


def test_the_error_of_a_method_is_pooled_over_the_balls_before() -> None:
    carry = 100 * np.exp(np.array([0.1, -0.2, 0.1, 0.0, 0.2, 9.0]))
    sd = error_sd_log(np.full(6, 100.0), carry)
    assert np.isnan(sd[:LEAST_EARLIER]).all()
    assert sd[5] == pytest.approx(math.sqrt(0.1 / 5))
