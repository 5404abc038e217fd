"""Balls that are too far from what their shot is to be a strike or a mishit of it: topped, or another shot than said.

The model's mishit loses 18 % of its carry, 10 % more or less (`ClubPriors`). A ball that lost six tenths, or went
nearly twice as far, is out of reach of every part of it: taken at its word it would be explained by clubs that stray
and scatter as none does, and where there are few others no estimate would come of them at all.
"""

from __future__ import annotations

import numpy as np

from trainer.application.evidence.cells import Bench
from trainer.application.evidence.flown import wind_terms
from trainer.application.evidence.history import History
from trainer.store.records import ShotRecord

TOO_SHORT, TOO_LONG = "far too short for a strike", "far too long for this shot"
CARRY_SHARES = (0.45, 1.8)
"""Of what the flight makes of the shot, the least and the most of still air and its wind, for a wind may be misread
(common practice, no source): a bag stated a third too long stays within."""

SPEED_SHARES = (0.6, 1.45)
"""Of the reference ball speed: carry grows as its power 1.6, so these are the same shares of it."""


def unlike(history: History, bench: Bench) -> dict[int, str]:
    """Ids of the balls that tell nothing of their shot, each with why. Marked mishits are told already."""
    shots = [shot for shot in history.shots if shot.club_id in history.club_ids and not shot.entry.mishit]
    cells = np.array([bench.index[shot.cell] for shot in shots], dtype=np.int64)
    terms = wind_terms(shots, cells, history, bench.unshifted)
    usual_mps = np.asarray(bench.unshifted.deliveries.launch.ball_speed_mps)[cells]
    found = {}
    for i, shot in enumerate(shots):
        distance_m, speed_mps = _distance_m(shot), shot.entry.ball_speed_mps
        expected_m = (float(terms.still_m[i]), float(terms.carry_m[i]))
        if shot.entry.carry_m is None:
            expected_m = (expected_m[0] + float(terms.run_m[i]), expected_m[1] + float(terms.run_m[i]))
        usual = (float(usual_mps[i]), float(usual_mps[i]))
        if why := _why(distance_m, expected_m, CARRY_SHARES) or _why(speed_mps, usual, SPEED_SHARES):
            found[shot.id] = why
    return found


def _distance_m(shot: ShotRecord) -> float | None:
    return shot.entry.total_m if shot.entry.carry_m is None else shot.entry.carry_m


def _why(seen: float | None, expected: tuple[float, float], shares: tuple[float, float]) -> str:
    if seen is None:
        return ""
    if seen < shares[0] * min(expected):
        return TOO_SHORT
    return TOO_LONG if seen > shares[1] * max(expected) else ""
