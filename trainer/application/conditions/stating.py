"""Conditions as somebody said them, word by word, to SI: one reading for the commands and for the screens."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from enum import StrEnum
from typing import TypeVar

from trainer.application.conditions.stated import StatedConditions
from trainer.core.conditions import (
    AIR_PRESSURE_PA,
    AIR_TEMPERATURE_K,
    CALM_WIND,
    Ball,
    ReadingMethod,
    Seen,
    Surface,
    Turf,
    Wind,
    WindPlace,
)
from trainer.core.errors import InputError
from trainer.core.units import UnitChoice, parse_quantity, require_range
from trainer.exchange.wind_text import parse_direction, parse_wind

Choice = TypeVar("Choice", bound=StrEnum)
Quantity = Callable[[str, str, str | None, str], float]
"""Text, kind, the unit a bare number takes, and where it stands: SI."""

CONDITION_WORDS = (
    "wind", "wind-from", "wind-compass", "target-bearing", "wind-height", "wind-read", "wind-where", "gust", "calm",
    "temperature", "pressure", "altitude", "humidity", "turf", "ball", "surface", "seen",
)  # fmt: skip
"""The words that say something of the conditions; all but `calm` take a value."""

_HAS_UNIT = re.compile(r"[A-Za-z°%]")


def quantity_in(units: UnitChoice) -> Quantity:
    """How a player with `units` reads a number: a bare one is in his unit for what it is, or in the unit named."""

    return quantity_in_those_of(lambda: units)


def quantity_in_those_of(player: Callable[[], UnitChoice]) -> Quantity:
    """As `quantity_in`; the `player` is asked for his units only where a number without one makes them matter."""

    def read(text: str, kind: str, bare: str | None, where: str) -> float:
        if _HAS_UNIT.search(text) or bare is None:
            return parse_quantity(text, kind, None, where)
        unit = getattr(player(), bare) if bare in UnitChoice.__dataclass_fields__ else bare
        return parse_quantity(text, kind, unit, where)

    return read


def one_of(kind: type[Choice], text: str | None, where: str) -> Choice | None:
    """The member of `kind` that `text` names; None for None; InputError for anything else."""
    if text is None:
        return None
    try:
        return kind(text.strip().lower())
    except ValueError:
        raise InputError(f"'{text}' is not known", where, f"use {' or '.join(kind)}") from None


def state_conditions(said: Mapping[str, str], units: UnitChoice, mark: str = "--") -> StatedConditions:
    """What was `said` (a value for each word of `CONDITION_WORDS`, those not said left out) in SI.

    `mark` stands before a word where an error names it. Raises InputError, also as a question where the words
    contradict each other.
    """
    if "pressure" in said and "altitude" in said:
        raise InputError("the pressure is given twice", f"{mark}altitude", f"give {mark}pressure or {mark}altitude")
    read = quantity_in(units)

    def ranged(word: str, kind: str, bare: str | None, low: float, high: float) -> float | None:
        if word not in said:
            return None
        shown = {"temperature": units.temperature, "pressure": "hPa", "length": units.distance, "fraction": "1"}[kind]
        where = f"{mark}{word}"
        return require_range(read(said[word], kind, bare, where), low, high, shown, word, where)

    def named(kind: type[Choice], word: str) -> Choice | None:
        return one_of(kind, said.get(word), f"{mark}{word}")

    return StatedConditions(
        wind=state_wind(said, units, mark),
        temperature_k=ranged("temperature", "temperature", "temperature", *AIR_TEMPERATURE_K),
        pressure_pa=ranged("pressure", "pressure", None, *AIR_PRESSURE_PA),
        altitude_m=ranged("altitude", "length", "distance", -430.0, 5000.0),
        relative_humidity=ranged("humidity", "fraction", "1", 0.0, 1.0),
        turf=named(Turf, "turf"),
        ball=named(Ball, "ball"),
        surface=named(Surface, "surface"),
        seen=named(Seen, "seen"),
        place=named(WindPlace, "wind-where"),
    )


def state_wind(said: Mapping[str, str], units: UnitChoice, mark: str = "--") -> Wind | None:
    """The wind that was said, read by the one grammar that typed winds have; None where none was."""
    pieces = {
        "wind": said.get("wind"),
        "wind-from": _spelled(said.get("wind-from"), "", "deg"),
        "wind-compass": _spelled(said.get("wind-compass"), "compass ", "deg"),
        "wind-height": _spelled(said.get("wind-height"), "at ", ""),
        "wind-read": said.get("wind-read"),
        "gust": _spelled(said.get("gust"), "gust ", ""),
        "wind-where": said.get("wind-where"),
    }
    given = {f"{mark}{name}": words for name, words in pieces.items() if words is not None}
    detail = next((name for name in given if name != f"{mark}wind-where"), None)
    if "calm" in said:
        if detail is not None:
            raise InputError("is it calm, or is there a wind?", f"{mark}calm and {detail}", "give one of them")
        return CALM_WIND
    if "wind" not in said:
        if detail is not None:
            raise InputError(
                "what is the mean wind?", detail, f"add {mark}wind with its speed, such as {mark}wind 12mph"
            )
        return None
    _require_one_direction(said, mark)
    if (direction := pieces["wind-from"]) is not None:
        # Among the other words a direction that is none would pass for a second speed.
        parse_direction(direction, f"{mark}wind-from")
    one_of(ReadingMethod, said.get("wind-read"), f"{mark}wind-read")
    bearing = said.get("target-bearing")
    bearing_rad = None if bearing is None else read_bearing(bearing, f"{mark}target-bearing")
    try:
        return parse_wind(" ".join(given.values()), units, bearing_rad)
    except InputError as problem:
        word = next(
            (name for name, words in given.items() if problem.where and problem.where in words), f"{mark}wind"
        )
        raise InputError(problem.what, word, problem.remedy) from None


def _spelled(value: str | None, prefix: str, unit_if_bare: str) -> str | None:
    if value is None:
        return None
    bare = value.strip().lstrip("+-−").replace(".", "", 1).isdigit()
    return f"{prefix}{value.strip()}{unit_if_bare if bare else ''}"


def _require_one_direction(said: Mapping[str, str], mark: str) -> None:
    if "wind-from" in said and "wind-compass" in said:
        raise InputError(
            "the direction is given twice", f"{mark}wind-compass", f"give {mark}wind-from or {mark}wind-compass"
        )
    if "wind-compass" in said and "target-bearing" not in said:
        raise InputError(
            "where is the target?", f"{mark}wind-compass", f"add {mark}target-bearing, its compass bearing"
        )


def read_bearing(text: str, where: str) -> float:
    """A compass bearing of 0 to 360 degrees as radians."""
    return require_range(parse_quantity(text, "angle", "deg", where), 0.0, 2 * math.pi, "deg", "bearing", where)
