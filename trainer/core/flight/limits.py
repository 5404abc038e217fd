"""What a golf ball and its air can do: the ranges that the flight accepts, and the checks that hold them.

Outside these ranges nothing here was fitted or compared, so a value there is refused and not extrapolated.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trainer.core.bag import CARRY_RANGE_M, GREATEST_GRIP_DOWN_M
from trainer.core.conditions import AIR_PRESSURE_PA, AIR_TEMPERATURE_K, GREATEST_WIND_MPS
from trainer.core.constants import DEGREE_RAD, RPM_RAD_S
from trainer.core.errors import InputError
from trainer.core.units import range_words

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]


class Limit(NamedTuple):
    """A closed range in SI, and the unit it is told in."""

    low: float
    high: float
    unit: str


LIMITS: Mapping[str, Limit] = {
    "ball speed": Limit(5.0, 100.0, "m/s"),
    "launch angle": Limit(-5 * DEGREE_RAD, 70 * DEGREE_RAD, "deg"),
    "spin": Limit(0.0, 15000 * RPM_RAD_S, "rpm"),
    "start direction": Limit(-45 * DEGREE_RAD, 45 * DEGREE_RAD, "deg"),
    "axis tilt": Limit(-60 * DEGREE_RAD, 60 * DEGREE_RAD, "deg"),
    "wind speed": Limit(0.0, GREATEST_WIND_MPS, "m/s"),
    "wind reading height": Limit(0.5, 100.0, "m"),
    "roughness length": Limit(1e-4, 0.3, "m"),
    "air temperature": Limit(*AIR_TEMPERATURE_K, "C"),
    "air pressure": Limit(*AIR_PRESSURE_PA, "kPa"),
    "relative humidity": Limit(0.0, 1.0, "1"),
    "altitude": Limit(-500.0, 5500.0, "m"),
    "drag factor": Limit(0.5, 2.0, "1"),
    "lift factor": Limit(0.5, 2.0, "1"),
    "target height": Limit(-60.0, 60.0, "m"),
    "loft": Limit(5 * DEGREE_RAD, 70 * DEGREE_RAD, "deg"),
    "grip-down": Limit(0.0, GREATEST_GRIP_DOWN_M, "cm"),
    "club length": Limit(0.6, 1.3, "in"),
    "carry": Limit(*CARRY_RANGE_M, "m"),
}
"""Accepted range of every input, by its name."""

_ROUNDING = 1e-9  # a limit typed in degrees or rpm must not fail by the last bit of its conversion


def with_last_axis(values: ArrayLike) -> Floats:
    """`values` as float64 with a last axis of one, for what is flown of each of them."""
    return np.asarray(values, dtype=np.float64)[..., None]


def require_limit(values: ArrayLike, name: str) -> Floats:
    """`values` as float64 where all lie within `LIMITS[name]`; else InputError names the worst and the range."""
    array = np.asarray(values, dtype=np.float64)
    low, high, unit = LIMITS[name]
    slack = _ROUNDING * max(abs(low), abs(high))
    good = (array >= low - slack) & (array <= high + slack)
    if not good.all():
        worst = float(array[~good].flat[0])
        shown, least, most = range_words(worst, low, high, unit)
        suffix = "" if unit == "1" else f" {unit}"
        raise InputError(f"{name} of {shown}{suffix} is out of range", "", f"give {least} to {most}{suffix}")
    return array


def require_finite(values: ArrayLike, name: str) -> Floats:
    """`values` as float64 where all are finite; else InputError."""
    array = np.asarray(values, dtype=np.float64)
    if not np.isfinite(array).all():
        raise InputError(f"{name} holds a value that is not a number", "", "give finite values")
    return array
