"""Aims are reached by intervals: coverage by simulation, and no lucky few."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.schedule.aim import (
    LEAST_BALLS,
    Aim,
    Verdict,
    median_interval,
    share_interval,
    spread_interval,
    verdict,
)

AT_MOST = Aim("mean error", 0.10, at_most=True)
AT_LEAST = Aim("clean strikes", 0.70, at_most=False, over_sessions=2)


def test_fewer_balls_than_the_least_never_pass_and_never_fail() -> None:
    for ends in ((0.01, 0.02), (0.5, 0.6)):
        assert verdict(AT_MOST, ends, LEAST_BALLS - 1, 1) is Verdict.CANNOT_TELL


def test_the_whole_interval_decides() -> None:
    assert verdict(AT_MOST, (0.05, 0.10), 12, 1) is Verdict.PASSED
    assert verdict(AT_MOST, (0.05, 0.11), 12, 1) is Verdict.CANNOT_TELL
    assert verdict(AT_MOST, (0.11, 0.20), 12, 1) is Verdict.NOT_YET


def test_a_share_is_to_be_above_and_in_so_many_sessions() -> None:
    assert verdict(AT_LEAST, (0.71, 0.95), 12, 1) is Verdict.CANNOT_TELL
    assert verdict(AT_LEAST, (0.71, 0.95), 12, 2) is Verdict.PASSED
    assert verdict(AT_LEAST, (0.30, 0.69), 12, 1) is Verdict.NOT_YET


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=40))
def test_the_interval_of_a_median_holds_it(values: list[float]) -> None:
    low, high = median_interval(values)
    assert low <= float(np.median(values)) <= high


@pytest.mark.parametrize("balls", [12, 18, 36])
def test_intervals_hold_as_often_as_they_say(balls: int) -> None:
    rng = np.random.default_rng(5)
    runs = 3000
    held = {"median": 0, "spread": 0, "share": 0}
    for _ in range(runs):
        values = rng.lognormal(0.0, 0.5, balls).tolist()
        low, high = median_interval(values)
        held["median"] += low <= 1.0 <= high
        low, high = spread_interval(rng.normal(0.0, 2.0, balls).tolist())
        held["spread"] += low <= 2.0 <= high
        low, high = share_interval(int(rng.binomial(balls, 0.7)), balls)
        held["share"] += low <= 0.7 <= high
    # The median's is between two balls and holds oftener; a share moves in steps.
    assert 0.78 <= held["median"] / runs <= 0.93
    assert 0.78 <= held["spread"] / runs <= 0.82
    assert 0.72 <= held["share"] / runs <= 0.90


def test_a_share_by_wilsons_formula() -> None:
    # Wilson's interval for 9 of 12 with z = 1.2816, worked out by hand from the quadratic (p - 0.75)² = z² p(1-p)/12.
    low, high = share_interval(9, 12)
    for end in (low, high):
        assert (end - 0.75) ** 2 == pytest.approx(1.2815515655446004**2 * end * (1 - end) / 12)


def test_nothing_has_no_interval() -> None:
    with pytest.raises(ValueError, match="no value"):
        median_interval([])
    with pytest.raises(ValueError, match="no ball"):
        share_interval(0, 0)
    with pytest.raises(ValueError, match="two values"):
        spread_interval([1.0, 2.0])
