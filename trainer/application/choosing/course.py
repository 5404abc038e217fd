"""The card against the course: how often its ranges held there, and by how much the course differs from the range.

Approaches teach the clubs nothing. Their one offset is found from all of them at once, with what they share: the
doubt about a cell, the round's own day, the wind as it was read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np

from trainer.application.choosing.course_calls import seen_sd_log
from trainer.application.estimates.gapping import cell_words
from trainer.application.estimates.learning import Known, learn
from trainer.application.estimates.traits_seen import traits_of
from trainer.application.evidence.flown import WindTerms, wind_terms
from trainer.application.evidence.history import History, local, wind_of
from trainer.application.evidence.reading_error import gust_sd_mps, reading_sd_mps
from trainer.core.conditions import Seen
from trainer.core.decide.course import CourseOffset, course_offset
from trainer.core.decide.scoring import LEVELS
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.estimate.priors import ClubPriors
from trainer.core.estimate.traits import RUN
from trainer.core.units import UnitChoice, change_from_si
from trainer.store.records import ShotRecord

LEAST_APPROACHES = 5
"""Fewer say nothing beside a choice or on a card."""

_MIDDLE = LEVELS.index(0.5)


@dataclass(frozen=True, slots=True)
class Approach:
    """One approach: how far the flag was, where the ball came to rest, and where it was called to, m."""

    at: datetime
    shot: ShotRecord
    rest_m: float | None
    called_m: float | None

    @property
    def held(self) -> bool | None:
        """Whether it came to rest within the called 80 %; None where one of the two is not known."""
        called = self.shot.called_80_m
        return None if called is None or self.rest_m is None else called[0] <= self.rest_m <= called[1]


@dataclass(frozen=True, slots=True)
class CourseReport:
    """What a course log says of the card. The balls that `offset` rests on lay at `distance_m` on the mean."""

    approaches: tuple[Approach, ...]
    rounds: int
    offset: CourseOffset
    distance_m: float

    @property
    def called(self) -> int:
        """How many approaches have a called range and were seen at rest."""
        return sum(each.held is not None for each in self.approaches)

    @property
    def held_80(self) -> int:
        """How many of those came to rest within it."""
        return sum(each.held is True for each in self.approaches)

    @property
    def says_enough(self) -> bool:
        """Whether it may stand beside a choice or on a card."""
        return self.offset.approaches >= LEAST_APPROACHES


def course_report(course: History, history: History, as_of: datetime) -> CourseReport | None:
    """The log `course` against what the range shots of `history` say; None without an approach."""
    if not course.shots:
        return None
    measured = [shot for shot in course.shots if shot.entry.total_m is not None and shot.club_id in course.club_ids]
    offset, distance_m = course_offset(np.zeros(0), np.zeros((0, 0))), 0.0
    if measured:
        offset = course_offset(*_differences(measured, course, history, as_of))
        distance_m = float(np.mean([shot.entry.total_m or 0.0 for shot in measured]))
    return CourseReport(
        tuple(approach_of(shot) for shot in course.shots),
        len({local(shot.at).date() for shot in course.shots}),
        offset,
        distance_m,
    )


def approach_of(shot: ShotRecord) -> Approach:
    """A stored approach beside what was called of it."""
    shape = shot.called_shape_m
    return Approach(local(shot.at), shot, shot.entry.total_m, None if not shape else shape[_MIDDLE])


@dataclass(frozen=True, slots=True)
class _Expected:
    """What the range shots say of approaches (n,): carry's and run's parts of the rest, draws about their mean."""

    rest_m: Floats
    of_carry: Floats
    of_run: Floats
    log_carry: Floats
    run_log: Floats
    terms: WindTerms
    own_sd_log: Floats


def _expected(known: Known, cells: Ints, terms: WindTerms, run_log: Floats) -> _Expected:
    posterior, weights, draws = known.posterior, known.posterior.weights, known.posterior.draws
    log_carry = draws.eta[:, cells] + draws.wind_response[:, None] * np.log(terms.carry_m / terms.still_m)
    club = posterior.cells.club[cells]
    carry_m = posterior.cells.stock_carry_m[club] * np.exp(weights @ log_carry)
    run_m = terms.run_m * np.exp(run_log.mean(axis=0))
    rest_m = np.maximum(carry_m + run_m, 1.0)
    own = terms.spread_log * np.exp(weights @ draws.log_spread[:, club])
    return _Expected(
        rest_m, carry_m / rest_m, run_m / rest_m, log_carry - weights @ log_carry, run_log, terms, np.asarray(own)
    )


def _differences(
    shots: Sequence[ShotRecord], course: History, history: History, as_of: datetime
) -> tuple[Floats, Floats]:
    """Log of rest over what the range shots say (n,), bad strikes in as they are expected, and its covariance."""
    known = learn(history, as_of, [shot.cell for shot in shots])
    cells = np.array([known.bench.index[shot.cell] for shot in shots], dtype=np.int64)
    run_log = traits_of(history, known, np.random.default_rng(known.seed)).run.log_ratio[:, cells]
    said = _expected(known, cells, wind_terms(shots, cells, course, known.bench), run_log)
    draws, weights, priors = known.posterior.draws, known.posterior.weights, known.posterior.priors
    share, loss = float(weights @ draws.mishit_share), float(weights @ draws.mishit_loss)
    strike = (1 - share) * said.own_sd_log**2 + share * priors.mishit_sd**2 + share * (1 - share) * loss**2
    expected = np.log(said.rest_m) - said.of_carry * share * loss
    at_rest = np.array([shot.entry.total_m or 1.0 for shot in shots])
    covariance = _shared(said, weights) + _met_together(shots, course, said, priors)
    return np.log(at_rest) - expected, covariance + np.diag(_alone(shots, course, said, strike))


def _shared(said: _Expected, weights: Floats) -> Floats:
    """What is not known of the cells' carries and runs (n, n)."""
    centred = said.log_carry * said.of_carry
    runs = np.atleast_2d(np.cov(said.run_log.T)) * np.outer(said.of_run, said.of_run)
    return np.asarray((centred * weights[:, None]).T @ centred + runs)


def _met_together(shots: Sequence[ShotRecord], course: History, said: _Expected, priors: ClubPriors) -> Floats:
    """What approaches of one day and of one wind reading share (n, n)."""
    days = np.array([local(shot.at).toordinal() for shot in shots])
    by_eye = np.array([float(shot.seen is Seen.EYE) for shot in shots])
    readings = np.array([shot.reading_id or 0 for shot in shots])
    wrong_mps = np.array([reading_sd_mps(wind_of(course, shot)) for shot in shots])
    day = priors.day_sd**2 * np.outer(said.of_carry, said.of_carry) + priors.eye_day_sd**2 * np.outer(by_eye, by_eye)
    along, across = (wrong_mps * slope for slope in _slopes(said))
    wind = np.outer(along, along) + np.outer(across, across)
    return np.asarray((days[:, None] == days) * day + (readings[:, None] == readings) * wind)


def _alone(shots: Sequence[ShotRecord], course: History, said: _Expected, strike: Floats) -> Floats:
    """Variance (n,) of one ball by itself: strike, bounce, gust, and how it was seen."""
    gust = np.array([gust_sd_mps(wind_of(course, shot), marked=False) for shot in shots])
    seen = np.array([seen_sd_log(shot.seen, near) for shot, near in zip(shots, said.rest_m.tolist(), strict=True)])
    along, _ = _slopes(said)
    return np.asarray(said.of_carry**2 * strike + (said.of_run * RUN.shot_sd) ** 2 + (gust * along) ** 2 + seen**2)


def _slopes(said: _Expected) -> tuple[Floats, Floats]:
    """Change of log rest per m/s along and across (n,)."""
    terms = said.terms
    parts = (terms.slope_m_per_mps, terms.across_slope_m_per_mps)
    along, across = (said.of_carry * part / terms.carry_m for part in parts)
    return along, across


def course_sentence(report: CourseReport, units: UnitChoice) -> str:
    """`On the course you have come up 3 ± 4 yd shorter than the card says (12 approaches; not shown yet).`"""
    offset = report.offset
    middle = report.distance_m * np.expm1(offset.mean_log)
    half = report.distance_m * (np.expm1(offset.high80_log) - np.expm1(offset.low80_log)) / 2
    by, doubt = (abs(round(change_from_si(float(value), units.distance))) for value in (middle, half))
    many = f"{offset.approaches} approach{'es' if offset.approaches != 1 else ''}"
    shown = "8 in 10 sure" if offset.clear else "not shown yet"
    unit, doubt = units.distance, max(doubt, 1)
    if by == 0:
        return f"On the course you have come up level with the card, ± {doubt} {unit} ({many}; {shown})."
    way = "shorter" if middle < 0 else "longer"
    return f"On the course you have come up {by} ± {doubt} {unit} {way} than the card says ({many}; {shown})."


def approach_words(approach: Approach, units: UnitChoice) -> str:
    """`7 iron, full: to 150 yd, at rest at 144; called 141 (130–149), held`."""
    shot = approach.shot

    def shown(metres: float) -> str:
        return f"{change_from_si(metres, units.distance):.0f}"

    words = f"{cell_words(shot.cell, units)}: to {units.shown_distance(shot.target_m or 0.0)}"
    words += ", not measured" if approach.rest_m is None else f", at rest at {shown(approach.rest_m)}"
    if approach.called_m is None or shot.called_80_m is None:
        return words
    low_m, high_m = shot.called_80_m
    words += f"; called {shown(approach.called_m)} ({shown(low_m)}–{shown(high_m)})"
    return words if approach.held is None else f"{words}, {'held' if approach.held else 'not held'}"


def course_sentences(report: CourseReport, units: UnitChoice) -> list[str]:
    """How often the card's ranges held on the course, and its offset; neither where no approach tells it."""
    said = [course_held_sentence(report)] if report.called else []
    return [*said, course_sentence(report, units)] if report.offset.approaches else said


def course_held_sentence(report: CourseReport) -> str:
    """How often the card's ranges held on the course; empty where none can be told."""
    if report.called == 0:
        return ""
    return (
        f"On the course the called 8-in-10 range held {report.held_80} of {report.called} times "
        f"(to be expected {0.8 * report.called:.0f})."
    )


def course_data(report: CourseReport | None) -> dict[str, Any] | None:
    """The course against the range in SI; the offset is distance on the course less that called, of the mean."""
    if report is None:
        return None
    offset, mean_m = report.offset, report.distance_m
    logs = {"mean": offset.mean_log, "low80": offset.low80_log, "high80": offset.high80_log}
    return {
        "approaches": len(report.approaches),
        "rounds": report.rounds,
        "called": report.called,
        "held_80": report.held_80,
        "measured": offset.approaches,
        "mean_distance_m": mean_m if offset.approaches else None,
        "offset_percent": {name: 100 * float(np.expm1(value)) for name, value in logs.items()},
        "offset_m": {name: mean_m * float(np.expm1(value)) for name, value in logs.items()} if mean_m else None,
        "offset_clear": offset.clear,
    }
