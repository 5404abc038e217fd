"""Ranking what could do the job by what is asked of it, and picking three choices that differ in kind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from trainer.core.bag import Cell
from trainer.core.decide.outcomes import Rest
from trainer.core.decide.target import Target, judge
from trainer.core.estimate.evidence import Floats, Interval, Ints

SELDOM_SHORT = 0.20
"""A shot that is short no oftener than this counts as never short: eight balls in ten get there, bad strikes in."""

CHOICES = 3


class Aim(StrEnum):
    """What a shot is chosen for."""

    HOLD = "hold"
    NEVER_SHORT = "never-short"
    NEAREST = "nearest"


@dataclass(frozen=True, slots=True)
class Chances:
    """What each cell (c,) does to a target; the five from `hold` to `right` add to 1.

    `aim_side_m` is where to aim, right of the target line, so that the middle of the balls ends on it; the chances
    are those of a player who aims there. `over` is 1 where nothing is to be carried. `done` is the chance to hold
    and to carry what is to be carried, `miss_m` the mean distance from the target at rest.
    """

    aim_side_m: Floats
    hold: Floats
    short: Floats
    long: Floats
    left: Floats
    right: Floats
    over: Floats
    done: Floats
    miss_m: Floats


def chances(target: Target, rest: Rest) -> Chances:
    """Count what became of the balls (n, c) of `rest`."""
    aim = aim_off(rest)
    side = rest.side_m + aim
    judged = judge(target, rest.carry_m, rest.along_m, side)
    miss = np.hypot(rest.along_m - target.distance_m, side)
    parts = (judged.hold, judged.short, judged.long, judged.left, judged.right, judged.over, judged.done, miss)
    return Chances(aim, *(part.mean(axis=0) for part in parts))


def aim_off(rest: Rest) -> Floats:
    """Where to aim with each cell (c,), m right of the target line, so that the middle of its balls ends on it."""
    return np.asarray(-np.median(rest.side_m, axis=0))


def interval_of(values: Floats) -> Interval:
    """Median and central 80 % of the balls (n, c) of each cell, m."""
    low, median, high = np.quantile(values, (0.1, 0.5, 0.9), axis=0)
    return Interval(median, low, high)


def ranked(counted: Chances, aim: Aim = Aim.HOLD) -> Ints:
    """The cells' indices, best first for `aim`; what is equal at it goes by nearness.

    Hold: the oftenest held and carried over. Never short: those short in two balls of ten at most (what is to be
    carried counts as short), the oftenest held first; then the rest, the least often short first. Nearest: the least
    mean distance from the target.
    """
    if aim is Aim.NEAREST:
        return np.argsort(counted.miss_m, kind="stable")
    if aim is Aim.HOLD:
        return np.lexsort((counted.miss_m, -counted.done))
    short = np.maximum(counted.short, 1.0 - counted.over)
    safe = short <= SELDOM_SHORT
    return np.lexsort((counted.miss_m, np.where(safe, -counted.done, short), ~safe))


def three_choices(order: Ints, cells: Sequence[Cell]) -> tuple[int, ...]:
    """The first three of `order` that differ in club or swing: a grip-down alone is no other choice.

    Where there are fewer kinds than three, the next best fill up.
    """
    kinds: dict[tuple[str, str], int] = {}
    for i in order.tolist():
        kinds.setdefault((cells[i].club, str(cells[i].swing)), i)
    chosen = list(kinds.values())[:CHOICES]
    rest = [i for i in order.tolist() if i not in chosen]
    return (*chosen, *rest[: CHOICES - len(chosen)])
