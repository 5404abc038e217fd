"""Sessions as they travel by file: read out of the store whole, and merged into one by their stable ids.

A merge only ever adds. What is held under an id and comes in with another content is a conflict, told in a sentence,
and then nothing of that result is taken. So results without conflicts may come in any order, and more than once.
Every function runs inside a transaction of the caller.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from trainer.core.bag import Club, canonical_club
from trainer.core.errors import InputError
from trainer.store import players, readings, sessions, shots, squad_corrections
from trainer.store.database import Database
from trainer.store.records import NewSession, NewShot, SessionRecord, ShotRecord
from trainer.store.squad_corrections import is_correction
from trainer.store.squad_records import (
    Member,
    Merged,
    SharedPlayer,
    SharedReading,
    SharedResult,
    SharedSession,
    SharedShot,
    Specification,
)

_MOST_NAMED = 5


def read_player(database: Database, player_id: int, as_of: datetime) -> SharedPlayer:
    """A player as he travels; `as_of` is the moment his profile is of."""
    record = next(each for each in players.players(database) if each.id == player_id)
    clubs = players.clubs(database, player_id, include_retired=True)
    return SharedPlayer(record.uid, record.profile, as_of, tuple(each.club for each in clubs if each.retired))


def read_session(database: Database, session_id: int) -> SharedSession:
    """A session of the store as it travels."""
    held = sessions.session(database, session_id)
    standing = readings.readings(database, session_id, None, include_undone=False)
    uids = {reading.id: reading.uid for reading in standing}
    clubs = {
        each.id: Specification.of(each.club) for each in players.clubs(database, held.player_id, include_retired=True)
    }
    balls = {ball.number: ball.ball for ball in sessions.agenda(database, session_id)}
    found = []
    for record in shots.shots(database, session_id, None, include_undone=True):
        ball = balls.get(record.agenda_number or 0)
        found.append(
            SharedShot(
                uid=record.uid,
                number=record.number,
                shot=_as_new(record),
                club=clubs[record.club_id],
                reading=uids.get(record.reading_id or 0),
                drill="" if ball is None else ball.drill,
                stage="" if ball is None else ball.stage,
                undone=record.undone,
            )
        )
    return SharedSession(
        uid=held.uid,
        session=_session_as_new(held),
        ended_at=held.ended_at,
        readings=tuple(SharedReading(each.uid, each.at, each.wind) for each in standing),
        shots=tuple(sorted(found, key=lambda shot: shot.number)),
    )


def _session_as_new(held: SessionRecord) -> NewSession:
    return NewSession(
        player_id=0,
        started_at=held.started_at,
        plan_id=held.plan_id,
        seed=held.seed,
        air=held.air,
        air_stated=held.air_stated,
        turf=held.turf,
        note=held.note,
    )


def _as_new(record: ShotRecord) -> NewShot:
    return NewShot(
        at=record.at,
        cell=replace(record.cell, club=canonical_club(record.cell.club)),
        entry=record.entry,
        target_m=record.target_m,
        target_bearing_rad=record.target_bearing_rad,
        ball=record.ball,
        surface=record.surface,
        seen=record.seen,
        carry_origin=record.carry_origin,
        agenda_number=record.agenda_number,
        called_50_m=record.called_50_m,
        called_80_m=record.called_80_m,
        mark=record.mark,
        source=record.source,
    )


def merge(database: Database, member: Member, result: SharedResult, *, corrections: bool = False) -> Merged:
    """Add what `result` holds and the store does not, under the member's alias.

    Nothing is added where there are conflicts. With `corrections` what a player may have put right since is none,
    where the result was handed in later than what stands: the old values are kept, as with any correction. Raises
    InputError for a value that the store refuses.
    """
    row = database.row("SELECT id, player_id FROM session WHERE uid = ?", (result.session.uid,))
    if conflict := _other_player(database, member, result, None if row is None else row["player_id"]):
        return Merged(conflicts=(conflict,))
    held = None if row is None else read_session(database, row["id"])
    later = corrections and row is not None and _is_later(database, row["id"], result.handed_in_at)
    conflicts = () if held is None else _conflicts(held, result.session, corrections=later)
    new = _additions(held, result.session)
    if conflict := _after_acceptance(database, result.session, new):
        conflicts = (*conflicts, conflict)
    if conflicts:
        return Merged(conflicts=conflicts)
    player_id = _keep_player(database, member, result.player)
    corrected = 0
    if held is not None:
        clubs = _specifications(database, player_id)
        corrected = squad_corrections.apply(database, held, result.session, clubs, result.handed_in_at)
    session_id = _keep_session(database, player_id, result.session, None if row is None else row["id"])
    reading_ids = _add_readings(database, session_id, new)
    _add_shots(database, player_id, session_id, new, reading_ids)
    keep_handed_in(database, session_id, result.handed_in_at)
    already = len(result.session.shots) - len(new.shots)
    return Merged(held is None, len(new.readings), len(new.shots), already, corrected)


def _is_later(database: Database, session_id: int, at: datetime) -> bool:
    row = database.row("SELECT at FROM handed_in WHERE session_id = ?", (session_id,))
    return row is None or at.isoformat() > row["at"]


def _other_player(database: Database, member: Member, result: SharedResult, owner_id: int | None) -> str | None:
    """Why the result is not this member's, if it is not: one alias must never gather two people's shots."""
    known = database.row("SELECT id, uid FROM player WHERE alias = ?", (member.alias,))
    if known is not None and known["uid"] != result.player.uid:
        return f"'{member.alias}' stands here for player {known['uid']}, and this is player {result.player.uid}"
    other = database.row("SELECT id, alias FROM player WHERE uid = ?", (result.player.uid,))
    if other is not None and (known is None or other["id"] != known["id"]):
        return f"player {result.player.uid} is held here as '{other['alias']}'"
    if owner_id is not None and (known is None or owner_id != known["id"]):
        return f"session {result.session.uid} is another player's here"
    return None


def _conflicts(held: SharedSession, came: SharedSession, *, corrections: bool) -> tuple[str, ...]:
    """Sentences on what has one id and two contents; with `corrections` only on what no correction can have made."""
    if corrections:
        held = squad_corrections.without(held, squad_corrections.taken_back(held, came))
    found = []
    if replace(held.session, note="") != replace(came.session, note=""):
        found.append(f"session {came.uid} began otherwise here")
    if held.session.note and came.session.note and held.session.note != came.session.note:
        found.append(f"session {came.uid} has another note here")
    for reading in came.readings:
        before = next((each for each in held.readings if each.uid == reading.uid), reading)
        if before != reading and not (corrections and before.at == reading.at):
            found.append(f"wind reading {reading.uid} says something else here")
    known = {shot.uid: shot for shot in held.shots}
    pairs = [(known.get(shot.uid, shot), shot) for shot in came.shots]
    differing = [
        shot for before, shot in pairs if before != shot and not (corrections and is_correction(before, shot))
    ]
    found += [f"shot {shot.number} ({shot.uid}) says something else here" for shot in differing[:_MOST_NAMED]]
    if len(differing) > _MOST_NAMED:
        found.append(f"so do {len(differing) - _MOST_NAMED} more shots")
    return tuple(found)


def _additions(held: SharedSession | None, came: SharedSession) -> SharedSession:
    """`came` with only what `held` lacks."""
    if held is None:
        return came
    known = {reading.uid for reading in held.readings} | {shot.uid for shot in held.shots}
    return replace(
        came,
        readings=tuple(reading for reading in came.readings if reading.uid not in known),
        shots=tuple(shot for shot in came.shots if shot.uid not in known),
    )


def _after_acceptance(database: Database, came: SharedSession, new: SharedSession) -> str | None:
    if not new.shots:
        return None
    accepted = database.row(
        "SELECT at FROM squad_decision JOIN squad_assignment ON squad_assignment.id = assignment_id"
        " WHERE plan_id = ? AND decision = 'accepted'",
        (came.session.plan_id,),
    )
    if accepted is None:
        return None
    return f"its assignment was accepted on {accepted['at'][:10]}, more balls belong in a new one"


def _keep_player(database: Database, member: Member, player: SharedPlayer) -> int:
    """The member's player, made if need be; the newest profile stands, whatever the order results come in."""
    row = database.row("SELECT id FROM player WHERE uid = ?", (player.uid,))
    stamp = player.as_of.isoformat()
    before = None if member.profile_as_of is None else member.profile_as_of.isoformat()
    if row is not None and before is not None and stamp <= before:
        known = _specifications(database, row["id"])
        for club in (*player.profile.bag.clubs, *player.retired):
            if Specification.of(club) not in known:
                _add_retired(database, row["id"], club, player.as_of)
        return int(row["id"])
    profile = replace(player.profile, alias=member.alias, age_band=member.age_band)
    kept = players.save_profile(database, profile, player.as_of, player.uid)
    known = _specifications(database, kept.id)
    for club in player.retired:
        club_id = known.get(Specification.of(club))
        if club_id is None:
            _add_retired(database, kept.id, club, player.as_of)
        else:
            database.update("club", club_id, {"stock_carry_m": club.stock_carry_m})
    database.update("squad_member", member.id, {"player_id": kept.id, "profile_as_of": stamp})
    return kept.id


def _specifications(database: Database, player_id: int) -> Mapping[Specification, int]:
    held = players.clubs(database, player_id, include_retired=True)
    return {Specification.of(each.club): each.id for each in held}


def _add_retired(database: Database, player_id: int, club: Club, at: datetime) -> None:
    database.insert(
        "club",
        {
            "player_id": player_id,
            "name": club.name,
            "loft_rad": club.loft_rad,
            "length_m": club.length_m,
            "stock_carry_m": club.stock_carry_m,
            "position": 0,
            "since": at.isoformat(),
            "retired": at.isoformat(),
        },
    )


def _keep_session(database: Database, player_id: int, came: SharedSession, session_id: int | None) -> int:
    if session_id is None:
        session_id = sessions.begin(database, replace(came.session, player_id=player_id), came.uid).id
    if came.session.note:
        database.update("session", session_id, {"note": came.session.note})
    if came.ended_at is not None:  # a session may be gone on with: the later end stands
        database.run(
            "UPDATE session SET ended_at = max(coalesce(ended_at, ''), ?) WHERE id = ?",
            (came.ended_at.isoformat(), session_id),
        )
    return session_id


def _add_readings(database: Database, session_id: int, new: SharedSession) -> Mapping[str, int]:
    """Add the readings; the ids of all the session's readings by their stable ids."""
    for reading in new.readings:
        readings.add(database, session_id, reading.wind, reading.at, reading.uid)
    rows = database.rows("SELECT id, uid FROM reading WHERE session_id = ?", (session_id,))
    return {row["uid"]: row["id"] for row in rows}


def _add_shots(
    database: Database, player_id: int, session_id: int, new: SharedSession, reading_ids: Mapping[str, int]
) -> None:
    clubs = _specifications(database, player_id)
    for shared in new.shots:
        club_id = clubs.get(shared.club)
        if club_id is None:
            raise InputError(
                f"shot {shared.number} was hit with a {shared.club.name} that the file's bag does not hold",
                shared.uid,
                "ask for the file again",
            )
        if shared.shot.agenda_number is not None:
            _add_ball(database, session_id, shared, shared.shot.agenda_number)
        shot = replace(shared.shot, reading_id=None if shared.reading is None else reading_ids.get(shared.reading))
        ids = {canonical_club(shared.club.name): club_id}
        shot_id = shots.insert(database, session_id, shot, shared.uid, ids=ids, import_id=None)
        database.update("shot", shot_id, {"number": shared.number, "undone": int(shared.undone)})


def _add_ball(database: Database, session_id: int, shared: SharedShot, number: int) -> None:
    """Add the agenda's ball that a shot was; one that waits again, since its shot was undone, gives way to it."""
    cell = shared.shot.cell
    database.run(
        "DELETE FROM agenda_ball WHERE session_id = ? AND number = ? AND state = 'waiting'", (session_id, number)
    )
    database.insert(
        "agenda_ball",
        {
            "session_id": session_id,
            "number": number,
            "drill": shared.drill,
            "club": cell.club,
            "grip_down_m": cell.grip_down_m,
            "swing": cell.swing,
            "target_m": shared.shot.target_m,
            "flag": shared.shot.entry.flag,
            "stage": shared.stage,
            "reason": "",
            "cue": "",
        },
    )


def keep_handed_in(database: Database, session_id: int, at: datetime) -> None:
    """The latest moment stands, so that the order of files does not matter."""
    database.run(
        "INSERT INTO handed_in (session_id, at) VALUES (?, ?)"
        " ON CONFLICT (session_id) DO UPDATE SET at = max(at, excluded.at)",
        (session_id, at.isoformat()),
    )
