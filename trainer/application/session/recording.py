"""A session as it happens: begun with its wind, then line by line, each kept before it is acknowledged."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates import own_calls
from trainer.application.estimates.calling import BallToCome, Call
from trainer.application.evidence.history import read_history
from trainer.application.planning.agenda import PlannedSession, Wish, new_balls, plan_session
from trainer.application.planning.agenda_basis import basis_of, basis_text, read_basis
from trainer.application.session.ball_seen import resolve_flag, seen_by, target_of
from trainer.core.bag import Cell
from trainer.core.conditions import (
    UNKNOWN_WIND,
    Ball,
    Conditions,
    Seen,
    Surface,
    Turf,
    Wind,
    WindKnowledge,
    turned_by_rad,
)
from trainer.core.errors import InputError
from trainer.core.profile import Profile, RangeFlag
from trainer.core.schedule.ages import JUNIOR_MOST_GRIP_M
from trainer.core.schedule.prompts import thunder_note
from trainer.core.schedule.replan import own_choice
from trainer.core.schedule.stages import Stage
from trainer.core.shot import ShotEntry
from trainer.exchange.cell_text import parse_cell
from trainer.exchange.typed_line import (
    BlankLine,
    FlagLine,
    GuessLine,
    InsteadLine,
    SayLine,
    ShotLine,
    SkipLine,
    ThunderLine,
    WindLine,
    parse_line,
)
from trainer.store.records import (
    AgendaBallRecord,
    BallState,
    Mark,
    NewSession,
    NewShot,
    OwnCall,
    PlayerRecord,
    ReadingRecord,
    SessionKind,
    SessionRecord,
    ShotRecord,
)
from trainer.store.store import Store

OPPOSITE_RAD = 2.6
"""Two winds further apart than this (150°) contradict each other."""

WARMED_UP = "warm-up balls are not recorded"


@dataclass(frozen=True, slots=True)
class Kept:
    """One line that was kept: a shot, a reading, a flag, a ball changed or left out, thunder, what was said first."""

    shot: ShotRecord | None = None
    reading: ReadingRecord | None = None
    flag: RangeFlag | None = None
    ball: AgendaBallRecord | None = None
    thunder_at: datetime | None = None
    said: OwnCall | None = None


CallsBalls = Callable[[BallToCome, datetime], Call | None]
"""Says where a ball will land before it is known where it did."""


class Recorder:
    """An open session. It holds what the next line falls under: the profile's flags, the wind and the agenda."""

    def __init__(self, store: Store, player: PlayerRecord, session: SessionRecord, stated: StatedConditions) -> None:
        self.session = session
        self.profile: Profile = player.profile
        self.reading: ReadingRecord | None = None
        self.planned: PlannedSession | None = None
        self.caller: CallsBalls | None = None
        self.stated = stated
        self._store = store
        self._shots_in_this_wind = 0

    def take_up(self, reading: ReadingRecord, shots_in_it: int) -> None:
        """Stand in the wind of a reading that the session holds already."""
        self.reading = reading
        self._shots_in_this_wind = shots_in_it

    @property
    def shots_in_this_wind(self) -> int:
        """How many shots were kept since the wind was last read."""
        return self._shots_in_this_wind

    def waiting_ball(self) -> AgendaBallRecord | None:
        """The agenda's first ball that waits, of the warm-up too; nothing changes."""
        return self._store.next_ball(self.session.id)

    def read_wind(self, wind: Wind, at: datetime) -> ReadingRecord:
        """Keep a wind reading; it holds for the shots that follow.

        Raises InputError as a question where it turns a wind round before a ball was hit in it: somebody may have
        typed where it blows to.
        """
        if self.reading is not None and self._shots_in_this_wind == 0 and _contradict(self.reading.wind, wind):
            raise InputError(
                "this wind is opposite to the one just given and no ball lies between: from or towards?",
                "wind",
                "give where it comes from; if you turned round, hit a ball or begin a new session first",
            )
        self.reading = self._store.add_reading(self.session.id, wind, at)
        self._shots_in_this_wind = 0
        return self.reading

    def correct_wind(self, text: str, at: datetime) -> Kept | None:
        """Put a wind line in place of the last reading if no ball was hit in that: it was mistyped.

        None where the line is no wind or balls were hit. For who sees the wind as a picture; `line` asks instead.
        """
        line = parse_line(text, self.profile.units, self.profile.sees)
        if not isinstance(line, WindLine) or self.reading is None or self._shots_in_this_wind:
            return None
        self.reading = self._store.correct_reading(self.reading.id, line.wind, at)
        return Kept(reading=self.reading)

    def line(self, text: str, at: datetime, mark: Mark | None = None) -> Kept:
        """Keep what one typed line says. Raises InputError with nothing kept where it is not understood.

        `mark` says that the ball met a gust or a lull.
        """
        line = parse_line(text, self.profile.units, self.profile.sees)
        if isinstance(line, BlankLine):
            return Kept()
        if isinstance(line, WindLine):
            return Kept(reading=self.read_wind(line.wind, at))
        if isinstance(line, FlagLine):
            return Kept(flag=self._keep_flag(line.flag, at))
        if isinstance(line, ShotLine):
            return Kept(shot=self._keep_shot(line, at, mark))
        return self._keep_word(line, at)

    def _keep_word(self, line: InsteadLine | SkipLine | ThunderLine | SayLine | GuessLine, at: datetime) -> Kept:
        if isinstance(line, InsteadLine):
            return Kept(ball=self.change_next(line.cell_text, line.reason))
        if isinstance(line, SkipLine):
            return Kept(ball=self.skip_next(line.reason))
        if isinstance(line, ThunderLine):
            return Kept(thunder_at=self.hear_thunder(at))
        if isinstance(line, SayLine):
            return Kept(said=own_calls.say_carry(self._store, self.session.id, line.carry_m, at, self.profile.units))
        return Kept(said=own_calls.guess_wind(self._store, self.session.id, line.wind, at))

    def _keep_flag(self, flag: RangeFlag, at: datetime) -> RangeFlag:
        others = tuple(other for other in self.profile.flags if other.name.lower() != flag.name.lower())
        self.profile = replace(self.profile, flags=(*others, flag))
        self._store.save_profile(self.profile, at)
        return flag

    def next_ball(self) -> AgendaBallRecord | None:
        """The agenda's next ball to record. Warm-up balls are hit, not recorded: they are passed over."""
        ball = self._store.next_ball(self.session.id)
        while ball is not None and ball.ball.stage == Stage.WARM_UP:
            self._store.mark_ball(self.session.id, ball.number, BallState.SKIPPED, WARMED_UP)
            ball = self._store.next_ball(self.session.id)
        return ball

    def change_next(self, cell_text: str, reason: str) -> AgendaBallRecord:
        """Put another shot in place of the next ball, with the reason; what it should carry is worked out later.

        Raises InputError where no ball waits, and for a grip that is too much on a junior's club.
        """
        cell = parse_cell(cell_text, self.profile.bag, self.profile.units)
        ball = self._require_next("instead")
        if cell == ball.ball.cell:
            raise InputError("that is the next ball already", cell_text, "hit it")
        if self._is_junior() and cell.grip_down_m > JUNIOR_MOST_GRIP_M:
            raise InputError("more than an inch down is too much on a junior's club", cell_text, "grip down less")
        words = own_choice(cell, reason, self.profile.units)
        changed = replace(ball.ball, cell=cell, target_m=None, flag=None, reason=words, override=reason)
        return self._store.change_ball(self.session.id, changed)

    def skip_next(self, reason: str) -> AgendaBallRecord:
        """Leave the next ball out, with the reason. Raises InputError where none waits."""
        ball = self._require_next("skip")
        return self._store.mark_ball(self.session.id, ball.number, BallState.SKIPPED, reason)

    def _require_next(self, where: str) -> AgendaBallRecord:
        ball = self.next_ball()
        if ball is None:
            raise InputError("no ball waits", where, "there is nothing to change")
        return ball

    def _is_junior(self) -> bool:
        text = self._store.agenda_basis(self.session.id)
        basis = None if text is None else read_basis(text)
        band = self.profile.age_band if basis is None else basis.age_band
        return band is not None and band.is_junior

    def hear_thunder(self, at: datetime) -> datetime:
        """Keep that thunder was heard: the wait begins, or begins anew."""
        self._store.hear_thunder(self.session.id, at)
        return at

    def thunder_words(self, now: datetime) -> str:
        """What thunder heard in this session means now: stop, and until when; empty when that is over."""
        return thunder_note(self._store.thunder(self.session.id), now)

    def _keep_shot(self, line: ShotLine, at: datetime, mark: Mark | None) -> ShotRecord:
        ball = self.next_ball()
        cell = self._cell(line, ball)
        if ball is not None and ball.ball.cell != cell:
            ball = None
        entry, flag = resolve_flag(line.entry, self.profile)
        shot = self._store.add_shot(self.session.id, self.shot_as_seen(cell, entry, ball, flag, at, mark))
        self.count_shot()
        return shot

    def shot_as_seen(
        self,
        cell: Cell,
        entry: ShotEntry,
        ball: AgendaBallRecord | None,
        flag: RangeFlag | None,
        at: datetime,
        mark: Mark | None = None,
    ) -> NewShot:
        """The shot to keep of what was seen: its target, wind and called range. `ball` is the agenda's, if any."""
        if flag is None and ball is not None and ball.ball.flag is not None:
            flag = self.profile.flag(ball.ball.flag)
        seen = seen_by(entry, self.stated, self.profile)
        called = None if self.caller is None else self.caller(self.to_come(cell, flag, seen, at), at)
        called_50_m, called_80_m = _ranges(called, ball)
        return NewShot(
            at=at,
            cell=cell,
            entry=entry,
            target_m=target_of(ball, flag),
            target_bearing_rad=0.0 if flag is None else flag.bearing_rad,
            ball=self.stated.ball or self.profile.ball,
            surface=self.stated.surface or self.profile.surface,
            seen=seen,
            agenda_number=None if ball is None else ball.number,
            reading_id=None if self.reading is None else self.reading.id,
            called_50_m=called_50_m,
            called_80_m=called_80_m,
            called_shape_m=None if called is None else called.shape_m or None,
            mark=mark,
        )

    def count_shot(self) -> None:
        """One more shot was kept in this wind."""
        self._shots_in_this_wind += 1

    def to_come(self, cell: Cell, flag: RangeFlag | None, seen: Seen, at: datetime) -> BallToCome:
        """What a ball of `cell` to `flag` would meet now, for its called range."""
        wind = UNKNOWN_WIND if self.reading is None else self.reading.wind
        conditions = Conditions(
            wind=wind.turned(0.0 if flag is None else flag.bearing_rad),
            air=self.session.air,
            turf=self.session.turf,
            ball=self.stated.ball or self.profile.ball,
            surface=self.stated.surface or self.profile.surface,
        )
        reading_id = None if self.reading is None else self.reading.id
        return BallToCome(cell, conditions, reading_id, at.date(), seen)

    def _cell(self, line: ShotLine, ball: AgendaBallRecord | None) -> Cell:
        if line.cell_text is not None:
            return parse_cell(line.cell_text, self.profile.bag, self.profile.units)
        if ball is None:
            raise InputError(
                "which club was it?", "no agenda", "write it before a colon, such as 7 iron, 1 in, three-quarter: 142"
            )
        return ball.ball.cell


_Range = tuple[float, float]


def _ranges(called: Call | None, ball: AgendaBallRecord | None) -> tuple[_Range | None, _Range | None]:
    """The central 50 and 80 % that were called; those kept with the ball where nothing newer is."""
    if called is not None:
        return called.range_50_m, called.range_80_m
    return (None, None) if ball is None else (ball.ball.called_50_m, ball.ball.called_80_m)


def _contradict(before: Wind, now: Wind) -> bool:
    """Whether two readings blow in opposite directions."""
    if before.knowledge is not WindKnowledge.READ or now.knowledge is not WindKnowledge.READ:
        return False
    return abs(turned_by_rad(before.from_rad, now.from_rad)) > OPPOSITE_RAD


def resume(store: Store, alias: str | None, session_id: int) -> Recorder:
    """Go on with a session exactly where it stands in the store. Raises InputError for one that is not his."""
    player = store.player(alias)
    session = store.session(session_id)
    if session.player_id != player.id:
        raise InputError(f"session {session_id} is not {player.profile.alias}'s", "resume", "name the player")
    if session.kind is not SessionKind.RANGE:
        raise InputError(f"session {session_id} is a course log", "resume", "enter more with `trainer course-log`")
    recorder = Recorder(store, player, session, _stated_before(session))
    readings = store.readings(session_id)
    if readings:
        in_this_wind = sum(shot.reading_id == readings[-1].id for shot in store.shots(session_id))
        recorder.take_up(readings[-1], in_this_wind)
    return recorder


_STATED = "stated: "


def _stated_words(stated: StatedConditions) -> str:
    """What was said of ball, ground and eyes, as the session's note keeps it: `stated: range mat laser`."""
    said = [str(part) for part in (stated.ball, stated.surface, stated.seen) if part is not None]
    return _STATED + " ".join(said) if said else ""


def _stated_before(session: SessionRecord) -> StatedConditions:
    """What was stated when the session began; what a later note put in its place falls back to the player's usual."""
    if not session.note.startswith(_STATED):
        return StatedConditions()
    words = session.note.removeprefix(_STATED).split()
    return StatedConditions(
        ball=next((each for each in Ball if each in words), None),
        surface=next((each for each in Surface if each in words), None),
        seen=next((each for each in Seen if each in words), None),
    )


def begin(
    store: Store,
    alias: str | None,
    stated: StatedConditions,
    when: datetime,
    wish: Wish | None = None,
    plan_folders: Sequence[Path] = (),
) -> Recorder:
    """Begin a session, with the balls of a plan where `wish` asks for one. Raises InputError."""
    return begin_planned(store, alias, stated, when, planned_for(store, alias, stated, when, wish, plan_folders))


def planned_for(
    store: Store,
    alias: str | None,
    stated: StatedConditions,
    when: datetime,
    wish: Wish | None,
    plan_folders: Sequence[Path] = (),
) -> PlannedSession | None:
    """The balls that a session would begin with, nothing kept; None where `wish` asks for none. Raises InputError."""
    if wish is None:
        return None
    history = read_history(store, store.player(alias).profile.alias, when)
    return plan_session(history, wish, stated, when, plan_folders)


def begin_planned(
    store: Store, alias: str | None, stated: StatedConditions, when: datetime, planned: PlannedSession | None
) -> Recorder:
    """Begin a session with the balls of `planned`, as `planned_for` gave them for the same moment."""
    player = store.player(alias)
    session = store.begin_session(
        NewSession(
            player_id=player.id,
            started_at=when,
            plan_id=None if planned is None else planned.plan.id,
            seed=None if planned is None else planned.seed,
            air=stated.air(),
            air_stated=stated.air_is_stated,
            turf=stated.turf or Turf.MEDIUM,
            note=_stated_words(stated),
        )
    )
    recorder = Recorder(store, player, session, stated)
    recorder.planned = planned
    recorder.read_wind(stated.wind or UNKNOWN_WIND, when)
    if planned is not None:
        balls, wind = new_balls(planned.agenda), stated.wind or UNKNOWN_WIND
        basis = basis_of(planned.agenda, balls, planned.age_band, wind, shots=0)
        store.put_agenda(session.id, balls, basis_text(basis))
    return recorder
