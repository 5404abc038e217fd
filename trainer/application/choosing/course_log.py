"""The course log: windy approaches of a round, entered afterwards, each kept with what the card had said of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from trainer.application.choosing.course_calls import BeforeTheRound, before_the_round, call_rest
from trainer.application.conditions.stated import StatedConditions
from trainer.application.evidence.history import local, read_history
from trainer.core.conditions import UNKNOWN_WIND, Ball, Conditions, Surface, Turf, Wind
from trainer.core.profile import Profile
from trainer.exchange.cell_text import parse_cell
from trainer.exchange.course_line import ApproachLine, parse_course_line
from trainer.exchange.typed_line import WindLine
from trainer.store.records import (
    NewSession,
    NewShot,
    PlayerRecord,
    ReadingRecord,
    SessionKind,
    SessionRecord,
    ShotRecord,
)
from trainer.store.store import Store


@dataclass(frozen=True, slots=True)
class KeptLine:
    """What one line became: an approach or a wind reading; neither for a remark."""

    shot: ShotRecord | None = None
    reading: ReadingRecord | None = None


class CourseLog:
    """An open log of one round. It holds the wind that the next approach falls under."""

    def __init__(self, store: Store, player: PlayerRecord, session: SessionRecord, stated: StatedConditions) -> None:
        self.session = session
        self.profile: Profile = player.profile
        self.reading: ReadingRecord | None = None
        self.seen = stated.seen or player.profile.seen
        self.ball = stated.ball or Ball.PLAYING
        self.surface = stated.surface or Surface.GRASS
        self._store = store

    @cached_property
    def _before(self) -> BeforeTheRound:
        history = read_history(self._store, self.profile.alias, local(self.session.started_at))
        return before_the_round(history, local(self.session.started_at))

    def read_wind(self, wind: Wind, at: datetime) -> ReadingRecord:
        """Keep the wind of the approaches that follow, relative to the line of the next."""
        self.reading = self._store.add_reading(self.session.id, wind, at)
        return self.reading

    def line(self, text: str, at: datetime) -> KeptLine:
        """Keep what one typed line says. Raises InputError with nothing kept where it is not understood."""
        line = parse_course_line(text, self.profile.units)
        if isinstance(line, WindLine):
            return KeptLine(reading=self.read_wind(line.wind, at))
        if isinstance(line, ApproachLine):
            return KeptLine(shot=self._keep(line, at))
        return KeptLine()

    def _keep(self, line: ApproachLine, at: datetime) -> ShotRecord:
        cell = parse_cell(line.cell_text, self.profile.bag, self.profile.units)
        called = call_rest(self._before, cell, self.conditions(), self.seen)
        return self._store.add_shot(
            self.session.id,
            NewShot(
                at=at,
                cell=cell,
                entry=line.entry,
                target_m=line.flag_m,
                ball=self.ball,
                surface=self.surface,
                seen=self.seen,
                reading_id=None if self.reading is None else self.reading.id,
                called_50_m=None if called is None else called.range_50_m,
                called_80_m=None if called is None else called.range_80_m,
                called_shape_m=None if called is None else called.shape_m,
            ),
        )

    def conditions(self) -> Conditions:
        """What the next approach meets."""
        wind = UNKNOWN_WIND if self.reading is None else self.reading.wind
        return Conditions(wind, self.session.air, self.session.turf, self.ball, self.surface)


def moment_of_round(store: Store, alias: str | None, now: datetime) -> datetime:
    """When the round was that is entered at `now`: the start of one begun today, else now."""
    latest = store.latest_round(store.player(alias).id)
    if latest is not None and local(latest.started_at).date() == local(now).date():
        return latest.started_at
    return now


def begin_log(store: Store, alias: str | None, stated: StatedConditions, when: datetime) -> CourseLog:
    """Begin the log of the round of `when`. Raises InputError where there is no such player."""
    player = store.player(alias)
    session = store.begin_session(
        NewSession(
            player_id=player.id,
            started_at=when,
            air=stated.air(),
            air_stated=stated.air_is_stated,
            turf=stated.turf or Turf.MEDIUM,
            kind=SessionKind.COURSE,
        )
    )
    log = CourseLog(store, player, session, stated)
    log.read_wind(stated.wind or UNKNOWN_WIND, when)
    return log
