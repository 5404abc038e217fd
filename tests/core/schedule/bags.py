"""An invented bag and what its cells carry, for the tests."""

from __future__ import annotations

import math

from trainer.core.bag import Bag, Cell, Club, Swing

_LOFTS_AND_CARRIES = {
    "5 iron": (24, 155.0),
    "6 iron": (27, 146.0),
    "7 iron": (31, 137.0),
    "8 iron": (35, 128.0),
    "9 iron": (39, 118.0),
    "pitching wedge": (44, 107.0),
    "sand wedge": (56, 78.0),
}
BAG = Bag(
    tuple(
        Club(name, math.radians(loft_deg), 0.95, carry_m) for name, (loft_deg, carry_m) in _LOFTS_AND_CARRIES.items()
    )
)
_OF_FULL = {Swing.FULL: 1.0, Swing.THREE_QUARTER: 0.87, Swing.HALF: 0.68}


def carry_m(cell: Cell) -> float:
    """2.5 % less an inch, fixed factors for the swings."""
    return BAG.club(cell.club).stock_carry_m * (1 - 0.025 * cell.grip_down_m / 0.0254) * _OF_FULL[cell.swing]
