"""Sentences folded to a window: with a dash before each, and text that was folded for paper folded anew."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

_DASH, _HANGING = "- ", "  "


def dashed(sentences: Iterable[str], columns: int) -> list[str]:
    """Each sentence begun by a dash, its further lines set in."""
    return [
        line
        for sentence in sentences
        for line in textwrap.wrap(sentence, columns, initial_indent=_DASH, subsequent_indent=_HANGING)
    ]


def folded(text: str, columns: int) -> list[str]:
    """`text` in lines of at most `columns`, broken between words; a word with hyphens stays one."""
    return textwrap.wrap(" ".join(text.split()), columns, break_on_hyphens=False)


def cut(line: str, columns: int) -> str:
    """`line`, with a mark at its end where it is longer than `columns`."""
    return line if len(line) <= columns else f"{line[: max(columns - 1, 0)]}…"


def set_in(line: str, columns: int) -> list[str]:
    """One line folded, its further lines as far in as its first."""
    inner = line.lstrip(" ")
    indent = " " * (len(line) - len(inner))
    return textwrap.wrap(inner, columns, initial_indent=indent, subsequent_indent=indent) or [""]


def refolded(text: str, columns: int) -> str:
    """`text` with its dashed sentences folded to `columns`; every other line as it is."""
    lines: list[str] = []
    sentence: list[str] = []

    def close() -> None:
        lines.extend(dashed([" ".join(sentence)], columns) if sentence else [])
        sentence.clear()

    for line in text.split("\n"):
        if line.startswith(_DASH):
            close()
            sentence.append(line.removeprefix(_DASH))
        elif sentence and line.startswith(_HANGING) and line.strip():
            # A word that was broken at its hyphen is one word again.
            if sentence[-1].endswith("-"):
                sentence[-1] += line.strip()
            else:
                sentence.append(line.strip())
        else:
            close()
            lines.append(line)
    close()
    return "\n".join(lines)
