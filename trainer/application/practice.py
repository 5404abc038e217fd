"""All that screens may ask, in the thread that owns the store: the player, today, and the session that runs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime, timedelta
from functools import lru_cache
from pathlib import Path

from trainer.application.choosing.rounds import end_round, require_no_round, round_on, start_round
from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.calling import BallToCome, Call
from trainer.application.evidence.history import History, local, read_history
from trainer.application.flights import wind_cost
from trainer.application.planning.agenda import DEFAULT_PLAN, Wish, own_plans_folder
from trainer.application.planning.agenda_basis import read_basis
from trainer.application.planning.due import DueRow, days_hit, due_rows, next_row, next_words
from trainer.application.reports.progress import agendas_of
from trainer.application.session.ball_seen import seen_by
from trainer.application.session.drill_aim import Agendas, Evening
from trainer.application.session.live import LiveSession
from trainer.application.session.live_figures import FiguresWish
from trainer.application.session.live_words import planned_title
from trainer.application.session.recording import Recorder, begin, resume
from trainer.application.session.replanning import NewRest, RestWish
from trainer.application.setup.first_run import FirstAnswers, HowKnown, keep_player, make_profile
from trainer.application.views.practice import OpenSession, PlanRow, SessionView, TodayView, harmless
from trainer.application.views.wind import typed_wind
from trainer.core.conditions import Wind, WindKnowledge
from trainer.core.errors import InputError
from trainer.core.profile import AgeBand, Hand, Profile
from trainer.core.schedule.block import Block
from trainer.core.shot import ShotEntry
from trainer.core.units import UnitChoice, counted
from trainer.plan.collection import Library, read_library
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
        self._agendas: Agendas = {}
        self._blocks: tuple[Block, ...] = ()
        self._age_band = AgeBand.ADULT
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

    @contextmanager
    def at_store(self, *, write: bool) -> Iterator[Store]:
        """The store for one piece of work that is not the session's; let go of afterwards where none runs."""
        if self._store is not None:
            yield self._store
        else:
            with open_store(self.path, write=write or not self.path.exists()) as store:
                yield store

    def hold(self) -> Store:
        """The store for work that goes on, as a group's grid does: held for writing until `close`."""
        return self._writing()

    def crowd(self) -> tuple[str, ...]:
        """The aliases of a store with several players, where none of them was named; empty else."""
        if self.alias is not None or not self.path.exists():
            return ()
        with self.at_store(write=False) as store:
            aliases = tuple(player.profile.alias for player in store.players())
        return aliases if len(aliases) > 1 else ()

    @property
    def plan_folders(self) -> tuple[Path, ...]:
        """Where own plans are looked for."""
        return self._folders

    def close(self) -> None:
        """Let go of the store. What was recorded is there already."""
        if self._store is not None:
            self._store.close()
        self._store = self._live = None

    def welcome(self, *, unit: str, club: str, carry: str, how: str, hand: str, now: datetime) -> TodayView:
        """Keep a new player and show the day. Raises InputError for a carry that is none."""
        answers = FirstAnswers(unit, club, carry, HowKnown(how), Hand(hand))
        make_profile(answers, self.alias)  # refused before a store is made for nothing
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
        library = read_library(self._folders)
        due = due_rows([library.plans[plan_id] for plan_id in sorted(library.plans)], days_hit(history), now.date())
        latest = history.newest_session
        reading = None
        if latest is not None and local(latest.started_at).date() == now.date():
            reading = history.last_reading(latest.id)
        return TodayView(
            profile=history.profile,
            now=now,
            plans=plan_rows(library, due),
            open_session=_open_session(store, latest, now),
            past=_past(history),
            wind_words=_typed_wind(reading, history.profile.units),
            problems=library.errors,
            due=harmless(next_words(next_row(due))),
            in_round="" if (lock := round_on(store, self.alias, now)) is None else lock.words,
        )

    def require_no_round(self, now: datetime) -> None:
        """Raise InputError where the player is in a round: its card is all there is then."""
        with self.at_store(write=False) as store:
            require_no_round(store, self.alias, now)

    def start_round(self, card: Mapping[str, str], now: datetime) -> TodayView | None:
        """Begin a round with the card as printed, by form, and show the day again."""
        with self.at_store(write=True) as store:
            start_round(store, self.alias, now, card)
        return self.today(now)

    def end_round(self, now: datetime) -> TodayView | None:
        """End the round that is on, and show the day again."""
        with self.at_store(write=True) as store:
            end_round(store, self.alias, now)
        return self.today(now)

    def costs(self, wind: Wind, profile: Profile) -> tuple[str, ...]:
        """What a wind takes from a full mid iron and from its low shot, in sentences."""
        return _costs(profile, wind)

    def begin_with(self, plan_id: str | None, stated: StatedConditions, now: datetime) -> SessionView:
        """Begin a session with a plan, or free practice; one that was left open is ended first.

        Raises InputError in a round: a session's balls name clubs.
        """
        self.require_no_round(now)
        store = self._writing()
        player = store.player(self.alias)
        latest = store.latest_session(player.id)
        if latest is not None and latest.ended_at is None:
            store.end_session(latest.id, now)
        plan = None if plan_id is None else Wish(plan_id)
        recorder = begin(store, self.alias, stated, now, plan, self._folders)
        notes = () if recorder.planned is None else recorder.planned.agenda.notes
        return self._run(store, recorder, notes)

    def resume(self, session_id: int, now: datetime | None = None) -> SessionView:
        """Go on with a session that was left open. Raises InputError where a round is on at `now`."""
        if now is not None:
            self.require_no_round(now)
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
            running=own,
        )
        text = store.agenda_basis(own)
        basis = None if text is None else read_basis(text)
        self._blocks = () if basis is None else basis.blocks
        self._age_band = (profile.age_band or AgeBand.ADULT) if basis is None else basis.age_band
        # Only an aim over several sessions looks back on the agendas of others.
        looks_back = any(block.aim is not None and block.aim.over_sessions > 1 for block in self._blocks)
        self._agendas = agendas_of(store, self._before) if looks_back else {}
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
            evening=Evening(
                session_id=session_id,
                agenda=self._store.agenda(session_id),
                blocks=self._blocks,
                age_band=self._age_band,
                before=self._agendas,
                said=self._store.own_calls(history.player.id),
            ),
        )

    def rest_wish(self, now: datetime) -> RestWish | None:
        """What the other thread is to plan anew after a change; None where nothing is."""
        return None if self._live is None else self._live.rest_wish(now)

    def keep_rest(self, rest: NewRest) -> SessionView | None:
        """Keep what the other thread planned; None where it came too late."""
        return None if self._live is None else self._live.keep_rest(rest)

    def keep_call(self, session_id: int, version: int, call: Call) -> tuple[int, str] | None:
        """Keep with the next ball where it is called to land; None where the session has gone on from `version`."""
        live = self._live
        if live is None or (live.session_id, live.version) != (session_id, version):
            return None
        kept = live.keep_call(call)
        self.called = None if kept is None else call
        return kept

    def _to_come(self, now: datetime) -> BallToCome | None:
        """What the next ball of the agenda will meet; None where there is none."""
        recorder = self.live.recorder
        ball = recorder.waiting_ball()
        if ball is None:
            return None
        flag = None if ball.ball.flag is None else recorder.profile.flag(ball.ball.flag)
        return recorder.to_come(ball.ball.cell, flag, seen_by(ShotEntry(), recorder.stated, recorder.profile), now)

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


def plan_rows(library: Library, due: Sequence[DueRow]) -> tuple[PlanRow, ...]:
    """The plans by id, the one to begin with first, free practice last; with the day of those that have one."""
    days = {row.plan.id: f", {row.when_words}" for row in due if row.due is not None and row.done is None}
    ids = sorted(library.plans, key=lambda plan_id: (plan_id != DEFAULT_PLAN, plan_id))
    rows = [
        PlanRow(
            id=plan.id,
            title=harmless(plan.title),
            detail=f"{plan.balls} balls, {plan.minutes} min{days.get(plan.id, '')}",
            purpose=harmless(" ".join(part for part in (_meant(plan.meant_for), plan.note or "") if part)),
        )
        for plan in (library.plans[plan_id] for plan_id in ids)
    ]
    free = PlanRow("", "Free practice", "any balls", "Name the shot before each ball: 7 iron, 1 in: 142 6L")
    return (*rows, free)


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
    hit = f"{counted(len(history.shots), 'shot')} in {counted(len(history.sessions), 'session')}"
    return f"{hit}, last {history.newest_session.started_at:%d %b}"


def _open_session(store: Store, latest: SessionRecord | None, now: datetime) -> OpenSession | None:
    if latest is None or latest.ended_at is not None or now - local(latest.started_at) > GO_ON_WITHIN:
        return None
    agenda = store.agenda(latest.id)
    left = sum(ball.state is BallState.WAITING for ball in agenda)
    hit = len(store.shots(latest.id))
    words = f"{planned_title(latest.plan_id)}, begun {latest.started_at:%H:%M}: {hit} recorded"
    return OpenSession(latest.id, f"{words}, {left} to hit" if agenda else words)
