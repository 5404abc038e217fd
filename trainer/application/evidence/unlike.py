"""Balls that are too far from what their shot is to be a strike or a mishit of it: topped, or another shot than said.

The model's mishit loses 18 % of its carry, 10 % more or less (`ClubPriors`). A ball that lost six tenths, or went
nearly twice as far, is out of reach of every part of it: taken at its word it would be explained by clubs that stray
and scatter as none does, and where there are few others no estimate would come of them at all.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from trainer.application.evidence.cells import Bench
from trainer.application.evidence.flown import wind_terms
from trainer.application.evidence.history import History
from trainer.core.shot import ShotEntry

TOO_SHORT, TOO_LONG = "far too short for a strike", "far too long for this shot"
CARRY_SHARES = (0.45, 1.8)
"""Of what the flight makes of the shot, the least and the most of still air and its wind, for a wind may be misread
(common practice, no source): a bag stated a third too long stays within."""

SPEED_SHARES = (0.6, 1.45)
"""Of the reference ball speed: carry grows as its power 1.6, so these are the same shares of it."""


def unlike(history: History, bench: Bench) -> dict[int, str]:
    """Ids of the balls that tell nothing of their shot, each with why. Marked mishits are told already."""
    shots = [shot for shot in history.shots_that_count if not shot.entry.mishit]
    cells = np.array([bench.index[shot.cell] for shot in shots], dtype=np.int64)
    terms = wind_terms(shots, cells, history, bench.unshifted)
    usual_mps = np.asarray(bench.unshifted.deliveries.launch.ball_speed_mps)[cells]
    found = {}
    for i, shot in enumerate(shots):
        carries_m = [terms.still_m[i], terms.carry_m[i]]
        speed_mps = shot.entry.ball_speed_mps
        if why := _of_carry(shot.entry, carries_m, terms.run_m[i]) or _why(speed_mps, [usual_mps[i]], SPEED_SHARES):
            found[shot.id] = why
    return found


def _of_carry(entry: ShotEntry, carries_m: Sequence[float], run_m: float) -> str:
    if entry.carry_m is not None:
        return _why(entry.carry_m, carries_m, CARRY_SHARES)
    return _why(entry.total_m, [carry_m + run_m for carry_m in carries_m], CARRY_SHARES)


def _why(seen: float | None, expected: Sequence[float], shares: tuple[float, float]) -> str:
    if seen is None:
        return ""
    if seen < shares[0] * min(expected):
        return TOO_SHORT
    return TOO_LONG if seen > shares[1] * max(expected) else ""
