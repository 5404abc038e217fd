"""All that screens may ask, in the thread that owns the store: the player, today, and the session that runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from functools import lru_cache
from pathlib import Path

from trainer.application import wind_cost
from trainer.application.calling import BallToCome, Call
from trainer.application.conditions import StatedConditions
from trainer.application.first_run import FirstAnswers, HowKnown, keep_player, make_profile
from trainer.application.history import History, local, read_history
from trainer.application.live import LiveSession
from trainer.application.live_figures import FiguresWish
from trainer.application.live_words import planned_title
from trainer.application.planning import DEFAULT_PLAN, Wish, own_plans_folder
from trainer.application.session import Recorder, begin, resume
from trainer.application.views import OpenSession, PlanRow, SessionView, TodayView, harmless
from trainer.application.wind_view import typed_wind
from trainer.core.conditions import Wind, WindKnowledge
from trainer.core.errors import InputError
from trainer.core.profile import Hand, Profile
from trainer.core.units import UnitChoice
from trainer.plan.collection import read_library
from trainer.store.records import BallState, ReadingRecord, SessionRecord
from trainer.store.store import Store, open_store

GO_ON_WITHIN = timedelta(hours=18)
"""An unended session older than this is another evening."""


class Practice:
    """The store while screens are open. Opened for reading by itself, for writing once there is something to keep."""

    def __init__(self, path: Path, alias: str | None = None, plan_folders: Sequence[Path] | None = None) -> None:
        self.path = path
        self.alias = alias
        self._folders = tuple(plan_folders if plan_folders is not None else [own_plans_folder(path)])
        self._store: Store | None = None
        self._live: LiveSession | None = None
        self._before: History | None = None
        self.called: Call | None = None

    @property
    def live(self) -> LiveSession:
        """The session that runs; InputError where none does."""
        if self._live is None:
            raise InputError("no session runs", "session", "begin one")
        return self._live

    def _writing(self) -> Store:
        if self._store is None:
            self._store = open_store(self.path, write=True)
        return self._store

    def close(self) -> None:
        """Let go of the store. What was recorded is there already."""
        if self._store is not None:
            self._store.close()
        self._store = self._live = None

    def welcome(self, *, unit: str, club: str, carry: str, how: str, hand: str, now: datetime) -> TodayView:
        """Keep a new player and show the day. Raises InputError for a carry that is none."""
        answers = FirstAnswers(unit, club, carry, HowKnown(how), Hand(hand))
        make_profile(answers, self.alias)
        keep_player(self._writing(), answers, now, self.alias)
        today = self.today(now)
        assert today is not None
        return today

    def today(self, now: datetime) -> TodayView | None:
        """Where the player stands; None where the store holds nobody yet."""
        if self._store is None and not self.path.exists():
            return None
        if self._store is not None:
            return self._today(self._store, now)
        with open_store(self.path, write=False) as store:
            return self._today(store, now)

    def _today(self, store: Store, now: datetime) -> TodayView | None:
        if not store.players():
            return None
        history = read_history(store, self.alias)
        plans, problems = self._plans()
        latest = history.newest_session
        reading = None
        if latest is not None and local(latest.started_at).date() == now.date():
            reading = history.last_reading(latest.id)
        return TodayView(
            profile=history.profile,
            now=now,
            plans=plans,
            open_session=_open_session(store, latest, now),
            past=_past(history),
            wind_words=_typed_wind(reading, history.profile.units),
            problems=problems,
        )

    def _plans(self) -> tuple[tuple[PlanRow, ...], tuple[str, ...]]:
        library = read_library(self._folders)
        ids = sorted(library.plans, key=lambda plan_id: (plan_id != DEFAULT_PLAN, plan_id))
        rows = [
            PlanRow(
                id=plan.id,
                title=harmless(plan.title),
                detail=f"{plan.balls} balls, {plan.minutes} min",
                purpose=harmless(" ".join(part for part in (_meant(plan.meant_for), plan.note or "") if part)),
            )
            for plan in (library.plans[plan_id] for plan_id in ids)
        ]
        rows.append(PlanRow("", "Free practice", "any balls", "Name the shot before each ball: 7 iron, 1 in: 142 6L"))
        return tuple(rows), library.errors

    def costs(self, wind: Wind, profile: Profile) -> tuple[str, ...]:
        """What a wind takes from a full mid iron and from its low shot, in sentences."""
        return _costs(profile, wind)

    def begin_with(self, plan_id: str | None, stated: StatedConditions, now: datetime) -> SessionView:
        """Begin a session with a plan, or free practice; one that was left open is ended first."""
        store = self._writing()
        player = store.player(self.alias)
        latest = store.latest_session(player.id)
        if latest is not None and latest.ended_at is None:
            store.end_session(latest.id, now)
        plan = None if plan_id is None else Wish(plan_id)
        recorder = begin(store, self.alias, stated, now, plan, self._folders)
        notes = () if recorder.planned is None else recorder.planned.agenda.notes
        return self._run(store, recorder, notes)

    def resume(self, session_id: int) -> SessionView:
        """Go on with a session that was left open."""
        store = self._writing()
        return self._run(store, resume(store, self.alias, session_id), ())

    def _run(self, store: Store, recorder: Recorder, notes: tuple[str, ...]) -> SessionView:
        profile = recorder.profile
        self.called = None
        recorder.caller = self._call_of
        self._live = LiveSession(store, recorder, lambda wind: _costs(profile, wind), notes)
        history = read_history(store, self.alias)
        own = recorder.session.id
        # What was thought before the first ball: this session's shots and readings come anew with each wish.
        self._before = replace(
            history,
            readings={id: each for id, each in history.readings.items() if each.session_id != own},
            shots=tuple(shot for shot in history.shots if shot.session_id != own),
        )
        return self._live.view()

    def figures_wish(self, version: int, now: datetime) -> FiguresWish | None:
        """What the other thread is to work out after a change; None where no session runs."""
        if self._live is None or self._before is None or self._store is None:
            return None
        session_id = self._live.session_id
        ball = self._live.recorder.waiting_ball()
        readings = {each.id: each for each in self._store.readings(session_id)}
        history = replace(
            self._before,
            readings={**self._before.readings, **readings},
            shots=(*self._before.shots, *self._store.shots(session_id)),
        )
        return FiguresWish(
            version=version,
            session_id=session_id,
            history=history,
            before=replace(history, shots=self._before.shots),
            stated=StatedConditions(),
            as_of=now,
            cell=self._live.wanted_cell(),
            target_m=None if ball is None else ball.ball.target_m,
            ball=self._to_come(now),
        )

    def _to_come(self, now: datetime) -> BallToCome | None:
        """What the next ball of the agenda will meet; None where there is none."""
        recorder = self.live.recorder
        ball = recorder.waiting_ball()
        if ball is None:
            return None
        flag = None if ball.ball.flag is None else recorder.profile.flag(ball.ball.flag)
        return recorder.to_come(ball.ball.cell, flag, recorder.profile.seen, now)

    def _call_of(self, ball: BallToCome, at: datetime) -> Call | None:
        """What the other thread called for this ball; None where it is another, or the sums were not done yet."""
        said = self.called
        if said is None or (said.cell, said.reading_id) != (ball.cell, ball.reading_id):
            return None
        return said

    def finish(self, now: datetime) -> TodayView | None:
        """End the session and show the day again."""
        self.live.finish(now)
        return self.leave(now)

    def leave(self, now: datetime) -> TodayView | None:
        """Leave the session open, to go on with it later, and show the day."""
        self._live = self._before = None
        self.close()
        return self.today(now)


@lru_cache(maxsize=64)
def _costs(profile: Profile, wind: Wind) -> tuple[str, ...]:
    return wind_cost.sentences(profile, wind)


def _meant(meant_for: str | None) -> str:
    return f"For {meant_for}." if meant_for else ""


def _typed_wind(reading: ReadingRecord | None, units: UnitChoice) -> str:
    if reading is None or reading.wind.knowledge is WindKnowledge.UNKNOWN:
        return ""
    return typed_wind(reading.wind, units)


def _past(history: History) -> str:
    """`135 shots in 3 sessions, last 25 Apr`."""
    if not history.sessions or history.newest_session is None:
        return "first evening"
    count = len(history.sessions)
    sessions = f"{count} session{'s' if count > 1 else ''}"
    return f"{len(history.shots)} shots in {sessions}, last {history.newest_session.started_at:%d %b}"


def _open_session(store: Store, latest: SessionRecord | None, now: datetime) -> OpenSession | None:
    if latest is None or latest.ended_at is not None or now - local(latest.started_at) > GO_ON_WITHIN:
        return None
    agenda = store.agenda(latest.id)
    left = sum(ball.state is BallState.WAITING for ball in agenda)
    hit = len(store.shots(latest.id))
    words = f"{planned_title(latest.plan_id)}, begun {latest.started_at:%H:%M}: {hit} recorded"
    return OpenSession(latest.id, f"{words}, {left} to hit" if agenda else words)
