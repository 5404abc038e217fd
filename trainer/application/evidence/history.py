"""Everything a store holds of one player, read once, up to a moment: his range sessions, or his rounds' log."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from trainer.core.conditions import UNKNOWN_WIND, Wind, WindKnowledge
from trainer.core.profile import Profile
from trainer.store.records import PlayerRecord, ReadingRecord, SessionKind, SessionRecord, ShotRecord
from trainer.store.store import Store

KEPT_FOLDER = "kept"
"""Beside the store: posteriors that need not be computed again."""


@dataclass(frozen=True, slots=True)
class History:
    """One player's sessions, readings and shots (none of them undone), in recorded order.

    `kept_folder` is where posteriors of this store are kept, None for nowhere. `running` is the id of the session
    that goes on, None where none does: its wind and air hold past midnight.
    """

    player: PlayerRecord
    club_ids: frozenset[int]
    sessions: Mapping[int, SessionRecord]
    readings: Mapping[int, ReadingRecord]
    shots: tuple[ShotRecord, ...]
    kept_folder: Path | None = None
    running: int | None = None

    @property
    def profile(self) -> Profile:
        """The player's profile as it is now."""
        return self.player.profile

    @property
    def shots_that_count(self) -> tuple[ShotRecord, ...]:
        """The shots hit with a club as it is now: figures rest on no other."""
        return tuple(shot for shot in self.shots if shot.club_id in self.club_ids)

    @property
    def newest_session(self) -> SessionRecord | None:
        """The session begun last in which a ball was hit or a wind was told."""
        hit = {shot.session_id for shot in self.shots}
        told = {
            each.session_id for each in self.readings.values() if each.wind.knowledge is not WindKnowledge.UNKNOWN
        }
        held = [session for session in self.sessions.values() if session.id in hit | told]
        return max(held, key=lambda session: (local(session.started_at), session.id), default=None)

    def last_reading(self, session_id: int) -> ReadingRecord | None:
        """The newest reading of a session."""
        held = [reading for reading in self.readings.values() if reading.session_id == session_id]
        return max(held, key=lambda reading: reading.id, default=None)


def read_history(
    store: Store, alias: str | None, as_of: datetime | None = None, kind: SessionKind = SessionKind.RANGE
) -> History:
    """The history of the player `alias` (or the only one); what came after `as_of` is left out.

    Shots of a round are apart from those of the range: they test the card, and teach the clubs nothing.
    """
    player = store.player(alias)
    moment = as_of or datetime.max
    held = store.sessions(player.id)
    sessions = {each.id: each for each in held if each.kind is kind and local(each.started_at) <= moment}
    return History(
        player=player,
        kept_folder=store.path.parent / KEPT_FOLDER,
        club_ids=frozenset(club.id for club in store.clubs(player.id) if club.retired is None),
        sessions=sessions,
        readings={
            each.id: each
            for each in store.readings(player_id=player.id)
            if each.session_id in sessions and local(each.at) <= moment
        },
        shots=tuple(
            shot
            for shot in store.shots(player_id=player.id)
            if shot.session_id in sessions and local(shot.at) <= moment
        ),
    )


def local(moment: datetime) -> datetime:
    """`moment` as local time without an offset, so that moments of any origin compare."""
    return moment if moment.tzinfo is None else moment.astimezone().replace(tzinfo=None)


def wind_of(history: History, shot: ShotRecord) -> Wind:
    """The wind a shot was hit in, turned to its target; unknown where no reading is left."""
    reading = None if shot.reading_id is None else history.readings.get(shot.reading_id)
    return UNKNOWN_WIND if reading is None else reading.wind.turned(shot.target_bearing_rad)
