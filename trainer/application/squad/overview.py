"""What a coach sees of his squad: what is due, and each beside his own past. Nobody is ranked.

Only like is set beside like: balls of the same drill, ball class and strength of wind. "No clear change" is a result.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np

from trainer.application.evidence.history import History, local, read_history, wind_of
from trainer.application.reports.progress import NO_COUNT_DRILLS, Progress, agendas_of, progress_of
from trainer.application.squad.coach import State, is_overdue, state_of
from trainer.core.conditions import Wind, WindKnowledge
from trainer.core.decide.change import Z95, Change, later_against_earlier
from trainer.core.shot import CarryOrigin
from trainer.core.units import UnitChoice
from trainer.store.records import NewBall
from trainer.store.squad_records import AssignmentRecord, CoachNote, Member, TakenAssignment
from trainer.store.store import Store

LIGHT_MPS, STRONG_MPS = 2.5, 6.5
"""Where a light wind ends and a strong one begins, about 6 and 15 mph (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class LikeForLike:
    """How the size of the miss changed, in per cent of the target, among balls that are alike.

    The later half of their days is set beside the earlier.
    """

    drill: str
    ball: str
    wind: str
    change: Change


@dataclass(frozen=True, slots=True)
class OwnPast:
    """A member beside his own past. `change` puts the groups together, None where none can be compared."""

    groups: tuple[LikeForLike, ...]
    change: Change | None

    @property
    def verdict(self) -> str:
        """In words: closer, wider, no clear change, or not enough balls to tell."""
        return "not enough like balls to tell" if self.change is None else self.change.verdict


@dataclass(frozen=True, slots=True)
class AssignmentView:
    """An assignment with its state as of today."""

    record: AssignmentRecord | TakenAssignment
    state: State
    overdue: bool


@dataclass(frozen=True, slots=True)
class MemberView:
    """One member. `progress` and `notes` are worked out for one member asked for alone, else None and empty."""

    member: Member
    past_keep: bool
    assignments: tuple[AssignmentView, ...]
    sessions: int
    shots: int
    last_session: datetime | None
    own_past: OwnPast
    progress: Progress | None = None
    notes: tuple[CoachNote, ...] = ()


def view_squad(store: Store, now: datetime) -> tuple[MemberView, ...]:
    """Every member, by alias: what is due, counts and misses as they were seen.

    No club model is fitted for it, so that a squad is there at once; `view_member` fits one.
    """
    return tuple(_view(store, member, now, closely=False) for member in store.squad.members())


def view_member(store: Store, alias: str, now: datetime) -> MemberView:
    """One member closely: his progress by what the shots taught, and the coach's notes on him."""
    return _view(store, store.squad.member(alias), now, closely=True)


def units_of(store: Store, view: MemberView) -> UnitChoice:
    """The units to tell a member's figures in: his own, once something of him came in."""
    return UnitChoice() if view.member.player_id is None else store.player(view.member.alias).profile.units


def view_taken(store: Store, alias: str | None, today: date) -> tuple[AssignmentView, ...]:
    """What a player took up, in his own store."""
    held = store.squad.taken(store.player(alias).id)
    return tuple(AssignmentView(each, state_of(each), is_overdue(each, today)) for each in held)


def _view(store: Store, member: Member, now: datetime, *, closely: bool) -> MemberView:
    history = None if member.player_id is None else read_history(store, member.alias, now)
    agendas = {} if history is None else agendas_of(store, history)
    newest = None if history is None else history.newest_session
    return MemberView(
        member=member,
        past_keep=member.is_past_keep(now.date()),
        assignments=tuple(
            AssignmentView(each, state_of(each), is_overdue(each, now.date()))
            for each in store.squad.assignments(member.id)
        ),
        sessions=0 if history is None else len(history.sessions),
        shots=0 if history is None else len(history.shots),
        last_session=None if newest is None else newest.started_at,
        own_past=OwnPast((), None) if history is None else own_past(history, agendas),
        progress=progress_of(history, agendas, now) if closely and history is not None and history.shots else None,
        notes=store.squad.notes(member.id) if closely else (),
    )


def wind_band(wind: Wind) -> str:
    """How strong a wind is, in a word."""
    if wind.knowledge is WindKnowledge.UNKNOWN:
        return "wind unknown"
    if wind.speed_mps < LIGHT_MPS:
        return "light wind"
    return "strong wind" if wind.speed_mps >= STRONG_MPS else "moderate wind"


def own_past(history: History, agendas: Mapping[int, Mapping[int, NewBall]]) -> OwnPast:
    """A player's misses of late beside his earlier ones, like for like."""
    groups: dict[tuple[str, str, str], list[tuple[int, float]]] = defaultdict(list)
    for shot in history.shots:
        ball = agendas.get(shot.session_id, {}).get(shot.agenda_number or 0)
        target_m = shot.target_m or (ball.target_m if ball else None)
        carry_m = shot.entry.carry_m
        warm_up = ball is not None and ball.drill in NO_COUNT_DRILLS
        if not target_m or carry_m is None or shot.carry_origin is not CarryOrigin.SEEN or warm_up:
            continue
        drill = "" if ball is None else ball.drill
        error = 100 * abs(carry_m - target_m) / target_m
        key = (drill, str(shot.ball), wind_band(wind_of(history, shot)))
        groups[key].append((local(shot.at).date().toordinal(), error))
    compared = [LikeForLike(*key, change) for key, balls in sorted(groups.items()) if (change := _change(balls))]
    return OwnPast(tuple(compared), _together([each.change for each in compared]))


def _change(balls: Sequence[tuple[int, float]]) -> Change | None:
    days, errors = np.array([day for day, _ in balls], dtype=np.int64), np.array([error for _, error in balls])
    return later_against_earlier(errors, days)


def _together(changes: Sequence[Change]) -> Change | None:
    """The groups' changes as one, each weighted by how well it is known."""
    if len(changes) < 2:
        return changes[0] if changes else None
    weights = [1.0 / max((change.plus_minus95 / Z95) ** 2, 1e-12) for change in changes]
    total = math.fsum(weights)
    difference = math.fsum(w * change.difference for w, change in zip(weights, changes, strict=True)) / total
    return Change(
        difference,
        Z95 / math.sqrt(total),
        sum(change.balls_before for change in changes),
        sum(change.balls_after for change in changes),
    )
