"""Stored shots turned into arrays for the club model.

The wind effect of a shot is that of its cell's reference delivery, flown in the shot's own wind and air and turned
to its target. What a shot cannot tell (a marked mishit, a ball not seen, a zone, a club since changed) is counted
and left out.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from trainer.application.cells import Bench
from trainer.application.history import History, local, wind_of
from trainer.core.conditions import (
    CALM_WIND_SD_MPS,
    UNKNOWN_WIND_SD_MPS,
    Air,
    Ball,
    ReadingMethod,
    Seen,
    Surface,
    Turf,
    Wind,
    WindKnowledge,
    WindPlace,
)
from trainer.core.estimate.evidence import Evidence, Floats
from trainer.core.flight.wind import SHELTER_FACTOR_SD, wind_field
from trainer.core.shot import CarryOrigin
from trainer.core.units import to_si
from trainer.store.records import ShotRecord

SEEN_SD_M = {
    Seen.EYE: to_si(7, "yd"),
    Seen.FLAG: to_si(4, "yd"),
    Seen.LASER: to_si(3, "yd"),
    Seen.DEVICE: to_si(1.5, "yd"),
}
"""How far off a carry is seen at 150 yd, one s.d. (common practice, no source)."""

RUN_RELATIVE_SD = 0.5
"""How far off the calculated run is when a carry is worked back from where the ball stopped (common practice)."""

GUST_SD_ABOVE_MEAN = 2.6
"""A 3 s gust stands about 2.6 s.d. above the mean of 10 minutes (Harper, Kepert & Ginger 2010, WMO/TD-1555)."""

READING_SD_MPS = {ReadingMethod.FORECAST: 2.0, ReadingMethod.FELT: 2.5}
METER_RELATIVE_SD, METER_LEAST_SD_MPS = 0.15, 1.0
"""S.d. of a reading by its method, for a hand meter a share of it (±10–20 %, WMO-No. 8 and common practice)."""


def reading_sd_mps(wind: Wind) -> float:
    """S.d. of a wind's component along any line, m/s, by how it is known."""
    if wind.knowledge is WindKnowledge.UNKNOWN:
        return UNKNOWN_WIND_SD_MPS
    if wind.knowledge is WindKnowledge.CALM:
        return CALM_WIND_SD_MPS
    if wind.knowledge is WindKnowledge.STATED:
        return 0.0
    sheltered = SHELTER_FACTOR_SD * wind.speed_mps if wind.place is WindPlace.BAY else 0.0
    if wind.method is ReadingMethod.METER:
        own = max(METER_RELATIVE_SD * wind.speed_mps, METER_LEAST_SD_MPS)
    else:
        own = READING_SD_MPS[wind.method]
    return math.hypot(own, sheltered)


@dataclass(frozen=True, slots=True)
class GatheredEvidence:
    """Arrays for the model, and where each reading and day of the history sits in them.

    `NO_READING` stands for the wind of shots without any. `left_out` counts shots by why they tell no carry.
    """

    arrays: Evidence
    reading_index: dict[int, int]
    day_index: dict[date, int]
    left_out: dict[str, int]


NO_READING = -1


def gather(history: History, bench: Bench) -> GatheredEvidence:
    """The evidence of a history for the cells of `bench`."""
    telling: list[ShotRecord] = []
    left_out: dict[str, int] = defaultdict(int)
    for shot in history.shots:
        why = _why_not(shot, history)
        if why:
            left_out[why] += 1
        else:
            telling.append(shot)
    readings, days = _indices(telling, history)
    sds = [UNKNOWN_WIND_SD_MPS] * len(readings)
    for reading_id, position in readings.items():
        if reading_id != NO_READING:
            sds[position] = reading_sd_mps(history.readings[reading_id].wind)
    arrays = _arrays(telling, history, bench, readings, days, np.maximum(np.array(sds, dtype=np.float64), 1e-6))
    return GatheredEvidence(arrays, readings, days, dict(left_out))


def _why_not(shot: ShotRecord, history: History) -> str:
    """Why a shot tells no carry; empty where it does."""
    if shot.club_id not in history.club_ids:
        return "a club since changed"
    if shot.entry.mishit:
        return "mishit"
    if shot.entry.carry_m is None and shot.entry.total_m is None:
        return "zone only" if shot.entry.depth or shot.entry.width else "not seen"
    return ""


def _indices(shots: Sequence[ShotRecord], history: History) -> tuple[dict[int, int], dict[date, int]]:
    readings: dict[int, int] = {}
    days: dict[date, int] = {}
    for reading_id in history.readings:
        readings.setdefault(reading_id, len(readings))
    for shot in shots:
        if shot.reading_id not in history.readings:
            readings.setdefault(NO_READING, len(readings))
        days.setdefault(local(shot.at).date(), len(days))
    return readings, days


@dataclass(frozen=True, slots=True)
class _WindTerms:
    """Per shot (n,): carry of the reference delivery still and in its wind, its slope there, and its run."""

    still_m: Floats
    carry_m: Floats
    slope_m_per_mps: Floats
    run_m: Floats


def _wind_terms(shots: Sequence[ShotRecord], cells: np.ndarray, history: History, bench: Bench) -> _WindTerms:
    """One flight for each distinct cell, wind and air: an evening has a few dozen, however many balls it has."""
    terms = np.zeros((4, len(shots)))
    groups: dict[tuple[Air, Turf], list[int]] = defaultdict(list)
    for i, shot in enumerate(shots):
        session = history.sessions[shot.session_id]
        groups[session.air, session.turf].append(i)
    for (air, turf), members in groups.items():
        fields = [wind_field(wind_of(history, shots[i])) for i in members]
        keys = np.array(
            [[cells[i], f.along_mps, f.across_mps, f.height_m] for i, f in zip(members, fields, strict=True)]
        )
        distinct, inverse = np.unique(keys, axis=0, return_inverse=True)
        effects = bench.effects(
            distinct[:, 0].astype(np.int64), distinct[:, 1], distinct[:, 2], distinct[:, 3], air, turf
        )
        values = np.stack([effects.carry_still_m, effects.carry_m, effects.slope_along_m_per_mps, effects.run_m])
        terms[:, members] = values[:, inverse.ravel()]
    return _WindTerms(*terms)


def _arrays(
    shots: Sequence[ShotRecord],
    history: History,
    bench: Bench,
    readings: dict[int, int],
    days: dict[date, int],
    sd_mps: Floats,
) -> Evidence:
    cells = np.array([bench.index[shot.cell] for shot in shots], dtype=np.int64)
    terms = _wind_terms(shots, cells, history, bench)
    total_only = np.array([shot.entry.carry_m is None for shot in shots], dtype=bool)
    seen_m = np.array([shot.entry.carry_m or shot.entry.total_m or np.nan for shot in shots], dtype=np.float64)
    run_m = np.where(total_only, terms.run_m, 0.0)
    # A ball that stopped nearer than it can have run leaves a fifth of its distance as carry, with a wide error.
    carry_m = np.maximum(seen_m - run_m, 0.2 * seen_m)
    still = np.array([shot.carry_origin is not CarryOrigin.SEEN for shot in shots], dtype=bool)
    spread_m = _seen_sd_m(shots, history, terms, seen_m, run_m)
    return Evidence(
        cell=cells,
        reading=np.array(
            [readings.get(shot.reading_id or 0, readings.get(NO_READING, 0)) for shot in shots], dtype=np.int64
        ),
        day=np.array([days[local(shot.at).date()] for shot in shots], dtype=np.int64),
        carry_m=carry_m,
        wind_log=np.where(still, 0.0, np.log(terms.carry_m / terms.still_m)),
        wind_slope_per_mps=np.where(still, 0.0, terms.slope_m_per_mps / terms.carry_m),
        seen_sd_log=spread_m / carry_m,
        range_ball=np.array([float(shot.ball is Ball.RANGE) for shot in shots]),
        mat=np.array([float(shot.surface is Surface.MAT) for shot in shots]),
        computed=np.array([float(shot.carry_origin is CarryOrigin.COMPUTED) for shot in shots]),
        reading_sd_mps=sd_mps,
        days=len(days),
    )


def _seen_sd_m(
    shots: Sequence[ShotRecord], history: History, terms: _WindTerms, seen_m: Floats, run_m: Floats
) -> Floats:
    """S.d. (n,), m, of each carry as it was seen: eyes and device, rounding, run worked back, gusts."""
    scale = np.clip(seen_m / to_si(150, "yd"), 0.5, 1.5)
    seen = np.array([SEEN_SD_M[shot.seen] for shot in shots]) * scale
    rounding = np.array([shot.entry.resolution_m or 0.0 for shot in shots]) / np.sqrt(12)
    gust = np.array([_gust_sd_mps(wind_of(history, shot), shot) for shot in shots])
    return np.asarray(
        np.sqrt(seen**2 + rounding**2 + (RUN_RELATIVE_SD * run_m) ** 2 + (gust * terms.slope_m_per_mps) ** 2)
    )


def _gust_sd_mps(wind: Wind, shot: ShotRecord) -> float:
    """S.d. of the wind about its mean from ball to ball; a ball marked gust or lull met a wind less sure."""
    gust_sd = 0.0 if wind.gust_mps is None else max(wind.gust_mps - wind.speed_mps, 0.0) / GUST_SD_ABOVE_MEAN
    return gust_sd if shot.mark is None else max(2 * gust_sd, 0.3 * wind.speed_mps)
