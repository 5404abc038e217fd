"""What a block needs of the wind, whether any wind could give it, and whether today's does.

A wind is judged as it was given, at the height it was read at.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum

from trainer.core.conditions import GREATEST_WIND_MPS, Wind
from trainer.core.units import UnitChoice

_QUARTER = math.pi / 4
_ROUNDING_RAD = 1e-9


class WindFrom(StrEnum):
    """The quarter a wind comes from: within 45° of the face, the back, the left or the right."""

    INTO = "into"
    BEHIND = "behind"
    LEFT = "left"
    RIGHT = "right"


_CENTRES_RAD = {
    WindFrom.INTO: 0.0,
    WindFrom.RIGHT: math.pi / 2,
    WindFrom.BEHIND: math.pi,
    WindFrom.LEFT: 3 * math.pi / 2,
}
_QUARTER_WORDS = {
    WindFrom.INTO: "into the face",
    WindFrom.BEHIND: "from behind",
    WindFrom.LEFT: "from the left",
    WindFrom.RIGHT: "from the right",
}


@dataclass(frozen=True, slots=True)
class WindGate:
    """Bounds on a wind, m/s. Along and across are judged by size: into or behind, left or right alike."""

    along_at_least_mps: float = 0.0
    across_at_least_mps: float = 0.0
    speed_at_least_mps: float = 0.0
    speed_at_most_mps: float = GREATEST_WIND_MPS
    gust_at_most_mps: float | None = None
    quarter: WindFrom | None = None

    @property
    def least_speed_mps(self) -> float:
        """The lightest wind that meets the lower bounds.

        Within a quarter the component away from its centre is at most sin 45° of the speed.
        """
        off_centre = 0.0
        if self.quarter in {WindFrom.INTO, WindFrom.BEHIND}:
            off_centre = self.across_at_least_mps
        elif self.quarter is not None:
            off_centre = self.along_at_least_mps
        both = math.hypot(self.along_at_least_mps, self.across_at_least_mps)
        return max(self.speed_at_least_mps, both, off_centre / math.sin(_QUARTER))

    @property
    def greatest_speed_mps(self) -> float:
        """The strongest mean wind that keeps the upper bounds: no mean is above its gusts."""
        gust = self.gust_at_most_mps if self.gust_at_most_mps is not None else GREATEST_WIND_MPS
        return min(self.speed_at_most_mps, gust, GREATEST_WIND_MPS)

    @property
    def is_possible(self) -> bool:
        """Whether some wind meets the gate."""
        return self.least_speed_mps <= self.greatest_speed_mps

    def limits_only(self) -> WindGate:
        """The same gate without its lower bounds and its quarter."""
        return WindGate(speed_at_most_mps=self.speed_at_most_mps, gust_at_most_mps=self.gust_at_most_mps)

    def is_possible_with(self, other: WindGate) -> bool:
        """Whether one wind could meet both gates."""
        if self.quarter and other.quarter and self.quarter is not other.quarter:
            return False
        gusts = [gust for gust in (self.gust_at_most_mps, other.gust_at_most_mps) if gust is not None]
        return replace(
            self,
            along_at_least_mps=max(self.along_at_least_mps, other.along_at_least_mps),
            across_at_least_mps=max(self.across_at_least_mps, other.across_at_least_mps),
            speed_at_least_mps=max(self.speed_at_least_mps, other.speed_at_least_mps),
            speed_at_most_mps=min(self.speed_at_most_mps, other.speed_at_most_mps),
            gust_at_most_mps=min(gusts, default=None),
            quarter=self.quarter or other.quarter,
        ).is_possible

    def is_too_strong(self, wind: Wind) -> bool:
        """Whether `wind` breaks an upper bound. A gust nobody read is judged by the mean alone."""
        gust = wind.speed_mps if wind.gust_mps is None else max(wind.gust_mps, wind.speed_mps)
        over_gust = self.gust_at_most_mps is not None and gust > self.gust_at_most_mps
        return over_gust or wind.speed_mps > self.speed_at_most_mps

    def unmet(self, wind: Wind, units: UnitChoice) -> str:
        """Why a known `wind` does not meet the gate, in words; empty where it does."""
        if self.is_too_strong(wind):
            return self._too_strong(wind, units)
        lacking = (
            ("the wind along the line", abs(wind.along_mps), self.along_at_least_mps),
            ("the wind across the line", abs(wind.across_mps), self.across_at_least_mps),
            ("the wind", wind.speed_mps, self.speed_at_least_mps),
        )
        for name, has_mps, needs_mps in lacking:
            if has_mps < needs_mps:
                return f"{name} is {units.shown_speed(has_mps)} and this needs {units.shown_speed(needs_mps)}"
        if self.quarter is not None and not _comes_from(wind, self.quarter):
            return f"this needs a wind {_QUARTER_WORDS[self.quarter]}"
        return ""

    def _too_strong(self, wind: Wind, units: UnitChoice) -> str:
        if wind.speed_mps > self.speed_at_most_mps:
            has_mps, limit_mps = wind.speed_mps, self.speed_at_most_mps
            return f"the wind is {units.shown_speed(has_mps)} and this needs {units.shown_speed(limit_mps)} or less"
        gust = units.shown_speed(max(wind.gust_mps or 0.0, wind.speed_mps))
        limit = units.shown_speed(self.gust_at_most_mps or 0.0)
        return f"gusts are {gust} and this needs {limit} or less"


def _comes_from(wind: Wind, quarter: WindFrom) -> bool:
    if wind.speed_mps == 0:
        return False
    away = math.remainder(wind.from_rad - _CENTRES_RAD[quarter], 2 * math.pi)
    return abs(away) <= _QUARTER + _ROUNDING_RAD
