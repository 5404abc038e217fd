"""What a player says before he knows: a carry before its ball, a wind before its reading.

Every function runs inside a transaction of the caller. A call waits for the next ball (or reading) of its session;
where two wait, the later counts. One whose ball or reading was undone waits again.
"""

from __future__ import annotations

import sqlite3
from datetime import datetime

from trainer.core.conditions import Wind
from trainer.core.errors import InputError
from trainer.store import sessions
from trainer.store.database import Database, Value
from trainer.store.records import OwnCall, ReadingRecord, ShotRecord
from trainer.store.times import moment

_STANDING = {
    "shot": "own_call.shot_id IN (SELECT id FROM shot WHERE undone = 0)",
    "reading": "own_call.reading_id IN (SELECT id FROM reading WHERE undone = 0)",
}


def add(database: Database, session_id: int, at: datetime, *, carry_m: float | None, wind: Wind | None) -> OwnCall:
    """Keep one call; raises InputError for a session that is not there, and unless exactly one thing is said."""
    sessions.session(database, session_id)
    if (carry_m is None) == (wind is None):
        raise InputError("say a carry or a wind", f"session {session_id}", "one of them at a time")
    values: dict[str, Value] = {
        "session_id": session_id,
        "at": at.isoformat(),
        "carry_m": carry_m,
        "wind_mps": None if wind is None else wind.speed_mps,
        "wind_from_rad": None if wind is None else wind.from_rad,
    }
    call_id = database.insert("own_call", values)
    row = database.row("SELECT * FROM own_call WHERE id = ?", (call_id,))
    if row is None:
        raise RuntimeError("a row just written is not there")
    return _record(row)


def own_calls(database: Database, player_id: int) -> tuple[OwnCall, ...]:
    """A player's calls in recorded order."""
    rows = database.rows(
        "SELECT own_call.* FROM own_call JOIN session ON session.id = own_call.session_id"
        " WHERE session.player_id = ? ORDER BY own_call.id",
        (player_id,),
    )
    return tuple(_record(row) for row in rows)


def take_shot(database: Database, shot: ShotRecord) -> None:
    """Let the carry that waits in a shot's session go with it."""
    _take(database, "shot", "carry_m", shot.session_id, shot.id)


def take_reading(database: Database, reading: ReadingRecord) -> None:
    """Let the wind that waits in a reading's session go with it, if it is the session's last."""
    newer = database.row(
        "SELECT id FROM reading WHERE session_id = ? AND id > ? AND undone = 0", (reading.session_id, reading.id)
    )
    if newer is None:
        _take(database, "reading", "wind_mps", reading.session_id, reading.id)


def _take(database: Database, what: str, said: str, session_id: int, taker_id: int) -> None:
    """Give the newest call to `taker_id` unless it was given before; `what` and `said` are names of ours."""
    newest = database.row(
        f"SELECT id, {_STANDING[what]} AS given FROM own_call WHERE session_id = ? AND {said} IS NOT NULL"
        " ORDER BY id DESC LIMIT 1",
        (session_id,),
    )
    if newest is not None and not newest["given"]:
        database.update("own_call", newest["id"], {f"{what}_id": taker_id})


def _record(row: sqlite3.Row) -> OwnCall:
    return OwnCall(
        row["id"], row["session_id"], moment(row["at"]), row["carry_m"], row["wind_mps"],
        row["wind_from_rad"], row["shot_id"], row["reading_id"],
    )  # fmt: skip
