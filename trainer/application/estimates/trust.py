"""How far an estimate may be trusted, in one word: guess, working, settled or stale.

The interval for the use at hand judges first, then shots, days and age. The numbers are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from enum import StrEnum

import numpy as np

from trainer.application.estimates.learning import Known
from trainer.application.evidence.history import History, local
from trainer.core.bag import Cell
from trainer.core.estimate import report

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


def judge_hits(half_width_m: float, hits: Sequence[datetime], as_of: datetime) -> Trust:
    """The word for an estimate whose 80 % interval is ± `half_width_m`, from balls at the local moments `hits`."""
    return judge(half_width_m, len(hits), days_of(hits), max(hits, default=None), as_of)


def days_of(hits: Sequence[datetime]) -> int:
    """How many days balls at the local moments `hits` were hit on."""
    return len({moment.date() for moment in hits})


def hits_of(history: History) -> Mapping[Cell, Sequence[datetime]]:
    """When each cell was hit with a club that is in the bag now: local moments, mishits and unseen balls too."""
    moments: dict[Cell, list[datetime]] = {}
    for shot in history.shots:
        if shot.club_id in history.club_ids:
            moments.setdefault(shot.cell, []).append(local(shot.at))
    return moments


def trusts_of(history: History, known: Known, cells: Sequence[Cell], as_of: datetime) -> tuple[Trust, ...]:
    """The word for each of `cells` by its still-air carry, for whoever does not need the whole gapping table."""
    posterior, index = known.posterior, known.bench.index
    at = np.array([index[cell] for cell in cells], dtype=np.int64)
    low, high = np.exp(report.quantiles(posterior.draws.eta[:, at], posterior.weights, (0.1, 0.9)))
    half = 0.5 * (high - low) * posterior.cells.stock_carry_m[posterior.cells.club[at]]
    hits = hits_of(history)
    return tuple(
        judge_hits(width, hits.get(cell, ()), as_of) for width, cell in zip(half.tolist(), cells, strict=True)
    )
