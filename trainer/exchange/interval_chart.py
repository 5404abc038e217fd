"""Intervals on one distance axis, drawn for print: a thin line in still air, a bar today, a mark at each median."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from trainer.exchange.page_svg import box, rule, words

STEPS = (1, 2, 5, 10, 20, 25, 50, 100, 200)
MOST_TICKS = 7
TICK_MM, BAR_MM, APART_MM = 2.4, 1.6, 1.7


@dataclass(frozen=True, slots=True)
class Interval:
    """Low end, median and high end, in the unit of the axis."""

    low: float
    median: float
    high: float


@dataclass(frozen=True, slots=True)
class Axis:
    """A distance axis from `low` to `high` with a tick every `step`; drawn from `left` to `right`, in mm."""

    low: float
    high: float
    step: float
    left: float
    right: float

    def at(self, value: float) -> float:
        """Where `value` lies, mm."""
        return self.left + (value - self.low) / (self.high - self.low) * (self.right - self.left)

    @property
    def ticks(self) -> tuple[float, ...]:
        """The values at which a tick stands."""
        count = round((self.high - self.low) / self.step)
        return tuple(self.low + number * self.step for number in range(count + 1))


def axis_over(intervals: Sequence[Interval], left: float, right: float) -> Axis:
    """An axis that holds all of `intervals` (one at least) between whole ticks. Raises ValueError for none."""
    low, high = min(each.low for each in intervals), max(each.high for each in intervals)
    span = max(high - low, 1.0)
    step = next((each for each in STEPS if span / each <= MOST_TICKS - 2), STEPS[-1])
    first, last = math.floor(low / step) * step, math.ceil(high / step) * step
    return Axis(first, last if last > first else first + step, step, left, right)


def draw_axis(axis: Axis, top: float, bottom: float, unit: str) -> list[str]:
    """Upright lines from `top` to `bottom`, mm, their values below."""
    drawn = []
    for value in axis.ticks:
        x = axis.at(value)
        drawn += [
            rule(x, top, x, bottom, width=0.1, dashes="0.6 0.8"),
            words(x, bottom + TICK_MM + 0.6, f"{value:.0f}", TICK_MM, anchor="middle"),
        ]
    middle = (axis.left + axis.right) / 2
    return [*drawn, words(middle, bottom + 2 * TICK_MM + 1.6, unit, TICK_MM, anchor="middle")]


def draw_intervals(axis: Axis, y: float, still: Interval, today: Interval) -> list[str]:
    """One row about `y`, mm: still air above, a line with ends and a tick; today below, a bar with a bold one."""
    above, below = y - APART_MM / 2, y + APART_MM / 2
    left, right, middle = axis.at(today.low), axis.at(today.high), axis.at(today.median)
    drawn = [
        rule(axis.at(still.low), above, axis.at(still.high), above, width=0.2),
        box(left, below - BAR_MM / 2, right - left, BAR_MM, fill="#bbb", stroke_mm=0.15),
        rule(middle, below - BAR_MM / 2, middle, below + BAR_MM / 2, width=0.7),
    ]
    for value, half in ((still.low, 0.4), (still.median, 0.7), (still.high, 0.4)):
        drawn.append(rule(axis.at(value), above - half, axis.at(value), above + half, width=0.2))
    return drawn
