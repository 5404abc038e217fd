"""Sentences folded to a window: with a dash before each, and text that was folded for paper folded anew."""

from __future__ import annotations

from collections.abc import Iterable

from trainer.application.views import folding

_DASH, _HANGING = "- ", "  "


def dashed(sentences: Iterable[str], columns: int) -> list[str]:
    """Each sentence begun by a dash, its further lines set in."""
    return [
        line
        for sentence in sentences
        for line in folding.folded(sentence, columns, indent=_DASH, hanging=_HANGING, cut_words=True)
    ]


def folded(text: str, columns: int) -> list[str]:
    """`text` in lines of at most `columns`, broken between words."""
    return folding.folded(" ".join(text.split()), columns, cut_words=True)


def cut(line: str, columns: int) -> str:
    """`line`, with a mark at its end where it is longer than `columns`."""
    return line if len(line) <= columns else f"{line[: max(columns - 1, 0)]}…"


def set_in(line: str, columns: int) -> list[str]:
    """One line folded, its further lines as far in as its first."""
    inner = line.lstrip(" ")
    indent = " " * (len(line) - len(inner))
    return folding.folded(inner, columns, indent=indent, cut_words=True) or [""]


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
            sentence.append(line.strip())
        else:
            close()
            lines.append(line)
    close()
    return "\n".join(lines)
