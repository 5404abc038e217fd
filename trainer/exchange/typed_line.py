"""One line of a typed session: a shot, a wind reading, a flag, or nothing.

142 6L                                  a shot of the cell that is asked for
7 iron, 1 in, three-quarter: 142 6L     a shot of the cell before the colon
wind 14mph 1h                           a wind reading
flag red 150yd 10deg                    a flag: distance, then bearing (right positive; left out, 0)
# dusk, dew on the grass                a remark: `#` alone or followed by a blank
#closer 142                             a shot with a tag: `#` followed by a letter is no remark
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from trainer.core.conditions import Wind
from trainer.core.errors import InputError
from trainer.core.profile import RangeFlag, Sees
from trainer.core.shot import ShotEntry
from trainer.core.units import UnitChoice, parse_quantity, require_range, to_si
from trainer.exchange.quantity_text import first_unprintable, shown_text
from trainer.exchange.typed_shot import FLAG_NAME, LONGEST_LINE, parse_typed_shot
from trainer.exchange.wind_text import parse_wind

NEAREST_FLAG_M = 5.0
FARTHEST_FLAG_M = to_si(400, "yd")
WIDEST_FLAG_RAD = to_si(90, "deg")


@dataclass(frozen=True, slots=True)
class ShotLine:
    """A shot; `cell_text` is what stood before the colon, None where the cell is the one asked for."""

    cell_text: str | None
    entry: ShotEntry


@dataclass(frozen=True, slots=True)
class WindLine:
    """A new wind reading."""

    wind: Wind


@dataclass(frozen=True, slots=True)
class FlagLine:
    """A flag set up, or moved."""

    flag: RangeFlag


@dataclass(frozen=True, slots=True)
class BlankLine:
    """Nothing, or a remark."""


Line = ShotLine | WindLine | FlagLine | BlankLine


def parse_line(text: str, units: UnitChoice, sees: Sees, target_bearing_rad: float | None = None) -> Line:
    """What one line says, in SI. Raises InputError whose `where` is the token at fault.

    `target_bearing_rad` is the compass bearing of the target line; without it a wind by the compass is refused.
    """
    line = text.rstrip("\r\n")
    if len(line) > LONGEST_LINE:
        raise InputError(f"the line is longer than {LONGEST_LINE} characters", shown_text(line), "shorten it")
    if (bad := first_unprintable(line)) is not None:
        raise InputError(f"the line holds a control character (U+{ord(bad):04X})", shown_text(line), "retype it")
    words = line.split()
    if not words or words[0] == "#":
        return BlankLine()
    keyword = words[0].lower()
    if keyword == "wind":
        return WindLine(parse_wind(" ".join(words[1:]), units, target_bearing_rad))
    if keyword == "flag":
        return FlagLine(parse_flag(words[1:], units))
    return _shot_line(line, units, sees)


def _shot_line(line: str, units: UnitChoice, sees: Sees) -> ShotLine:
    before, colon, after = line.partition(":")
    if not colon:
        return ShotLine(None, parse_typed_shot(line, units, sees))
    if not before.strip():
        raise InputError("no cell stands before the colon", shown_text(line.strip()), "write such as 7 iron: 142")
    return ShotLine(before.strip(), parse_typed_shot(after, units, sees))


def parse_flag(words: list[str], units: UnitChoice) -> RangeFlag:
    """The flag that `red 150yd 10deg` (as words) describes. Raises InputError whose `where` is the word at fault."""
    if len(words) not in (2, 3):
        raise InputError(
            "a flag has a name, a distance and perhaps a bearing", "flag", "write such as flag red 150yd 10deg"
        )
    bearing = words[2] if len(words) == 3 else "0deg"
    return RangeFlag(
        flag_name(words[0], shown_text(words[0])),
        flag_distance(words[1], units.distance, shown_text(words[1])),
        flag_bearing(bearing, shown_text(bearing)),
    )


def flag_name(text: str, where: str) -> str:
    """`text` in lower case if a shot can be typed against it (`red-5`), else InputError."""
    folded = text.lower()
    if re.fullmatch(FLAG_NAME, folded) is None:
        raise InputError(
            f"'{shown_text(text)}' is no name for a flag",
            where,
            "use one word of letters and digits, from a letter; join words by a hyphen",
        )
    return folded


def flag_distance(text: str, bare_unit: str | None, where: str) -> float:
    """A flag's distance, m."""
    distance_m = parse_quantity(text, "length", bare_unit, where)
    return require_range(distance_m, NEAREST_FLAG_M, FARTHEST_FLAG_M, bare_unit or "m", "a flag's distance", where)


def flag_bearing(text: str, where: str) -> float:
    """A flag's bearing, rad, right positive; a bare number is in degrees."""
    bearing_rad = parse_quantity(text, "angle", "deg", where)
    return require_range(bearing_rad, -WIDEST_FLAG_RAD, WIDEST_FLAG_RAD, "deg", "a flag's bearing", where) + 0.0
