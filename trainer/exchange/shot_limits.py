"""What one ball can do: the limits that a typed shot and a table row are held to alike.

The limits keep out slips of the keyboard and wrong units, not unusual golf.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.core.errors import InputError
from trainer.core.shot import ShotEntry
from trainer.core.units import range_words, to_si


@dataclass(frozen=True, slots=True)
class Limit:
    """A measure's range in SI, inclusive unless `above_low`; `name` is the word for it, `unit` what it is told in."""

    name: str
    low: float
    high: float
    unit: str
    above_low: bool = False


LIMITS: dict[str, Limit] = {
    "carry_m": Limit("carry", 0.0, to_si(400, "yd"), "yd", above_low=True),
    "total_m": Limit("total", 0.0, to_si(400, "yd"), "yd", above_low=True),
    "side_m": Limit("side", to_si(-150, "yd"), to_si(150, "yd"), "yd"),
    "flag_offset_m": Limit("distance from the flag", to_si(-150, "yd"), to_si(150, "yd"), "yd"),
    "apex_m": Limit("height", 0.0, 80.0, "m"),
    "hang_s": Limit("hang time", 0.3, 12.0, "s"),
    "ball_speed_mps": Limit("ball speed", 5.0, 100.0, "m/s"),
    "launch_rad": Limit("launch angle", to_si(-5, "deg"), to_si(70, "deg"), "deg"),
    "spin_rad_s": Limit("spin", 0.0, to_si(15000, "rpm"), "rpm"),
}
"""By the field of `ShotEntry`."""

_ROUNDING = 1e-9

GREATEST_SPIN_BACK_M = 15.0
"""A ball may finish short of where it landed, but by more than this the two numbers were swapped."""


def require_limit(field: str, value: float, where: str, unit: str | None = None) -> float:
    """`value` (SI) if it is within the limits of `field`; else InputError, told in `unit`."""
    limit = LIMITS[field]
    # A value at a limit must not fall outside by the last digit of its print in another unit.
    slack = _ROUNDING * max(abs(limit.low), abs(limit.high))
    inside = limit.low - slack <= value <= limit.high + slack and not (limit.above_low and value <= limit.low)
    if inside and math.isfinite(value):
        return value
    shown_unit = unit or limit.unit
    shown, low, high = range_words(value, limit.low, limit.high, shown_unit)
    least = f"more than {low} and at most {high}" if limit.above_low else f"{low} to {high}"
    raise InputError(f"a {limit.name} of {shown} {shown_unit} is out of range", where, f"give {least} {shown_unit}")


def require_consistent(entry: ShotEntry, where: str) -> ShotEntry:
    """`entry` if its parts can be true together; else InputError saying which two cannot."""
    distance = entry.carry_m is not None or entry.total_m is not None
    placed = distance or entry.side_m is not None or entry.flag is not None
    zone = entry.depth is not None or entry.width is not None
    if entry.unseen and (placed or zone):
        raise InputError("a ball not seen has no distance, side or zone", where, "leave out one of the two")
    if zone and placed:
        raise InputError("a zone and a number say the same thing twice", where, "leave out one of the two")
    if entry.flag is not None and distance:
        raise InputError("a flag and a distance say the same thing twice", where, "leave out one of the two")
    if (entry.total_m or math.inf) < (entry.carry_m or 0.0) - GREATEST_SPIN_BACK_M:
        raise InputError(
            "the total is far short of the carry", where, "write the carry first, then the total: 142/151"
        )
    return entry
