"""Full against low: beside a full swing the low shot that goes as far, beside a smaller one the full swing."""

from __future__ import annotations

from collections.abc import Mapping

from trainer.core.bag import Bag, Cell, Swing


def counterpart(cell: Cell, still_air_m: Mapping[Cell, float], bag: Bag) -> Cell:
    """The shot to set beside `cell`: nearest to its still-air carry, m, among those of the other kind.

    A full swing is set beside a gripped three-quarter swing with a longer club, a smaller swing beside a stock full
    one. With no longer club it is the club's own low shot.
    """
    if cell.swing is not Swing.FULL:
        others = [other for other in still_air_m if other.is_stock]
    else:
        names = [club.name for club in bag.clubs]
        longer = names[: names.index(cell.club)] or [cell.club]
        low = [other for other in still_air_m if other.swing is Swing.THREE_QUARTER and other.club in longer]
        # The player's own steps: one ball hit with another grip is no shot to choose from by itself.
        least_grip_m = min((step_m for step_m in bag.grip_steps_m if step_m), default=0.0)
        others = [other for other in low if other.grip_down_m == least_grip_m]
    return min(others, key=lambda other: abs(still_air_m[other] - still_air_m[cell]))
