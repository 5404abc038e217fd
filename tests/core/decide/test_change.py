"""Progress statistics beside scipy, and how often "a change" is called where there is none."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from trainer.core.decide.change import LEAST_BALLS, change_between, level_of, t95


@pytest.mark.parametrize("freedom", [4, 5, 7, 10, 20, 50, 500])
def test_students_t(freedom: int) -> None:
    assert t95(freedom) == pytest.approx(stats.t(freedom).ppf(0.975), abs=0.01)


def test_a_level_is_scipys_interval() -> None:
    errors = np.random.default_rng(1).gamma(2.0, 3.0, 24)
    level = level_of(errors, np.zeros(24, dtype=np.int64))
    assert level is not None
    low, high = stats.t.interval(0.95, 23, loc=errors.mean(), scale=stats.sem(errors))
    assert (level.low95, level.high95) == pytest.approx((low, high), abs=0.01)
    assert level.smallest_change == pytest.approx(np.sqrt(2) * (high - low) / 2, rel=0.01)


def test_a_change_is_welchs() -> None:
    rng = np.random.default_rng(2)
    before, after = rng.gamma(2, 3, 15), rng.gamma(2, 2, 30)
    none = np.zeros(30, dtype=np.int64)
    change = change_between(before, none[:15], after, none)
    assert change is not None
    interval = stats.ttest_ind(after, before, equal_var=False).confidence_interval(0.95)
    assert change.difference - change.plus_minus95 == pytest.approx(interval.low, abs=0.02)
    assert change.difference + change.plus_minus95 == pytest.approx(interval.high, abs=0.02)


def test_where_nothing_changed_a_change_is_seldom_called() -> None:
    rng = np.random.default_rng(3)
    called = 0
    for _ in range(1000):
        before, after = (np.abs(rng.normal(0, 6, 20)) for _ in range(2))
        change = change_between(before, np.repeat([0, 1], 10), after, np.repeat([2, 3], 10))
        called += change is not None and change.clear
    assert 0.02 <= called / 1000 <= 0.08


def test_days_that_differ_widen_the_interval() -> None:
    rng = np.random.default_rng(4)
    days = np.repeat(np.arange(8), 6)
    alike = np.abs(rng.normal(0, 6, 48))
    apart = alike + np.repeat(rng.normal(0, 5, 8), 6)
    one, two = level_of(alike, days), level_of(apart, days)
    assert one is not None
    assert two is not None
    assert two.measurement_error > 1.5 * one.measurement_error


def test_too_few_balls_say_nothing() -> None:
    few = np.ones(LEAST_BALLS - 1)
    days = np.zeros(len(few), dtype=np.int64)
    assert level_of(few, days) is None
    assert change_between(few, days, np.ones(20), np.zeros(20, dtype=np.int64)) is None
