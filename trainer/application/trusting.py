"""How far each cell's still-air carry may be trusted, for whoever does not need the whole gapping table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

import numpy as np

from trainer.application.history import History, local
from trainer.application.learning import Known
from trainer.application.trust import Trust, judge
from trainer.core.bag import Cell
from trainer.core.estimate import report


def hits_of(history: History) -> Mapping[Cell, list[datetime]]:
    """When each cell was hit with a club that is in the bag now."""
    moments: dict[Cell, list[datetime]] = {}
    for shot in history.shots:
        if shot.club_id in history.club_ids:
            moments.setdefault(shot.cell, []).append(local(shot.at))
    return moments


def trusts_of(history: History, known: Known, cells: Sequence[Cell], as_of: datetime) -> tuple[Trust, ...]:
    """The word for each of `cells`, as the gapping table says it."""
    posterior, index = known.posterior, known.bench.index
    at = np.array([index[cell] for cell in cells], dtype=np.int64)
    low, high = np.exp(report.quantiles(posterior.draws.eta[:, at], posterior.weights, (0.1, 0.9)))
    half = 0.5 * (high - low) * posterior.cells.stock_carry_m[posterior.cells.club[at]]
    hits = hits_of(history)
    return tuple(
        judge(float(width), len(hit), len({moment.date() for moment in hit}), max(hit, default=None), as_of)
        for width, hit in zip(half, (hits.get(cell, []) for cell in cells), strict=True)
    )
