"""Air, wind, ground and ball: what a shot meets. SI inside; angles in radians.

Axes at the player: x to the target, y to the right of the target line, z up. A wind *from* 0 blows into the face,
from 90° it comes from the right, so it pushes the ball to the left.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from trainer.core.constants import REFERENCE_PRESSURE_PA, REFERENCE_TEMPERATURE_K

UNKNOWN_WIND_SD_MPS = 4.0
"""S.d. of a wind that nobody read, each way (outer contract)."""

CALM_WIND_SD_MPS = 0.5
"""S.d. of a wind stated as none, each way (outer contract)."""

GREATEST_WIND_MPS = 40.0
"""Nobody practises in more: Beaufort 13 begins at 37 m/s (WMO)."""

AIR_TEMPERATURE_K, AIR_PRESSURE_PA = (243.15, 323.15), (50e3, 110e3)
"""Least and greatest of an air that balls are flown in: -30 to 50 °C, up to some 5,500 m."""


class ReadingMethod(StrEnum):
    """How a wind was read."""

    METER = "meter"
    FORECAST = "forecast"
    FELT = "felt"


class WindPlace(StrEnum):
    """Where a wind was read."""

    OPEN = "open"
    BAY = "bay"


class Turf(StrEnum):
    """Firmness of the landing ground."""

    SOFT = "soft"
    MEDIUM = "medium"
    FIRM = "firm"


class Ball(StrEnum):
    """Class of ball."""

    RANGE = "range"
    PLAYING = "playing"


class Surface(StrEnum):
    """What the ball is struck from."""

    GRASS = "grass"
    MAT = "mat"


class Seen(StrEnum):
    """How the carry was seen."""

    EYE = "eye"
    FLAG = "flag"
    LASER = "laser"
    DEVICE = "device"


class WindKnowledge(StrEnum):
    """What is known of a wind: `stated` is exact, `read` has its method's error, `calm` was said to be none."""

    UNKNOWN = "unknown"
    CALM = "calm"
    READ = "read"
    STATED = "stated"


@dataclass(frozen=True, slots=True)
class Air:
    """The air, uniform over a flight."""

    temperature_k: float = REFERENCE_TEMPERATURE_K
    pressure_pa: float = REFERENCE_PRESSURE_PA
    relative_humidity: float = 0.0


REFERENCE_AIR = Air()


@dataclass(frozen=True, slots=True)
class Wind:
    """A wind as somebody gave it. `from_rad` is relative to the target line: 0 into the face, π/2 from the right."""

    knowledge: WindKnowledge
    speed_mps: float = 0.0
    from_rad: float = 0.0
    height_m: float = 2.0
    method: ReadingMethod = ReadingMethod.METER
    place: WindPlace = WindPlace.OPEN
    gust_mps: float | None = None

    @property
    def along_mps(self) -> float:
        """Component to the target, positive from behind."""
        return -self.speed_mps * math.cos(self.from_rad)

    @property
    def across_mps(self) -> float:
        """Component to the right, positive from the left."""
        return -self.speed_mps * math.sin(self.from_rad)

    def turned(self, bearing_rad: float) -> Wind:
        """The same wind relative to a target `bearing_rad` clockwise (to the right) of this one's line."""
        from_rad = (self.from_rad - bearing_rad) % (2 * math.pi)
        return Wind(self.knowledge, self.speed_mps, from_rad, self.height_m, self.method, self.place, self.gust_mps)


def turned_by_rad(one_rad: float, other_rad: float) -> float:
    """By how much direction `one_rad` is turned clockwise from `other_rad`, −π up to π."""
    return (one_rad - other_rad + math.pi) % math.tau - math.pi


def clock_hour(from_rad: float) -> int:
    """The hour that a wind comes from, 12 in the face, 3 from the right."""
    return round(math.degrees(from_rad % math.tau) / 30) % 12 or 12


UNKNOWN_WIND = Wind(WindKnowledge.UNKNOWN)
CALM_WIND = Wind(WindKnowledge.CALM)


@dataclass(frozen=True, slots=True)
class Conditions:
    """All that a table or a choice is asked for."""

    wind: Wind = CALM_WIND
    air: Air = REFERENCE_AIR
    turf: Turf = Turf.MEDIUM
    ball: Ball = Ball.PLAYING
    surface: Surface = Surface.GRASS
