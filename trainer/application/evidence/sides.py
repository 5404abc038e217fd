"""The sides of a player's balls as evidence: of where he starts them, and of the wind across."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from trainer.application.evidence.cells import Bench
from trainer.application.evidence.flown import WindTerms
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.estimate.observations import Readings
from trainer.core.estimate.traits import SideEvidence
from trainer.core.shot import CarryOrigin
from trainer.store.records import ShotRecord


def on_the_line(shots: Sequence[ShotRecord], along: Floats, across: Floats) -> tuple[Floats, Floats]:
    """Slopes (n,) by the wind along and across a ball's own line, in the frame of the line the wind is read against.

    A reading is off along and across that line, whatever flag the ball was hit to: what is along for one flag is
    partly across for another, and the other way about behind the player.
    """
    bearing = np.array([shot.target_bearing_rad for shot in shots], dtype=np.float64)
    cos, sin = np.cos(bearing), np.sin(bearing)
    return along * cos - across * sin, along * sin + across * cos


def tells_side(shot: ShotRecord) -> bool:
    """Whether a ball's side says where it started and what the wind did."""
    entry = shot.entry
    seen = entry.carry_m is not None and entry.side_m is not None and shot.carry_origin is CarryOrigin.SEEN
    return seen and not entry.mishit


def side_evidence(
    shots: Sequence[ShotRecord], cells: Ints, bench: Bench, terms: WindTerms, readings: tuple[Ints, Readings]
) -> SideEvidence:
    """The sides of those of `shots` that tell them; `readings` are each shot's reading and the readings' errors."""
    of = np.array([tells_side(shot) for shot in shots], dtype=bool)
    told = [shot for shot, tells in zip(shots, of, strict=True) if tells]
    carry = np.array([shot.entry.carry_m or 1.0 for shot in told], dtype=np.float64)
    side = np.array([shot.entry.side_m or 0.0 for shot in told], dtype=np.float64)
    along, across = on_the_line(told, terms.side_slope_along_m_per_mps[of], terms.side_slope_across_m_per_mps[of])
    reading, errors = readings
    return SideEvidence(
        club=bench.arrays.club[cells[of]],
        reading=reading[of],
        side_rad=side / carry,
        drift_rad=terms.side_m[of] / terms.carry_m[of],
        slope_along=along / terms.carry_m[of],
        slope_across=across / terms.carry_m[of],
        along_sd_mps=np.hypot(errors.own_sd_mps, errors.shared_mps),
        across_sd_mps=errors.across_sd_mps,
    )


def mirrored(seen: SideEvidence) -> SideEvidence:
    """The same of the player's mirror image, for one who plays left-handed: what was right of the line is left of it.

    The wind across is mirrored with him, so its slope stays.
    """
    return SideEvidence(
        seen.club, seen.reading, -seen.side_rad, -seen.drift_rad, -seen.slope_along, seen.slope_across,
        seen.along_sd_mps, seen.across_sd_mps,
    )  # fmt: skip


def reading_places(shots: Sequence[ShotRecord], index: Mapping[int, int], without: int) -> Ints:
    """Each shot's reading (n,) among those of `index`; `without` stands for shots without one."""
    return np.array([index.get(shot.reading_id or 0, index.get(without, 0)) for shot in shots], dtype=np.int64)
