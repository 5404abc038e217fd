"""A shot table from a device, a spreadsheet or a friend: its rows as shots, each standing alone.

A row that cannot be trusted is skipped with the reason, never mended: one without a club, a value out of the limits
of a typed shot, a number that could be read two ways. Rows that are no shots (the header again, units, means) are
skipped too, and said. The line numbers are the file's own, from 1.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import islice
from typing import Any

from trainer.core.bag import Swing, swing_named
from trainer.core.errors import InputError
from trainer.core.shot import ShotEntry
from trainer.exchange.cell_text import kept_grip_down
from trainer.exchange.quantity_text import shown_text
from trainer.exchange.shot_limits import require_consistent, require_limit
from trainer.exchange.table_columns import (
    IN_CELL,
    KINDS,
    ColumnMap,
    Field,
    SideSign,
    questions,
    recognised,
)
from trainer.exchange.table_numbers import DecimalMark, Measure, decimal_mark, is_blank, parse_measure, split_side
from trainer.exchange.table_rows import why_no_shot
from trainer.exchange.table_text import DELIMITERS, TextRow, decode_table, read_text_rows
from trainer.exchange.typed_shot import tags_in

HEADER_WITHIN = 20
"""Titles may stand above the header: it is looked for in so many rows."""

SAMPLE_ROWS = 200
"""Rows that a column map is proposed from."""

LONGEST_CLUB = 100

_YES = frozenset({"yes", "y", "true", "1", "x", "mishit", "deleted"})
_NO = frozenset({"no", "n", "false", "0"})
_MEASURES: dict[Field, str] = {
    Field.CARRY: "carry_m",
    Field.TOTAL: "total_m",
    Field.APEX: "apex_m",
    Field.HANG: "hang_s",
    Field.BALL_SPEED: "ball_speed_mps",
    Field.LAUNCH: "launch_rad",
    Field.SPIN: "spin_rad_s",
}


@dataclass(frozen=True, slots=True)
class ShotTable:
    """A table opened: its header, the line that stands on, and the first rows below it as cells."""

    name: str
    text: str
    delimiter: str
    header: tuple[str, ...]
    header_number: int
    sample: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class TableRow:
    """One shot. `club_text` is still to be found in the bag; None in grip-down, swing, time and player: no such
    column, or a blank cell."""

    row_number: int
    club_text: str
    grip_down_m: float | None
    swing: Swing | None
    at: datetime | None
    player: str | None
    entry: ShotEntry
    raw_text: str


@dataclass(frozen=True, slots=True)
class SkippedRow:
    """A row that was not taken, and why."""

    row: int
    why: str


def open_table(data: bytes, name: str) -> ShotTable:
    """The table in `data`; `name` is the file's, for errors.

    The delimiter (comma, semicolon, tab) and the header are those that give the most known columns. Raises InputError
    for what is no text, empty, only a header, or cannot be parted into rows.
    """
    text = decode_table(data, name)
    tried: list[tuple[tuple[int, int, int], str, TextRow]] = []
    failed: InputError | None = None
    for delimiter in DELIMITERS:
        try:
            for row in islice(read_text_rows(text, delimiter, name), HEADER_WITHIN):
                tried.append(((recognised(row.cells), len(row.cells), -row.number), delimiter, row))
        except InputError as error:
            failed = error
    if not tried:
        raise failed or InputError("the file is empty", name, "give a table with a header and a row a shot")
    (known, *_), delimiter, header = max(tried, key=lambda found: found[0])
    if failed is not None and not known:
        raise failed
    below = _below(text, delimiter, name, header.number)
    sample = tuple(row.cells for row in islice(below, SAMPLE_ROWS))
    if not sample:
        raise InputError("the table has a header and no rows", name, "give a row a shot")
    return ShotTable(name, text, delimiter, header.cells, header.number, sample)


def _below(text: str, delimiter: str, name: str, header_number: int) -> Iterator[TextRow]:
    return (row for row in read_text_rows(text, delimiter, name) if row.number > header_number)


def read_rows(table: ShotTable, column_map: ColumnMap) -> Iterator[TableRow | SkippedRow]:
    """The rows of `table` by `column_map`, in order.

    Raises InputError, before any row is given, where the map leaves a question open, names a column that the table
    has not or has twice, or has no club, or neither carry nor total; and on the way where a quote is left open.
    """
    if open_questions := questions(column_map):
        first = open_questions[0]
        raise InputError(first.text, f"{table.name}: {first.key}", f"answer {' or '.join(first.choices)}")
    if column_map.column(Field.CLUB) is None:
        raise InputError("no column is the club", table.name, "name it in the column map, under columns.club")
    if column_map.column(Field.CARRY) is None and column_map.column(Field.TOTAL) is None:
        raise InputError(
            "no column is the carry or the total", table.name, "name one in the column map, under columns.carry"
        )
    places = {column.field: _place(table, column.header) for column in column_map.columns}
    number_cells = (
        row.cells[place]
        for row in _below(table.text, table.delimiter, table.name, table.header_number)
        for field, place in places.items()
        if field in KINDS and place < len(row.cells)
    )
    reader = _RowReader(table.header, column_map, places, decimal_mark(number_cells, table.delimiter))
    return map(reader.read, _below(table.text, table.delimiter, table.name, table.header_number))


def _place(table: ShotTable, header: str) -> int:
    """The index of the column called `header`, in either case."""
    found = [index for index, text in enumerate(table.header) if text.lower() == header.lower()]
    if len(found) != 1:
        what = "is not in the table" if not found else "is in the table twice"
        known = shown_text(", ".join(table.header), 200)
        remedy = f"the table has {known}" if not found else "rename one of them in the file"
        raise InputError(f"the column '{shown_text(header)}' {what}", table.name, remedy)
    return found[0]


@dataclass(frozen=True, slots=True)
class _RowReader:
    """All that reading one row needs."""

    header: tuple[str, ...]
    column_map: ColumnMap
    places: dict[Field, int]
    mark: DecimalMark

    def read(self, row: TextRow) -> TableRow | SkippedRow:
        """`row` as a shot, or why not."""
        club, player = self.places[Field.CLUB], self.places.get(Field.PLAYER)
        if (why := why_no_shot(row.cells, self.header, club, player)) is not None:
            return SkippedRow(row.number, why)
        try:
            return self._shot(row)
        except InputError as error:
            return SkippedRow(row.number, str(error))

    def _cell(self, row: TextRow, field: Field) -> str:
        """The cell of `field`, blank where there is no such column or the row ends before it."""
        place = self.places.get(field)
        if place is None or place >= len(row.cells) or is_blank(row.cells[place]):
            return ""
        return row.cells[place]

    def _shot(self, row: TextRow) -> TableRow | SkippedRow:
        if self._flag(row, Field.DELETED):
            return SkippedRow(row.number, "marked as deleted")
        club = self._cell(row, Field.CLUB)
        if not club:
            return SkippedRow(row.number, "no club is named")
        if len(club) > LONGEST_CLUB:
            return SkippedRow(row.number, f"'{shown_text(club)}' is no club")
        swing = self._cell(row, Field.SWING)
        return TableRow(
            row_number=row.number,
            club_text=club,
            grip_down_m=self._grip_down(row),
            swing=swing_named(swing, self._where(Field.SWING)) if swing else None,
            at=self._time(row),
            player=self._cell(row, Field.PLAYER) or None,
            entry=self._entry(row),
            raw_text=row.raw_text,
        )

    def _where(self, field: Field) -> str:
        column = self.column_map.column(field)
        return shown_text(column.header) if column else field.value

    def _flag(self, row: TextRow, field: Field) -> bool:
        cell = self._cell(row, field).lower()
        if cell in _YES:
            return True
        if not cell or cell in _NO:
            return False
        raise InputError(f"'{shown_text(cell)}' is neither yes nor no", self._where(field), "write yes or no")

    def _time(self, row: TextRow) -> datetime | None:
        cell = self._cell(row, Field.TIME)
        if not cell:
            return None
        try:
            return datetime.fromisoformat(cell)
        except ValueError:
            raise InputError(
                f"'{shown_text(cell)}' is no date and time", self._where(Field.TIME), "write such as 2025-05-03 18:30"
            ) from None

    def _measure(self, field: Field, cell: str) -> Measure | None:
        column = self.column_map.column(field)
        if not cell or column is None:
            return None
        unit = None if column.unit == IN_CELL else column.unit
        try:
            return parse_measure(cell, KINDS[field], unit, self.mark)
        except InputError as error:
            raise InputError(error.what, self._where(field), error.remedy) from None

    def _grip_down(self, row: TextRow) -> float | None:
        cell = self._cell(row, Field.GRIP_DOWN)
        measure = self._measure(Field.GRIP_DOWN, cell)
        if measure is None:
            return None
        return kept_grip_down(measure.value, self._where(Field.GRIP_DOWN))

    def _entry(self, row: TextRow) -> ShotEntry:
        found: dict[str, Any] = {}
        for field, name in _MEASURES.items():
            if (measure := self._measure(field, self._cell(row, field))) is not None:
                found[name] = require_limit(name, measure.value, self._where(field), self._told_in(field))
                if field in (Field.CARRY, Field.TOTAL):
                    found.setdefault("resolution_m", measure.step)
        entry = ShotEntry(
            **found,
            side_m=self._side_m(row),
            mishit=self._flag(row, Field.MISHIT),
            tags=tags_in(self._cell(row, Field.TAGS)),
        )
        unseen = entry.carry_m is None and entry.total_m is None and entry.side_m is None
        return require_consistent(replace(entry, unseen=unseen), self._where(Field.TOTAL))

    def _told_in(self, field: Field) -> str | None:
        column = self.column_map.column(field)
        return column.unit if column is not None and column.unit != IN_CELL else None

    def _side_m(self, row: TextRow) -> float | None:
        """Right positive, by the cell's letter, else by the map's sign."""
        cell, letter = split_side(self._cell(row, Field.SIDE))
        measure = self._measure(Field.SIDE, cell)
        if measure is None:
            return None
        side_m = measure.value
        where = self._where(Field.SIDE)
        if letter is not None and side_m < 0:
            raise InputError(f"'{shown_text(cell)}' has both a sign and a letter", where, "keep one of them")
        if letter is None and side_m != 0:
            if self.column_map.side_positive is SideSign.LETTERS:
                raise InputError(f"'{shown_text(cell)}' has no L or R", where, "write L or R against it")
            letter = -1 if self.column_map.side_positive is SideSign.LEFT else 1
        return require_limit("side_m", side_m * (letter or 1) + 0.0, where, self._told_in(Field.SIDE))
