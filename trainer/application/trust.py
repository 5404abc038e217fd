"""How far an estimate may be trusted, in one word: guess, working, settled or stale.

The interval for the use at hand judges first, then shots, days and age. The numbers are common practice, no source.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from enum import StrEnum

SETTLED_HALF_WIDTH_M = 5 * 0.9144
WORKING_HALF_WIDTH_M = 10 * 0.9144
SETTLED_SHOTS, SETTLED_DAYS = 20, 3
WORKING_SHOTS, WORKING_DAYS = 8, 2
STALE_AFTER = timedelta(days=90)


class Trust(StrEnum):
    """The four words."""

    GUESS = "guess"
    WORKING = "working"
    SETTLED = "settled"
    STALE = "stale"


def judge(half_width_m: float, shots: int, days: int, last_hit: datetime | None, as_of: datetime) -> Trust:
    """The word for an estimate whose 80 % interval is ± `half_width_m`, from `shots` on `days` distinct days."""
    if shots == 0 or last_hit is None:
        return Trust.GUESS
    if as_of - last_hit > STALE_AFTER:
        return Trust.STALE
    if half_width_m <= SETTLED_HALF_WIDTH_M and shots >= SETTLED_SHOTS and days >= SETTLED_DAYS:
        return Trust.SETTLED
    if half_width_m <= WORKING_HALF_WIDTH_M and shots >= WORKING_SHOTS and days >= WORKING_DAYS:
        return Trust.WORKING
    return Trust.GUESS
