"""From a history and today's conditions to figures for every cell: the one place that asks the club model."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from trainer.application.cells import Bench, lay_out
from trainer.application.conditions import StatedConditions
from trainer.application.evidence import GatheredEvidence, gather, reading_sd_mps
from trainer.application.history import History, local
from trainer.application.trust import Trust, judge
from trainer.core.bag import Cell
from trainer.core.conditions import CALM_WIND, Ball, Conditions, Surface, Turf, WindKnowledge
from trainer.core.estimate.evidence import Floats, Setting
from trainer.core.estimate.forecast import (
    Interval,
    carry_in,
    still_air_carry,
    wind_floor_m,
    wind_response_contraction,
    wind_share,
)
from trainer.core.estimate.linear import MEASURED, REMEMBERED, GaussianPosterior, fit
from trainer.core.flight.still_air import WindEffects
from trainer.core.profile import CarryBasis
from trainer.core.shot import CarryOrigin
from trainer.store.records import ReadingRecord


@dataclass(frozen=True, slots=True)
class Range80:
    """A carry in metres: median and central 80 %."""

    median: float
    low80: float
    high80: float

    @property
    def half_width_m(self) -> float:
        """Half of the interval's width."""
        return (self.high80 - self.low80) / 2


@dataclass(frozen=True, slots=True)
class CellFigures:
    """All that is known of one cell. `shots` counts every ball, mishits and unseen too."""

    cell: Cell
    still_air_carry_m: Range80
    carry_today_m: Range80
    run_m: float
    apex_m: float
    shot_spread_m: float
    shots: int
    days: int
    trust: Trust
    wind_share: float
    wind_floor_m: float


@dataclass(frozen=True, slots=True)
class Snapshot:
    """Figures for every cell in one set of conditions, as of one moment.

    `provisional` says that the intervals come from fixed scales. `reading` is the wind reading that today's figures
    rest on, None where the wind was stated or none was taken. `wind_response_learned` is 0…1.
    """

    as_of: datetime
    conditions: Conditions
    reading: ReadingRecord | None
    cells: tuple[CellFigures, ...]
    wind_share: float | None
    wind_response_learned: float
    left_out: Mapping[str, int]
    readings_unknown: int
    shots: int
    provisional: bool = True

    @property
    def hit(self) -> tuple[CellFigures, ...]:
        """The cells that were hit."""
        return tuple(figures for figures in self.cells if figures.shots)

    def figures(self, cell: Cell) -> CellFigures:
        """The figures of one cell; KeyError where it is not among them."""
        for each in self.cells:
            if each.cell == cell:
                return each
        raise KeyError(cell)


def todays_conditions(
    history: History, stated: StatedConditions, as_of: datetime
) -> tuple[Conditions, ReadingRecord | None]:
    """The conditions a table is made for, and the reading they rest on.

    A stated wind is taken as exact. Unstated, it is the newest session's last reading with its error if that session
    is of the same day, else none. Air and turf of that session hold where they are not stated.
    """
    session = history.newest_session
    same_day = session is not None and local(session.started_at).date() == as_of.date()
    reading = history.last_reading(session.id) if session is not None and same_day else None
    usual = history.profile
    air = stated.air()
    turf = stated.turf or Turf.MEDIUM
    if session is not None and same_day:
        air = air if stated.air_is_stated else session.air
        turf = stated.turf or session.turf
    wind = stated.wind
    if wind is None:
        wind = CALM_WIND if reading is None else reading.wind
    else:
        reading = None
    return Conditions(wind, air, turf, stated.ball or usual.ball, stated.surface or usual.surface), reading


@dataclass(frozen=True, slots=True)
class Known:
    """What the shots taught: the posterior with the cells and evidence it is of."""

    bench: Bench
    evidence: GatheredEvidence
    posterior: GaussianPosterior


def learn(history: History, asked: Sequence[Cell] = ()) -> Known:
    """Fit the club model to a history, for every cell of the bag, those hit and those `asked` for."""
    hit = [shot.cell for shot in history.shots if shot.club_id in history.club_ids] + list(asked)
    bench = lay_out(history.profile.bag, hit)
    evidence = gather(history, bench)
    measured = history.profile.known_carry.basis is CarryBasis.MEASURED
    posterior = fit(bench.arrays, evidence.arrays, MEASURED if measured else REMEMBERED)
    return Known(bench, evidence, posterior)


def snapshot(history: History, stated: StatedConditions, as_of: datetime, asked: Sequence[Cell] = ()) -> Snapshot:
    """Learn from `history` and give figures for every cell in the stated conditions, or today's."""
    known = learn(history, asked)
    conditions, reading = todays_conditions(history, stated, as_of)
    effects = known.bench.effects_in(conditions)
    still = still_air_carry(known.bench.arrays, known.posterior)
    setting = _setting(known, conditions, reading, stated, effects, as_of)
    today = carry_in(known.bench.arrays, known.posterior, setting)
    shares = wind_share(known.posterior)
    cells = _cell_figures(history, known, still, today, effects, shares, as_of)
    heard = [figures.wind_share for figures in cells if figures.shots]
    return Snapshot(
        as_of=as_of,
        conditions=conditions,
        reading=reading,
        cells=cells,
        wind_share=float(np.median(heard)) if heard else None,
        wind_response_learned=max(0.0, wind_response_contraction(known.posterior)),
        left_out=known.evidence.left_out,
        readings_unknown=_shots_in_unknown_wind(history),
        shots=len(history.shots),
    )


def _setting(
    known: Known,
    conditions: Conditions,
    reading: ReadingRecord | None,
    stated: StatedConditions,
    effects: WindEffects,
    as_of: datetime,
) -> Setting:
    exact = stated.wind is not None and stated.wind.knowledge is not WindKnowledge.CALM
    day = known.evidence.day_index.get(as_of.date()) if reading is not None else None
    return Setting(
        wind_log=np.log(effects.carry_m / effects.carry_still_m),
        wind_slope_per_mps=effects.slope_along_m_per_mps / effects.carry_m,
        wind_sd_mps=0.0 if exact or (stated.wind is None and reading is None) else reading_sd_mps(conditions.wind),
        reading=None if reading is None else known.evidence.reading_index.get(reading.id),
        day=day,
        range_ball=conditions.ball is Ball.RANGE,
        mat=conditions.surface is Surface.MAT,
    )


def _shots_in_unknown_wind(history: History) -> int:
    unknown = {id for id, each in history.readings.items() if each.wind.knowledge is WindKnowledge.UNKNOWN}
    return sum(
        shot.carry_origin is CarryOrigin.SEEN and (shot.reading_id is None or shot.reading_id in unknown)
        for shot in history.shots
    )


def _range(interval: Interval, i: int) -> Range80:
    return Range80(float(interval.median[i]), float(interval.low80[i]), float(interval.high80[i]))


def _cell_figures(
    history: History,
    known: Known,
    still: Interval,
    today: Interval,
    effects: WindEffects,
    shares: Floats,
    as_of: datetime,
) -> tuple[CellFigures, ...]:
    moments: dict[Cell, list[datetime]] = {}
    for shot in history.shots:
        if shot.club_id in history.club_ids:
            moments.setdefault(shot.cell, []).append(local(shot.at))
    floors = wind_floor_m(known.bench.arrays, known.posterior)
    spread = today.median * known.posterior.scales.shot_sd
    figures = []
    for i, cell in enumerate(known.bench.cells):
        hit = moments.get(cell, [])
        days = len({moment.date() for moment in hit})
        still_m = _range(still, i)
        trust = judge(still_m.half_width_m, len(hit), days, max(hit, default=None), as_of)
        figures.append(
            CellFigures(
                cell=cell,
                still_air_carry_m=still_m,
                carry_today_m=_range(today, i),
                run_m=float(effects.run_m[i]),
                apex_m=float(effects.apex_m[i]),
                shot_spread_m=float(spread[i]),
                shots=len(hit),
                days=days,
                trust=trust,
                wind_share=float(shares[i]),
                wind_floor_m=float(floors[i]),
            )
        )
    return tuple(figures)
