"""Where balls came down, as seen from above: away is up, the target line runs up the middle."""

from __future__ import annotations

from collections.abc import Mapping

from trainer.application.views.look import PatternView
from trainer.tui.widgets.axis_line import axis_line, column

MARKS = {"last day": "●", "earlier": "∘", "mishit": "x"}
SESSION_MARKS = {"last ball": "●", "before": "∘", "mishit": "x"}
TARGET = "⚑"
_LABEL = 7


def pattern_lines(pattern: PatternView, columns: int, rows: int, marks_of: Mapping[str, str] = MARKS) -> list[str]:
    """The picture with its axes and what the marks mean. Balls that fall together show as a number."""
    width, height = max(columns - _LABEL, 10), max(rows - 2, 3)
    grid = [[" "] * width for _ in range(height)]
    line = column(pattern.line, width)
    for row in grid:
        row[line] = "┆"
    if pattern.target is not None:
        grid[height - 1 - column(pattern.target, height)][line] = TARGET
    held: dict[tuple[int, int], list[str]] = {}
    for point in pattern.points:
        place = (height - 1 - column(point.away, height), column(point.across, width))
        held.setdefault(place, []).append(marks_of[point.kind])
    for (down, along), marks in held.items():
        grid[down][along] = marks[0] if len(marks) == 1 else str(min(len(marks), 9))
    labels = {height - 1 - column(tick.at, height): tick.word for tick in pattern.away}
    drawn = [f"{labels.get(i, ''):>{_LABEL - 1}} {''.join(row).rstrip()}" for i, row in enumerate(grid)]
    key = "  ".join(f"{mark} {kind}" for kind, mark in marks_of.items())
    if pattern.target is not None:
        key = f"{TARGET} target  {key}"
    return [
        *drawn,
        " " * _LABEL + axis_line(pattern.across, width),
        f"{key}   2–9 so many together",
    ]
