"""The words of a command line, put in order before argparse reads them."""

from __future__ import annotations

import re
from dataclasses import dataclass

from trainer.core.errors import InputError

_NEGATIVE_VALUE = re.compile(r"[-−][.\d]\S*")
_TAKES_A_VALUE = {"--store": "store", "--player": "player"}


@dataclass(frozen=True, slots=True)
class Words:
    """A command line without the options that may stand anywhere."""

    rest: tuple[str, ...]
    json: bool = False
    store: str | None = None
    player: str | None = None


class UsageError(Exception):
    """The words of the command are wrong. Exit code 2."""


def order_words(arguments: list[str]) -> Words:
    """Take out `--json`, `--store` and `--player` wherever they stand, and let a value begin with a minus.

    Raises UsageError where a value is missing, InputError where it is empty.
    """
    found: dict[str, str] = {}
    rest: list[str] = []
    json = False
    waiting = list(arguments)
    while waiting:
        word = waiting.pop(0)
        if word == "--":
            rest += [word, *waiting]
            break
        name, equals, value = word.partition("=")
        if word == "--json":
            json = True
        elif name in _TAKES_A_VALUE:
            if not equals:
                if not waiting:
                    raise UsageError(f"{name} needs a value")
                value = waiting.pop(0)
            if not value:
                raise InputError("the value is empty", name, "name it, or leave the option out")
            found[_TAKES_A_VALUE[name]] = value
        elif rest and _NEGATIVE_VALUE.fullmatch(word) and rest[-1].startswith("--") and "=" not in rest[-1]:
            rest[-1] = f"{rest[-1]}={word}"
        else:
            rest.append(word)
    return Words(tuple(rest), json, found.get("store"), found.get("player"))
