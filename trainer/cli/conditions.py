"""The CONDITIONS options: one definition for every command that takes them."""

from __future__ import annotations

import argparse
from enum import StrEnum
from typing import TYPE_CHECKING, TypeVar

from trainer.cli.context import Context
from trainer.core.units import UnitChoice

if TYPE_CHECKING:
    from trainer.application.conditions.stated import StatedConditions

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
    from trainer.application.conditions import stating

    return stating.one_of(kind, text, where)


def read_conditions(args: argparse.Namespace, context: Context) -> StatedConditions:
    """The stated conditions in SI. Raises InputError, also as a question where the words contradict each other."""
    from trainer.application.conditions.stating import CONDITION_WORDS, state_conditions

    values = {word: getattr(args, word.replace("-", "_")) for word in CONDITION_WORDS}
    said = {word: str(value) for word, value in values.items() if value is not None and value is not False}
    return state_conditions(said, context.units if said else UnitChoice())
