"""Wind over the course: its profile with height, and its gusts.

Along is positive from behind (to the target), across is positive from the left (to the right).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from trainer.core.conditions import GREATEST_WIND_MPS, Wind, WindPlace
from trainer.core.constants import OPEN_COURSE_ROUGHNESS_M
from trainer.core.errors import InputError
from trainer.core.flight.limits import Floats, require_finite, require_limit, with_last_axis

GUST_PEAK_FACTOR = 2.58
"""Peak factor of a 3 s gust in a 10 min mean: G = 1 + 2.58·I_u is within 0.02 of the published 1.66, 1.52 and 1.38 at
I_u 0.25, 0.20 and 0.15 (Harper, Kepert and Ginger 2010, WMO/TD-1555)."""

SHELTER_FACTOR = 0.75
SHELTER_FACTOR_SD = 0.15
"""Wind read in a bay over wind in the open at the same height, and its s.d.: common practice, no source."""


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

    def for_strikes(self) -> WindField:
        """The same winds with a last axis of one, for the strikes of a cell: cells and winds still broadcast."""
        return WindField(
            with_last_axis(self.along_mps),
            with_last_axis(self.across_mps),
            with_last_axis(self.height_m),
            with_last_axis(self.roughness_m),
            self.profile,
        )


STILL = WindField(profile="uniform")


def wind_field(wind: Wind, roughness_m: ArrayLike = OPEN_COURSE_ROUGHNESS_M) -> WindField:
    """The wind in the open as somebody gave it; a reading from a bay is divided by `SHELTER_FACTOR`.

    That makes no wind of more than `GREATEST_WIND_MPS`: balls that were hit in one that may be read can be flown.
    """
    shelter = SHELTER_FACTOR if wind.place is WindPlace.BAY else 1.0
    if wind.speed_mps > shelter * GREATEST_WIND_MPS:
        shelter = min(wind.speed_mps / GREATEST_WIND_MPS, 1.0)
    return WindField(wind.along_mps / shelter, wind.across_mps / shelter, wind.height_m, roughness_m)


class CheckedWind(NamedTuple):
    """A wind field whose parts are float64 and within the ranges."""

    along_mps: Floats
    across_mps: Floats
    height_m: Floats
    roughness_m: Floats


def checked_wind(field: WindField) -> CheckedWind:
    """`field` as float64 arrays; raises InputError outside the ranges."""
    along = require_finite(field.along_mps, "wind")
    across = require_finite(field.across_mps, "wind")
    require_limit(np.hypot(along, across), "wind speed")
    height = require_limit(field.height_m, "wind reading height")
    roughness = require_limit(field.roughness_m, "roughness length")
    if field.profile not in ("log", "uniform"):
        raise InputError(f"'{field.profile}' is no wind profile", "", "use log or uniform")
    return CheckedWind(along, across, height, roughness)


def profile_shape(height_m: ArrayLike, roughness_m: ArrayLike) -> Floats:
    """½·ln(1 + (z/z0)²): the log law ln(z/z0) aloft, smoothly zero at the ground; all inputs broadcast.

    The two differ by 1e-4 of the wind at 2 m over an open course. It is even in z, so it has no corner at the ground.
    Source: the logarithmic law for neutral air, WMO-No. 8.
    """
    ratio = np.asarray(height_m, dtype=np.float64) / np.asarray(roughness_m, dtype=np.float64)
    return np.asarray(0.5 * np.log1p(ratio * ratio))


def turbulence_intensity(height_m: ArrayLike, roughness_m: ArrayLike = OPEN_COURSE_ROUGHNESS_M) -> Floats:
    """I_u = 1/ln(z/z0), the s.d. of the wind over its mean. Source: common engineering form for flat open ground."""
    height = require_limit(height_m, "wind reading height")
    return np.asarray(1 / np.log(height / require_limit(roughness_m, "roughness length")))


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
