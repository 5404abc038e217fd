"""One line of a typed session: a shot, a wind reading, a flag, or nothing.

142 6L                                  a shot of the cell that is asked for
7 iron, 1 in, three-quarter: 142 6L     a shot of the cell before the colon
wind 14mph 1h                           a wind reading
flag red 150yd 10deg                    a flag: distance, then bearing (right positive; left out, 0)
instead 7 iron, 1 in, half: knee hurts  another shot in place of the next ball, and why
skip tired                              the next ball is left out, and why
thunder                                 thunder was heard: half an hour's wait begins, or begins anew
say 140                                 the carry expected of the next ball, said before it is hit
guess 12mph 1h                          the wind as felt, before its reading is typed
# dusk, dew on the grass                a remark: `#` alone or followed by a blank
#closer 142                             a shot with a tag: `#` followed by a letter is no remark
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from trainer.core.conditions import Wind, WindKnowledge
from trainer.core.errors import InputError
from trainer.core.profile import RangeFlag, Sees
from trainer.core.shot import ShotEntry
from trainer.core.units import UnitChoice, parse_quantity, require_range, to_si
from trainer.exchange.plain_text import require_line, shown_text
from trainer.exchange.typed_shot import FLAG_NAME, LONGEST_LINE, parse_typed_shot
from trainer.exchange.wind_text import parse_wind

NEAREST_FLAG_M = 5.0
FARTHEST_FLAG_M = to_si(400, "yd")
WIDEST_FLAG_RAD = to_si(90, "deg")
LONGEST_REASON = 80


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
class InsteadLine:
    """Another shot in place of the next ball, and the player's reason."""

    cell_text: str
    reason: str


@dataclass(frozen=True, slots=True)
class SkipLine:
    """The next ball is left out, and the player's reason."""

    reason: str


@dataclass(frozen=True, slots=True)
class ThunderLine:
    """Thunder was heard."""


@dataclass(frozen=True, slots=True)
class SayLine:
    """The carry that the player expects of the next ball, m."""

    carry_m: float


@dataclass(frozen=True, slots=True)
class GuessLine:
    """The wind that the player feels before it is read."""

    wind: Wind


@dataclass(frozen=True, slots=True)
class BlankLine:
    """Nothing, or a remark."""


Line = ShotLine | WindLine | FlagLine | InsteadLine | SkipLine | ThunderLine | SayLine | GuessLine | BlankLine


def parse_line(text: str, units: UnitChoice, sees: Sees, target_bearing_rad: float | None = None) -> Line:
    """What one line says, in SI. Raises InputError whose `where` is the token at fault.

    `target_bearing_rad` is the compass bearing of the target line; without it a wind by the compass is refused.
    """
    line = text.rstrip("\r\n")
    require_line(line, LONGEST_LINE)
    words = line.split()
    if not words or words[0] == "#":
        return BlankLine()
    read = _KEYWORDS.get(words[0].lower())
    if read is None:
        return _shot_line(line, units, sees)
    return read(" ".join(words[1:]), units, target_bearing_rad)


def _thunder_line(text: str) -> ThunderLine:
    if text:
        raise InputError("thunder stands alone", shown_text(text), "write thunder each time it is heard")
    return ThunderLine()


def _skip_line(text: str) -> SkipLine:
    return SkipLine(reason_text(text, "skip", "write such as skip tired"))


def said_carry(text: str, units: UnitChoice) -> float:
    """A carry said before the ball, m; a bare number is in the player's unit. Raises InputError for any other."""
    if not text:
        raise InputError("how far?", "say", "write such as say 140")
    carry_m = parse_quantity(text, "length", units.distance, shown_text(text))
    return require_range(carry_m, to_si(1, "yd"), FARTHEST_FLAG_M, units.distance, "a carry", shown_text(text))


def guessed_wind(text: str, units: UnitChoice, target_bearing_rad: float | None = None) -> Wind:
    """A wind as felt, with its speed and direction. Raises InputError where one of them is missing."""
    wind = parse_wind(text, units, target_bearing_rad)
    if wind.knowledge is WindKnowledge.UNKNOWN:
        raise InputError("what do you guess?", "guess", "write such as guess 12mph 1h, or guess calm")
    return wind


def _instead_line(text: str) -> InsteadLine:
    remedy = "write such as instead 7 iron, 1 in, half: knee hurts"
    cell, colon, reason = text.partition(":")
    if not cell.strip():
        raise InputError("which shot instead?", "instead", remedy)
    return InsteadLine(cell.strip(), reason_text(reason if colon else "", "instead", remedy))


def reason_text(text: str, where: str, remedy: str) -> str:
    """A reason in a few words, blanks single. Raises InputError where there is none, or too much of it."""
    reason = " ".join(text.split())
    if not reason:
        raise InputError("why?", where, remedy)
    if len(reason) > LONGEST_REASON:
        raise InputError(f"the reason is longer than {LONGEST_REASON} characters", where, "say it in a few words")
    return reason


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


_KEYWORDS: Mapping[str, Callable[[str, UnitChoice, float | None], Line]] = {
    "wind": lambda text, units, bearing_rad: WindLine(parse_wind(text, units, bearing_rad)),
    "flag": lambda text, units, _: FlagLine(parse_flag(text.split(), units)),
    "say": lambda text, units, _: SayLine(said_carry(text, units)),
    "guess": lambda text, units, bearing_rad: GuessLine(guessed_wind(text, units, bearing_rad)),
    "instead": lambda text, _units, _: _instead_line(text),
    "skip": lambda text, _units, _: _skip_line(text),
    "thunder": lambda text, _units, _: _thunder_line(text),
}
"""What reads the rest of a line that begins with such a word; every other line is a ball."""

NOT_A_BALL = tuple(_KEYWORDS)
"""First words of the lines that are no ball."""
