"""Lines and words as people write them: what may stand in one, what an error shows of it, what a word names."""

from __future__ import annotations

from enum import StrEnum
from typing import TypeVar

from trainer.core.errors import InputError

Word = TypeVar("Word", bound=StrEnum)

_BLANKS = "\t\u00a0\u2007\u2009\u202f"
"""Blanks that `str.isprintable` does not count as printable, and that are harmless between words."""


def shown_text(text: str, most: int = 40) -> str:
    """`text` fit for one line of an error: cut at `most` characters, what cannot be printed as `?`."""
    cut = text if len(text) <= most else f"{text[:most]}…"
    return "".join(letter if letter.isprintable() else "?" for letter in cut)


def first_unprintable(text: str) -> str | None:
    """The first character that no keyboard types into a line (controls, line ends, hidden marks), or None."""
    return next((letter for letter in text if not letter.isprintable() and letter not in _BLANKS), None)


def require_line(text: str, most: int, shorter: str = "shorten it") -> None:
    """Raise InputError where `text` is longer than `most` characters (`shorter` is the remedy) or holds controls."""
    if len(text) > most:
        raise InputError(f"the line is longer than {most} characters", shown_text(text), shorter)
    if (bad := first_unprintable(text)) is not None:
        raise InputError(f"the line holds a control character (U+{ord(bad):04X})", shown_text(text), "retype it")


def blanked(text: str) -> str:
    """`text` with a blank for each character that cannot be printed, as it may stand on a page."""
    return "".join(letter if letter.isprintable() else " " for letter in text)


def word_named(kind: type[Word], text: str, where: str) -> Word:
    """The member of `kind` whose word is `text`. Raises InputError with the words that are known."""
    try:
        return kind(text)
    except ValueError:
        raise InputError(f"'{shown_text(text)}' is not known here", where, f"use {', '.join(kind)}") from None
