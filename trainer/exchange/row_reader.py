"""One row of a shot table after another read as shots; a row that cannot be trusted is skipped with the reason."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from trainer.core.bag import Swing, swing_named
from trainer.core.errors import InputError
from trainer.core.shot import ShotEntry
from trainer.core.units import UNITS
from trainer.exchange.cell_text import kept_grip_down
from trainer.exchange.own_table import OwnSetting, own_cell, own_entry, own_setting, own_time
from trainer.exchange.plain_text import shown_text
from trainer.exchange.shot_limits import LIMITS, require_consistent, require_limit
from trainer.exchange.spreadsheet_text import given_back
from trainer.exchange.table_columns import IN_CELL, ColumnMap
from trainer.exchange.table_numbers import DecimalMark, Measure, is_blank, parse_measure, split_side
from trainer.exchange.table_rows import (
    is_header,
    is_other_header,
    is_unit_row,
    names_a_column,
    row_units,
    why_summary,
)
from trainer.exchange.table_survey import Survey
from trainer.exchange.table_text import TextRow
from trainer.exchange.table_times import parse_moment, plausible_moment, split_moment
from trainer.exchange.table_words import KINDS, Field, SideSign, read_header_cell
from trainer.exchange.typed_shot import tags_in

LONGEST_CLUB = 100

_YES = frozenset({"yes", "y", "true", "1", "x", "mishit", "deleted", "excluded", "removed", "✓", "✔"})
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
_FRACTIONS = {"¾": "3/4", "½": "1/2"}


@dataclass(frozen=True, slots=True)
class TableRow:
    """One shot. `club_text` is still to be found in the bag; None in grip-down, swing, time and player: no such
    column, or a blank cell. `own` is what a row of our own export says beside the shot."""

    row_number: int
    club_text: str
    grip_down_m: float | None
    swing: Swing | None
    at: datetime | None
    player: str | None
    entry: ShotEntry
    raw_text: str
    own: OwnSetting | None = None


@dataclass(frozen=True, slots=True)
class SkippedRow:
    """A row that was not taken, and why. `raw_text` is the row as it stood."""

    row: int
    why: str
    raw_text: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class TableLayout:
    """Where things stand in a table: the columns of its fields, and those where a summary row writes its word."""

    header: tuple[str, ...]
    unit_row: tuple[str, ...]
    places: Mapping[Field, int]
    labels: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _MeasureColumn:
    """A column of numbers: `unit` is that of a bare number (None: each cell has its own), `where` is its header."""

    place: int
    name: str
    kind: str
    unit: str | None
    where: str
    mark: DecimalMark

    def measure(self, cell: str) -> Measure:
        """The number in `cell`. Raises InputError."""
        try:
            return parse_measure(cell, self.kind, self.unit, self.mark)
        except InputError as error:
            raise InputError(error.what, self.where, error.remedy) from None

    def limited(self, cell: str) -> Measure:
        """The number in `cell` if it is within the limits of a typed shot. Raises InputError."""
        found = self.measure(cell)
        limit = LIMITS[self.name]
        if not limit.low < found.value < limit.high:
            require_limit(self.name, found.value, self.where, self.unit)
        return found


@lru_cache(maxsize=256)
def read_swing(cell: str) -> Swing:
    """The swing in a cell: `full`, `3/4 swing`, `¾`. Raises InputError."""
    words = [word for word in cell.lower().replace("-", " ").split() if word != "swing"]
    text = " ".join(words)
    return swing_named({"three quarters": "3/4", "one half": "half", **_FRACTIONS}.get(text, text))


def yes_or_no(cell: str, where: str) -> bool:
    """What a flag's cell says; a blank is no. Raises InputError."""
    folded = cell.lower()
    if folded in _YES:
        return True
    if not folded or folded in _NO:
        return False
    raise InputError(f"'{shown_text(cell)}' is neither yes nor no", where, "write yes or no")


class RowReader:
    """Reads row after row. It remembers a header of other columns, or other units: what follows is not read."""

    def __init__(self, layout: TableLayout, column_map: ColumnMap, found: Survey, day: date | None) -> None:
        self._header, self._places, self._labels = layout.header, layout.places, layout.labels
        self._first_units = row_units(layout.unit_row)
        self._map, self._survey, self._day = column_map, found, day
        self._order = column_map.day_order or found.day_order
        self._head = {column.field: shown_text(column.header) for column in column_map.columns}
        self._measures = tuple(self._measure_column(each) for each in _MEASURES if each in self._places)
        self._side = self._measure_column(Field.SIDE) if Field.SIDE in self._places else None
        self._grip = self._measure_column(Field.GRIP_DOWN) if Field.GRIP_DOWN in self._places else None
        self._club = self._places[Field.CLUB]
        self._telling = tuple({self._club, *(each.place for each in self._measures[:1])})
        self._marked = bool({Field.DELETED, Field.COUNTS, Field.NUMBER} & set(self._places))
        self._other_header = self._other_units = ""
        self._unread_units = True

    def _measure_column(self, which: Field) -> _MeasureColumn:
        column = self._map.column(which)
        unit = None if column is None or column.unit == IN_CELL else column.unit
        name, mark = _MEASURES.get(which, f"{which}_m"), self._survey.mark
        return _MeasureColumn(self._places[which], name, KINDS[which], unit, self._head[which], mark)

    def read(self, row: TextRow) -> TableRow | SkippedRow:
        """`row` as a shot, or why not."""
        why = self._why_no_shot(row)
        if why is None:
            try:
                return self._shot(row)
            except InputError as error:
                why = why_summary(row.cells, range(len(row.cells)), self._places.get(Field.PLAYER)) or str(error)
        return SkippedRow(row.number, why, row.raw_text)

    def _why_no_shot(self, row: TextRow) -> str | None:
        cells = row.cells
        if (why := self._heading(row)) is not None:
            return why
        if any(cells[len(self._header) :]):
            count = len(self._header)
            return f"{len(cells)} cells under a header of {count}; perhaps a decimal comma parted one"
        if not row.ended and len(cells) < len(self._header):
            return "the file ends in the middle of this row"
        return (
            self._other_header
            or self._other_units
            or (self._why_marked(cells) if self._marked else None)
            or why_summary(cells, self._labels, self._places.get(Field.PLAYER))
        )

    def _heading(self, row: TextRow) -> str | None:
        """What a row is that heads others: a header, or units; None for any other row."""
        cells = row.cells
        if self._cell(cells, self._measures[0].place)[:1].isdigit():
            return None
        if any(names_a_column(self._cell(cells, place)) for place in self._telling):
            if is_header(cells, self._header):
                self._other_header = ""
                return "the header again"
            if is_other_header(cells, self._header):
                self._other_header = f"below the other header in row {row.number}"
                return "another header, of other columns"
        return self._units(row) if is_unit_row(cells) else None

    def _units(self, row: TextRow) -> str:
        """Take a row of units in: where it says other units than were settled, nothing below it can be read."""
        units = row_units(row.cells)
        clash = bool(self._first_units) and not self._unread_units and self._first_units != units
        for column in (*self._measures, self._side, self._grip):
            unit = units[column.place] if column is not None and column.place < len(units) else None
            if column is None or column.unit is None or unit not in UNITS or UNITS[unit].kind != column.kind:
                continue
            # The first row of units was in view when the map was settled, unless the map came from elsewhere.
            own_unit = read_header_cell(self._header[column.place]).unit
            clash |= column.unit not in (unit, own_unit)
        self._unread_units = False
        self._other_units = f"below other units in row {row.number}" if clash else ""
        return "a row of units, others than were settled" if clash else "a row of units"

    def _why_marked(self, cells: Sequence[str]) -> str | None:
        """Why a row does not count by a column of its own: flagged, or without a number where shots have one."""
        try:
            if yes_or_no(self._text(cells, Field.DELETED), self._head.get(Field.DELETED, "")):
                return "marked as deleted"
            counts = self._text(cells, Field.COUNTS)
            if counts and not yes_or_no(counts, self._head[Field.COUNTS]):
                return "marked as not counting"
        except InputError as error:
            return str(error)
        if Field.NUMBER in self._places and not self._text(cells, Field.NUMBER):
            return f"no number under '{self._head[Field.NUMBER]}': perhaps a summary row"
        return None

    def _cell(self, cells: Sequence[str], place: int) -> str:
        """The cell at `place`, blank where the row ends before it or nothing was seen."""
        cell = cells[place] if place < len(cells) else ""
        return "" if not cell or (not cell[0].isdigit() and is_blank(cell)) else cell

    def _text(self, cells: Sequence[str], which: Field) -> str:
        place = self._places.get(which)
        return "" if place is None else self._cell(cells, place)

    def _shot(self, row: TextRow) -> TableRow:
        cells = row.cells
        club = given_back(self._cell(cells, self._club))
        if not club:
            raise InputError("no club is named")
        if len(club) > LONGEST_CLUB:
            raise InputError(f"'{shown_text(club)}' is no club")
        swing = self._text(cells, Field.SWING)
        return TableRow(
            row_number=row.number,
            club_text=club,
            grip_down_m=self._grip_down(cells),
            swing=self._swing(swing) if swing else None,
            at=self._time(cells),
            player=given_back(self._text(cells, Field.PLAYER)) or None,
            entry=self._entry(cells),
            raw_text=row.raw_text,
        )

    def _swing(self, cell: str) -> Swing:
        try:
            return read_swing(cell)
        except InputError as error:
            raise InputError(error.what, self._head[Field.SWING], error.remedy) from None

    def _time(self, cells: Sequence[str]) -> datetime | None:
        if not self._survey.timed:
            return None
        cell, day = self._text(cells, Field.TIME), self._text(cells, Field.DATE)
        if not cell and not day:
            raise InputError("no time, though other rows have one: perhaps a summary row")
        if not day and (moment := _iso(cell)) is not None:
            return moment
        written, clock = split_moment(cell)
        if day and written:
            raise InputError(f"two dates, '{shown_text(day)}' and '{shown_text(written)}'")
        try:
            return parse_moment(
                day or written, clock, self._order, twelve_hours=self._survey.twelve_hours, day=self._day
            )
        except InputError as error:
            where = self._head.get(Field.TIME) or self._head.get(Field.DATE, "")
            raise InputError(error.what, where, error.remedy) from None

    def _grip_down(self, cells: Sequence[str]) -> float | None:
        cell = "" if self._grip is None else self._cell(cells, self._grip.place)
        if self._grip is None or not cell:
            return None
        return kept_grip_down(self._grip.measure(cell).value, self._grip.where)

    def _entry(self, cells: Sequence[str]) -> ShotEntry:
        found: dict[str, Any] = {}
        resolution_m: float | None = None
        for column in self._measures:
            if cell := self._cell(cells, column.place):
                measure = column.limited(cell)
                found[column.name] = measure.value
                if resolution_m is None and column.kind == "length" and column.name != "apex_m":
                    resolution_m = measure.step
        side_m = self._side_m(cells)
        entry = ShotEntry(
            **found,
            side_m=side_m,
            mishit=Field.MISHIT in self._places
            and yes_or_no(self._text(cells, Field.MISHIT), self._head[Field.MISHIT]),
            unseen="carry_m" not in found and "total_m" not in found and side_m is None,
            tags=tags_in(given_back(self._text(cells, Field.TAGS))) if Field.TAGS in self._places else (),
            resolution_m=resolution_m,
        )
        return require_consistent(entry, self._head.get(Field.TOTAL, ""))

    def _side_m(self, cells: Sequence[str]) -> float | None:
        """Right positive, by the cell's letter, else by the map's sign."""
        cell = "" if self._side is None else self._cell(cells, self._side.place)
        if self._side is None or not cell:
            return None
        number, letter = split_side(cell)
        where = self._side.where
        side_m = self._side.measure(number).value
        if letter is not None and side_m < 0:
            raise InputError(f"'{shown_text(cell)}' has both a sign and a letter", where, "keep one of them")
        if letter is None and side_m != 0:
            if self._map.side_positive is SideSign.LETTERS:
                raise InputError(f"'{shown_text(cell)}' has no L or R", where, "write L or R against it")
            letter = -1 if self._map.side_positive is SideSign.LEFT else 1
        return require_limit("side_m", side_m * (letter or 1) + 0.0, where, self._side.unit)


def _iso(cell: str) -> datetime | None:
    """The moment in an ISO text with a day and a time of day, the usual case; None for any other."""
    if len(cell) < 16 or cell[4] != "-" or cell[10] not in " T":
        return None
    try:
        return plausible_moment(cell)
    except ValueError:
        return None


class OwnRowReader:
    """Reads the rows of our own export."""

    def __init__(self, header: Sequence[str]) -> None:
        self._header = tuple(header)

    def read(self, row: TextRow) -> TableRow | SkippedRow:
        """`row` as the shot that was exported, or why not."""
        try:
            if not row.ended and len(row.cells) < len(self._header):
                raise InputError("the file ends in the middle of this row")
            if len(row.cells) != len(self._header):
                raise InputError(f"{len(row.cells)} cells under a header of {len(self._header)}")
            said = dict(zip(self._header, row.cells, strict=True))
            cell = own_cell(said)
            return TableRow(
                row_number=row.number,
                club_text=cell.club,
                grip_down_m=cell.grip_down_m,
                swing=cell.swing,
                at=own_time(said),
                player=given_back(said.get("player", "")) or None,
                entry=own_entry(said),
                raw_text=row.raw_text,
                own=own_setting(said),
            )
        except InputError as error:
            return SkippedRow(row.number, str(error), row.raw_text)
