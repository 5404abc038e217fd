"""From what was learned and today's conditions to figures for every cell: what tables, screens and agendas show."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import datetime

import numpy as np

from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.calling import CallsHeld, calls_held
from trainer.application.estimates.flight_figures import FlightFigures, Range80, flight_figures
from trainer.application.estimates.learning import Known, learn
from trainer.application.estimates.trust import Trust, days_of, hits_of, judge_hits
from trainer.application.evidence.history import History, local
from trainer.application.evidence.reading_error import reading_sd_mps
from trainer.core.bag import Cell
from trainer.core.conditions import CALM_WIND, Ball, Conditions, Surface, Turf, WindKnowledge
from trainer.core.constants import Z80
from trainer.core.estimate import report
from trainer.core.estimate.evidence import CellSet, Floats, Interval, Ints, Setting
from trainer.core.estimate.posterior import Posterior
from trainer.core.flight.wind import wind_field
from trainer.core.flight.wind_effect import WindEffects
from trainer.core.shot import CarryOrigin
from trainer.store.records import ReadingRecord

__all__ = ["CellFigures", "FlightFigures", "Range80", "SaidWind", "Snapshot", "snapshot", "todays_conditions"]


@dataclass(frozen=True, slots=True)
class SaidWind:
    """What a wind reading said along its line, m/s from behind, and what the balls hit in it say, with its s.d."""

    read_mps: float
    balls_mps: float
    sd_mps: float

    @property
    def disagrees(self) -> bool:
        """Whether the reading lies outside what the balls say 8 times in 10."""
        return abs(self.balls_mps - self.read_mps) > Z80 * self.sd_mps


@dataclass(frozen=True, slots=True)
class CellFigures:
    """All that is known of one cell. `shots` counts every ball, mishits and unseen too."""

    cell: Cell
    still_air_carry_m: Range80
    carry_today_m: Range80
    flight: FlightFigures
    shot_spread_m: float
    shots: int
    days: int
    trust: Trust
    wind_share: float
    wind_floor_m: float

    @property
    def run_m(self) -> float:
        """Median run of its usual ball."""
        return self.flight.run.median

    @property
    def apex_m(self) -> float:
        """Median height of its usual ball."""
        return self.flight.apex.median


@dataclass(frozen=True, slots=True)
class Snapshot:
    """Figures for every cell in one set of conditions, as of one moment.

    `reading` is the wind reading that today's figures rest on, None where the wind was stated or none was taken.
    `wind_response_learned` is 0…1. `left_out` and `silent` count shots that are no evidence, or none of a carry, by
    why. `calls` says how often called ranges held. `said_wind` is what the balls hit in `reading` say of it, None
    where there are none. `current` is false where the newest shots only reweighted older draws.
    """

    as_of: datetime
    conditions: Conditions
    reading: ReadingRecord | None
    cells: tuple[CellFigures, ...]
    wind_share: float | None
    wind_response_learned: float
    left_out: Mapping[str, int]
    silent: Mapping[str, int]
    asked: tuple[int, ...]
    readings_unknown: int
    shots: int
    calls: CallsHeld
    said_wind: SaidWind | None = None
    current: bool = True

    @property
    def hit(self) -> tuple[CellFigures, ...]:
        """The cells that were hit."""
        return tuple(figures for figures in self.cells if figures.shots)

    @property
    def still_air_m(self) -> Mapping[Cell, float]:
        """The median still-air carry of each cell."""
        return {figures.cell: figures.still_air_carry_m.median for figures in self.cells}

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

    A stated wind is taken as exact, but for a calm and one stated as unknown. Unstated, it is the newest session's
    last reading with its error if that session is of the same day or still runs, else none. Air and turf of that
    session hold where they are not stated.
    """
    session = history.newest_session
    if session is not None and session.id != history.running and local(session.started_at).date() != as_of.date():
        session = None
    reading = None if session is None else history.last_reading(session.id)
    usual = history.profile
    air = stated.air()
    turf = stated.turf or Turf.MEDIUM
    if session is not None:
        air = air if stated.air_is_stated else session.air
        turf = stated.turf or session.turf
    wind = stated.wind
    if wind is None:
        wind = CALM_WIND if reading is None else reading.wind
    else:
        reading = None
    return Conditions(wind, air, turf, stated.ball or usual.ball, stated.surface or usual.surface), reading


def snapshot(
    history: History,
    stated: StatedConditions,
    as_of: datetime,
    asked: Sequence[Cell] = (),
    known: Known | None = None,
    only: Sequence[Cell] | None = None,
) -> Snapshot:
    """Figures for every cell in the stated conditions, or today's, from `known` or what `history` teaches.

    `only` narrows it to some cells, for a screen that shows no more.
    """
    known = known or learn(history, as_of, asked)
    chosen = known.bench.cells if only is None else tuple(cell for cell in only if cell in known.bench.index)
    here = np.array([known.bench.index[cell] for cell in chosen], dtype=np.int64)
    conditions, reading = todays_conditions(history, stated, as_of)
    effects = effects_of(known.bench.effects_in(conditions), here)
    setting = setting_of(known, conditions, reading, stated, effects, as_of)
    posterior = known.posterior if only is None else narrowed(known.posterior, here)
    rng = np.random.default_rng(known.seed)
    still = report.still_air_carry(posterior)
    today = report.carry_in(posterior, setting, rng)
    spread_m = report.shot_spread_m(posterior, setting, known.bench.scatter_in(conditions).log_carry_sd[here], rng)
    flights = flight_figures(history, known, here, effects, today.median, reading)
    mine = _Figures(still, today, spread_m, report.wind_share(posterior), report.wind_floor_m(posterior), flights)
    cells = _cell_figures(history, chosen, mine, as_of)
    heard = [figures.wind_share for figures in cells if figures.shots]
    return Snapshot(
        as_of=as_of,
        conditions=conditions,
        reading=reading,
        cells=cells,
        wind_share=float(np.median(heard)) if heard else None,
        wind_response_learned=max(0.0, report.wind_response_contraction(posterior)),
        left_out=known.evidence.left_out,
        silent=known.evidence.silent,
        asked=known.evidence.asked,
        readings_unknown=_shots_in_unknown_wind(history),
        shots=len(history.shots),
        calls=calls_held(history.shots),
        said_wind=said_wind(known, reading),
        current=posterior.current,
    )


def said_wind(known: Known, reading: ReadingRecord | None) -> SaidWind | None:
    """What the balls hit in `reading` say of its wind; None where none was."""
    seen = known.evidence.observations.reading
    place = None if reading is None else known.evidence.reading_index.get(reading.id)
    if reading is None or place is None or not np.any(seen == place):
        return None
    read = float(np.asarray(wind_field(reading.wind).along_mps))
    error = report.wind_from_balls(known.posterior, place)
    return SaidWind(read, read + error.error_mps, error.sd_mps)


def narrowed(posterior: Posterior, cells: Ints) -> Posterior:
    """The posterior of some of its cells; whatever they share stays."""
    every, draws = posterior.cells, posterior.draws
    few = CellSet(
        every.loft_deg,
        every.stock_carry_m,
        every.club[cells],
        every.grip_down_in[cells],
        every.three_quarter[cells],
        every.half[cells],
    )
    return replace(posterior, cells=few, draws=replace(draws, eta=draws.eta[:, cells]))


def effects_of(effects: WindEffects, cells: Ints) -> WindEffects:
    """The effects on some cells."""
    return WindEffects(*(getattr(effects, field.name)[cells] for field in fields(WindEffects)))


def setting_of(
    known: Known,
    conditions: Conditions,
    reading: ReadingRecord | None,
    stated: StatedConditions,
    effects: WindEffects,
    as_of: datetime,
) -> Setting:
    """The wind and day that carries are asked for, in the model's terms."""
    exact = stated.wind is not None and stated.wind.knowledge not in (WindKnowledge.CALM, WindKnowledge.UNKNOWN)
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


@dataclass(frozen=True, slots=True)
class _Figures:
    """What the model says of every cell (c,)."""

    still: Interval
    today: Interval
    spread_m: Floats
    wind_share: Floats
    wind_floor_m: Floats
    flights: tuple[FlightFigures, ...]


def _cell_figures(
    history: History, cells: Sequence[Cell], said: _Figures, as_of: datetime
) -> tuple[CellFigures, ...]:
    moments = hits_of(history)
    figures = []
    for i, cell in enumerate(cells):
        hits = moments.get(cell, ())
        still_m = Range80.at(said.still, i)
        figures.append(
            CellFigures(
                cell=cell,
                still_air_carry_m=still_m,
                carry_today_m=Range80.at(said.today, i),
                flight=said.flights[i],
                shot_spread_m=float(said.spread_m[i]),
                shots=len(hits),
                days=days_of(hits),
                trust=judge_hits(still_m.half_width_m, hits, as_of),
                wind_share=float(said.wind_share[i]),
                wind_floor_m=float(said.wind_floor_m[i]),
            )
        )
    return tuple(figures)
