"""A shot table from a device, a spreadsheet or a friend: opened, looked through, and its rows read as shots.

A row that cannot be trusted is skipped with the reason, never mended: one without a club, a value out of the limits
of a typed shot, a number that could be read two ways. Rows that are no shots (the header again, units, means) are
skipped too, and said. The line numbers are the file's own, from 1.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import islice

from trainer.core.errors import InputError
from trainer.exchange.own_table import is_own_header, own_column_map
from trainer.exchange.plain_text import shown_text
from trainer.exchange.row_reader import OwnRowReader, RowReader, SkippedRow, TableLayout, TableRow
from trainer.exchange.table_columns import ColumnMap, Question, label_places, propose_columns, questions, shape_of
from trainer.exchange.table_rows import is_unit_row
from trainer.exchange.table_survey import Survey, survey, survey_questions
from trainer.exchange.table_text import DELIMITERS, TableText, TextRow, read_text_rows, table_text
from trainer.exchange.table_words import Field, read_header_cell, recognised

HEADER_WITHIN = 20
"""Titles may stand above the header: it is looked for in so many rows."""

SAMPLE_ROWS = 200
"""Rows that a column map is proposed from."""


@dataclass(frozen=True, slots=True)
class ShotTable:
    """A table opened: its header, the line that stands on, the titles above it and the first rows below as cells."""

    name: str
    text: TableText
    delimiter: str
    header: tuple[str, ...]
    header_number: int
    titles: tuple[str, ...]
    sample: tuple[tuple[str, ...], ...]

    @property
    def own(self) -> bool:
        """Whether our own export wrote it."""
        return is_own_header(self.header)

    @property
    def unit_row(self) -> tuple[str, ...]:
        """The row of units under the header, empty where there is none."""
        return self.sample[0] if self.sample and is_unit_row(self.sample[0]) else ()

    @property
    def shape(self) -> str:
        """What tables of one maker share: see `table_columns.shape_of`."""
        return shape_of(self.header, self.unit_row)

    def rows(self) -> Iterator[TextRow]:
        """The rows below the header that hold anything."""
        below = read_text_rows(self.text, self.delimiter, self.name)
        return (row for row in below if row.number > self.header_number)


def open_table(data: bytes, name: str) -> ShotTable:
    """The table in `data`; `name` is the file's, for errors.

    The delimiter (comma, semicolon, tab) and the header are those that give the most known columns. Raises InputError
    for what is no text, empty, only a header, or cannot be parted into rows.
    """
    text = table_text(data, name)
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
    titles = tuple(row.raw_text for _, mark, row in tried if mark == delimiter and row.number < header.number)
    table = ShotTable(name, text, delimiter, header.cells, header.number, titles, ())
    sample = tuple(row.cells for row in islice(table.rows(), SAMPLE_ROWS))
    if not sample:
        raise InputError("the table has a header and no rows", name, "give a row a shot")
    return ShotTable(name, text, delimiter, header.cells, header.number, titles, sample)


def propose(table: ShotTable) -> ColumnMap:
    """The likeliest column map of a table; that of our own export is known."""
    if table.own:
        return own_column_map(table.header)
    return propose_columns(table.header, table.sample, table.titles)


def places_of(table: ShotTable, column_map: ColumnMap) -> dict[Field, int]:
    """Where each column of the map is. Raises InputError for one that the table has not, or has twice."""
    return {column.field: _place(table, column.header) for column in column_map.columns}


def _place(table: ShotTable, header: str) -> int:
    """The index of the column called `header`, in either case."""
    found = [index for index, text in enumerate(table.header) if text.lower() == header.lower()]
    if len(found) != 1:
        what = "is not in the table" if not found else "is in the table twice"
        known = shown_text(", ".join(table.header), 200)
        remedy = f"the table has {known}" if not found else "rename one of them in the file"
        raise InputError(f"the column '{shown_text(header)}' {what}", table.name, remedy)
    return found[0]


def survey_table(table: ShotTable, column_map: ColumnMap) -> Survey:
    """Look through all rows once. Raises InputError where a row cannot be parted, such as a quote left open."""
    places = places_of(table, column_map)
    return survey(table.rows(), table.header, places, _labels(table, places), table.delimiter)


def _labels(table: ShotTable, places: dict[Field, int]) -> tuple[int, ...]:
    """Where a summary row may write its word: not in a column that the map reads as numbers or own words."""
    usual = label_places([read_header_cell(text) for text in table.header])
    read = {place for field, place in places.items() if field not in (Field.CLUB, Field.NUMBER)}
    return tuple(place for place in usual if place not in read)


def table_questions(column_map: ColumnMap, found: Survey) -> tuple[Question, ...]:
    """All that is to be answered before the rows can be read: of the columns, and of what the rows write."""
    return (*questions(column_map), *survey_questions(column_map, found))


def read_rows(
    table: ShotTable, column_map: ColumnMap, found: Survey | None = None, day: date | None = None
) -> Iterator[TableRow | SkippedRow]:
    """The rows of `table` by `column_map`, in order; `found` is its survey, `day` that of clocks without a date.

    Raises InputError, before any row is given, where the map leaves a question open, names a column that the table
    has not or has twice, or has no club, or neither carry nor total; and where a quote is left open.
    """
    if column_map.column(Field.CLUB) is None:
        raise InputError("no column is the club", table.name, "name it in the column map, under columns.club")
    if column_map.column(Field.CARRY) is None and column_map.column(Field.TOTAL) is None:
        raise InputError(
            "no column is the carry or the total", table.name, "name one in the column map, under columns.carry"
        )
    seen = found or survey_table(table, column_map)
    if open_questions := table_questions(column_map, seen):
        first = open_questions[0]
        raise InputError(first.text, f"{table.name}: {first.key}", f"answer {' or '.join(first.choices)}")
    if table.own:
        return map(OwnRowReader(table.header).read, table.rows())
    places = places_of(table, column_map)
    layout = TableLayout(table.header, table.unit_row, places, _labels(table, places))
    return map(RowReader(layout, column_map, seen, day).read, table.rows())
