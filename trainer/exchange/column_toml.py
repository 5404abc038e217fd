"""A column map as a TOML file, and back, so that the same kind of table is asked about once.

```toml
format = 1
side_positive = "right"      # right, left, letters
carry_is = "seen"            # seen, computed, corrected
day_order = "day first"      # day first, month first, year first: of dates such as 03/05/2025

[columns.club]
header = "Club"

[columns.carry]
header = "Carry"
unit = "yd"                  # or "in cell"
```
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import tomli_w

from trainer.core.errors import InputError
from trainer.core.key_lines import Path, key_lines
from trainer.core.shot import CarryOrigin
from trainer.core.units import UNITS, unit_named
from trainer.exchange.plain_text import Word, shown_text, word_named
from trainer.exchange.table_columns import IN_CELL, USUAL_UNITS, Column, ColumnMap
from trainer.exchange.table_times import DayOrder
from trainer.exchange.table_words import KINDS, Field, SideSign, carry_hint
from trainer.exchange.toml_text import StrictModel, place, read_toml, require_format

FORMAT = 1
LONGEST_HEADER = 200


class _Column(StrictModel):
    header: str
    unit: str | None = None


class _File(StrictModel):
    format: int
    side_positive: str | None = None
    carry_is: str | None = None
    day_order: str | None = None
    columns: dict[str, _Column]


def column_map_from_toml(text: str, name: str) -> ColumnMap:
    """The column map in `text`; `name` is the file's, for errors. Its columns are sure: the player wrote them.

    Raises InputError (`name:line: key: what; remedy`) for unknown keys, fields, units and words. A unit or a side's
    sign that is left out stays a question, as does `carry_is` where the header hints that it was not simply seen.
    """
    file = read_toml(text, name, _File)
    lines = key_lines(text)
    require_format(file.format, FORMAT, place(lines, name, ("format",)))
    found = {key: _column(key, column, lines, name) for key, column in file.columns.items()}
    return ColumnMap(
        columns=tuple(found[field.value] for field in Field if field.value in found),
        side_positive=_word(SideSign, file.side_positive, place(lines, name, ("side_positive",))),
        carry_is=_carry_is(file, place(lines, name, ("carry_is",))),
        day_order=_word(DayOrder, file.day_order, place(lines, name, ("day_order",))),
    )


def _word(kind: type[Word], written: str | None, where: str) -> Word | None:
    """The member of `kind` that is written; None where nothing is."""
    return None if written is None else word_named(kind, written, where)


def _carry_is(file: _File, where: str) -> CarryOrigin | None:
    """What the file says, else seen; a header that hints otherwise leaves the question open."""
    if file.carry_is is not None:
        return _word(CarryOrigin, file.carry_is, where)
    carry = file.columns.get(Field.CARRY.value)
    return None if carry is not None and carry_hint(carry.header) else CarryOrigin.SEEN


def _column(key: str, written: _Column, lines: Mapping[Path, int], name: str) -> Column:
    fields = {field.value: field for field in Field}
    if key not in fields:
        raise _unknown_word(key, place(lines, name, ("columns", key)), list(fields))
    if not written.header.strip() or len(written.header) > LONGEST_HEADER:
        raise InputError(
            "this is no header", place(lines, name, ("columns", key, "header")), "copy it from the table"
        )
    kind = KINDS.get(fields[key])
    unit = written.unit
    if unit is None:
        unit = USUAL_UNITS.get(kind) if kind else None
    elif unit != IN_CELL or kind is None:
        unit = unit_named(unit)
        if unit is None or kind is None or UNITS[unit].kind != kind:
            units = [known for known, value in UNITS.items() if value.kind == kind] + [IN_CELL]
            raise _unknown_word(
                written.unit or "", place(lines, name, ("columns", key, "unit")), units if kind else ["no unit here"]
            )
    return Column(fields[key], written.header.strip(), unit)


def _unknown_word(text: str, where: str, known: list[str]) -> InputError:
    return InputError(f"'{shown_text(text)}' is not known here", where, f"use {', '.join(known)}")


def column_map_to_toml(column_map: ColumnMap) -> str:
    """`column_map` as TOML. A proposal's confidence, sample and rivals are not kept: what is written holds."""
    table: dict[str, Any] = {"format": FORMAT}
    if column_map.side_positive is not None:
        table["side_positive"] = column_map.side_positive.value
    if column_map.carry_is is not None:
        table["carry_is"] = column_map.carry_is.value
    if column_map.day_order is not None:
        table["day_order"] = column_map.day_order.value
    table["columns"] = {
        column.field.value: {"header": column.header} | ({"unit": column.unit} if column.unit is not None else {})
        for column in column_map.columns
    }
    return tomli_w.dumps(table)
