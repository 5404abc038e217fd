"""Thunder that was heard in a session. Every function runs inside a transaction of the caller."""

from __future__ import annotations

from datetime import datetime

from trainer.core.errors import InputError
from trainer.store import sessions
from trainer.store.database import Database
from trainer.store.times import moment

_STANDING = "SELECT id, at FROM thunder WHERE session_id = ? AND undone = 0 ORDER BY id"


def hear(database: Database, session_id: int, at: datetime) -> None:
    """Keep that thunder was heard; raises InputError for a session that is not there."""
    sessions.session(database, session_id)
    database.insert("thunder", {"session_id": session_id, "at": at.isoformat()})


def take_back(database: Database, session_id: int) -> None:
    """Undo the last that was heard; raises InputError where none was."""
    rows = database.rows(_STANDING, (session_id,))
    if not rows:
        raise InputError("no thunder was heard", f"session {session_id}", "there is nothing to take back")
    database.update("thunder", int(rows[-1]["id"]), {"undone": 1})


def heard(database: Database, session_id: int) -> tuple[datetime, ...]:
    """When thunder was heard, in recorded order, what was taken back left out."""
    sessions.session(database, session_id)
    return tuple(moment(row["at"]) for row in database.rows(_STANDING, (session_id,)))
