"""Stored shots turned into arrays for the club model.

The wind effect of a shot is that of its cell's reference delivery, flown in the shot's own wind and air and turned
to its target, or its own where its launch, time in the air or height was seen.

A number says where the ball carried, a zone between what bounds, a ball not seen only that it was hit.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

import numpy as np

from trainer.application.evidence.cells import Bench
from trainer.application.evidence.doubted import doubted
from trainer.application.evidence.flown import WindTerms, wind_terms
from trainer.application.evidence.history import History, local, wind_of
from trainer.application.evidence.own_delivery import response_told
from trainer.application.evidence.own_flight import has_launch_data, own_flights
from trainer.application.evidence.reading_error import gust_sd_mps, readings_of
from trainer.application.evidence.sides import on_the_line, reading_places, side_evidence
from trainer.application.evidence.unlike import TOO_SHORT, unlike
from trainer.core.conditions import Ball, Seen, Surface
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.estimate.observations import Bools, Observations
from trainer.core.estimate.traits import wind_told
from trainer.core.profile import Profile
from trainer.core.shot import CarryOrigin, Depth, ShotEntry
from trainer.core.units import to_si
from trainer.store.records import ShotRecord

SEEN_SD_M = {
    Seen.EYE: to_si(6, "yd"),
    Seen.FLAG: to_si(4, "yd"),
    Seen.LASER: to_si(3, "yd"),
    Seen.DEVICE: to_si(1.5, "yd"),
}
"""How far off a carry is seen at 150 yd, one s.d. from ball to ball (common practice); an eye's day is apart."""

RUN_RELATIVE_SD = 0.5
"""How far off the calculated run is when a carry is worked back from where the ball stopped (common practice)."""

LEAST_TELLING_SHARE = 0.2
"""A shot whose reference flight carries less of its still-air carry than this tells nothing of its club."""

LEAST_SPREAD_LOG = 0.005
"""No strike repeats to half a hundredth of its carry."""

NO_READING = -1
"""Stands for the wind of shots without any reading."""


@dataclass(frozen=True, slots=True)
class GatheredEvidence:
    """Arrays for the model, and where each reading and day of the history sits in them.

    `left_out` counts shots that the model is not told of, by why; `silent` those that tell it no carry. `asked` are
    ids of shots that flew like full ones: they tell no carry until the player says what they were. `unlike` are those
    that nothing of their shot can have been.
    """

    observations: Observations
    reading_index: dict[int, int]
    day_index: dict[date, int]
    left_out: dict[str, int]
    silent: dict[str, int]
    asked: tuple[int, ...]
    unlike: tuple[int, ...]


def gather(history: History, bench: Bench, as_of: datetime) -> GatheredEvidence:
    """The evidence of a history for the cells of `bench`, as it is on the day of `as_of`."""
    used = history.shots_that_count
    readings = _reading_index(used, history)
    days = {day: i for i, day in enumerate(dict.fromkeys(local(shot.at).date() for shot in used))}
    asked = doubted(history, bench)
    unfit = unlike(history, bench) | dict.fromkeys(asked, "flew like a full one")
    silent: dict[str, int] = defaultdict(int)
    for shot in used:
        if why := _why_silent(shot, unfit):
            silent[why] += 1
    changed = len(history.shots) - len(used)
    told = _silenced(used, unfit)
    cells = np.array([bench.index[shot.cell] for shot in told], dtype=np.int64)
    terms = wind_terms(told, cells, history, bench)
    if blown := sum(
        back and not _why_silent(shot, unfit) for shot, back in zip(used, _blown_back(terms), strict=True)
    ):
        silent["in a wind this shot cannot carry into"] = int(blown)
    return GatheredEvidence(
        observations=_observations(told, cells, terms, history, bench, readings, days, as_of),
        reading_index=readings,
        day_index=days,
        left_out={"a club since changed": changed} if changed else {},
        silent=dict(silent),
        asked=tuple(sorted(asked)),
        unlike=tuple(sorted(unfit.keys() - asked)),
    )


def _silenced(shots: Sequence[ShotRecord], unfit: Mapping[int, str]) -> list[ShotRecord]:
    """The shots; those that are `unfit` as balls that were hit and not seen, the too short ones as mishits."""
    return [
        shot
        if (why := unfit.get(shot.id)) is None
        else replace(shot, entry=ShotEntry(mishit=True) if why == TOO_SHORT else ShotEntry(unseen=True))
        for shot in shots
    ]


def _why_silent(shot: ShotRecord, unfit: Mapping[int, str]) -> str:
    """Why a shot tells no carry of its club; empty where it does."""
    entry = shot.entry
    if shot.id in unfit:
        return unfit[shot.id]
    if entry.mishit:
        return "mishit"
    if entry.carry_m is not None or entry.total_m is not None or has_launch_data(shot):
        return ""
    if entry.depth is None:
        return "not seen" if entry.width is None else "side only"
    return "" if shot.target_m is not None else "zone without a target"


def _reading_index(shots: Sequence[ShotRecord], history: History) -> dict[int, int]:
    index = {reading_id: i for i, reading_id in enumerate(history.readings)}
    if any(shot.reading_id not in history.readings for shot in shots):
        index[NO_READING] = len(index)
    return index


def _blown_back(terms: WindTerms) -> Bools:
    """Which shots (n,) the flight hardly sends ahead in the wind as read: there its logs and slopes mean nothing."""
    return np.asarray(terms.carry_m < LEAST_TELLING_SHARE * terms.still_m)


def _observations(
    shots: Sequence[ShotRecord],
    cells: Ints,
    terms: WindTerms,
    history: History,
    bench: Bench,
    readings: dict[int, int],
    days: dict[date, int],
    as_of: datetime,
) -> Observations:
    own = own_flights(shots, cells, history, bench, terms)
    low_m, high_m, run_m = _carry_bounds(shots, history.profile, terms)
    lost = _blown_back(terms)
    low_m, high_m = np.where(lost, 0.0, low_m), np.where(lost, np.inf, high_m)
    windy = ~lost & np.array([shot.carry_origin is CarryOrigin.SEEN for shot in shots], dtype=bool)
    slope = np.where(own.told, own.along_per_mps, terms.slope_m_per_mps / terms.carry_m) * windy
    beside = np.where(own.told, own.across_per_mps, terms.across_slope_m_per_mps / terms.carry_m) * windy
    along, across = on_the_line(shots, slope, beside)
    reading = reading_places(shots, readings, NO_READING)
    errors = readings_of([None if key == NO_READING else history.readings[key].wind for key in readings])
    sides = side_evidence(shots, cells, bench, terms, (reading, errors))
    return Observations(
        cell=cells,
        reading=reading,
        day=np.array([days[local(shot.at).date()] for shot in shots], dtype=np.int64),
        low_m=low_m,
        high_m=high_m,
        wind_log=np.where(windy & ~own.told, np.log(terms.carry_m / terms.still_m), 0.0),
        wind_slope_per_mps=along,
        across_slope_per_mps=across,
        spread_log=np.maximum(own.spread_log, LEAST_SPREAD_LOG),
        seen_sd_log=np.sqrt(
            (own.per_carry * _seen_sd_log(shots, terms, low_m, run_m)) ** 2
            + own.sight_sd_log**2
            + (slope * _gust_sd_mps(shots, history)) ** 2
        ),
        range_ball=np.array([float(shot.ball is Ball.RANGE) for shot in shots]),
        mat=np.array([float(shot.surface is Surface.MAT) for shot in shots]),
        computed=np.array([float(shot.carry_origin is CarryOrigin.COMPUTED) for shot in shots]),
        by_eye=np.array([shot.seen is Seen.EYE for shot in shots], dtype=bool),
        marked=np.array([shot.entry.mishit for shot in shots], dtype=bool),
        own_wind_log=np.where(windy & own.told, own.wind_log, 0.0),
        flown_m=own.flown_m,
        flown_sd_log=own.flown_sd_log,
        readings=errors,
        age_days=np.array([7.0 * max(_week(as_of.date()) - _week(day), 0) for day in days]),
        told=wind_told(len(history.profile.bag.clubs), sides),
        response=response_told(cells, own, np.log(terms.carry_m / terms.still_m)),
    )


def _carry_bounds(shots: Sequence[ShotRecord], profile: Profile, terms: WindTerms) -> tuple[Floats, Floats, Floats]:
    """Between what a carry was (n,), m, and the run that was taken off where the ball was seen to stop."""
    bounds = np.array([_bounds(shot, profile) for shot in shots], dtype=np.float64).reshape(-1, 3)
    run_m = np.where(bounds[:, 2] > 0, terms.run_m, 0.0)
    # A ball that stopped nearer than it can have run leaves a fifth of its distance as carry, with a wide error.
    low_m = np.where(bounds[:, 0] > 0, np.maximum(bounds[:, 0] - run_m, 0.2 * bounds[:, 0]), 0.0)
    high_m = np.where(np.isfinite(bounds[:, 1]), np.maximum(bounds[:, 1] - run_m, 0.2 * bounds[:, 1]), np.inf)
    return low_m, high_m, run_m


def _bounds(shot: ShotRecord, profile: Profile) -> tuple[float, float, float]:
    """Lower and upper bound of where a ball landed, or stopped, m; the third is 1 where it is where it stopped."""
    entry = shot.entry
    if entry.carry_m is not None:
        return entry.carry_m, entry.carry_m, 0.0
    if entry.total_m is not None:
        return entry.total_m, entry.total_m, 1.0
    if entry.depth is None or shot.target_m is None:
        return 0.0, np.inf, 0.0
    stopped = float(profile.sees == "finish")
    near, far = max(shot.target_m - profile.pin_depth_m, 1.0), shot.target_m + profile.pin_depth_m
    return {Depth.SHORT: (0.0, near), Depth.PIN: (near, far), Depth.LONG: (far, np.inf)}[entry.depth] + (stopped,)


def _seen_sd_log(shots: Sequence[ShotRecord], terms: WindTerms, low_m: Floats, run_m: Floats) -> Floats:
    """S.d. (n,) of log carry by how it was seen: eyes and device, rounding, run worked back."""
    near_m = np.where(low_m > 0, low_m, terms.carry_m)
    scale = np.clip(near_m / to_si(150, "yd"), 0.5, 1.5)
    seen = np.array([SEEN_SD_M[shot.seen] for shot in shots]) * scale
    rounding = np.array([shot.entry.resolution_m or 0.0 for shot in shots]) / np.sqrt(12)
    return np.asarray(np.sqrt(seen**2 + rounding**2 + (RUN_RELATIVE_SD * run_m) ** 2) / near_m)


def _gust_sd_mps(shots: Sequence[ShotRecord], history: History) -> Floats:
    """S.d. (n,) of the wind that each ball met about its reading."""
    met = [(shot.reading_id, shot.mark is not None) for shot in shots]
    known = {
        key: gust_sd_mps(wind_of(history, shot), marked=key[1])
        for key, shot in dict(zip(met, shots, strict=True)).items()
    }
    return np.array([known[key] for key in met])


def _week(day: date) -> int:
    """Weeks since a Monday. Ages are counted in them: what was learned stands until the week is over.

    A club drifts by half a hundredth in a week, far less than any estimate is known to.
    """
    return (day.toordinal() - 1) // 7
