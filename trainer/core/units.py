"""Units at the edge: text with a unit in, SI out, and back. The rest of the house is SI.

A kind is what a number measures ("length", "speed"). Each unit belongs to one kind, so `15mph` can never be
taken for a length. A bare number takes the unit that the caller names, never a guessed one.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

from trainer.core.constants import DEGREE_RAD, INCH_M, MPH_MPS, RPM_RAD_S, YARD_M, ZERO_CELSIUS_K
from trainer.core.errors import InputError


@dataclass(frozen=True, slots=True)
class Unit:
    """SI value = value × `factor` + `offset`."""

    kind: str
    factor: float
    offset: float = 0.0


UNITS: dict[str, Unit] = {
    "m": Unit("length", 1.0),
    "yd": Unit("length", YARD_M),
    "ft": Unit("length", 0.3048),
    "in": Unit("length", INCH_M),
    "cm": Unit("length", 0.01),
    "mm": Unit("length", 0.001),
    "m/s": Unit("speed", 1.0),
    "mph": Unit("speed", MPH_MPS),
    "km/h": Unit("speed", 1 / 3.6),
    "kn": Unit("speed", 1852 / 3600),
    "ft/s": Unit("speed", 0.3048),
    "C": Unit("temperature", 1.0, ZERO_CELSIUS_K),
    "F": Unit("temperature", 5 / 9, ZERO_CELSIUS_K - 32 * 5 / 9),
    "K": Unit("temperature", 1.0),
    "Pa": Unit("pressure", 1.0),
    "hPa": Unit("pressure", 100.0),
    "kPa": Unit("pressure", 1000.0),
    "inHg": Unit("pressure", 3386.389),
    "deg": Unit("angle", DEGREE_RAD),
    "rad": Unit("angle", 1.0),
    "rpm": Unit("spin", RPM_RAD_S),
    "rad/s": Unit("spin", 1.0),
    "s": Unit("duration", 1.0),
    "min": Unit("duration", 60.0),
    "%": Unit("fraction", 0.01),
    "1": Unit("fraction", 1.0),
}
"""Every unit the trainer reads or prints, by its one printed name (NIST SP 811 for the factors)."""

_SPELLINGS: dict[str, str] = {
    "yds": "yd", "yard": "yd", "yards": "yd", "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "feet": "ft", "foot": "ft", "inch": "in", "inches": "in",
    "mps": "m/s", "ms": "m/s", "kmh": "km/h", "kph": "km/h", "kt": "kn", "kts": "kn", "knot": "kn", "knots": "kn",
    "fps": "ft/s", "°c": "C", "degc": "C", "°f": "F", "degf": "F", "mbar": "hPa", "mb": "hPa",
    "°": "deg", "degree": "deg", "degrees": "deg", "sec": "s", "seconds": "s", "minutes": "min",
    "percent": "%",
}  # fmt: skip
_BY_LOWER = {name.lower(): name for name in UNITS} | _SPELLINGS
_NUMBER = re.compile(r"([+\-−]?(?:\d{1,9}(?:[.]\d{1,20})?|[.]\d{1,20})(?:e[+\-]?\d{1,2})?)\s*(.*)", re.DOTALL | re.I)


def unit_named(text: str) -> str | None:
    """The printed name of the unit that `text` spells, or None where it spells none."""
    return _BY_LOWER.get(text.strip().lower())


def unit_written(text: str) -> str | None:
    """The printed name of the unit behind the number in `text`; None for a bare number and for an unknown unit."""
    return unit_named(text.strip().lstrip("+-−.0123456789"))


def to_si(value: float, unit: str) -> float:
    """`value` in `unit` as SI."""
    return value * UNITS[unit].factor + UNITS[unit].offset


def from_si(value: float, unit: str) -> float:
    """An SI `value` in `unit`."""
    return (value - UNITS[unit].offset) / UNITS[unit].factor


def change_from_si(difference: float, unit: str) -> float:
    """An SI difference (a spread, an error) in `unit`: offsets do not apply."""
    return difference / UNITS[unit].factor


def parse_quantity(text: str, kind: str, bare_unit: str | None, where: str = "") -> float:
    """Read `152yd`, `-4 yd`, `6.7m/s` as SI of `kind`.

    A bare number takes `bare_unit`; where that is None a unit must be written. Raises InputError for text that is
    no number, a unit that is unknown or of another kind, and a bare number without a unit to take.
    """
    match = _NUMBER.fullmatch(text.strip())
    if match is None:
        example = next(name for name, unit in UNITS.items() if unit.kind == kind)
        raise InputError(f"'{text}' is not a {kind}", where, f"write a number and a unit, such as 12{example}")
    value = float(match[1].replace("−", "-"))
    written = match[2].strip()
    if not written:
        if bare_unit is None:
            raise InputError(f"'{text}' has no unit", where, f"write one of {_names(kind)}")
        return to_si(value, bare_unit)
    unit = unit_named(written)
    if unit is None or UNITS[unit].kind != kind:
        raise InputError(f"'{written}' in '{text}' is no unit of {kind}", where, f"use one of {_names(kind)}")
    return to_si(value, unit)


def _names(kind: str) -> str:
    return ", ".join(name for name, unit in UNITS.items() if unit.kind == kind and name != "1")


_ROUNDING = 1e-12
"""Share of a limit by which its conversion from another unit may miss it."""


def require_range(value: float, low: float, high: float, unit: str, what: str, where: str = "") -> float:
    """Give `value` (SI) back if it is within `low`…`high` (SI, inclusive); else raise InputError in `unit`.

    A limit typed in another unit counts as the limit itself, though its conversion misses that by a last bit.
    """
    slack = _ROUNDING * max(abs(low), abs(high))
    if not low - slack <= value <= high + slack:
        shown, least, most = range_words(value, low, high, unit)
        name = "" if unit == "1" else f" {unit}"
        raise InputError(f"{what} of {shown}{name} is out of range", where, f"give {least} to {most}{name}")
    return min(max(value, low), high)


def range_words(value: float, low: float, high: float, unit: str) -> tuple[str, str, str]:
    """A refused `value` and the ends of its range (all SI) as numbers in `unit`.

    The ends are told to the whole unit, below 10 to two digits, and inwards: `19` for 18.288, so that what is told
    is never refused itself.
    """
    refused = from_si(value, unit)
    shown = f"{refused:.4g}" if abs(refused) < 1000 else f"{refused:.6g}"
    return shown, _end_words(from_si(low, unit), math.ceil), _end_words(from_si(high, unit), math.floor)


def _end_words(end: float, inwards: Callable[[float], int]) -> str:
    if abs(end) < _ROUNDING:
        return "0"
    step = 1.0 if abs(end) >= 10 else 10.0 ** (math.floor(math.log10(abs(end))) - 1)
    # The quotient is rounded first: 0.3 / 0.01 must not become 31 by its last bit.
    return f"{inwards(round(end / step, 6)) * step + 0.0:.9g}"


@dataclass(frozen=True, slots=True)
class UnitChoice:
    """The units one person reads and types: a name of `UNITS` for each."""

    distance: str = "yd"
    speed: str = "mph"
    temperature: str = "F"
    grip: str = "in"
    height: str = "ft"

    @classmethod
    def following(cls, distance: str) -> UnitChoice:
        """The usual companions of `yd` or `m`."""
        if distance == "m":
            return cls("m", "m/s", "C", "cm", "m")
        return cls()

    def shown_distance(self, metres: float) -> str:
        """`142 yd`: to the whole unit, since no carry is known better."""
        return f"{whole(from_si(metres, self.distance))} {self.distance}"

    def shown_speed(self, mps: float) -> str:
        """`14 mph`."""
        value = from_si(mps, self.speed)
        return f"{value:.1f} {self.speed}" if self.speed == "m/s" else f"{whole(value)} {self.speed}"

    def shown_grip(self, metres: float) -> str:
        """`1 in`, `2.5 cm`, `none`: as few digits as tell it to the millimetre, since hands go no nearer."""
        if metres == 0:
            return "none"
        value = from_si(metres, self.grip)
        near = (f"{value:.{digits}g}" for digits in (1, 2, 3))
        text = next((each for each in near if abs(to_si(float(each), self.grip) - metres) < 1e-3), f"{value:.3g}")
        return f"{text} {self.grip}"


def whole(value: float) -> str:
    """A number to the whole unit, never `-0`."""
    return f"{round(value) + 0}"


def counted(number: int, what: str) -> str:
    """`1 ball`, `3 balls`, `0 balls`."""
    return f"{number} {what}{'' if number == 1 else 's'}"
