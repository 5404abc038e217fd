"""A group's grid as lines of text: a player a line, a key for each ball kept, a dot for each to come."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from trainer.application.views.group import GroupRow, GroupView

NEXT, TO_COME = "_", "·"
_ALIAS = 14


def grid_rows(view: GroupView, rows: int) -> tuple[int, Sequence[GroupRow]]:
    """The first player that is shown in so many rows, and those shown: the one whose turn it is among them."""
    first = min(max(view.row - rows // 2, 0), max(len(view.rows) - rows, 0))
    return first, view.rows[first : first + rows]


def grid_content(view: GroupView, column: int | None, columns: int, rows: int) -> Content:
    """As many players as `rows` holds. `column` is the ball to be corrected, None where the next one is entered."""
    parts: list[str | tuple[str, str]] = []
    first, shown = grid_rows(view, rows)
    for number, row in enumerate(shown, first):
        here = number == view.row
        line = f"{'▸' if here else ' '}{number + 1:>3} {row.alias:{_ALIAS}.{_ALIAS}} "
        cells = _cells(row, view.balls_each, columns - len(line) - 7, column if here else None, here=here)
        count = f" {len(row.marks):>2}/{view.balls_each}"
        text = f"{line}{cells}{count}"
        parts.append((f"{text}\n", "bold") if here else f"{text}\n")
    return Content.assemble(*parts).rstrip()


def _cells(row: GroupRow, balls: int, room: int, column: int | None, *, here: bool) -> str:
    """The balls of a player: a ball to be corrected stands in brackets, the next one is an underline."""
    marks = [*row.marks, *([NEXT if here and column is None else TO_COME] if len(row.marks) < balls else [])]
    marks += [TO_COME] * (balls - len(marks))
    apart = 2 if balls * 2 <= room else 1
    most = max(room // apart - 1, 4)
    first = min(max((len(row.marks) if column is None else column) - most + 2, 0), max(len(marks) - most, 0))
    drawn = ""
    for number, mark in enumerate(marks[first : first + most], first):
        if number == column:
            drawn += f"[{mark}]"
        else:
            drawn += mark + " " * (apart - 1)
    return f"{'…' if first else ''}{drawn}"
