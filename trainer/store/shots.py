"""Shots, their tags and what they were before each correction. Every function runs inside a caller's transaction."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping
from dataclasses import fields
from datetime import datetime
from typing import Any

from trainer.core.bag import Cell, Swing, canonical_club
from trainer.core.conditions import Ball, Seen, Surface
from trainer.core.errors import InputError
from trainer.core.shot import CarryOrigin, Depth, ShotEntry, Width
from trainer.store import players, sessions
from trainer.store.database import Database, Value
from trainer.store.records import BallState, Mark, NewShot, Reason, ShotRecord, ShotRevision, Source
from trainer.store.times import moment

# A shot keeps the reading it was hit in; where that was undone, the last one before it that still stands is given.
_SELECT = """SELECT shot.*, club.name AS club_name, (
        SELECT max(reading.id) FROM reading
        WHERE reading.session_id = shot.session_id AND reading.id <= shot.reading_id AND reading.undone = 0
    ) AS standing_reading_id
    FROM shot JOIN club ON club.id = shot.club_id JOIN session ON session.id = shot.session_id"""

Row = sqlite3.Row | Mapping[str, Any]

_ENTRY_COLUMNS = tuple(each.name for each in fields(ShotEntry) if each.name != "tags")


def add(database: Database, session_id: int, new: NewShot, new_uid: str) -> ShotRecord:
    """Keep a shot. See `Store.add_shot`."""
    held = sessions.session(database, session_id)
    if held.undone:
        raise InputError(f"session {session_id} was undone with its import", str(database.path), "begin a session")
    ids = club_ids(database, held.player_id)
    return shot(database, insert(database, session_id, new, new_uid, ids=ids, import_id=None))


def club_ids(database: Database, player_id: int) -> dict[str, int]:
    """The id of each club in a player's bag by its written-out name."""
    held = players.clubs(database, player_id, include_retired=False)
    return {canonical_club(record.club.name): record.id for record in held}


def insert(
    database: Database,
    session_id: int,
    new: NewShot,
    new_uid: str,
    *,
    ids: Mapping[str, int],
    import_id: int | None,
) -> int:
    """Add a shot's rows and mark its ball hit; give its id. `ids` is `club_ids` of its player."""
    if new.agenda_number is not None:
        _mark_hit(database, session_id, new)
    if new.reading_id is not None:
        _require_reading(database, session_id, new.reading_id)
    number = last_number(database, session_id) + 1
    shot_id = database.insert("shot", shot_values(database, session_id, number, new, new_uid, ids, import_id))
    insert_tags(database, {shot_id: new.entry.tags})
    return shot_id


def last_number(database: Database, session_id: int) -> int:
    """The number of a session's last shot, 0 where it has none."""
    last = database.row("SELECT max(number) FROM shot WHERE session_id = ?", (session_id,))
    return 0 if last is None else int(last[0] or 0)


def shot_values(
    database: Database,
    session_id: int,
    number: int,
    new: NewShot,
    new_uid: str,
    ids: Mapping[str, int],
    import_id: int | None,
) -> dict[str, Value]:
    """The columns of a new shot, all but its id and its tags.

    Words are given as plain text and not as members of an enumeration: SQLite looks long for how to take those.
    """
    return {
        "uid": new_uid,
        "session_id": session_id,
        "number": number,
        "at": new.at.isoformat(),
        "club_id": _club_id(database, ids, new.cell.club),
        "agenda_number": new.agenda_number,
        "reading_id": new.reading_id,
        "target_m": new.target_m,
        "target_bearing_rad": new.target_bearing_rad,
        "ball": new.ball.value,
        "surface": new.surface.value,
        "seen": new.seen.value,
        "carry_origin": new.carry_origin.value,
        **sessions.called_values("called_50", new.called_50_m),
        **sessions.called_values("called_80", new.called_80_m),
        "called_shape_m": None if new.called_shape_m is None else json.dumps(new.called_shape_m, allow_nan=False),
        "mark": new.mark,
        "source": new.source.value,
        "import_id": import_id,
        "grip_down_m": new.cell.grip_down_m,
        "swing": new.cell.swing.value,
        **_entry_values(new.entry),
    }


def shot(database: Database, shot_id: int) -> ShotRecord:
    """The shot with this id, undone or not, or InputError."""
    return _record(_row(database, shot_id), _tags(database, shot_id))


def shots(
    database: Database, session_id: int | None, player_id: int | None, *, include_undone: bool
) -> tuple[ShotRecord, ...]:
    """Shots in recorded order, in two queries however many they are. See `Store.shots`."""
    conditions = ["1"] if include_undone else ["shot.undone = 0"]
    parameters: list[Value] = []
    for column, wanted in (("shot.session_id", session_id), ("session.player_id", player_id)):
        if wanted is not None:
            conditions.append(f"{column} = ?")
            parameters.append(wanted)
    where = " AND ".join(conditions)
    tags: dict[int, list[str]] = {}
    for row in database.rows(
        "SELECT shot_tag.shot_id, tag FROM shot_tag JOIN shot ON shot.id = shot_tag.shot_id"
        f" JOIN session ON session.id = shot.session_id WHERE {where} ORDER BY shot_id, position",
        parameters,
    ):
        tags.setdefault(row["shot_id"], []).append(row["tag"])
    rows = database.each(f"{_SELECT} WHERE {where} ORDER BY shot.id", parameters)
    return tuple(_record(row, tuple(tags.get(row["id"], ()))) for row in rows)


def correct(
    database: Database,
    shot_id: int,
    entry: ShotEntry | None,
    cell: Cell | None,
    at: datetime,
    aimed_at: tuple[float | None, float] | None = None,
) -> ShotRecord:
    """Put another entry, another cell, or both in place of a shot's. See `Store.correct_shot`."""
    if entry is None and cell is None:
        raise InputError("nothing is given to correct", f"shot {shot_id}", "give what was seen, or the club")
    _keep_old(database, shot_id, at, Reason.CORRECTED)
    held = shot(database, shot_id)
    if cell is not None:
        values: dict[str, Value] = {"grip_down_m": cell.grip_down_m, "swing": cell.swing}
        if canonical_club(cell.club) != canonical_club(held.cell.club):
            player_id = sessions.session(database, held.session_id).player_id
            values["club_id"] = _club_id(database, club_ids(database, player_id), cell.club)
        database.update("shot", shot_id, values)
    if entry is not None:
        database.update("shot", shot_id, _entry_values(entry))
        database.run("DELETE FROM shot_tag WHERE shot_id = ?", (shot_id,))
        insert_tags(database, {shot_id: entry.tags})
    if aimed_at is not None:
        database.update("shot", shot_id, {"target_m": aimed_at[0], "target_bearing_rad": aimed_at[1]})
    return shot(database, shot_id)


def set_mark(database: Database, shot_id: int, mark: Mark | None, at: datetime) -> ShotRecord:
    """Say that a shot met a gust or a lull, or neither. See `Store.set_mark`."""
    _keep_old(database, shot_id, at, Reason.CORRECTED)
    database.update("shot", shot_id, {"mark": mark})
    return shot(database, shot_id)


def undo(database: Database, shot_id: int, at: datetime) -> ShotRecord:
    """Take a shot back; its ball of the agenda waits again. The old values are kept."""
    _keep_old(database, shot_id, at, Reason.UNDONE)
    release_balls(database, "shot.id = ?", shot_id)
    database.update("shot", shot_id, {"undone": 1})
    return shot(database, shot_id)


def release_balls(database: Database, which: str, parameter: int) -> None:
    """Let the agenda's balls of some shots wait again, and the shots no longer claim them. `which` is SQL of ours."""
    database.run(
        "UPDATE agenda_ball SET state = 'waiting' WHERE (session_id, number) IN"
        f" (SELECT session_id, agenda_number FROM shot WHERE {which} AND agenda_number IS NOT NULL)",
        (parameter,),
    )
    database.run(f"UPDATE shot SET agenda_number = NULL WHERE {which}", (parameter,))


def revisions(database: Database, shot_id: int) -> tuple[ShotRevision, ...]:
    """What a shot was before each change, oldest first."""
    _row(database, shot_id)
    kept = database.rows("SELECT * FROM revision WHERE shot_id = ? ORDER BY id", (shot_id,))
    found = []
    for row in kept:
        old = {"called_shape_m": None, **json.loads(row["old_values"])}  # absent where kept before it was
        found.append(ShotRevision(moment(row["at"]), Reason(row["reason"]), _record(old, tuple(old["tags"]))))
    return tuple(found)


def _row(database: Database, shot_id: int) -> sqlite3.Row:
    row = database.row(f"{_SELECT} WHERE shot.id = ?", (shot_id,))
    if row is None:
        raise InputError(f"no shot has the id {shot_id}", str(database.path), "see `trainer shots` for those held")
    return row


def _tags(database: Database, shot_id: int) -> tuple[str, ...]:
    rows = database.rows("SELECT tag FROM shot_tag WHERE shot_id = ? ORDER BY position", (shot_id,))
    return tuple(row["tag"] for row in rows)


def _keep_old(database: Database, shot_id: int, at: datetime, reason: Reason) -> None:
    row = _row(database, shot_id)
    if row["undone"]:
        raise InputError(f"shot {shot_id} was undone", str(database.path), "record it anew")
    old = json.dumps({**dict(row), "tags": _tags(database, shot_id)}, allow_nan=False)
    database.insert("revision", {"shot_id": shot_id, "at": at.isoformat(), "reason": reason, "old_values": old})


def _club_id(database: Database, ids: Mapping[str, int], name: str) -> int:
    try:
        return ids[name] if name in ids else ids[canonical_club(name)]
    except KeyError:
        held = ", ".join(ids)
        raise InputError(f"no club '{name}' in the bag", str(database.path), f"the bag holds {held}") from None


def _mark_hit(database: Database, session_id: int, new: NewShot) -> None:
    """Mark the shot's ball hit; it keeps the range that was called for the shot."""
    number = new.agenda_number
    changed = database.run(
        "UPDATE agenda_ball SET state = 'hit', skip_reason = ''"
        " WHERE session_id = ? AND number = ? AND state <> 'hit'",
        (session_id, number),
    )
    if not changed or number is None:
        raise InputError(
            f"the agenda has no ball {number} still to hit", f"session {session_id}", "record the next ball"
        )
    if new.called_50_m is not None and new.called_80_m is not None:
        sessions.call_ball(database, session_id, number, new.called_50_m, new.called_80_m, state=BallState.HIT)


def _require_reading(database: Database, session_id: int, reading_id: int) -> None:
    found = database.row("SELECT id FROM reading WHERE session_id = ? AND id = ?", (session_id, reading_id))
    if found is None:
        raise InputError(
            f"no wind reading {reading_id} in this session", f"session {session_id}", "record the wind first"
        )


def insert_tags(database: Database, tags: Mapping[int, tuple[str, ...]]) -> None:
    """Add the tags of shots, by their id."""
    rows = [(shot_id, position, tag) for shot_id, found in tags.items() for position, tag in enumerate(found)]
    if rows:
        database.run_many("INSERT INTO shot_tag (shot_id, position, tag) VALUES (?, ?, ?)", rows)


def _entry_values(entry: ShotEntry) -> dict[str, Value]:
    """The columns of an entry are named as its fields; its tags have a table of their own."""
    values: dict[str, Value] = {name: getattr(entry, name) for name in _ENTRY_COLUMNS}
    return {**values, "mishit": int(entry.mishit), "unseen": int(entry.unseen)}


def _entry(row: Row, tags: tuple[str, ...]) -> ShotEntry:
    return ShotEntry(
        carry_m=row["carry_m"],
        total_m=row["total_m"],
        side_m=row["side_m"],
        flag=row["flag"],
        flag_offset_m=row["flag_offset_m"],
        depth=None if row["depth"] is None else Depth(row["depth"]),
        width=None if row["width"] is None else Width(row["width"]),
        apex_m=row["apex_m"],
        hang_s=row["hang_s"],
        ball_speed_mps=row["ball_speed_mps"],
        launch_rad=row["launch_rad"],
        spin_rad_s=row["spin_rad_s"],
        mishit=bool(row["mishit"]),
        unseen=bool(row["unseen"]),
        tags=tags,
        resolution_m=row["resolution_m"],
    )


def _record(row: Row, tags: tuple[str, ...]) -> ShotRecord:
    return ShotRecord(
        id=row["id"],
        uid=row["uid"],
        session_id=row["session_id"],
        number=row["number"],
        at=moment(row["at"]),
        cell=Cell(row["club_name"], row["grip_down_m"], Swing(row["swing"])),
        club_id=row["club_id"],
        entry=_entry(row, tags),
        agenda_number=row["agenda_number"],
        reading_id=row["standing_reading_id"],
        target_m=row["target_m"],
        target_bearing_rad=row["target_bearing_rad"],
        ball=Ball(row["ball"]),
        surface=Surface(row["surface"]),
        seen=Seen(row["seen"]),
        carry_origin=CarryOrigin(row["carry_origin"]),
        called_50_m=sessions.called_range(row, "called_50"),
        called_80_m=sessions.called_range(row, "called_80"),
        mark=None if row["mark"] is None else Mark(row["mark"]),
        source=Source(row["source"]),
        import_id=row["import_id"],
        undone=bool(row["undone"]),
        called_shape_m=None if row["called_shape_m"] is None else tuple(json.loads(row["called_shape_m"])),
    )
