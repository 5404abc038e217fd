"""What was seen of a player's sides and runs, as evidence for the traits that go with his carry."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from trainer.application.history import History, wind_of
from trainer.application.learning import Known
from trainer.application.reading_error import reading_sd_mps
from trainer.core.conditions import UNKNOWN_WIND, Air, Turf
from trainer.core.decide.outcomes import PLAYERS, Traits
from trainer.core.estimate.traits import RUN, SideEvidence, ratio_draws, side_draws
from trainer.core.flight.still_air import WindEffects
from trainer.core.flight.wind import wind_field
from trainer.core.profile import Hand
from trainer.core.shot import CarryOrigin
from trainer.store.records import ShotRecord

LEAST_RUN_M = 1.0
"""A shorter run, seen or expected, has no useful ratio."""


def traits_of(history: History, known: Known, rng: np.random.Generator) -> Traits:
    """Draws of the player's side and run; those of a left-handed player are his mirror image's."""
    bench = known.bench
    hand = -1.0 if history.profile.hand is Hand.LEFT else 1.0
    told = [shot for shot in history.shots if _tells(shot, history)]
    effects = _expected(told, history, known)
    return Traits(
        side=side_draws(
            len(history.profile.bag.clubs), _sides(told, effects, history, known, hand), rng, draws=PLAYERS
        ),
        run=ratio_draws(bench.arrays, *_runs(told, effects, known), RUN, rng, draws=PLAYERS),
    )


def _tells(shot: ShotRecord, history: History) -> bool:
    entry = shot.entry
    return (
        shot.club_id in history.club_ids
        and entry.carry_m is not None
        and not entry.mishit
        and shot.carry_origin is CarryOrigin.SEEN
        and (entry.side_m is not None or entry.total_m is not None)
    )


def _expected(shots: Sequence[ShotRecord], history: History, known: Known) -> WindEffects:
    """What the flight expects of each shot; each distinct cell and wind flown once, all in one air and turf.

    The air and turf are those of the newest session: over a season they change a side by little and a run by less
    than its own prior.
    """
    newest = history.newest_session
    air, turf = (Air(), Turf.MEDIUM) if newest is None else (newest.air, newest.turf)
    fields = [wind_field(wind_of(history, shot)) for shot in shots]
    rows = np.array(
        [
            [known.bench.index[shot.cell], float(np.asarray(f.along_mps)), float(np.asarray(f.across_mps)),
             float(np.asarray(f.height_m))]
            for shot, f in zip(shots, fields, strict=True)
        ]
    ).reshape(-1, 4)  # fmt: skip
    distinct, back = np.unique(rows, axis=0, return_inverse=True)
    flown = known.bench.effects(
        distinct[:, 0].astype(np.int64), distinct[:, 1], distinct[:, 2], distinct[:, 3], air, turf
    )
    return WindEffects(*(getattr(flown, name)[back.reshape(-1)] for name in WindEffects.__dataclass_fields__))


def _sides(
    shots: Sequence[ShotRecord], effects: WindEffects, history: History, known: Known, hand: float
) -> SideEvidence:
    seen = np.array([shot.entry.side_m is not None for shot in shots], dtype=bool)
    own = [shot for shot in shots if shot.entry.side_m is not None]
    carry = np.array([shot.entry.carry_m or 1.0 for shot in own])
    side = np.array([shot.entry.side_m or 0.0 for shot in own])
    readings = list(dict.fromkeys(shot.reading_id for shot in own))
    club = known.bench.arrays.club
    return SideEvidence(
        club=np.array([club[known.bench.index[shot.cell]] for shot in own], dtype=np.int64),
        reading=np.array([readings.index(shot.reading_id) for shot in own], dtype=np.int64),
        side_rad=hand * side / carry,
        drift_rad=hand * effects.side_m[seen] / effects.carry_m[seen],
        drift_slope_rad_per_mps=effects.side_slope_across_m_per_mps[seen] / effects.carry_m[seen],
        across_sd_mps=np.array([_across_sd_mps(reading, history) for reading in readings]),
    )


def _across_sd_mps(reading_id: int | None, history: History) -> float:
    reading = history.readings.get(reading_id or 0)
    return max(reading_sd_mps(UNKNOWN_WIND if reading is None else reading.wind), 1e-3)


def _runs(shots: Sequence[ShotRecord], effects: WindEffects, known: Known) -> tuple[np.ndarray, np.ndarray]:
    """Cells (n,) and log of seen over expected run (n,) of the balls whose landing and stop were both seen."""
    cells, ratios = [], []
    for i, shot in enumerate(shots):
        entry, expected = shot.entry, float(effects.run_m[i])
        if entry.total_m is None or entry.carry_m is None or expected < LEAST_RUN_M:
            continue
        seen = entry.total_m - entry.carry_m
        if seen >= LEAST_RUN_M:
            cells.append(known.bench.index[shot.cell])
            ratios.append(float(np.log(seen / expected)))
    return np.array(cells, dtype=np.int64), np.array(ratios, dtype=np.float64)
