"""What may be asked of an open store about a session's agenda and its thunder: a part of `Store`."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from trainer.store import sessions, thunder
from trainer.store.database import Database
from trainer.store.records import AgendaBallRecord, BallState, NewBall


class AgendaPart:
    """Each call is one transaction, as of every part of the store; errors are those of `Store`."""

    _database: Database

    def put_agenda(
        self, session_id: int, balls: Sequence[NewBall], basis: str | None = None
    ) -> tuple[AgendaBallRecord, ...]:
        """Put `balls` in place of those still waiting, and the JSON text `basis` in place of theirs.

        Balls hit or skipped stay; the whole agenda is given. Old and new are never mixed, whenever the program ends.
        Raises InputError for a number that is taken.
        """
        with self._database.writing():
            return sessions.put_agenda(self._database, session_id, balls, basis)

    def agenda(self, session_id: int) -> tuple[AgendaBallRecord, ...]:
        """The balls of a session in their order, those hit and skipped too."""
        with self._database.reading():
            return sessions.agenda(self._database, session_id)

    def agenda_basis(self, session_id: int) -> str | None:
        """What the waiting balls were planned from, as it was put; None where they are not to be planned anew."""
        with self._database.reading():
            return sessions.agenda_basis(self._database, session_id)

    def next_ball(self, session_id: int) -> AgendaBallRecord | None:
        """The first ball of a session that waits, or None where none does."""
        with self._database.reading():
            return sessions.next_ball(self._database, session_id)

    def mark_ball(self, session_id: int, number: int, state: BallState, skip_reason: str = "") -> AgendaBallRecord:
        """Skip a ball, or let it wait again. `add_shot` marks a ball hit by itself."""
        with self._database.writing():
            return sessions.mark_ball(self._database, session_id, number, state, skip_reason)

    def change_ball(self, session_id: int, ball: NewBall) -> AgendaBallRecord:
        """Put `ball` in place of the waiting one of its number; what was called for that is dropped.

        Raises InputError where none of that number waits.
        """
        with self._database.writing():
            return sessions.change_ball(self._database, session_id, ball)

    def call_ball(
        self, session_id: int, number: int, called_50_m: sessions.Range, called_80_m: sessions.Range
    ) -> bool:
        """Keep where a waiting ball is called to land, (low, high) in m. False, and nothing kept, if it is hit."""
        with self._database.writing():
            return sessions.call_ball(
                self._database, session_id, number, called_50_m, called_80_m, state=BallState.WAITING
            )

    def hear_thunder(self, session_id: int, at: datetime) -> None:
        """Keep that thunder was heard."""
        with self._database.writing():
            thunder.hear(self._database, session_id, at)

    def take_thunder_back(self, session_id: int) -> None:
        """It was no thunder: the last that was heard is undone. Raises InputError where none was."""
        with self._database.writing():
            thunder.take_back(self._database, session_id)

    def thunder(self, session_id: int) -> tuple[datetime, ...]:
        """When thunder was heard in a session, in recorded order."""
        with self._database.reading():
            return thunder.heard(self._database, session_id)
