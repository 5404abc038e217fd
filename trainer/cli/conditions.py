"""The CONDITIONS options: one definition for every command that takes them."""

from __future__ import annotations

import argparse
import math
from enum import StrEnum
from typing import TYPE_CHECKING, TypeVar

from trainer.cli.context import Context
from trainer.core.conditions import CALM_WIND, Ball, ReadingMethod, Seen, Surface, Turf, Wind, WindPlace
from trainer.core.errors import InputError
from trainer.core.units import parse_quantity, require_range

if TYPE_CHECKING:
    from trainer.application.conditions import StatedConditions

Choice = TypeVar("Choice", bound=StrEnum)


def add_conditions(parser: argparse.ArgumentParser) -> None:
    """Add the CONDITIONS options to a command."""
    group = parser.add_argument_group("conditions", "a bare number is in the player's own unit")
    add = group.add_argument
    add("--wind", metavar="SPEED", help="mean wind, such as 15mph")
    add("--wind-from", metavar="DIR", help="where it comes from, to the target line: 0 into the face, 90 or 3h right")
    add("--wind-compass", metavar="DEG", help="compass direction it comes from; needs --target-bearing")
    add("--target-bearing", metavar="DEG", help="compass bearing of the target line")
    add("--wind-height", metavar="H", help="height it was read at (meter and felt 2 m, forecast 10 m)")
    add("--wind-read", metavar="HOW", help="meter, forecast or felt")
    add("--wind-where", metavar="WHERE", help="open or bay")
    add("--gust", metavar="SPEED", help="the gusts")
    add("--calm", action="store_true", help="there is no wind")
    add("--temperature", metavar="T")
    add("--pressure", metavar="P", help="air pressure where you stand, such as 1003hPa")
    add("--altitude", metavar="H", help="instead of --pressure")
    add("--humidity", metavar="F", help="relative humidity, 0 to 1, or 60%%")
    add("--turf", metavar="TURF", help="soft, medium or firm")
    add("--ball", metavar="BALL", help="range or playing")
    add("--surface", metavar="SURFACE", help="grass or mat")
    add("--seen", metavar="HOW", help="how the carry is seen: eye, flag, laser or device")


def one_of(kind: type[Choice], text: str | None, where: str) -> Choice | None:
    """The member of `kind` that `text` names; None for None; InputError for anything else."""
    if text is None:
        return None
    try:
        return kind(text.strip().lower())
    except ValueError:
        raise InputError(f"'{text}' is not known", where, f"use {' or '.join(kind)}") from None


def read_conditions(args: argparse.Namespace, context: Context) -> StatedConditions:
    """The stated conditions in SI. Raises InputError, also as a question where the words contradict each other."""
    from trainer.application.conditions import StatedConditions

    if args.pressure is not None and args.altitude is not None:
        raise InputError("the pressure is given twice", "--altitude", "give --pressure or --altitude")
    return StatedConditions(
        wind=_read_wind(args, context),
        temperature_k=_ranged(
            context, args.temperature, "temperature", "temperature", 243.15, 323.15, "--temperature"
        ),
        pressure_pa=_ranged(context, args.pressure, "pressure", None, 50e3, 110e3, "--pressure"),
        altitude_m=_ranged(context, args.altitude, "length", "distance", -430.0, 5000.0, "--altitude"),
        relative_humidity=_ranged(context, args.humidity, "fraction", "1", 0.0, 1.0, "--humidity"),
        turf=one_of(Turf, args.turf, "--turf"),
        ball=one_of(Ball, args.ball, "--ball"),
        surface=one_of(Surface, args.surface, "--surface"),
        seen=one_of(Seen, args.seen, "--seen"),
        place=one_of(WindPlace, args.wind_where, "--wind-where"),
    )


def _ranged(
    context: Context, text: str | None, kind: str, bare: str | None, low: float, high: float, where: str
) -> float | None:
    if text is None:
        return None
    value = context.quantity(text, kind, bare, where)
    shown = {"temperature": "C", "pressure": "hPa", "length": "m", "fraction": "1"}[kind]
    return require_range(value, low, high, shown, where.removeprefix("--"), where)


def _read_wind(args: argparse.Namespace, context: Context) -> Wind | None:
    """The wind of the options, read by the one grammar that typed winds have."""
    from trainer.exchange.wind_text import parse_wind

    pieces = {
        "--wind": args.wind,
        "--wind-from": _spelled(args.wind_from, "", "deg"),
        "--wind-compass": _spelled(args.wind_compass, "compass ", "deg"),
        "--wind-height": _spelled(args.wind_height, "at ", ""),
        "--wind-read": args.wind_read,
        "--gust": _spelled(args.gust, "gust ", ""),
        "--wind-where": args.wind_where,
    }
    given = {name: words for name, words in pieces.items() if words is not None}
    if args.calm:
        clash = [name for name in given if name != "--wind-where"]
        if clash:
            raise InputError("is it calm, or is there a wind?", f"--calm and {clash[0]}", "give one of them")
        return CALM_WIND
    if args.wind is None:
        detail = next((name for name in given if name != "--wind-where"), None)
        if detail is not None:
            raise InputError("what is the mean wind?", detail, "add --wind with its speed, such as --wind 12mph")
        return None
    _require_one_direction(args)
    one_of(ReadingMethod, args.wind_read, "--wind-read")
    bearing_rad = None if args.target_bearing is None else parse_bearing(args.target_bearing, "--target-bearing")
    try:
        return parse_wind(" ".join(given.values()), context.units, bearing_rad)
    except InputError as problem:
        option = next((name for name, words in given.items() if problem.where and problem.where in words), "--wind")
        raise InputError(problem.what, option, problem.remedy) from None


def _spelled(value: str | None, prefix: str, unit_if_bare: str) -> str | None:
    if value is None:
        return None
    bare = value.strip().lstrip("+-−").replace(".", "", 1).isdigit()
    return f"{prefix}{value.strip()}{unit_if_bare if bare else ''}"


def _require_one_direction(args: argparse.Namespace) -> None:
    if args.wind_from is not None and args.wind_compass is not None:
        raise InputError("the direction is given twice", "--wind-compass", "give --wind-from or --wind-compass")
    if args.wind_compass is not None and args.target_bearing is None:
        raise InputError("where is the target?", "--wind-compass", "add --target-bearing, its compass bearing")


def parse_bearing(text: str, where: str) -> float:
    """A compass bearing of 0 to 360 degrees as radians."""
    value = parse_quantity(text, "angle", "deg", where)
    return require_range(value, 0.0, 2 * math.pi, "deg", "bearing", where)
