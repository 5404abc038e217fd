"""Shots that flew like full ones though a smaller swing was said: asked about before they teach the low cell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from trainer.application.evidence.cells import Bench
from trainer.application.evidence.flown import wind_terms
from trainer.application.evidence.history import History
from trainer.application.evidence.known_tags import SURE
from trainer.application.evidence.own_flight import APEX_RELATIVE_SD, HANG_SD_S, LAUNCH_SD_RAD, LOG_SPIN_SD
from trainer.core.bag import Cell, Swing
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.estimate.identity import Features, flew_like_full
from trainer.store.records import ShotRecord

HIDDEN_SPREAD = 1.5
"""A cell's mean height and time differ from the flight's expectation too: its scatter is taken half as wide again."""


@dataclass(frozen=True, slots=True)
class _Expected:
    """Of each shot's cell (n,): height, time, launch and spin that the flight expects, with the strikes' scatter."""

    apex_m: Floats
    flight_s: Floats
    launch_rad: Floats
    spin_rad_s: Floats
    apex_sd_m: Floats
    flight_sd_s: Floats


def doubted(history: History, bench: Bench) -> frozenset[int]:
    """Ids of the shots to be asked about. One tagged `#sure` is believed, and one of which only carry was seen."""
    shots = [shot for shot in history.shots if _could_be_full(shot, history)]
    if not shots:
        return frozenset()
    said = np.array([bench.index[shot.cell] for shot in shots], dtype=np.int64)
    full = np.array([bench.index[Cell(shot.cell.club)] for shot in shots], dtype=np.int64)
    features = _features(shots, _expected(shots, said, history, bench), _expected(shots, full, history, bench))
    return frozenset(shot.id for shot, asked in zip(shots, flew_like_full(features).tolist(), strict=True) if asked)


def _could_be_full(shot: ShotRecord, history: History) -> bool:
    entry = shot.entry
    told = (entry.apex_m, entry.hang_s, entry.launch_rad, entry.spin_rad_s)
    return (
        shot.club_id in history.club_ids
        and shot.cell.swing is not Swing.FULL
        and not entry.mishit
        and SURE not in entry.tags
        and any(value is not None for value in told)
    )


def _features(shots: Sequence[ShotRecord], said: _Expected, full: _Expected) -> Features:
    seen, known, errors = [], [], []
    for shot in shots:
        entry = shot.entry
        values = (entry.apex_m, entry.hang_s, entry.launch_rad, entry.spin_rad_s)
        apex_error = APEX_RELATIVE_SD[shot.seen] * (entry.apex_m or 0.0)
        seen.append([value or 0.0 for value in values])
        known.append([value is not None for value in values])
        errors.append([apex_error, HANG_SD_S, LAUNCH_SD_RAD, LOG_SPIN_SD * (entry.spin_rad_s or 0.0)])
    error = np.array(errors)
    return Features(
        seen=np.array(seen),
        known=np.array(known, dtype=bool),
        said_mean=_means(said),
        said_sd=np.hypot(_sds(said), error),
        full_mean=_means(full),
        full_sd=np.hypot(_sds(full), error),
    )


def _means(expected: _Expected) -> Floats:
    return np.stack([expected.apex_m, expected.flight_s, expected.launch_rad, expected.spin_rad_s], axis=1)


def _sds(expected: _Expected) -> Floats:
    launch = np.full(len(expected.apex_m), np.deg2rad(2.0))
    sds = [expected.apex_sd_m, expected.flight_sd_s, launch, 0.15 * expected.spin_rad_s]
    return HIDDEN_SPREAD * np.stack(sds, axis=1)


def _expected(shots: Sequence[ShotRecord], cells: Ints, history: History, bench: Bench) -> _Expected:
    """What the flight expects of `cells` (n,) in the winds of `shots`."""
    terms = wind_terms(shots, cells, history, bench)
    launch = bench.deliveries.launch
    return _Expected(
        apex_m=terms.apex_m,
        flight_s=terms.flight_s,
        launch_rad=np.asarray(launch.launch_rad)[cells],
        spin_rad_s=np.asarray(launch.spin_rad_s)[cells],
        apex_sd_m=terms.apex_sd_m,
        flight_sd_s=terms.flight_sd_s,
    )
