"""What a block is to reach, and whether it has: an interval rule, so that ten lucky balls never pass and ten unlucky
ones never fail.

Every interval here is the central 80 %. An aim is passed where the whole interval lies within its bound, not yet
where the whole of it lies beyond, and open between. Assumption: balls are alike and independent. How many balls it
takes at the least is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from trainer.core.constants import Z80
from trainer.core.schedule.progress import ADULT_RULES

LEAST_BALLS = ADULT_RULES.least
MOST_BALLS = ADULT_RULES.window
"""Fewer balls tell nothing; older ones than the last so many are another player's."""

_COVERAGE = 0.8

Ends = tuple[float, float]
"""The low and the high end of an interval."""


class Verdict(StrEnum):
    """Whether an aim is reached."""

    PASSED = "passed"
    NOT_YET = "not yet"
    CANNOT_TELL = "cannot tell yet"


@dataclass(frozen=True, slots=True)
class Aim:
    """A measure, its bound in SI (a fraction for a share), which side of it is good, and over how many sessions."""

    measure: str
    bound: float
    at_most: bool
    over_sessions: int = 1


def verdict(aim: Aim, ends: Ends, balls: int, sessions: int, least: int = LEAST_BALLS) -> Verdict:
    """What the interval `ends` from `balls` balls of `sessions` sessions says of the aim."""
    if balls < least:
        return Verdict.CANNOT_TELL
    low, high = ends
    worst, best = (high, low) if aim.at_most else (-low, -high)
    bound = aim.bound if aim.at_most else -aim.bound
    if worst <= bound:
        return Verdict.PASSED if sessions >= aim.over_sessions else Verdict.CANNOT_TELL
    return Verdict.NOT_YET if best > bound else Verdict.CANNOT_TELL


def median_interval(values: Sequence[float]) -> Ends:
    """Between two of the `values`, from either end equally many: no assumption of their distribution.

    Where there are too few for 80 %, from the least to the most. Raises ValueError for none.
    """
    if not values:
        raise ValueError("no value has no median")
    ordered, count = sorted(values), len(values)
    below, cut = 0.0, 0
    while 2 * (cut + 1) <= count:
        below += math.comb(count, cut) / 2.0**count
        if 1.0 - 2.0 * below < _COVERAGE:
            break
        cut += 1
    first = max(cut - 1, 0)
    return ordered[first], ordered[count - 1 - first]


def share_interval(good: int, balls: int) -> Ends:
    """The share that `good` of `balls` stand for (Wilson 1927, J. Am. Stat. Assoc. 22). ValueError for no ball."""
    if balls < 1:
        raise ValueError("no ball has no share")
    share, weight = good / balls, Z80**2 / balls
    middle = (share + weight / 2) / (1 + weight)
    half = Z80 / (1 + weight) * math.sqrt(share * (1 - share) / balls + weight / (4 * balls))
    return max(middle - half, 0.0), min(middle + half, 1.0)


def spread_interval(values: Sequence[float]) -> Ends:
    """The standard deviation that three or more normal `values` stand for.

    Chi-square by Wilson and Hilferty 1931 (Proc. Natl. Acad. Sci. 17), within 1 % from 5 values on. ValueError below.
    """
    freedom = len(values) - 1
    if freedom < 2:
        raise ValueError("two values have no spread to speak of")
    mean = math.fsum(values) / len(values)
    total = math.fsum((value - mean) ** 2 for value in values)
    part = 2.0 / (9.0 * freedom)
    high, low = (freedom * (1.0 - part + sign * Z80 * math.sqrt(part)) ** 3 for sign in (1, -1))
    return math.sqrt(total / high), math.sqrt(total / low)
