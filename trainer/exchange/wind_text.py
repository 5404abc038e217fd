"""A wind as a player writes it: `14mph 1h`, `6.7m/s 30deg gust 9m/s forecast`, `calm`.

Tokens stand in any order:

    14mph            speed; bare in the player's unit
    1h 30deg         where it comes from, relative to the target line: 12h or 0deg into the face, 3h from the right
    compass 240deg   where it comes from by the compass (or `compass nw`, `nw`), once the target's bearing is known
    gust 20mph       gust
    at 10m           height it is given for; 2 m for meter and felt, 10 m for forecast where not said
    meter forecast felt, open bay                     how and where it was read; meter in the open where not said
    calm, unknown    alone
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace

from trainer.core.conditions import (
    CALM_WIND,
    GREATEST_WIND_MPS,
    UNKNOWN_WIND,
    ReadingMethod,
    Wind,
    WindKnowledge,
    WindPlace,
)
from trainer.core.errors import InputError
from trainer.core.units import UNITS, UnitChoice, parse_quantity, require_range, to_si, unit_named, unit_written
from trainer.exchange.plain_text import shown_text

DEFAULT_HEIGHT_M = {ReadingMethod.METER: 2.0, ReadingMethod.FELT: 2.0, ReadingMethod.FORECAST: 10.0}
"""Height of a reading for which none is said, m (outer contract)."""

GREATEST_GUST_MPS = 60.0
GREATEST_HEIGHT_M = 100.0
LEAST_HEIGHT_M = 0.5

_HOURS = re.compile(r"(0?[1-9]|1[0-2])(?:\.([05]))?h")
_CLOCK = re.compile(r"[+\-−]?[0-9.]+h")
_POINTS = ("n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw")
_BARE_NUMBER = re.compile(r"[+\-−]?[0-9]*\.?[0-9]+")
_METHODS = {method.value: method for method in ReadingMethod}
_PLACES = {place.value: place for place in WindPlace}
_WHOLE_WINDS = {"calm": CALM_WIND, "unknown": UNKNOWN_WIND}
_TOWARDS = ("to", "toward", "towards")


def parse_direction(text: str, where: str = "") -> float:
    """Where a wind comes from, rad in [0, 2π): `30`, `30deg` (0 to 360) or `1h`, `1.5h`, `12h` (12h is 0).

    Raises InputError for what is neither.
    """
    folded = text.strip().lower()
    if match := _HOURS.fullmatch(folded):
        hours = int(match[1]) % 12 + (0.5 if match[2] == "5" else 0.0)
        return to_si(30.0 * hours, "deg")
    if folded.endswith("h"):
        raise InputError(f"'{shown_text(text)}' is no clock direction", where, "give 1h to 12h, halves allowed")
    angle_rad = parse_quantity(folded, "angle", "deg", where)
    require_range(angle_rad, 0.0, math.tau, "deg", "a direction", where)
    return _turned(angle_rad)


def _turned(angle_rad: float) -> float:
    """`angle_rad` in [0, 2π): the remainder of a tiny negative angle rounds up to the whole turn."""
    remainder = angle_rad % math.tau
    return 0.0 if remainder in (0.0, math.tau) else remainder


def parse_compass(text: str, where: str = "") -> float:
    """Where a wind comes from by the compass, rad in [0, 2π): `240deg`, `240`, or a point such as `wsw`."""
    folded = text.strip().lower()
    if folded in _POINTS:
        return to_si(22.5 * _POINTS.index(folded), "deg")
    return parse_direction(text, where)


@dataclass(slots=True)
class _Said:
    """What the tokens have said so far."""

    speed: str | None = None
    gust: str | None = None
    height: str | None = None
    direction: str | None = None
    compass: str | None = None
    method: str | None = None
    place: str | None = None

    def put(self, name: str, value: str) -> None:
        """Note `value`; raises InputError where `name` has been said before."""
        if getattr(self, name) is not None:
            raise InputError(f"the {name} is said twice", shown_text(value), "leave out one of the two")
        setattr(self, name, value)


def parse_wind(text: str, units: UnitChoice, target_bearing_rad: float | None = None) -> Wind:
    """The wind that `text` gives, as read (`WindKnowledge.READ`), calm or unknown. `where` of an error is the token.

    `target_bearing_rad` is the compass bearing of the target line. A speed of 0 is a calm. Raises InputError for
    what is not understood, and where the text leaves a question: a gust not above the mean, a speed without a
    direction, `to` instead of `from`, a bare second number.
    """
    tokens = _with_units_joined(text.lower().split())
    if len(tokens) == 1 and tokens[0] in _WHOLE_WINDS:
        return _WHOLE_WINDS[tokens[0]]
    return _wind(_collected(tokens), units, target_bearing_rad)


def _with_units_joined(tokens: list[str]) -> list[str]:
    """`14 mph` as `14mph`. `meter` is the method here, never a length."""
    joined: list[str] = []
    for token in tokens:
        is_unit = unit_named(token) is not None and token not in _METHODS
        if joined and _BARE_NUMBER.fullmatch(joined[-1]) and (is_unit or token == "h"):
            joined[-1] += token
        else:
            joined.append(token)
    return joined


_PREFIXES = {"gust": "gust", "gusts": "gust", "at": "height", "compass": "compass"}


def _collected(tokens: list[str]) -> _Said:
    said = _Said()
    prefix: str | None = None
    for token in tokens:
        if prefix is not None:
            said.put(_PREFIXES[prefix], token)
            prefix = None
        elif token in _PREFIXES:
            prefix = token
        else:
            _put_plain(said, token)
    if prefix is not None:
        raise InputError(f"nothing follows '{prefix}'", prefix, f"write such as {_EXAMPLES[_PREFIXES[prefix]]}")
    return said


_EXAMPLES = {"gust": "gust 20mph", "height": "at 10m", "compass": "compass 240deg"}


def _put_plain(said: _Said, token: str) -> None:
    """Note a token that stands for itself."""
    where = shown_text(token)
    if token in _TOWARDS:
        raise InputError(
            "a wind is given by where it comes from", where, "give the opposite direction, 7h for a wind towards 1h"
        )
    if token in _WHOLE_WINDS:
        raise InputError(f"'{token}' stands alone", where, "leave out the rest, or leave out this")
    if token in _METHODS:
        said.put("method", token)
    elif token in _PLACES:
        said.put("place", token)
    elif token in _POINTS:
        said.put("compass", token)
    elif _is_direction(token):
        said.put("direction", token)
    elif _BARE_NUMBER.fullmatch(token) and said.speed is not None:
        raise InputError(
            f"is {token} a direction or a gust?", where, f"write {token}deg, or gust {token} with its unit"
        )
    elif token[0].isdigit() or token[0] in "+-−.":
        said.put("speed", token)
    elif token != "from":
        raise InputError("this is not understood", where, "write such as wind 14mph 1h gust 20mph at 10m forecast")


def _is_direction(token: str) -> bool:
    unit = unit_written(token)
    return _CLOCK.fullmatch(token) is not None or (unit is not None and UNITS[unit].kind == "angle")


def _wind(said: _Said, units: UnitChoice, target_bearing_rad: float | None) -> Wind:
    speed_mps, gust_mps = _speeds(said, units)
    method = _METHODS[said.method or ReadingMethod.METER.value]
    wind = Wind(
        WindKnowledge.READ,
        speed_mps,
        height_m=_height(said.height, units, DEFAULT_HEIGHT_M[method]),
        method=method,
        place=_PLACES[said.place or WindPlace.OPEN.value],
        gust_mps=gust_mps,
    )
    from_rad = _from_rad(said, target_bearing_rad)
    if speed_mps == 0:
        return CALM_WIND
    if from_rad is None:
        raise InputError(
            "where does the wind come from?", shown_text(said.speed or ""), "add a direction such as 1h or 30deg"
        )
    return replace(wind, from_rad=from_rad)


def _speeds(said: _Said, units: UnitChoice) -> tuple[float, float | None]:
    """Mean and gust, m/s."""
    if said.speed is None:
        raise InputError("no wind speed is given", "wind", "write such as wind 14mph 1h, wind calm or wind unknown")
    _require_one_unit(said.speed, said.gust, units)
    speed_mps = _speed(said.speed, units, GREATEST_WIND_MPS, "a wind")
    if said.gust is None:
        return speed_mps, None
    gust_mps = _speed(said.gust, units, GREATEST_GUST_MPS, "a gust")
    if gust_mps <= speed_mps:
        raise InputError(
            "the gust is not above the wind: which of the two is the mean?",
            shown_text(said.gust),
            "write the mean first, then gust and the greater number",
        )
    if speed_mps == 0:
        raise InputError("a calm has no gust", shown_text(said.gust), "give the mean, or leave out the gust")
    return speed_mps, gust_mps


def _require_one_unit(speed: str, gust: str | None, units: UnitChoice) -> None:
    """`6.7m/s gust 10` for a player in mph: is 10 in m/s or in mph?"""
    written = [unit_written(text) for text in (speed, gust) if text is not None]
    if gust is not None and written.count(None) == 1 and units.speed not in written:
        raise InputError("only one of wind and gust has a unit", shown_text(gust), "write the unit on both")


def _speed(text: str, units: UnitChoice, most_mps: float, what: str) -> float:
    where = shown_text(text)
    speed_mps = parse_quantity(text, "speed", units.speed, where)
    if speed_mps < 0:
        raise InputError(
            f"{what} is never below 0: the direction tells the sign", where, "give where it comes from, 6h for behind"
        )
    return require_range(speed_mps, 0.0, most_mps, units.speed, what, where) + 0.0


def _height(text: str | None, units: UnitChoice, default_m: float) -> float:
    if text is None:
        return default_m
    where = shown_text(text)
    height_m = parse_quantity(text, "length", units.height, where)
    return require_range(height_m, LEAST_HEIGHT_M, GREATEST_HEIGHT_M, units.height, "a height", where)


def _from_rad(said: _Said, target_bearing_rad: float | None) -> float | None:
    if said.compass is None:
        return None if said.direction is None else parse_direction(said.direction, shown_text(said.direction))
    where = shown_text(said.compass)
    if said.direction is not None:
        raise InputError("the direction is said twice", where, "give it by the compass or by the target line")
    if target_bearing_rad is None:
        raise InputError(
            "a compass direction needs the target's bearing", where, "state the bearing, or give it by the clock, 1h"
        )
    return _turned(parse_compass(said.compass, where) - target_bearing_rad)
