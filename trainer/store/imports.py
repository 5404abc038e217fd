"""Imported files, kept with their raw rows, taken back whole. Every function runs inside a caller's transaction."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from trainer.core.errors import InputError
from trainer.store import readings, sessions, shots
from trainer.store.database import Database, Value
from trainer.store.records import ImportRecord, NewImport, NewSession

_SELECT = """SELECT import_file.*,
        (SELECT count(*) FROM raw_row WHERE raw_row.import_id = import_file.id) AS rows,
        (SELECT count(*) FROM shot WHERE shot.import_id = import_file.id) AS shots
    FROM import_file"""


def add(database: Database, new: NewImport, new_uid: Callable[[], str]) -> ImportRecord:
    """Keep a file with its session, wind, raw rows and shots. See `Store.add_import`."""
    if by_hash(database, new.player_id, new.sha256) is not None:
        raise InputError("this file was imported before", new.name, "undo that import first, or leave it")
    session_id = _session_id(database, new, new_uid)
    values: dict[str, Value] = {
        "player_id": new.player_id,
        "session_id": session_id,
        "made_session": isinstance(new.session, NewSession),
        "sha256": new.sha256,
        "name": new.name,
        "at": new.at.isoformat(),
    }
    import_id = database.insert("import_file", values)
    rows = [(import_id, number, text) for number, text in new.raw_rows]
    database.run_many("INSERT INTO raw_row (import_id, row_number, text) VALUES (?, ?, ?)", rows)
    reading_id = None
    if new.wind is not None:
        began = min((shot.at for shot in new.shots), default=new.at, key=lambda at: at.isoformat())
        reading_id = readings.add(database, session_id, new.wind, began, new_uid()).id
    ids = shots.club_ids(database, new.player_id)
    for shot in new.shots:
        dated = shot if shot.reading_id is not None else replace(shot, reading_id=reading_id)
        shots.insert(database, session_id, dated, new_uid(), ids=ids, import_id=import_id)
    return import_record(database, import_id)


def import_record(database: Database, import_id: int) -> ImportRecord:
    """The import with this id, undone or not, or InputError."""
    row = database.row(f"{_SELECT} WHERE id = ?", (import_id,))
    if row is None:
        raise InputError(f"no import has the id {import_id}", str(database.path), "name one that was made")
    return _record(row)


def imports(database: Database, player_id: int) -> tuple[ImportRecord, ...]:
    """The imports of a player in the order they were made, undone ones included."""
    rows = database.rows(f"{_SELECT} WHERE player_id = ? ORDER BY id", (player_id,))
    return tuple(_record(row) for row in rows)


def by_hash(database: Database, player_id: int, sha256: str) -> ImportRecord | None:
    """The standing import of a file with this content, or None."""
    row = database.row(f"{_SELECT} WHERE player_id = ? AND sha256 = ? AND undone_at IS NULL", (player_id, sha256))
    return None if row is None else _record(row)


def raw_rows(database: Database, import_id: int) -> tuple[tuple[int, str], ...]:
    """The raw rows of an import as (row number, text)."""
    import_record(database, import_id)
    rows = database.rows("SELECT row_number, text FROM raw_row WHERE import_id = ? ORDER BY row_number", (import_id,))
    return tuple((row["row_number"], row["text"]) for row in rows)


def undo(database: Database, import_id: int, at: datetime) -> ImportRecord:
    """Take a file's shots back, all of them. See `Store.undo_import`."""
    held = import_record(database, import_id)
    if held.undone:
        raise InputError(f"import {import_id} was undone already", str(database.path), "nothing is left to undo")
    database.update("import_file", import_id, {"undone_at": at.isoformat()})
    shots.release_balls(database, "import_id = ?", import_id)
    database.run("UPDATE shot SET undone = 1 WHERE import_id = ?", (import_id,))
    database.run(
        "UPDATE session SET undone = 1 WHERE id = :session"
        " AND EXISTS (SELECT 1 FROM import_file WHERE import_file.id = :import AND made_session = 1)"
        " AND NOT EXISTS (SELECT 1 FROM shot WHERE shot.session_id = :session AND shot.undone = 0)",
        {"session": held.session_id, "import": import_id},
    )
    return import_record(database, import_id)


def _session_id(database: Database, new: NewImport, new_uid: Callable[[], str]) -> int:
    """The session the import goes to, made where it is a new one."""
    if isinstance(new.session, NewSession):
        held = sessions.begin(database, new.session, new_uid())
    else:
        held = sessions.session(database, new.session)
    if held.player_id != new.player_id or held.undone:
        raise InputError(
            f"session {held.id} is another player's or was undone", new.name, "import it into a session of its own"
        )
    return held.id


def _record(row: sqlite3.Row) -> ImportRecord:
    return ImportRecord(
        id=row["id"],
        player_id=row["player_id"],
        session_id=row["session_id"],
        name=row["name"],
        sha256=row["sha256"],
        at=datetime.fromisoformat(row["at"]),
        rows=row["rows"],
        shots=row["shots"],
        undone_at=None if row["undone_at"] is None else datetime.fromisoformat(row["undone_at"]),
    )
