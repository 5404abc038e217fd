"""Places on an axis as columns, and its numbers as one line of text."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.application.views.look import Tick


def column(share: float, columns: int) -> int:
    """The column, from 0, of a place on an axis that is `columns` wide."""
    return min(max(round(share * (columns - 1)), 0), columns - 1)


def axis_line(ticks: Sequence[Tick], columns: int) -> str:
    """The numbers, each centred on its place; one that would touch the one before is left out."""
    line = [" "] * columns
    free = 0
    for tick in ticks:
        start = min(max(column(tick.at, columns) - (len(tick.word) - 1) // 2, 0), columns - len(tick.word))
        if start >= free:
            line[start : start + len(tick.word)] = tick.word
            free = start + len(tick.word) + 1
    return "".join(line).rstrip()
