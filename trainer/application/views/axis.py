"""An axis in a player's unit: values as shares of its length, and round numbers to write on it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from trainer.application.estimates.snapshot import Range80
from trainer.application.views.look import Bar, Tick
from trainer.core.units import UnitChoice, from_si

_MARGIN = 0.04
_MOST_TICKS = 7
_STEPS = (1, 2, 5)


@dataclass(frozen=True, slots=True)
class Axis:
    """From `low` to `high`, low below high."""

    low: float
    high: float

    @classmethod
    def around(cls, values: Iterable[float], least: float = 1.0) -> Axis:
        """An axis that holds every value with a little room, at least `least` long."""
        held = tuple(values)
        low, high = min(held), max(held)
        room = max((high - low) * _MARGIN, (least - (high - low)) / 2, 1e-9)
        return cls(low - room, high + room)

    def share(self, value: float) -> float:
        """Where `value` lies, 0 at the low end, kept within the axis."""
        return min(max((value - self.low) / (self.high - self.low), 0.0), 1.0)

    def ticks(self, most: int = _MOST_TICKS, unit: str = "") -> tuple[Tick, ...]:
        """At most `most` round numbers; the last one with the unit."""
        size = 10.0 ** math.floor(math.log10((self.high - self.low) / most))
        step = next(
            size * factor * times
            for times in (1, 10, 100)
            for factor in _STEPS
            if (self.high - self.low) / (size * factor * times) <= most
        )
        first = math.ceil(self.low / step)
        values = [k * step for k in range(first, math.floor(self.high / step) + 1)]
        words = [f"{value + 0:g}" for value in values]
        if unit and words:
            words[-1] = f"{words[-1]} {unit}"
        return tuple(Tick(self.share(value), word) for value, word in zip(values, words, strict=True))

    def bar(self, carry: Range80, units: UnitChoice) -> Bar:
        """A carry in metres as a bar with its words."""
        low, middle, high = (from_si(value, units.distance) for value in (carry.low80, carry.median, carry.high80))
        return Bar(self.share(low), self.share(middle), self.share(high), carry.words(units))
