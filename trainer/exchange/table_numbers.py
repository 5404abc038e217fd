"""Numbers in table cells: which mark parts the decimals, what a blank is, which side `12.3 L` lies on."""

from __future__ import annotations

import math
import re
from enum import Enum
from typing import NamedTuple

from trainer.core.errors import InputError
from trainer.core.units import UNITS, to_si, unit_named
from trainer.exchange.plain_text import shown_text

BLANKS = frozenset({"", "-", "--", "---", "–", "—", "−", "n/a", "na", "nan", "null", "none"})
"""Cells that say nothing (in lower case)."""

_CELL = re.compile(r"([+\-−]?)\s*([0-9][0-9.,'’ \u00a0\u202f]*|[.,][0-9]+)\s*(.*)", re.DOTALL)
_SIDE_AFTER = re.compile(r"(.*?)\s*(left|right|l|r)\.?", re.IGNORECASE | re.DOTALL)
_SIDE_BEFORE = re.compile(r"(left|right|l|r)\.?\s*(.*)", re.IGNORECASE | re.DOTALL)
_PLAIN = re.compile(r"[0-9]{1,9}")
_ONE_MARK = re.compile(r"([0-9]{0,9})([.,])([0-9]{1,15})")
_LONGEST_CELL = 60
_SIMPLE = re.compile(r"[+-]?[0-9]{1,9}(?:[.]([0-9]{1,15}))?")
"""A number as most cells write it; the rest takes the longer way."""

_STEPS = tuple(float(f"1e-{decimals}") for decimals in range(16))


class DecimalMark(Enum):
    """What parts the decimals in a file. UNKNOWN: nothing in it tells whether 6,543 is six or six thousand."""

    POINT = "."
    COMMA = ","
    UNKNOWN = "?"


def is_blank(cell: str) -> bool:
    """Whether a cell says that nothing was seen."""
    return cell.strip().lower() in BLANKS


def split_number(cell: str) -> tuple[str, str, str] | None:
    """(sign, digits with their marks, what follows) of a cell that starts as a number; None for any other."""
    match = _CELL.fullmatch(cell.strip()) if len(cell) <= _LONGEST_CELL else None
    if match is None:
        return None
    return match[1].replace("−", "-"), match[2].rstrip(" \u00a0\u202f"), match[3].strip()


GREATEST_WRITTEN = {"length": 2000.0, "speed": 1000.0, "angle": 1000.0, "duration": 1000.0}
"""By kind, a number that no cell comes to in any unit: what would be as great with its mark parting thousands has a
mark that parts decimals. A spin comes to thousands."""


def gather_mark(cell: str, proven: set[str], greatest: float = math.inf) -> None:
    """Add to `proven` the mark that the number in `cell` proves, if any: one with other than three digits after it.

    No number is as great as `greatest`: a mark that would part its thousands parts decimals.
    """
    if ("." in cell and "." not in proven) or ("," in cell and "," not in proven):
        mark = _proven_mark(cell, greatest)
        if mark is not None:
            proven.add(mark)


def settled_mark(proven: set[str], delimiter: str) -> DecimalMark:
    """The mark of a file whose numbers prove those in `proven` (`gather_mark`).

    Where nothing is proven, a file parted by commas is taken to write points; in any other the mark stays unknown,
    as it does where both marks are proven.
    """
    if len(proven) == 1:
        return DecimalMark(next(iter(proven)))
    return DecimalMark.POINT if delimiter == "," and not proven else DecimalMark.UNKNOWN


def _proven_mark(cell: str, greatest: float) -> str | None:
    parts = split_number(split_side(cell)[0])
    match = _ONE_MARK.fullmatch(parts[1]) if parts else None
    if match is None or (_could_group(match[1], match[3]) and float(match[1] + match[3]) < greatest):
        return None
    return match[2]


def _could_group(before: str, after: str) -> bool:
    """Whether the mark between could part thousands."""
    return len(after) == 3 and 1 <= len(before) <= 3 and before != "0"


def parse_number(digits: str, mark: DecimalMark) -> tuple[float, int]:
    """The number that `digits` (no sign) write, and how many decimals it has.

    Raises InputError where they write none, or could write two.
    """
    if _PLAIN.fullmatch(digits):
        return float(digits), 0
    match = _ONE_MARK.fullmatch(digits)
    if match is not None:
        grouped = _could_group(match[1], match[3])
        if match[2] == mark.value or (mark is DecimalMark.UNKNOWN and not grouped):
            return float(f"{match[1] or 0}.{match[3]}"), len(match[3])
        if mark is DecimalMark.UNKNOWN:
            raise InputError(
                f"'{digits}' could be {match[1]}.{match[3]} or {match[1]}{match[3]}", remedy="write it without a mark"
            )
    return _grouped_number(digits, mark)


def _grouped_number(digits: str, mark: DecimalMark) -> tuple[float, int]:
    """`1,234.5`, `1.234,5`, `6 543`, `6'543`: whole groups of three, then perhaps decimals."""
    for decimal in ".," if mark is DecimalMark.UNKNOWN else mark.value:
        whole, _, decimals = digits.partition(decimal)
        separators = set(whole) - set("0123456789")
        groups = re.split("|".join(map(re.escape, separators)), whole) if len(separators) == 1 else []
        if (
            2 <= len(groups) <= 4
            and 1 <= len(groups[0]) <= 3
            and all(len(group) == 3 for group in groups[1:])
            and re.fullmatch("[0-9]{0,15}", decimals)
        ):
            return float(f"{''.join(groups)}.{decimals or 0}"), len(decimals)
    raise InputError(f"'{shown_text(digits)}' is no number", remedy="write it with one decimal mark")


def split_side(cell: str) -> tuple[str, int | None]:
    """(the cell without its letter, −1 for left or +1 for right or None) of `12.3 L`, `R 4`, `3 yd left`."""
    stripped = cell.strip()
    if len(stripped) > _LONGEST_CELL or unit_named(stripped.lstrip("+-−.,0123456789 ")) is not None:
        return stripped, None
    if match := _SIDE_BEFORE.fullmatch(stripped):
        rest, letter = match[2], match[1]
    elif match := _SIDE_AFTER.fullmatch(stripped):
        rest, letter = match[1], match[2]
    else:
        return stripped, None
    return rest.strip(), -1 if letter[0] in "lL" else 1


class Measure(NamedTuple):
    """A cell's number in SI, and the step that it was rounded to."""

    value: float
    step: float


def parse_measure(cell: str, kind: str, bare_unit: str | None, mark: DecimalMark) -> Measure:
    """A cell's number in SI of `kind`; a unit in the cell counts before `bare_unit`.

    Raises InputError (no `where`: the caller knows the row) for what is no number, a unit of another kind, and a
    number without a unit where `bare_unit` is None.
    """
    if bare_unit is not None and mark is DecimalMark.POINT and (simple := _SIMPLE.fullmatch(cell)) is not None:
        plain = UNITS[bare_unit]
        if plain.kind == kind:
            step = _STEPS[len(simple[1] or "")] * plain.factor
            return Measure(float(cell) * plain.factor + plain.offset + 0.0, step)
    parts = split_number(cell)
    if parts is None:
        raise InputError(f"'{shown_text(cell)}' is no number")
    sign, digits, written = parts
    unit = unit_named(written) if written else bare_unit
    if unit is None or UNITS[unit].kind != kind:
        what = f"'{shown_text(cell)}' has no unit" if not written else f"'{shown_text(written)}' is no unit of {kind}"
        raise InputError(what)
    number, decimals = parse_number(digits, mark)
    value = to_si(-number if sign == "-" else number, unit) + 0.0
    return Measure(value, to_si(_STEPS[decimals], unit))
