"""Full against low: beside a full swing the low shot that goes as far, beside a smaller one the full swing."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.application.estimates import CellFigures
from trainer.core.bag import Bag, Cell, Swing


def counterpart(cell: Cell, figures: Sequence[CellFigures], bag: Bag) -> Cell:
    """The shot to set beside `cell`: nearest to its still-air carry among those of the other kind.

    A full swing is set beside a gripped three-quarter swing with a longer club, a smaller swing beside a stock full
    one. With no longer club it is the club's own low shot.
    """
    wanted_m = next(each.still_air_carry_m.median for each in figures if each.cell == cell)
    if cell.swing is not Swing.FULL:
        others = [each for each in figures if each.cell.is_stock]
    else:
        names = [club.name for club in bag.clubs]
        longer = names[: names.index(cell.club)] or [cell.club]
        low = [each for each in figures if each.cell.swing is Swing.THREE_QUARTER and each.cell.club in longer]
        least_grip_m = min((each.cell.grip_down_m for each in low if each.cell.grip_down_m), default=0.0)
        others = [each for each in low if each.cell.grip_down_m == least_grip_m]
    nearest = min(others, key=lambda each: abs(each.still_air_carry_m.median - wanted_m))
    return nearest.cell
