"""Which column of a shot table is what: proposed from plain words in its header, and what is left to ask.

Nothing is guessed where a guess could corrupt a shot: a distance without a unit, a side without a known sign, a carry
that a header calls computed or corrected, and two columns that fit alike each leave a question. Without a unit an
angle is in degrees, a spin in rpm and a hang time in seconds, the only units such tables use.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from trainer.core.shot import CarryOrigin
from trainer.core.units import UNITS, unit_named
from trainer.exchange.table_numbers import is_blank, split_number, split_side
from trainer.exchange.table_rows import is_unit_row, why_no_shot


class Field(StrEnum):
    """What a column may be."""

    TIME = "time"
    PLAYER = "player"
    CLUB = "club"
    GRIP_DOWN = "grip_down"
    SWING = "swing"
    CARRY = "carry"
    TOTAL = "total"
    SIDE = "side"
    APEX = "apex"
    HANG = "hang"
    BALL_SPEED = "ball_speed"
    LAUNCH = "launch"
    SPIN = "spin"
    MISHIT = "mishit"
    DELETED = "deleted"
    TAGS = "tags"


KINDS: dict[Field, str] = {
    Field.GRIP_DOWN: "length",
    Field.CARRY: "length",
    Field.TOTAL: "length",
    Field.SIDE: "length",
    Field.APEX: "length",
    Field.HANG: "duration",
    Field.BALL_SPEED: "speed",
    Field.LAUNCH: "angle",
    Field.SPIN: "spin",
}
"""What a number in the column measures; other columns are words."""

USUAL_UNITS = {"duration": "s", "angle": "deg", "spin": "rpm"}
"""Units that need no asking."""

IN_CELL = "in cell"
"""The unit of a column whose every cell writes its own."""


class SideSign(StrEnum):
    """Which side a positive number is, or that each cell has its letter."""

    RIGHT = "right"
    LEFT = "left"
    LETTERS = "letters"


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
    """What each column is. None in `side_positive` or `carry_is` is a question still open."""

    columns: tuple[Column, ...]
    side_positive: SideSign | None = None
    carry_is: CarryOrigin | None = CarryOrigin.SEEN

    def column(self, field: Field) -> Column | None:
        """The column that is `field`, if any."""
        return next((column for column in self.columns if column.field is field), None)


@dataclass(frozen=True, slots=True)
class Question:
    """What the player must settle. `key` is the place in a column-map file, `choices` the answers."""

    key: str
    text: str
    choices: tuple[str, ...]


_WORDS: dict[Field, tuple[tuple[str, ...], ...]] = {
    Field.TIME: (("date time", "datetime", "timestamp", "recorded at"), ("time", "shot time", "when"), ("date",)),
    Field.PLAYER: (("player", "player name", "golfer", "alias"), ("name",)),
    Field.CLUB: (("club", "club name"), ("club type",)),
    Field.GRIP_DOWN: (("grip down", "gripdown"), ("grip",)),
    Field.SWING: (("swing", "swing length", "swing type"),),
    Field.CARRY: (("carry",),),
    Field.TOTAL: (("total",), ("finish",)),
    Field.SIDE: (
        ("side", "offline", "off line", "lateral", "carry side", "side carry", "side at carry", "carry offline"),
        ("deviation", "carry deviation", "lateral deviation"),
        ("side total", "total side", "total offline"),
    ),
    Field.APEX: (
        ("apex", "apex height", "peak height", "max height", "maximum height", "peak", "height apex"),
        ("height",),
    ),
    Field.HANG: (("hang", "hang time", "hangtime"), ("flight time", "time of flight", "air time", "airtime")),
    Field.BALL_SPEED: (("ball speed", "ballspeed"),),
    Field.LAUNCH: (("launch angle", "vertical launch angle", "launch angle vertical"), ("launch", "vertical launch")),
    Field.SPIN: (("spin rate", "spin", "total spin"), ("backspin", "back spin")),
    Field.MISHIT: (("mishit", "mis hit", "miss hit"),),
    Field.DELETED: (("deleted", "is deleted"),),
    Field.TAGS: (("tags", "tag"), ("note", "notes", "comment", "comments")),
}
"""Plain words for each column, the likelier first; a header's rank gives its confidence."""

_CONFIDENCE = (1.0, 0.8, 0.6)
_FILLERS = frozenset({"distance", "dist", "length", "value", "measured"})
_HINTS: dict[CarryOrigin, frozenset[str]] = {
    CarryOrigin.COMPUTED: frozenset(
        {"computed", "calculated", "calc", "calculation", "est", "estimated", "modelled"}
    ),
    CarryOrigin.CORRECTED: frozenset(
        {
            "corrected",
            "normalized",
            "normalised",
            "norm",
            "adjusted",
            "adj",
            "standardized",
            "standardised",
            "weather",
        }
    ),
}
_ALL_HINTS = frozenset().union(*_HINTS.values())
_SIGN_WORDS = frozenset({"positive", "plus", "pos"})
_BRACKETS = re.compile(r"[\[(]([^\[\]()]*)[\])]")
_RANKS = {words: (field, rank) for field, ranks in _WORDS.items() for rank, row in enumerate(ranks) for words in row}


@dataclass(frozen=True, slots=True)
class HeaderCell:
    """A header cell understood: the field it fits (None: none), its unit, rank, and the words that qualify it."""

    field: Field | None
    unit: str | None
    rank: int
    hints: frozenset[str]
    side_positive: SideSign | None


def read_header_cell(text: str) -> HeaderCell:
    """What `Carry (yd)`, `carry_m`, `Ball speed mph` or `Side [m, right +]` says."""
    folded = " ".join(text.replace("_", " ").lower().split())[:200]
    bracketed = [part.strip() for found in _BRACKETS.findall(folded) for part in found.split(",")]
    words = re.split(r"[\s\-.:,]+", _BRACKETS.sub(" ", folded).strip(" .:,"))
    units = [unit for part in bracketed if (unit := unit_named(part)) is not None]
    hint_words = frozenset(words) | frozenset(word.strip(".:") for part in bracketed for word in part.split())
    plain = [word for word in words if word not in _ALL_HINTS and word not in _SIGN_WORDS]
    field, rank = _fitting(plain)
    if field is None and len(plain) > 1 and (unit := unit_named(plain[-1])) is not None:
        field, rank = _fitting(plain[:-1])
        units = [*units, unit]
    kind = KINDS.get(field) if field else None
    matching = [unit for unit in units if UNITS[unit].kind == kind]
    return HeaderCell(
        field, matching[0] if matching else None, rank, hint_words & _ALL_HINTS, _stated_sign(folded, hint_words)
    )


def _fitting(words: list[str]) -> tuple[Field | None, int]:
    for candidate in (words, [word for word in words if word not in _FILLERS]):
        if found := _RANKS.get(" ".join(candidate)):
            return found
    return None, 0


def _stated_sign(folded: str, words: frozenset[str]) -> SideSign | None:
    """The sign that a header states: `right positive`, `right +`, `+ right`, `left is plus`."""
    sides = [side for side in (SideSign.RIGHT, SideSign.LEFT) if side.value in words]
    return sides[0] if len(sides) == 1 and ("+" in folded or words & _SIGN_WORDS) else None


def recognised(header: Sequence[str]) -> int:
    """How many different fields the cells of a header fit."""
    return len({cell.field for cell in map(read_header_cell, header) if cell.field is not None})


def propose_columns(header: Sequence[str], sample_rows: Sequence[Sequence[str]]) -> ColumnMap:
    """The likeliest map for a table with this header, judged by the rows given too (a row of units among them).

    A map with `questions` is not ready to read rows with.
    """
    units = next((row for row in sample_rows[:1] if is_unit_row(row)), ())
    cells = [read_header_cell(text) for text in header]
    club, player = _first_place(Field.CLUB, cells), _first_place(Field.PLAYER, cells)
    rows = [row for row in sample_rows if why_no_shot(row, header, club, player) is None]
    columns = []
    for field in Field:
        fitting = [index for index, cell in enumerate(cells) if cell.field is field]
        if fitting:
            columns.append(_best_column(field, fitting, header, cells, units, rows))
    by_field = {column.field: column for column in columns}
    carry, side = by_field.get(Field.CARRY), by_field.get(Field.SIDE)
    return ColumnMap(
        columns=tuple(columns),
        side_positive=_proposed_sign(side, header, rows),
        carry_is=None if carry and carry_hint(carry.header) else CarryOrigin.SEEN,
    )


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
    below = _column_cells(rows, best)
    said = {cells[best].unit, _unit_in_row(units, best, field)} - {None}
    unit = said.pop() if len(said) == 1 else None if said else _unit_of_cells(below, field)
    kind = KINDS.get(field)
    hinted = bool(cells[best].hints)
    return Column(
        field=field,
        header=header[best].strip(),
        unit=unit or (USUAL_UNITS.get(kind) if kind and not said else None),
        confidence=_CONFIDENCE[cells[best].rank] * (0.5 if rivals else 1.0) * (0.8 if hinted else 1.0),
        sample=below[0] if below else "",
        rivals=rivals,
    )


def _column_cells(rows: Sequence[Sequence[str]], index: int) -> list[str]:
    """The cells of a column that say anything."""
    return [row[index].strip() for row in rows if index < len(row) and not is_blank(row[index])]


def _unit_in_row(units: Sequence[str], index: int, field: Field) -> str | None:
    unit = unit_named(units[index].strip("()[] ")) if index < len(units) else None
    return unit if unit is not None and UNITS[unit].kind == KINDS.get(field) else None


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


def carry_hint(header: str) -> CarryOrigin | None:
    """What a carry column's header hints that the carry is, if anything: computed by a device, or corrected."""
    hints = read_header_cell(header).hints
    return next((origin for origin in reversed(_HINTS) if hints & _HINTS[origin]), None)


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
    side, carry = column_map.column(Field.SIDE), column_map.column(Field.CARRY)
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
