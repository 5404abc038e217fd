"""Progress told honestly: retention and transfer apart from practice, and "no clear change" where none is clear."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

import numpy as np

from trainer.application.choosing.course import CourseReport, course_report
from trainer.application.estimates.call_scores import CallScores, call_scores
from trainer.application.estimates.calling import CallsHeld, calls_held
from trainer.application.estimates.learning import Known, learn
from trainer.application.estimates.own_calls import NOTHING_SAID, OwnCalls, own_calls_of
from trainer.application.evidence.flown import wind_terms
from trainer.application.evidence.history import History, local, read_history
from trainer.core.decide.change import Change, Level, change_between, later_against_earlier, level_of
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.shot import CarryOrigin
from trainer.store.records import NewBall, OwnCall, SessionKind, ShotRecord
from trainer.store.store import Store

COLD_DRILLS = ("cold first six",)
TRANSFER_DRILLS = ("mixed targets", "windy loop", "choose blind")
NO_COUNT_DRILLS = ("warm-up",)
TEST_STAGE = "test"
WEEK = timedelta(days=7)


class Kind(StrEnum):
    """What a ball says something of."""

    RETENTION = "retention"
    TRANSFER = "transfer"
    PRACTICE = "practice"


@dataclass(frozen=True, slots=True)
class Miss:
    """One ball at a target, m: its miss and the three parts that add up to it.

    `wind_m` is what the wind did to the cell, as the balls say it blew; `club_m` the still-air carry of the cell
    chosen less the target; `scatter_m` the rest: the strike, and what is not known of the cell.
    """

    at: datetime
    kind: Kind
    target_m: float
    miss_m: float
    wind_m: float
    club_m: float
    scatter_m: float
    tags: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class KindProgress:
    """Errors of one kind of balls in per cent of the target: raw, and about the carry to expect in that wind.

    `change` is from the first half of the days to the second, None where there is too little to compare.
    """

    kind: Kind
    balls: int
    days: int
    raw: Level | None
    wind_adjusted: Level | None
    change: Change | None

    @property
    def verdict(self) -> str:
        """In words: closer, wider, no clear change, or not enough balls to tell."""
        return "not enough balls to tell" if self.change is None else self.change.verdict


@dataclass(frozen=True, slots=True)
class TagEffect:
    """Balls with a tag beside the others, error in per cent of the target."""

    tag: str
    change: Change


@dataclass(frozen=True, slots=True)
class Load:
    """How much was hit: in all, and in the seven days up to the moment asked for."""

    sessions: int
    balls: int
    balls_last_week: int


@dataclass(frozen=True, slots=True)
class Progress:
    """All that can be said of progress as of a moment."""

    as_of: datetime
    kinds: tuple[KindProgress, ...]
    calls: CallsHeld
    misses: tuple[Miss, ...]
    tags: tuple[TagEffect, ...]
    load: Load
    scores: CallScores | None = None
    own_calls: OwnCalls = NOTHING_SAID
    course: CourseReport | None = None


@dataclass(frozen=True, slots=True)
class Past:
    """All of a store that progress is told from: range sessions and their agendas, the course log, own calls."""

    history: History
    agendas: Mapping[int, Mapping[int, NewBall]]
    course: History
    said: tuple[OwnCall, ...]


def past_around(store: Store, history: History, as_of: datetime | None = None) -> Past:
    """What `store` holds beside a `history` up to `as_of` for a player's progress; for the store's own thread."""
    course = read_history(store, history.profile.alias, as_of, SessionKind.COURSE)
    return Past(history, agendas_of(store, history), course, store.own_calls(history.player.id))


def agendas_of(store: Store, history: History) -> Mapping[int, Mapping[int, NewBall]]:
    """The balls of every session's agenda by their number."""
    return {id: {each.number: each.ball for each in store.agenda(id)} for id in history.sessions}


def progress_from(past: Past, as_of: datetime) -> Progress:
    """Progress as of a moment, with the scores of calls and the course."""
    return replace(
        progress_of(past.history, past.agendas, as_of),
        scores=call_scores(past.history, learn(past.history, as_of)),
        own_calls=own_calls_of(past.said, past.history),
        course=course_report(past.course, past.history, as_of),
    )


def progress_of(history: History, agendas: Mapping[int, Mapping[int, NewBall]], as_of: datetime) -> Progress:
    """Progress from a history and the agendas its balls were hit for; without scores, own calls and the course."""
    known = learn(history, as_of)
    misses = misses_of(history, agendas, known)
    days = np.array([miss.at.date().toordinal() for miss in misses], dtype=np.int64)
    week = [shot for shot in history.shots if as_of - WEEK < local(shot.at) <= as_of]
    return Progress(
        as_of=as_of,
        kinds=tuple(_kind(kind, misses, days) for kind in Kind),
        calls=calls_held(history.shots),
        misses=misses,
        tags=_tags(misses, days),
        load=Load(len({shot.session_id for shot in history.shots}), len(history.shots), len(week)),
    )


def misses_of(history: History, agendas: Mapping[int, Mapping[int, NewBall]], known: Known) -> tuple[Miss, ...]:
    """Every ball whose target and carry are known, mishits in, its miss split; warm-up balls are left out."""
    shots, kinds = [], []
    for shot in history.shots:
        ball = agendas.get(shot.session_id, {}).get(shot.agenda_number or 0)
        target = shot.target_m or (ball.target_m if ball else None)
        seen = shot.entry.carry_m is not None and shot.carry_origin is CarryOrigin.SEEN
        counts = ball is None or ball.drill not in NO_COUNT_DRILLS
        if shot.club_id in history.club_ids and target is not None and seen and counts:
            shots.append(shot)
            kinds.append((_kind_of(ball), target))
    if not shots:
        return ()
    still, expected = _expected(shots, history, known)
    return tuple(
        _miss(shot, kind, target, float(still[i]), float(expected[i]))
        for i, (shot, (kind, target)) in enumerate(zip(shots, kinds, strict=True))
    )


def _kind_of(ball: NewBall | None) -> Kind:
    if ball is None:
        return Kind.PRACTICE
    if ball.drill in COLD_DRILLS:
        return Kind.RETENTION
    return Kind.TRANSFER if ball.drill in TRANSFER_DRILLS or ball.stage == TEST_STAGE else Kind.PRACTICE


def _miss(shot: ShotRecord, kind: Kind, target_m: float, still_m: float, expected_m: float) -> Miss:
    carry_m = shot.entry.carry_m or 0.0
    return Miss(
        at=local(shot.at), kind=kind, target_m=target_m, miss_m=carry_m - target_m, wind_m=expected_m - still_m,
        club_m=still_m - target_m, scatter_m=carry_m - expected_m, tags=shot.entry.tags,
    )  # fmt: skip


def _expected(shots: Sequence[ShotRecord], history: History, known: Known) -> tuple[Floats, Floats]:
    """Carry to expect of each shot's cell in still air and in its wind as the balls say it blew, m."""
    cells = np.array([known.bench.index[shot.cell] for shot in shots], dtype=np.int64)
    terms = wind_terms(shots, cells, history, known.bench)
    posterior, index = known.posterior, known.evidence.reading_index
    draws, weights = posterior.draws, posterior.weights
    wrong = weights @ draws.along
    reading = np.array([index.get(shot.reading_id or 0, -1) for shot in shots])
    off = np.where(reading >= 0, wrong[reading], 0.0)
    still = posterior.cells.stock_carry_m[posterior.cells.club[cells]] * np.exp((weights @ draws.eta)[cells])
    wind = float(weights @ draws.wind_response) * np.log(terms.carry_m / terms.still_m)
    return still, still * np.exp(wind + terms.slope_m_per_mps / terms.carry_m * off)


def _percent(misses: Sequence[Miss]) -> tuple[Floats, Floats]:
    """Size of each miss, raw and about the carry to expect, in per cent of its target."""
    raw = np.array([100 * abs(miss.miss_m) / miss.target_m for miss in misses])
    adjusted = np.array([100 * abs(miss.scatter_m) / miss.target_m for miss in misses])
    return raw, adjusted


def _kind(kind: Kind, misses: Sequence[Miss], days: Ints) -> KindProgress:
    mine = np.array([miss.kind is kind for miss in misses], dtype=bool)
    own = [miss for miss in misses if miss.kind is kind]
    raw, adjusted = _percent(own)
    day = days[mine]
    levels = level_of(raw, day), level_of(adjusted, day)
    return KindProgress(kind, len(own), len(np.unique(day)), *levels, later_against_earlier(raw, day))


def _tags(misses: Sequence[Miss], days: Ints) -> tuple[TagEffect, ...]:
    raw, _ = _percent(misses)
    found = []
    for tag in sorted({tag for miss in misses for tag in miss.tags}):
        has = np.array([tag in miss.tags for miss in misses], dtype=bool)
        change = change_between(raw[~has], days[~has], raw[has], days[has])
        if change is not None:
            found.append(TagEffect(tag, change))
    return tuple(found)
