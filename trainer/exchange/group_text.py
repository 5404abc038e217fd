"""A group's evening as lines of text: stations, winds, and for each player where his balls ended, by zone.

    when 2026-05-14T18:30                         the moment the evening began
    wind 14mph 1h                                 a reading; it holds for all lines below
    wind 18:50 16mph 1h gust 22mph                a reading of that minute
    station 1: 7 iron, three-quarter, 120yd       a shot and its target (and the target's bearing, `10deg`)
    kestrel: 5 5 2 x 8 - 4                        balls of a player at the station above
    heron, 8 iron, half, 90yd: 5528*3             balls of a player at a place of their own

A ball is one key of the number pad: 1 to 9 the zone (7 long left, 5 pin straight, 3 short right), 0 (or x) a mishit,
- hit and not seen. Blanks between them may be left out; `5*4` is four balls in zone 5.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time

from trainer.core.bag import Cell, Swing, canonical_club, is_usual_club, swing_named
from trainer.core.conditions import Wind
from trainer.core.errors import InputError
from trainer.core.shot import ShotEntry
from trainer.core.units import UNITS, UnitChoice, parse_quantity, require_range, unit_written
from trainer.exchange.cell_text import parse_grip_and_swing, print_cell
from trainer.exchange.plain_text import require_line, shown_text
from trainer.exchange.quantity_text import quantity_text
from trainer.exchange.table_times import plausible_moment
from trainer.exchange.typed_line import FARTHEST_FLAG_M, NEAREST_FLAG_M, flag_bearing
from trainer.exchange.typed_shot import PAD_ZONES
from trainer.exchange.wind_text import parse_wind

LONGEST_LINE = 300
MOST_BALLS = 60
LONGEST_ALIAS = 60
"""Characters and balls in one line, and characters of the alias that it begins with."""

MISHIT, UNSEEN = "0", "-"
MARKS = {**PAD_ZONES, MISHIT: ShotEntry(mishit=True), UNSEEN: ShotEntry(unseen=True)}
"""What one key says of a ball."""

_MARK_OF = {entry: mark for mark, entry in MARKS.items()}
_SPELLED = str.maketrans({"x": MISHIT, "X": MISHIT, "−": UNSEEN, "–": UNSEEN, "—": UNSEEN})
_RUN = re.compile(r"([0-9-])(?:\*([0-9]+))?")
_STATION = re.compile(r"station\s+(\d{1,3})\s*:(.*)", re.IGNORECASE | re.DOTALL)
_ALIAS = re.compile(r"[^,:#\s](?:[^,:]*[^,:\s])?")
_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")
_SWING_END = re.compile(r"(.+?)\s+(full|half|three[- ]quarter|3/4|1/2)", re.IGNORECASE)
_EXAMPLE = "write such as kestrel, 7 iron, three-quarter, 120yd: 5 5 2 x 8 - 4"


@dataclass(frozen=True, slots=True)
class Station:
    """A shot to a target. `bearing_rad` is clockwise from the line that the wind is read against."""

    cell: Cell
    target_m: float
    bearing_rad: float = 0.0


@dataclass(frozen=True, slots=True)
class WhenLine:
    """The moment the evening began."""

    at: datetime


@dataclass(frozen=True, slots=True)
class GroupWind:
    """A wind reading, of the minute `at` where that is written."""

    wind: Wind
    at: time | None


@dataclass(frozen=True, slots=True)
class StationLine:
    """A station; lines of players below are of it."""

    number: int
    station: Station


@dataclass(frozen=True, slots=True)
class PlayerLine:
    """A player's balls, in the order written; `station` is None where it is the one above."""

    alias: str
    station: Station | None
    balls: tuple[ShotEntry, ...]


@dataclass(frozen=True, slots=True)
class NothingLine:
    """A blank line or a remark."""


GroupLine = WhenLine | GroupWind | StationLine | PlayerLine | NothingLine


def parse_group_line(text: str, units: Sequence[UnitChoice]) -> GroupLine:
    """What one line says. Raises InputError, with nothing of the line taken.

    `units` are those of the players: a bare number is taken where it means the same to all of them.
    """
    line = text.strip()
    require_line(line, LONGEST_LINE, "part it in two")
    if not line or line.startswith("#"):
        return NothingLine()
    keyword, _, rest = line.partition(" ")
    if keyword.lower() == "when":
        return WhenLine(_moment(rest.strip()))
    if keyword.lower() == "wind" and not rest.lstrip().startswith((":", ",")):
        return _wind(rest, units)
    if match := _STATION.fullmatch(line):
        return StationLine(int(match[1]), parse_station(match[2], units))
    return _player_line(line, units)


def _moment(text: str) -> datetime:
    try:
        moment = plausible_moment(text)
    except ValueError:
        raise InputError(f"'{shown_text(text)}' is not a time", "when", "write it as 2026-05-14T18:30") from None
    return moment if moment.tzinfo is None else moment.astimezone().replace(tzinfo=None)


def _wind(text: str, units: Sequence[UnitChoice]) -> GroupWind:
    first, _, rest = text.strip().partition(" ")
    clock = _CLOCK.fullmatch(first)
    words = rest if clock else text
    winds = {parse_wind(words, each) for each in units}
    if len(winds) != 1:
        raise InputError("the players' units differ", shown_text(words), "write the unit, such as wind 14mph 1h")
    return GroupWind(winds.pop(), time(int(clock[1]), int(clock[2])) if clock else None)


def _player_line(line: str, units: Sequence[UnitChoice]) -> PlayerLine:
    before, colon, after = line.rpartition(":")
    alias, comma, place = before.partition(",")
    if not colon or _ALIAS.fullmatch(alias.strip()) is None:
        raise InputError("this is not a player's line", shown_text(line), _EXAMPLE)
    return PlayerLine(alias.strip(), parse_station(place, units) if comma else None, parse_balls(after))


def parse_balls(text: str) -> tuple[ShotEntry, ...]:
    """The balls that `5 5 2 x 8 - 4` or `5528*3` says, in order. Raises InputError naming the token at fault."""
    found: list[ShotEntry] = []
    for token in text.replace(",", " ").split():
        folded = token.translate(_SPELLED)
        runs = list(_RUN.finditer(folded))
        if "".join(run[0] for run in runs) != folded:
            raise InputError(
                "this is not understood",
                shown_text(token),
                "write 1 to 9 for the zone, 0 for a mishit, - for not seen",
            )
        for run in runs:
            count = 1 if run[2] is None else int(run[2][:4])
            if not 1 <= count <= MOST_BALLS:
                raise InputError(f"{count} balls of one kind", shown_text(token), "a count ends at a blank")
            found += [MARKS[run[1]]] * count
    if len(found) > MOST_BALLS:
        raise InputError(f"{len(found)} balls in one line", "balls", f"write {MOST_BALLS} at most")
    return tuple(found)


def print_balls(balls: Sequence[ShotEntry]) -> str:
    """`balls` as keys of the number pad, in order. KeyError for a ball that no key says."""
    return " ".join(_MARK_OF[ball] for ball in balls)


def mark_of(ball: ShotEntry) -> str:
    """The key that says `ball`; `?` for one that holds more than a key can say."""
    return _MARK_OF.get(ball, "?")


def parse_station(text: str, units: Sequence[UnitChoice]) -> Station:
    """The station that `7 iron, 1 in, three-quarter, 120yd 10deg` names; raises InputError.

    Club first, target last, grip-down (with its unit) and swing between or left out.
    """
    parts = [part.strip() for part in text.split(",")]
    if len(parts) < 2:
        raise InputError("where is the target?", shown_text(text.strip()), _EXAMPLE)
    club, swing = _club_and_swing(parts[0])
    shape = [swing.value, *parts[1:-1]] if swing else parts[1:-1]
    grip_down_m, swing = parse_grip_and_swing(shape, None)
    target_m, bearing_rad = _target(parts[-1], units)
    return Station(Cell(club, grip_down_m, swing), target_m, bearing_rad)


def _club_and_swing(text: str) -> tuple[str, Swing | None]:
    """`7 iron three-quarter` without its comma, too, where what stands before the swing is a usual club."""
    match = _SWING_END.fullmatch(text)
    if match and is_usual_club(canonical_club(match[1])):
        return canonical_club(match[1]), swing_named(match[2])
    if not text:
        raise InputError("which club?", "station", _EXAMPLE)
    return canonical_club(text), None


def _target(text: str, units: Sequence[UnitChoice]) -> tuple[float, float]:
    """Distance, m, and bearing, rad, of `120yd`, `120 yd 10deg`."""
    where = shown_text(text)
    words = text.split()
    bearing = words.pop() if len(words) > 1 and _is_angle(words[-1]) else "0deg"
    distance = " ".join(words)
    lengths = {parse_quantity(distance, "length", each.distance, where) for each in units}
    if len(lengths) != 1:
        raise InputError("the players' units differ", where, "write the unit, such as 120yd")
    target_m = require_range(lengths.pop(), NEAREST_FLAG_M, FARTHEST_FLAG_M, "m", "a target's distance", where)
    return target_m, flag_bearing(bearing, where)


def _is_angle(word: str) -> bool:
    unit = unit_written(word)
    return unit is not None and UNITS[unit].kind == "angle"


def print_station(station: Station, units: UnitChoice) -> str:
    """`station` in writing, every number with its unit; `parse_station` reads it back, whatever the units."""
    bearing = "" if station.bearing_rad == 0 else f" {quantity_text(station.bearing_rad, 'deg').replace(' ', '')}"
    return f"{print_cell(station.cell, units)}, {quantity_text(station.target_m, units.distance)}{bearing}"


def print_player_line(alias: str, station: Station | None, balls: Sequence[ShotEntry], units: UnitChoice) -> str:
    """A player's line; raises InputError for an alias that such a line cannot hold."""
    named = require_line_alias(alias)
    head = named if station is None else f"{named}, {print_station(station, units)}"
    return f"{head}: {print_balls(balls)}"


def require_line_alias(alias: str) -> str:
    """`alias` if a line of the grid can begin with it, else InputError."""
    first, blank, _ = alias.partition(" ")
    keyword = bool(blank) and first.lower() in ("when", "wind", "station")
    if len(alias) > LONGEST_ALIAS or _ALIAS.fullmatch(alias) is None or not alias.isprintable() or keyword:
        raise InputError(
            f"'{shown_text(alias)}' cannot stand in a grid", "--players", "use an alias without comma, colon or #"
        )
    return alias


def session_line(at: datetime) -> str:
    """The line that says when the evening began."""
    return f"when {at.isoformat(timespec='minutes')}"
