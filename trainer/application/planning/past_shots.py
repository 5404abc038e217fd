"""Stored shots as the agenda looks back on them: how far off each was, and whether it was seen to fly low."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from trainer.application.evidence.history import History, local
from trainer.application.evidence.known_tags import LOW_CHECKED, NOT_LOW, OVER_THE_LINE, UNDER_THE_LINE
from trainer.core.bag import Bag, Swing
from trainer.core.flight.delivery import reference_delivery
from trainer.core.flight.trajectory import fly
from trainer.core.schedule.progress import PastShot
from trainer.core.shot import ShotEntry
from trainer.store.records import ShotRecord

LOW_APEX_SHARE, LOW_HANG_SHARE, LOW_LAUNCH_SHARE = 0.80, 0.92, 0.92
"""A low shot's height, time in the air and launch are at most these shares of the same club's full swing in still air
(common practice: 35–55 % lower than a full shot of the same carry, 3–6° at launch)."""


@dataclass(frozen=True, slots=True)
class _FullSwing:
    apex_m: float
    hang_s: float
    launch_rad: float


def past_shots(history: History) -> tuple[PastShot, ...]:
    """Every shot hit with a club as it is now, oldest first."""
    full = _full_swings(history.profile.bag)
    shots = history.shots_that_count
    return tuple(_past(shot, full) for shot in sorted(shots, key=lambda shot: (local(shot.at), shot.id)))


def _past(shot: ShotRecord, full: Mapping[str, _FullSwing]) -> PastShot:
    entry = shot.entry
    error = None
    if entry.carry_m is not None and shot.target_m:
        error = (entry.carry_m - shot.target_m) / shot.target_m
    low = seen_low(entry, full[shot.cell.club]) if shot.cell.swing is not Swing.FULL else None
    return PastShot(local(shot.at).date(), shot.cell, error, low, vouched=LOW_CHECKED in entry.tags)


def seen_low(entry: ShotEntry, full: _FullSwing) -> bool | None:
    """Whether what was seen of a ball says that it flew low; None where nothing does, or not in one voice."""
    if {NOT_LOW, OVER_THE_LINE} & set(entry.tags):
        return False
    if {LOW_CHECKED, UNDER_THE_LINE} & set(entry.tags):
        return True
    if entry.mishit:
        return None
    measured = (
        (entry.apex_m, LOW_APEX_SHARE * full.apex_m),
        (entry.hang_s, LOW_HANG_SHARE * full.hang_s),
        (entry.launch_rad, LOW_LAUNCH_SHARE * full.launch_rad),
    )
    said = {value <= most for value, most in measured if value is not None}
    return said.pop() if len(said) == 1 else None


@lru_cache(maxsize=8)
def _full_swings(bag: Bag) -> Mapping[str, _FullSwing]:
    loft_rad = np.array([club.loft_rad for club in bag.clubs])
    delivery = reference_delivery(loft_rad, np.array([club.stock_carry_m for club in bag.clubs]))
    flight = fly(delivery.launch)
    launch_rad = np.asarray(delivery.launch.launch_rad)
    return {
        club.name: _FullSwing(float(flight.apex_m[i]), float(flight.flight_s[i]), float(launch_rad[i]))
        for i, club in enumerate(bag.clubs)
    }
