"""What a player put right after he handed a session in, put right in the coach's store too, where the coach says so.

The values that stood are kept, as with any correction. Every function runs inside a transaction of the caller.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from trainer.store import readings, shots
from trainer.store.database import Database
from trainer.store.squad_records import SharedSession, SharedShot, Specification


def is_correction(held: SharedShot, came: SharedShot) -> bool:
    """Whether `came` is what a player's correction, mark or undo can have made of `held`."""
    shot = came.shot
    changed = replace(held.shot, entry=shot.entry, cell=shot.cell, mark=shot.mark)
    if shot.entry.flag not in {None, held.shot.entry.flag}:
        changed = replace(changed, target_m=shot.target_m, target_bearing_rad=shot.target_bearing_rad)
    expected = replace(held, shot=changed, club=came.club, undone=came.undone)
    if came.undone and not held.undone:  # an undone ball of the agenda waits again
        expected = replace(expected, shot=replace(changed, agenda_number=None), drill="", stage="")
    return expected == came and held.undone <= came.undone


def taken_back(held: SharedSession, came: SharedSession) -> frozenset[str]:
    """The readings that the player has undone since: `came` has shots that were hit in them, and not the readings."""
    stand = {reading.uid for reading in came.readings}
    known = {shot.uid: shot.reading for shot in held.shots}
    return frozenset(uid for shot in came.shots if (uid := known.get(shot.uid)) is not None and uid not in stand)


def without(held: SharedSession, gone: frozenset[str]) -> SharedSession:
    """`held` as it is with the readings `gone` undone: their shots go to the last one before that still stands."""
    standing: dict[str | None, str | None] = {None: None}
    last: str | None = None
    for reading in held.readings:
        last = last if reading.uid in gone else reading.uid
        standing[reading.uid] = last
    return replace(
        held,
        readings=tuple(reading for reading in held.readings if reading.uid not in gone),
        shots=tuple(replace(shot, reading=standing[shot.reading]) for shot in held.shots),
    )


def apply(
    database: Database,
    held: SharedSession,
    came: SharedSession,
    clubs: Mapping[Specification, int],
    at: datetime,
) -> int:
    """Put right each shot and reading of `came` that differs from `held`; give how many did."""
    gone = taken_back(held, came)
    for uid in sorted(gone):
        readings.undo(database, _id(database, "reading", uid), at)
    held = without(held, gone)
    count = len(gone)
    known_readings = {reading.uid: reading for reading in held.readings}
    for reading in came.readings:
        if known_readings.get(reading.uid, reading) != reading:
            readings.correct(database, _id(database, "reading", reading.uid), reading.wind, at)
            count += 1
    known_shots = {shot.uid: shot for shot in held.shots}
    for shot in came.shots:
        before = known_shots.get(shot.uid, shot)
        if before != shot:
            _put_right(database, before, shot, clubs, at)
            count += 1
    return count


def _id(database: Database, table: str, uid: str) -> int:
    return int(database.rows(f"SELECT id FROM {table} WHERE uid = ?", (uid,))[0]["id"])


def _put_right(
    database: Database, before: SharedShot, now: SharedShot, clubs: Mapping[Specification, int], at: datetime
) -> None:
    shot_id = _id(database, "shot", now.uid)
    old, new = before.shot, now.shot
    if old.entry != new.entry or before.club != now.club or old.cell != new.cell:
        cell = replace(new.cell, club=old.cell.club)  # the club itself follows by its specification
        shots.correct(database, shot_id, new.entry, cell, at, (new.target_m, new.target_bearing_rad))
        database.update("shot", shot_id, {"club_id": clubs[now.club]})
    if old.mark is not new.mark:
        shots.set_mark(database, shot_id, new.mark, at)
    if now.undone and not before.undone:
        shots.undo(database, shot_id, at)
