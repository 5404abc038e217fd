"""Wind over the course: its profile with height, its gusts, and the words people say it in.

Along is positive from behind (to the target), across is positive from the left (to the right).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from trainer.core.conditions import Wind, WindPlace
from trainer.core.constants import OPEN_COURSE_ROUGHNESS_M
from trainer.core.errors import InputError
from trainer.core.flight.limits import Floats, require_finite, require_limit

GUST_PEAK_FACTOR = 2.58
"""Peak factor of a 3 s gust in a 10 min mean: G = 1 + 2.58·I_u is within 0.02 of the published 1.66, 1.52 and 1.38 at
I_u 0.25, 0.20 and 0.15 (Harper, Kepert and Ginger 2010, WMO/TD-1555)."""

SHELTER_FACTOR = 0.75
SHELTER_FACTOR_SD = 0.15
"""Wind read in a bay over wind in the open at the same height, and its s.d.: common practice, no source."""

_MPH = 0.44704
BEAUFORT_LOWER_MPS = tuple(
    mph * _MPH for mph in (0.0, 0.5, 3.5, 7.5, 12.5, 18.5, 24.5, 31.5, 38.5, 46.5, 54.5, 63.5, 72.5)
)
"""Lower bound of each Beaufort number at 10 m, m/s: midway between the whole mph of the land table (WMO-No. 8)."""

ROUGHNESS_M = {
    "mown grass": 0.01,
    "open course": OPEN_COURSE_ROUGHNESS_M,
    "scattered obstacles": 0.10,
    "trees about": 0.25,
}
"""Roughness length by ground, m (WMO-No. 8, Davenport and Wieringa)."""


@dataclass(frozen=True, slots=True)
class WindField:
    """A horizontal wind: its components at the height it was read at, and how it grows with height.

    `along_mps`, `across_mps`, `height_m` and `roughness_m` are scalars or arrays that broadcast with the flights.
    Assumes neutral air over even ground; a uniform wind is the same at all heights.
    """

    along_mps: ArrayLike = 0.0
    across_mps: ArrayLike = 0.0
    height_m: ArrayLike = 2.0
    roughness_m: ArrayLike = OPEN_COURSE_ROUGHNESS_M
    profile: Literal["log", "uniform"] = "log"


STILL = WindField(profile="uniform")


def wind_field(wind: Wind, roughness_m: ArrayLike = OPEN_COURSE_ROUGHNESS_M) -> WindField:
    """The wind in the open as somebody gave it; a reading from a bay is divided by `SHELTER_FACTOR`."""
    shelter = SHELTER_FACTOR if wind.place is WindPlace.BAY else 1.0
    return WindField(wind.along_mps / shelter, wind.across_mps / shelter, wind.height_m, roughness_m)


class CheckedWind(NamedTuple):
    """A wind field whose parts are float64 and within the ranges."""

    along_mps: Floats
    across_mps: Floats
    height_m: Floats
    roughness_m: Floats
    logarithmic: bool


def checked_wind(field: WindField) -> CheckedWind:
    """`field` as float64 arrays; raises InputError outside the ranges."""
    along = require_finite(field.along_mps, "wind")
    across = require_finite(field.across_mps, "wind")
    require_limit(np.hypot(along, across), "wind speed")
    height = require_limit(field.height_m, "wind reading height")
    roughness = require_limit(field.roughness_m, "roughness length")
    if field.profile not in ("log", "uniform"):
        raise InputError(f"'{field.profile}' is no wind profile", "", "use log or uniform")
    return CheckedWind(along, across, height, roughness, field.profile == "log")


def profile_shape(height_m: ArrayLike, roughness_m: ArrayLike) -> Floats:
    """½·ln(1 + (z/z0)²): the log law ln(z/z0) aloft, smoothly zero at the ground.

    The two differ by 1e-4 of the wind at 2 m over an open course. It is even in z, so it has no corner at the ground.
    """
    ratio = np.asarray(height_m, dtype=np.float64) / np.asarray(roughness_m, dtype=np.float64)
    return np.asarray(0.5 * np.log1p(ratio * ratio))


def wind_at(field: WindField, z_m: ArrayLike) -> tuple[Floats, Floats]:
    """Along and across wind at height `z_m`, m/s; all inputs broadcast.

    Source: the logarithmic law for neutral air, WMO-No. 8; see `profile_shape` for its smooth ground.
    """
    checked = checked_wind(field)
    share = _share(checked, require_finite(z_m, "height"))
    return np.asarray(checked.along_mps * share), np.asarray(checked.across_mps * share)


def _share(field: CheckedWind, z_m: Floats) -> Floats:
    if not field.logarithmic:
        return np.ones_like(z_m)
    at_reading = profile_shape(field.height_m, field.roughness_m)
    return np.asarray(profile_shape(z_m, field.roughness_m) / at_reading)


def at_height(
    speed_mps: ArrayLike, height_m: ArrayLike, wanted_m: ArrayLike, roughness_m: ArrayLike = OPEN_COURSE_ROUGHNESS_M
) -> Floats:
    """A speed read at `height_m` as it is at `wanted_m`, m/s."""
    field = WindField(speed_mps, 0.0, height_m, roughness_m)
    return wind_at(field, require_limit(wanted_m, "wind reading height"))[0]


def turbulence_intensity(height_m: ArrayLike, roughness_m: ArrayLike = OPEN_COURSE_ROUGHNESS_M) -> Floats:
    """I_u = 1/ln(z/z0), the s.d. of the wind over its mean. Source: common engineering form for flat open ground."""
    height = require_limit(height_m, "wind reading height")
    return np.asarray(1 / np.log(height / require_limit(roughness_m, "roughness length")))


def gust_factor(height_m: ArrayLike, roughness_m: ArrayLike = OPEN_COURSE_ROUGHNESS_M) -> Floats:
    """3 s gust over 10 min mean at `height_m`. Source: Harper, Kepert and Ginger 2010, WMO/TD-1555."""
    return 1 + GUST_PEAK_FACTOR * turbulence_intensity(height_m, roughness_m)


def gust_sd_mps(wind: Wind, roughness_m: float = OPEN_COURSE_ROUGHNESS_M) -> float:
    """S.d. of the wind about its mean, m/s: from the gust where one was read, else as usual for the ground.

    Gusts of a few seconds, so about those of one flight. Raises InputError where the gust is below the mean.
    """
    if wind.gust_mps is None:
        return float(wind.speed_mps * turbulence_intensity(wind.height_m, roughness_m))
    over = float(require_limit(wind.gust_mps, "wind speed")) - wind.speed_mps
    if over < 0:
        raise InputError(
            f"a gust of {wind.gust_mps:g} m/s is below the mean of {wind.speed_mps:g} m/s", "", "give a gust above it"
        )
    return over / GUST_PEAK_FACTOR


def mean_from_gust_mps(
    gust_mps: ArrayLike, height_m: ArrayLike, roughness_m: ArrayLike = OPEN_COURSE_ROUGHNESS_M
) -> Floats:
    """The mean wind whose published gust is `gust_mps`, m/s."""
    return require_limit(gust_mps, "wind speed") / gust_factor(height_m, roughness_m)


def beaufort(speed_10m_mps: float) -> int:
    """Beaufort number of a mean wind at 10 m. Source: WMO-No. 8."""
    speed = float(require_limit(speed_10m_mps, "wind speed"))
    return max(number for number, lower in enumerate(BEAUFORT_LOWER_MPS) if speed >= lower)


def beaufort_speed_mps(number: int) -> float:
    """The middle of a Beaufort number's speeds at 10 m, m/s. Raises InputError outside 0…11."""
    if number not in range(len(BEAUFORT_LOWER_MPS) - 1):
        raise InputError(f"Beaufort {number} is out of range", "", "give 0 to 11")
    return 0.5 * (BEAUFORT_LOWER_MPS[number] + BEAUFORT_LOWER_MPS[number + 1])


def relative_from_rad(compass_rad: float, target_bearing_rad: float) -> float:
    """Where a wind from compass `compass_rad` comes from relative to the target line, 0…2π, clockwise."""
    return (compass_rad - target_bearing_rad) % (2 * math.pi)


def clock_from_rad(hour: float) -> float:
    """Where a wind from `hour` on the clock comes from: 12 is into the face, 3 from the right."""
    if not 0 <= hour <= 12:
        raise InputError(f"{hour:g} is no hour of the clock", "", "give 1h to 12h")
    return (hour % 12) * math.pi / 6


def components_mps(speed_mps: ArrayLike, from_rad: ArrayLike) -> tuple[Floats, Floats]:
    """Along and across parts of a wind from `from_rad` relative to the target line, m/s."""
    speed = require_limit(speed_mps, "wind speed")
    angle = require_finite(from_rad, "wind direction")
    return np.asarray(-speed * np.cos(angle)), np.asarray(-speed * np.sin(angle))
