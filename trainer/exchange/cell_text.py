"""A cell as a player writes it: `7 iron, 1 in, three-quarter`."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.core.bag import SAME_GRIP_M, USUAL_GRIP_STEPS_M, Bag, Cell, Swing, require_grip_down, swing_named
from trainer.core.errors import InputError
from trainer.core.units import UnitChoice, from_si, parse_quantity, to_si
from trainer.exchange.plain_text import first_unprintable, shown_text
from trainer.exchange.quantity_text import decimal_text

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
    """`grip_down_m` to the micrometre, or the usual step that it means; InputError out of range.

    Else 1 in, 2.54 cm and 2.5 cm were three cells, and the balls of a plan in inches no evidence for a player who
    types centimetres.
    """
    return require_grip_down(_meant(grip_down_m), where)


def _meant(grip_down_m: float) -> float:
    written_m = round(grip_down_m, _GRIP_DECIMALS_M) + 0.0
    near = (step for step in USUAL_GRIP_STEPS_M[1:] if round(abs(written_m - step), _GRIP_DECIMALS_M) < SAME_GRIP_M)
    return next(near, written_m)


def print_grip_down(grip_down_m: float, unit: str) -> str:
    """`1 in`: the fewest decimals in `unit` that `parse_grip_down` reads as the same grip-down."""
    for decimals in range(_GRIP_DECIMALS_M):
        text = decimal_text(from_si(grip_down_m, unit), decimals)
        if _meant(to_si(float(text), unit)) == grip_down_m:
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
    return Cell(club.name, *parse_grip_and_swing(rest, units.grip))


def parse_grip_and_swing(parts: Sequence[str], bare_unit: str | None) -> tuple[float, Swing]:
    """Grip-down (m) and swing from what follows a club, in either order; left out they mean none and full.

    A bare number is in `bare_unit`; where that is None it needs a unit. Raises InputError as `parse_cell` does.
    """
    swing: Swing | None = None
    grip_down_m: float | None = None
    for part in parts:
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
            grip_down_m = _grip_down(part, bare_unit)
    return grip_down_m or 0.0, swing or Swing.FULL


def _swing(part: str) -> Swing | None:
    try:
        return swing_named(part)
    except InputError:
        return None


def _grip_down(part: str, bare_unit: str | None) -> float:
    where = shown_text(part)
    try:
        return parse_grip_down(part, bare_unit, where)
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
