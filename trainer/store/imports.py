"""Imported files, kept with their raw rows, taken back whole. Every function runs inside a caller's transaction."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from datetime import datetime
from itertools import groupby

from trainer.core.conditions import Wind
from trainer.core.errors import InputError
from trainer.store import readings, sessions, shots
from trainer.store.database import Database, Value
from trainer.store.records import HeldShot, ImportedRow, ImportRecord, NewImport, NewSession, NewShot
from trainer.store.times import moment, moment_of

_SELECT = """SELECT import_file.*,
        (SELECT count(*) FROM raw_row WHERE raw_row.import_id = import_file.id) AS rows,
        (SELECT count(*) FROM shot WHERE shot.import_id = import_file.id) AS shots
    FROM import_file"""


def add(database: Database, new: NewImport, new_uid: Callable[[], str]) -> ImportRecord:
    """Keep a file with its sessions, wind, raw rows and shots. See `Store.add_import`."""
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
        "taken_bytes": new.taken_bytes,
    }
    import_id = database.insert("import_file", values)
    keeper = _Keeper(database, import_id, new.player_id, new_uid)
    began = min((shot.at for shot in new.shots), default=new.at, key=lambda at: at.isoformat())
    keeper.stand("", session_id, new.wind, new.session.started_at if isinstance(new.session, NewSession) else began)
    for key, further in new.sessions.items():
        keeper.stand(key, sessions.begin(database, further, new_uid()).id, new.wind, further.started_at)
    if isinstance(new.session, NewSession):
        made = [(import_id, each) for each in keeper.sessions.values()]
        database.run_many("UPDATE session SET import_id = ? WHERE id = ?", made)
    for number, text in new.raw_rows:
        keeper.keep(ImportedRow(number, text))
    for shot in new.shots:
        keeper.keep_shot(shot)
    for row in new.rows:
        keeper.keep(row)
    keeper.flush()
    return import_record(database, import_id)


def extend(
    database: Database,
    import_id: int,
    rows: Iterable[ImportedRow],
    sha256: str,
    taken_bytes: int,
    new_uid: Callable[[], str],
) -> tuple[int, ...]:
    """Add rows to the import of a file that grew. See `Store.extend_import`."""
    held = import_record(database, import_id)
    if held.undone:
        raise InputError(f"import {import_id} was undone", str(database.path), "import the file anew")
    database.update("import_file", import_id, {"sha256": sha256, "taken_bytes": taken_bytes})
    keeper = _Keeper(database, import_id, held.player_id, new_uid)
    keeper.stand("", held.session_id, None, held.at)
    kept = [keeper.keep(row) for row in rows]
    keeper.flush()
    return tuple(shot_id for shot_id in kept if shot_id is not None)


BATCH = 500
"""Rows that are put into the database at once."""


class _Keeper:
    """Keeps the rows of one import. It holds what the next row falls under: sessions, readings, shot numbers.

    Rows wait until there are enough of them to be put in at once: `flush` at the end.
    """

    def __init__(self, database: Database, import_id: int, player_id: int, new_uid: Callable[[], str]) -> None:
        self.sessions: dict[str, int] = {}
        self._database, self._import_id, self._new_uid = database, import_id, new_uid
        self._ids = shots.club_ids(database, player_id)
        self._numbers: dict[int, int] = {}
        self._usual: dict[int, int] = {}
        self._own: dict[tuple[int, Wind], int] = {}
        self._rows: list[dict[str, Value]] = []
        self._shots: list[dict[str, Value]] = []
        self._tags: dict[int, tuple[str, ...]] = {}
        self._next_id = self._free_id()

    def _free_id(self) -> int:
        last = self._database.row("SELECT max(id) FROM shot")
        return 1 + (0 if last is None else int(last[0] or 0))

    def stand(self, key: str, session_id: int, wind: Wind | None, began: datetime) -> None:
        """Let rows that name `key` fall in a session; `wind` is a reading to add at its start."""
        self.sessions[key] = session_id
        self._numbers[session_id] = shots.last_number(self._database, session_id)
        if wind is not None:
            self._usual[session_id] = readings.add(self._database, session_id, wind, began, self._new_uid()).id

    def keep(self, row: ImportedRow) -> int | None:
        """Keep a row as it stood, and its shot; give the shot's id."""
        self._rows.append({"import_id": self._import_id, "row_number": row.number, "text": row.text})
        if len(self._rows) >= BATCH:
            self.flush()
        return None if row.shot is None else self.keep_shot(row.shot, row.session, row.wind)

    def keep_shot(self, new: NewShot, key: str = "", wind: Wind | None = None) -> int:
        """Keep a shot in the session of `key`, in its own wind or the session's; give its id."""
        session_id = self.sessions[key]
        self._numbers[session_id] += 1
        reading_id = new.reading_id or self._reading_id(session_id, wind, new.at)
        if new.agenda_number is not None or new.reading_id is not None:
            return self._keep_at_once(session_id, replace(new, reading_id=reading_id))
        number, uid = self._numbers[session_id], self._new_uid()
        values = shots.shot_values(self._database, session_id, number, new, uid, self._ids, self._import_id)
        shot_id, self._next_id = self._next_id, self._next_id + 1
        values["reading_id"], values["id"] = reading_id, shot_id
        self._shots.append(values)
        if new.entry.tags:
            self._tags[shot_id] = new.entry.tags
        return shot_id

    def _keep_at_once(self, session_id: int, new: NewShot) -> int:
        """Keep a shot that claims a ball or a reading: both are looked at."""
        self.flush()
        uid = self._new_uid()
        shot_id = shots.insert(self._database, session_id, new, uid, ids=self._ids, import_id=self._import_id)
        self._next_id = self._free_id()
        return shot_id

    def _reading_id(self, session_id: int, wind: Wind | None, at: datetime) -> int | None:
        if wind is None:
            return self._usual.get(session_id)
        key = (session_id, wind)
        if key not in self._own:
            self._own[key] = readings.add(self._database, session_id, wind, at, self._new_uid()).id
        return self._own[key]

    def flush(self) -> None:
        """Put what waits into the database."""
        self._database.insert_many("raw_row", self._rows)
        alike = groupby(self._shots, key=tuple)  # a shot with a called range has more columns than others
        for _, group in alike:
            self._database.insert_many("shot", list(group))
        shots.insert_tags(self._database, self._tags)
        self._rows, self._shots, self._tags = [], [], {}


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


def held_shots(database: Database, player_id: int) -> Iterator[HeldShot]:
    """The little of a player's standing shots by which a file's are known again, one after another."""
    rows = database.each(
        "SELECT shot.at, club.name, carry_m, total_m, resolution_m FROM shot JOIN club ON club.id = shot.club_id"
        " JOIN session ON session.id = shot.session_id WHERE session.player_id = ? AND shot.undone = 0",
        (player_id,),
    )
    return (HeldShot(moment(row[0]), *tuple(row)[1:]) for row in rows)


def undo(database: Database, import_id: int, at: datetime) -> ImportRecord:
    """Take a file's shots back, all of them. See `Store.undo_import`."""
    held = import_record(database, import_id)
    if held.undone:
        raise InputError(f"import {import_id} was undone already", str(database.path), "nothing is left to undo")
    database.update("import_file", import_id, {"undone_at": at.isoformat()})
    shots.release_balls(database, "import_id = ?", import_id)
    database.run("UPDATE shot SET undone = 1 WHERE import_id = ?", (import_id,))
    database.run(
        "UPDATE session SET undone = 1 WHERE (import_id = :import OR (id = :session"
        " AND EXISTS (SELECT 1 FROM import_file WHERE import_file.id = :import AND made_session = 1)))"
        " AND NOT EXISTS (SELECT 1 FROM shot WHERE shot.session_id = session.id AND shot.undone = 0)",
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
        at=moment(row["at"]),
        rows=row["rows"],
        shots=row["shots"],
        taken_bytes=row["taken_bytes"],
        undone_at=moment_of(row["undone_at"]),
    )
