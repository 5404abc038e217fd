"""Whether an error became smaller: its level, how well that is measured, and the smallest change that would show.

Assumption: balls of one day are alike but for chance; where days differ by more than their balls' scatter explains,
the days count and not the balls.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from trainer.core.estimate.evidence import Floats, Ints

LEAST_BALLS = 5
"""Fewer balls on either side compare nothing (common practice)."""

Z95 = 1.959963984540054


@dataclass(frozen=True, slots=True)
class Level:
    """The mean of an error over `balls` on `days`, with its 95 % interval.

    `measurement_error` is the s.d. of such a mean if all were hit again unchanged; a difference of two such means
    must pass `smallest_change` to be more than chance (95 %).
    """

    balls: int
    days: int
    mean: float
    low95: float
    high95: float
    measurement_error: float
    smallest_change: float


@dataclass(frozen=True, slots=True)
class Change:
    """The mean of the later less that of the earlier, ± 95 %. `clear` where that leaves nothing out."""

    difference: float
    plus_minus95: float
    balls_before: int
    balls_after: int

    @property
    def clear(self) -> bool:
        """Whether the interval leaves out no change at all."""
        return abs(self.difference) > self.plus_minus95

    @property
    def verdict(self) -> str:
        """Of an error, in words: closer, wider, no clear change."""
        if not self.clear:
            return "no clear change"
        return "closer" if self.difference < 0 else "wider"


def t95(freedom: float) -> float:
    """The 97.5 % point of Student's t, within 0.01 from 4 degrees of freedom on.

    Source: Abramowitz and Stegun 26.7.5, its first four terms.
    """
    z = Z95
    first, second = (z**3 + z) / 4, (5 * z**5 + 16 * z**3 + 3 * z) / 96
    third = (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384
    return z + first / freedom + second / freedom**2 + third / freedom**3


def level_of(errors: Floats, days: Ints) -> Level | None:
    """The level of `errors` (n,) hit on `days` (n,) (numbers); None below `LEAST_BALLS`."""
    if len(errors) < LEAST_BALLS:
        return None
    variance, freedom = _variance_of_mean(errors, days)
    mean, sd = float(errors.mean()), math.sqrt(variance)
    half = t95(freedom) * sd
    return Level(
        len(errors), len(np.unique(days)), mean, mean - half, mean + half, sd, t95(freedom) * math.sqrt(2.0) * sd
    )


def _variance_of_mean(errors: Floats, days: Ints) -> tuple[float, float]:
    """Variance of the mean and its degrees of freedom: from balls, or from days where those say more."""
    by_ball = float(errors.var(ddof=1)) / len(errors)
    each = np.unique(days)
    if len(each) >= LEAST_BALLS:
        means = np.array([errors[days == day].mean() for day in each])
        by_day = float(means.var(ddof=1)) / len(each)
        if by_day > by_ball:
            return by_day, len(each) - 1.0
    return by_ball, len(errors) - 1.0


def change_between(before: Floats, days_before: Ints, after: Floats, days_after: Ints) -> Change | None:
    """How the mean error changed from the balls `before` to those `after`; None where either are too few.

    Welch's interval: the two need not scatter alike.
    """
    if min(len(before), len(after)) < LEAST_BALLS:
        return None
    (one, free_one), (other, free_other) = (
        _variance_of_mean(values, days) for values, days in ((before, days_before), (after, days_after))
    )
    both = one + other
    freedom = both**2 / (one**2 / free_one + other**2 / free_other) if both > 0 else free_one + free_other
    difference = float(after.mean() - before.mean())
    return Change(difference, t95(max(freedom, 4.0)) * math.sqrt(both), len(before), len(after))


def later_against_earlier(errors: Floats, days: Ints) -> Change | None:
    """How the mean of `errors` (n,) changed from the first half of their `days` (n,) to the second.

    None where one day or too few balls cannot tell.
    """
    each = np.unique(days)
    if len(each) < 2:
        return None
    later = np.isin(days, each[(len(each) + 1) // 2 :])
    return change_between(errors[~later], days[~later], errors[later], days[later])
