"""Which column of a shot table is what: proposed from plain words in its header, and what is left to ask.

Nothing is guessed where a guess could corrupt a shot: a distance without a unit, a side without a known sign, a carry
that a header calls computed or corrected, and two columns that fit alike each leave a question. Without a unit an
angle is in degrees, a spin in rpm and a hang time in seconds, the only units such tables use.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from trainer.core.shot import CarryOrigin
from trainer.core.units import UNITS, unit_named
from trainer.exchange.table_numbers import is_blank, split_number, split_side
from trainer.exchange.table_rows import is_unit_row, row_units, why_no_shot
from trainer.exchange.table_times import DayOrder
from trainer.exchange.table_words import (
    KINDS,
    Field,
    HeaderCell,
    SideSign,
    carry_hint,
    read_header_cell,
    title_hint,
)

USUAL_UNITS = {"duration": "s", "angle": "deg", "spin": "rpm"}
"""Units that need no asking."""

IN_CELL = "in cell"
"""The unit of a column whose every cell writes its own."""


@dataclass(frozen=True, slots=True)
class Column:
    """One recognised column: its header, the unit of a bare number (None: to be asked), how sure (0 to 1), the first
    cell that says anything, and other headers that fit as well."""

    field: Field
    header: str
    unit: str | None = None
    confidence: float = 1.0
    sample: str = ""
    rivals: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ColumnMap:
    """What each column is. None in `side_positive` or `carry_is` is a question still open.

    `day_order` is how dates in figures are written; None where that was never asked, and the rows must tell.
    """

    columns: tuple[Column, ...]
    side_positive: SideSign | None = None
    carry_is: CarryOrigin | None = CarryOrigin.SEEN
    day_order: DayOrder | None = None

    def column(self, field: Field) -> Column | None:
        """The column that is `field`, if any."""
        return next((column for column in self.columns if column.field is field), None)


@dataclass(frozen=True, slots=True)
class Question:
    """What the player must settle. `key` is the place in a column-map file, `choices` the answers.

    No choices: a word of the player's own, such as a date.
    """

    key: str
    text: str
    choices: tuple[str, ...]


_CONFIDENCE = (1.0, 0.8, 0.6)
_FIRST_SERVES = frozenset({Field.NUMBER, Field.TAGS})
"""Fields of which the first column will do where several fit alike."""


def propose_columns(
    header: Sequence[str], sample_rows: Sequence[Sequence[str]], titles: Sequence[str] = ()
) -> ColumnMap:
    """The likeliest map for a table with this header, judged by the rows given too (a row of units among them).

    `titles` are lines above the header: they may hint that carries were corrected. A map with `questions` is not
    ready to read rows with.
    """
    units = next((row for row in sample_rows[:1] if is_unit_row(row)), ())
    cells = [read_header_cell(text) for text in header]
    labels, player = label_places(cells), _first_place(Field.PLAYER, cells)
    rows = [row for row in sample_rows if why_no_shot(row, header, labels, player) is None]
    columns = []
    for field in Field:
        fitting = [index for index, cell in enumerate(cells) if cell.field is field]
        if fitting:
            columns.append(_best_column(field, fitting, header, cells, units, rows))
    by_field = {column.field: column for column in columns}
    carry, side = by_field.get(Field.CARRY) or by_field.get(Field.TOTAL), by_field.get(Field.SIDE)
    hinted = title_hint(titles) or (carry is not None and carry_hint(carry.header) is not None)
    return ColumnMap(
        columns=tuple(columns),
        side_positive=_proposed_sign(side, header, rows),
        carry_is=None if hinted else CarryOrigin.SEEN,
    )


def label_places(cells: Sequence[HeaderCell]) -> tuple[int, ...]:
    """Where a summary row may write its word: the columns that are no numbers, times or a player's own words."""
    silent = {*KINDS, Field.TAGS, Field.PLAYER, Field.TIME, Field.DATE, Field.SWING}
    return tuple(place for place, cell in enumerate(cells) if cell.field not in silent)


def shape_of(header: Sequence[str], unit_row: Sequence[str] = ()) -> str:
    """What tables of one maker share, as sixteen hexadecimal digits: the header's words in order and its units."""
    cells = [" ".join(cell.lower().split()) for cell in header]
    units = [cell.strip("()[] ").lower() for cell in unit_row]
    return hashlib.sha256("\x1f".join([*cells, "\x1e", *units]).encode()).hexdigest()[:16]


def _first_place(field: Field, cells: list[HeaderCell]) -> int | None:
    return next((place for place, cell in enumerate(cells) if cell.field is field), None)


def _best_column(
    field: Field,
    fitting: list[int],
    header: Sequence[str],
    cells: list[HeaderCell],
    units: Sequence[str],
    rows: Sequence[Sequence[str]],
) -> Column:
    """The likeliest of the columns that fit: no hint before a hint, then the likelier words, then the first."""
    scores = {index: (bool(cells[index].hints), cells[index].rank) for index in fitting}
    best = min(fitting, key=lambda index: scores[index])
    rivals = tuple(header[index] for index in fitting if index != best and scores[index] == scores[best])
    rivals = () if field in _FIRST_SERVES else rivals
    below = _column_cells(rows, best)
    said = {cells[best].unit, _unit_in_row(units, best, field)} - {None}
    unit = next(iter(said)) if len(said) == 1 else None if said else _unit_of_cells(below, field)
    kind = KINDS.get(field)
    hinted = bool(cells[best].hints)
    asked = bool(said) or cells[best].strange_unit or _is_strange(units, best, field)
    return Column(
        field=field,
        header=header[best].strip(),
        unit=unit or (USUAL_UNITS.get(kind) if kind and not asked else None),
        confidence=_CONFIDENCE[cells[best].rank] * (0.5 if rivals else 1.0) * (0.8 if hinted else 1.0),
        sample=below[0] if below else "",
        rivals=rivals,
    )


def _column_cells(rows: Sequence[Sequence[str]], index: int) -> list[str]:
    """The cells of a column that say anything."""
    return [row[index].strip() for row in rows if index < len(row) and not is_blank(row[index])]


def _unit_in_row(units: Sequence[str], index: int, field: Field) -> str | None:
    unit = row_units(units)[index] if index < len(units) else None
    return unit if unit in UNITS and UNITS[unit].kind == KINDS.get(field) else None


def _is_strange(units: Sequence[str], index: int, field: Field) -> bool:
    """Whether the row of units has a word for this column that is no unit of it."""
    said = row_units(units)[index] if index < len(units) else None
    return said is not None and _unit_in_row(units, index, field) is None


def _unit_of_cells(cells: list[str], field: Field) -> str | None:
    """`IN_CELL` where every cell of the sample writes a unit of the right kind."""
    parts = [split_number(split_side(cell)[0]) for cell in cells]
    units = [unit_named(part[2]) if part else None for part in parts]
    right = [unit is not None and UNITS[unit].kind == KINDS.get(field) for unit in units]
    return IN_CELL if right and all(right) else None


def _proposed_sign(side: Column | None, header: Sequence[str], rows: Sequence[Sequence[str]]) -> SideSign | None:
    if side is None:
        return None
    stated = read_header_cell(side.header).side_positive
    index = next(index for index, text in enumerate(header) if text.strip() == side.header)
    lettered = [split_side(cell)[1] is not None or _is_zero(cell) for cell in _column_cells(rows, index)]
    if lettered and all(lettered) and any(split_side(cell)[1] for cell in _column_cells(rows, index)):
        return SideSign.LETTERS
    return stated


def _is_zero(cell: str) -> bool:
    return re.fullmatch(r"[+\-−]?0*[.,]?0*", cell) is not None


def questions(column_map: ColumnMap) -> tuple[Question, ...]:
    """What must be answered before rows can be read with this map."""
    asked = []
    for column in column_map.columns:
        key = f"columns.{column.field.value}"
        kind = KINDS.get(column.field)
        if column.rivals:
            choices = (column.header, *column.rivals)
            asked.append(Question(f"{key}.header", f"which column is the {_said(column.field)}?", choices))
        if kind is not None and column.unit is None:
            units = tuple(name for name, unit in UNITS.items() if unit.kind == kind)
            asked.append(Question(f"{key}.unit", f"in which unit is '{column.header}'?", units))
    side = column_map.column(Field.SIDE)
    carry = column_map.column(Field.CARRY) or column_map.column(Field.TOTAL)
    if side is not None and column_map.side_positive is None:
        asked.append(
            Question("side_positive", f"is a positive number in '{side.header}' right or left?", ("right", "left"))
        )
    if carry is not None and column_map.carry_is is None:
        origins = tuple(origin.value for origin in CarryOrigin)
        asked.append(Question("carry_is", f"is '{carry.header}' seen, computed or corrected?", origins))
    return tuple(asked)


def _said(field: Field) -> str:
    return field.value.replace("_", " ")


def answered_map(
    column_map: ColumnMap, key: str, answer: str, header: Sequence[str], sample_rows: Sequence[Sequence[str]]
) -> ColumnMap:
    """`column_map` with one of its questions answered by one of the choices. Raises ValueError for no answer.

    `header` and `sample_rows` are the table's: a column that is chosen comes with the unit and the sign of its own.
    """
    if key == "side_positive":
        return replace(column_map, side_positive=SideSign(answer))
    if key == "carry_is":
        return replace(column_map, carry_is=CarryOrigin(answer))
    if key == "day_order":
        return replace(column_map, day_order=DayOrder(answer))
    _, name, what = key.split(".")
    if what == "header":
        return _with_chosen(column_map, Field(name), answer, header, sample_rows)
    if answer not in UNITS or UNITS[answer].kind != KINDS.get(Field(name)):
        raise ValueError(f"'{answer}' is no unit of {_said(Field(name))}")
    columns = (replace(each, unit=answer) if each.field.value == name else each for each in column_map.columns)
    return replace(column_map, columns=tuple(columns))


def _with_chosen(
    column_map: ColumnMap, field: Field, chosen: str, header: Sequence[str], sample_rows: Sequence[Sequence[str]]
) -> ColumnMap:
    """`column_map` with the column called `chosen` as `field`, as if no other fitted and its title said so."""
    fitting = {text for each in column_map.columns if each.field is field for text in (each.header, *each.rivals)}
    alone = [_titled(text, field) if text == chosen else "" if text in fitting else text for text in header]
    anew = propose_columns(alone, sample_rows)
    found = anew.column(field)
    if found is None:
        raise ValueError(f"'{chosen}' is no column of the table")
    others = (each for each in column_map.columns if each.field is not field and each.header != chosen)
    columns = sorted(
        (*others, replace(found, header=chosen, rivals=())), key=lambda each: list(Field).index(each.field)
    )
    return replace(
        column_map,
        columns=tuple(columns),
        side_positive=anew.side_positive if field is Field.SIDE else column_map.side_positive,
        carry_is=anew.carry_is if field is Field.CARRY and anew.carry_is is None else column_map.carry_is,
    )


def _titled(text: str, field: Field) -> str:
    """A header that says `field`: its own words where they do, else the field's with what it has in brackets."""
    if read_header_cell(text).field is field:
        return text
    return " ".join([_said(field), *re.findall(r"[\[(][^\[\]()]*[\])]", text)])


def missing_questions(column_map: ColumnMap, header: Sequence[str]) -> tuple[Question, ...]:
    """What is asked where no header says in words known here that it is the club, or a distance."""
    taken = {column.header for column in column_map.columns}
    free = tuple(dict.fromkeys(text for text in header if text and text not in taken))
    asked = []
    if column_map.column(Field.CLUB) is None and free:
        asked.append(Question("columns.club.header", "which column is the club?", free))
    if column_map.column(Field.CARRY) is None and column_map.column(Field.TOTAL) is None and free:
        asked.append(Question("columns.carry.header", "which column is the carry?", free))
    return tuple(asked)
