"""Shots as bars on one axis of distance, the gaps between them drawn where they are.

How far a shot may be trusted shows in the bar's line and its middle mark, and as a word: never by colour alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual.content import Content

from trainer.application.views.look import Bar, GapRow, GapTable, Hole
from trainer.tui.widgets.axis_line import axis_line, column

Part = str | tuple[str, str]

SHAPES = {
    "settled": ("━", "■", "┣", "┫", "bold $success"),
    "working": ("─", "●", "├", "┤", "$foreground"),
    "guess": ("╌", "○", "╎", "╎", "$warning"),
    "stale": ("┄", "◇", "┊", "┊", "$secondary"),
    "not hit": (" ", "·", "·", "·", "$foreground 75%"),
}
"""Line, middle, left end, right end and style of a bar by the word for its trust."""

_POINTER, _TRUST, _TWINS = 2, 8, 3
_NAME, _NAME_COMPACT = 20, 18
_RANGE, _MEDIAN = 14, 4


@dataclass(frozen=True, slots=True)
class Layout:
    """Columns of the parts of a row."""

    name: int
    bar: int
    carry: int

    @classmethod
    def of(cls, columns: int) -> Layout:
        """As a window of `columns` has room for: with the range beside its middle from 76 on."""
        roomy = columns >= 76
        name, carry = (_NAME, _RANGE) if roomy else (_NAME_COMPACT, _MEDIAN)
        return cls(name, max(columns - _POINTER - name - 1 - carry - 1 - _TRUST - _TWINS, 10), carry)


def bar_text(bar: Bar, trust: str, columns: int) -> str:
    """One bar, `columns` wide."""
    line, middle, left, right, _ = SHAPES[trust]
    drawn = [" "] * columns
    low, high, at = (column(place, columns) for place in (bar.low, bar.high, bar.middle))
    for place in range(low, high + 1):
        drawn[place] = line
    drawn[low], drawn[high] = left, right
    drawn[at] = middle
    return "".join(drawn)


def hole_text(hole: Hole, columns: int) -> str:
    """`├╌ 18 yd gap ╌┤` between the two middles; where that is too narrow the words stand beside it."""
    low, high = column(hole.low, columns), column(hole.high, columns)
    inner = high - low - 1
    words = f" {hole.words} "
    if inner >= len(words):
        return (" " * low + "├" + words.center(inner, "╌") + "┤").ljust(columns)
    drawn = " " * low + "├" + "╌" * max(inner, 0) + "┤"
    fits = len(drawn) + len(words) <= columns
    return (drawn + words if fits else f"{words.strip():>{max(low - 1, 0)}} {drawn.strip()}").ljust(columns)[:columns]


def head_line(table: GapTable, columns: int) -> str:
    """The axis above the bars."""
    layout = Layout.of(columns)
    return " " * (_POINTER + layout.name + 1) + axis_line(table.ticks, layout.bar)


def entries(rows: Sequence[GapRow]) -> list[tuple[int, Hole | None]]:
    """What the lines of the picture are: a row by its place, or the gap behind it."""
    lines: list[tuple[int, Hole | None]] = []
    for place, row in enumerate(rows):
        lines.append((place, None))
        if row.beyond is not None:
            lines.append((place, row.beyond))
    return lines


def window(lines: Sequence[tuple[int, Hole | None]], chosen: int, rows: int) -> int:
    """The first line to show so that the chosen row is within `rows`, in the middle where there is room."""
    at = next((i for i, (place, _) in enumerate(lines) if place == chosen), 0)
    return min(max(at - rows // 2, 0), max(len(lines) - rows, 0))


def gap_bars(table: GapTable, chosen: int, columns: int, rows: int) -> Content:
    """As many lines as `rows` holds, the chosen row among them with a pointer."""
    layout = Layout.of(columns)
    lines = entries(table.rows)
    first = window(lines, chosen, rows)
    parts: list[Part] = []
    for place, hole in lines[first : first + rows]:
        if hole is None:
            parts += _row(table.rows[place], layout, chosen=place == chosen)
        else:
            parts.append(
                (" " * (_POINTER + layout.name + 1) + hole_text(hole, layout.bar).rstrip() + "\n", "bold $accent")
            )
    return Content.assemble(*parts)


def _row(row: GapRow, layout: Layout, *, chosen: bool) -> list[Part]:
    style = SHAPES[row.trust][-1]
    carry = row.bar.words if layout.carry == _RANGE else row.bar.words.partition(" ")[0]
    name = f"{'▸' if chosen else ' '} {row.name[: layout.name]:{layout.name}} "
    twins = f" ={row.twins}" if row.twins else ""
    figures = f" {carry:>{layout.carry}}"
    return [
        (name, "bold reverse" if chosen else ""),
        (bar_text(row.bar, row.trust, layout.bar), style),
        (figures, "bold" if chosen else ""),
        f" {row.trust:{_TRUST - 1}}{twins}\n",
    ]
