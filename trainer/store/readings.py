"""Wind readings of a session. Every function runs inside a transaction of the caller."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from trainer.core.conditions import ReadingMethod, Wind, WindKnowledge, WindPlace
from trainer.core.errors import InputError
from trainer.store import sessions
from trainer.store.database import Database, Value
from trainer.store.records import ReadingRecord, ReadingRevision, Reason
from trainer.store.times import moment


def add(database: Database, session_id: int, wind: Wind, at: datetime, new_uid: str) -> ReadingRecord:
    """Keep a reading; what was called for the balls to come is void. InputError for a session that is not there."""
    sessions.session(database, session_id)
    sessions.forget_calls(database, session_id)
    values = {"uid": new_uid, "session_id": session_id, "at": at.isoformat(), **_wind_values(wind)}
    return reading(database, database.insert("reading", values))


def reading(database: Database, reading_id: int) -> ReadingRecord:
    """The reading with this id, undone or not, or InputError."""
    return _record(_row(database, reading_id))


def readings(
    database: Database, session_id: int | None, player_id: int | None, *, include_undone: bool
) -> tuple[ReadingRecord, ...]:
    """Readings in recorded order. See `Store.readings`."""
    rows = database.rows(
        "SELECT reading.* FROM reading JOIN session ON session.id = reading.session_id"
        " WHERE (:session IS NULL OR session_id = :session) AND (:player IS NULL OR player_id = :player)"
        " AND (:all OR reading.undone = 0) ORDER BY reading.id",
        {"session": session_id, "player": player_id, "all": include_undone},
    )
    return tuple(_record(row) for row in rows)


def correct(database: Database, reading_id: int, wind: Wind, at: datetime) -> ReadingRecord:
    """Put another wind in place of a reading's; the old values are kept."""
    _keep_old(database, reading_id, at, Reason.CORRECTED)
    sessions.forget_calls(database, _row(database, reading_id)["session_id"])
    database.update("reading", reading_id, _wind_values(wind))
    return reading(database, reading_id)


def undo(database: Database, reading_id: int, at: datetime) -> ReadingRecord:
    """Take a reading back; the old values are kept."""
    _keep_old(database, reading_id, at, Reason.UNDONE)
    sessions.forget_calls(database, _row(database, reading_id)["session_id"])
    database.update("reading", reading_id, {"undone": 1})
    return reading(database, reading_id)


def revisions(database: Database, reading_id: int) -> tuple[ReadingRevision, ...]:
    """What a reading was before each change, oldest first."""
    _row(database, reading_id)
    rows = database.rows("SELECT * FROM revision WHERE reading_id = ? ORDER BY id", (reading_id,))
    return tuple(
        ReadingRevision(moment(row["at"]), Reason(row["reason"]), _record(json.loads(row["old_values"])))
        for row in rows
    )


def _row(database: Database, reading_id: int) -> sqlite3.Row:
    row = database.row("SELECT * FROM reading WHERE id = ?", (reading_id,))
    if row is None:
        raise InputError(
            f"no wind reading has the id {reading_id}", str(database.path), "see `trainer shots` for those held"
        )
    return row


def _keep_old(database: Database, reading_id: int, at: datetime, reason: Reason) -> None:
    row = _row(database, reading_id)
    if row["undone"]:
        raise InputError(f"wind reading {reading_id} was undone", str(database.path), "record it anew")
    old = json.dumps(dict(row), allow_nan=False)
    database.insert("revision", {"reading_id": reading_id, "at": at.isoformat(), "reason": reason, "old_values": old})


def _wind_values(wind: Wind) -> dict[str, Value]:
    return {
        "knowledge": wind.knowledge,
        "speed_mps": wind.speed_mps,
        "from_rad": wind.from_rad,
        "height_m": wind.height_m,
        "method": wind.method,
        "place": wind.place,
        "gust_mps": wind.gust_mps,
    }


def _record(row: sqlite3.Row | Mapping[str, Any]) -> ReadingRecord:
    wind = Wind(
        knowledge=WindKnowledge(row["knowledge"]),
        speed_mps=row["speed_mps"],
        from_rad=row["from_rad"],
        height_m=row["height_m"],
        method=ReadingMethod(row["method"]),
        place=WindPlace(row["place"]),
        gust_mps=row["gust_mps"],
    )
    return ReadingRecord(row["id"], row["uid"], row["session_id"], moment(row["at"]), wind, bool(row["undone"]))
