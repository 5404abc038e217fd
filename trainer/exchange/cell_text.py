"""A cell as a player writes it: `7 iron, 1 in, three-quarter`."""

from __future__ import annotations

from trainer.core.bag import Bag, Cell, Swing, require_grip_down, swing_named
from trainer.core.errors import InputError
from trainer.core.units import UnitChoice, from_si, parse_quantity, to_si
from trainer.exchange.quantity_text import decimal_text, first_unprintable, shown_text

LONGEST_CELL = 100
"""Characters in a written cell."""

_GRIP_DECIMALS_M = 6


def parse_grip_down(text: str, bare_unit: str | None, where: str = "") -> float:
    """Grip-down in m from `1 in`, `2cm`, `none` or a bare number in `bare_unit`.

    Raises InputError for what is no length, has no unit where `bare_unit` is None, or is no place for hands.
    """
    if text.strip().lower() == "none":
        return 0.0
    grip_down_m = parse_quantity(text, "length", bare_unit, where)
    return kept_grip_down(grip_down_m, where)


def kept_grip_down(grip_down_m: float, where: str = "") -> float:
    """`grip_down_m` to the micrometre, so that 1 in and 2.54 cm are one cell and not two; InputError out of range."""
    return require_grip_down(round(grip_down_m, _GRIP_DECIMALS_M) + 0.0, where)


def print_grip_down(grip_down_m: float, unit: str) -> str:
    """`1 in`: the fewest decimals in `unit` that `parse_grip_down` reads as the same grip-down."""
    for decimals in range(_GRIP_DECIMALS_M):
        text = decimal_text(from_si(grip_down_m, unit), decimals)
        if round(to_si(float(text), unit), _GRIP_DECIMALS_M) == grip_down_m:
            return f"{text} {unit}"
    return f"{decimal_text(from_si(grip_down_m, unit), _GRIP_DECIMALS_M)} {unit}"


def parse_cell(text: str, bag: Bag, units: UnitChoice) -> Cell:
    """The cell that `text` names: the club, then grip-down and swing in either order, parted by commas.

    Left out they mean none and full. Raises InputError (its `where` is the part at fault) for a club that the bag
    does not hold, a part that is neither grip-down nor swing, and one said twice.
    """
    if len(text) > LONGEST_CELL or first_unprintable(text) is not None:
        raise InputError("this is no cell", shown_text(text), "write such as 7 iron, 1 in, three-quarter")
    name, *rest = [part.strip() for part in text.split(",")]
    club = bag.club(name, where=shown_text(text))
    swing: Swing | None = None
    grip_down_m: float | None = None
    for part in rest:
        named = _swing(part)
        if (swing if named else grip_down_m) is not None:
            what = "swing" if named else "grip-down"
            raise InputError(
                f"the {what} is said twice",
                shown_text(part),
                "write such as 7 iron, 2.5 cm, half, with a point",
            )
        if named:
            swing = named
        else:
            grip_down_m = _grip_down(part, units)
    return Cell(club.name, grip_down_m or 0.0, swing or Swing.FULL)


def _swing(part: str) -> Swing | None:
    try:
        return swing_named(part)
    except InputError:
        return None


def _grip_down(part: str, units: UnitChoice) -> float:
    where = shown_text(part)
    try:
        return parse_grip_down(part, units.grip, where)
    except InputError:
        if any(letter.isdigit() for letter in part):
            raise
        raise InputError(
            "this is neither a grip-down nor a swing", where, "write such as 1 in, and full, three-quarter or half"
        ) from None


def print_cell(cell: Cell, units: UnitChoice) -> str:
    """`cell` in writing, grip-down none and swing full left out; `parse_cell` reads it back."""
    parts = [cell.club]
    if cell.grip_down_m:
        parts.append(print_grip_down(cell.grip_down_m, units.grip))
    if cell.swing is not Swing.FULL:
        parts.append(cell.swing.value)
    return ", ".join(parts)
