"""Sessions and their agendas. Every function runs inside a transaction of the caller."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from trainer.core.bag import Cell, Swing
from trainer.core.conditions import Air, Turf
from trainer.core.errors import InputError
from trainer.store.database import Database, Value
from trainer.store.players import require_player
from trainer.store.records import AgendaBallRecord, BallState, NewBall, NewSession, SessionKind, SessionRecord
from trainer.store.times import moment, moment_of

Range = tuple[float, float]
"""The low and the high end of a called range, m."""


def begin(database: Database, new: NewSession, new_uid: str) -> SessionRecord:
    """Begin a session; raises InputError for a player that is not there."""
    require_player(database, new.player_id)
    session_id = database.insert(
        "session",
        {
            "uid": new_uid,
            "player_id": new.player_id,
            "started_at": new.started_at.isoformat(),
            "plan_id": new.plan_id,
            "seed": new.seed,
            "air_temperature_k": new.air.temperature_k,
            "air_pressure_pa": new.air.pressure_pa,
            "air_relative_humidity": new.air.relative_humidity,
            "air_stated": new.air_stated,
            "turf": new.turf,
            "note": new.note,
            "kind": new.kind,
        },
    )
    return session(database, session_id)


def session(database: Database, session_id: int) -> SessionRecord:
    """The session with this id, or InputError."""
    row = database.row("SELECT * FROM session WHERE id = ?", (session_id,))
    if row is None:
        raise InputError(
            f"no session has the id {session_id}", str(database.path), "see `trainer shots` for those held"
        )
    return _session(row)


def sessions(database: Database, player_id: int) -> tuple[SessionRecord, ...]:
    """The sessions of a player by local start time, those of undone imports left out."""
    # ISO texts of local times sort by local time, with or without fractions and offsets.
    rows = database.rows(
        "SELECT * FROM session WHERE player_id = ? AND undone = 0 ORDER BY started_at, id", (player_id,)
    )
    return tuple(_session(row) for row in rows)


def end(database: Database, session_id: int, at: datetime, note: str | None) -> SessionRecord:
    """Set when a session ended, and its note where one is given."""
    session(database, session_id)
    values: dict[str, Value] = {"ended_at": at.isoformat()}
    database.update("session", session_id, values if note is None else {**values, "note": note})
    return session(database, session_id)


def put_agenda(
    database: Database, session_id: int, balls: Sequence[NewBall], basis: str | None
) -> tuple[AgendaBallRecord, ...]:
    """Put `balls` in place of those still waiting, and their basis. See `Store.put_agenda`."""
    session(database, session_id)
    database.run("DELETE FROM agenda_basis WHERE session_id = ?", (session_id,))
    if basis is not None:
        database.insert("agenda_basis", {"session_id": session_id, "content": basis})
    database.run("DELETE FROM agenda_ball WHERE session_id = ? AND state = 'waiting'", (session_id,))
    taken = {ball.number for ball in agenda(database, session_id)}
    for ball in balls:
        if ball.number in taken:
            raise InputError(
                f"ball {ball.number} is on the agenda already", f"session {session_id}", "number it after those hit"
            )
        taken.add(ball.number)
        database.insert(
            "agenda_ball",
            {
                "session_id": session_id,
                "number": ball.number,
                "drill": ball.drill,
                "club": ball.cell.club,
                "grip_down_m": ball.cell.grip_down_m,
                "swing": ball.cell.swing,
                "target_m": ball.target_m,
                "flag": ball.flag,
                "stage": ball.stage,
                "reason": ball.reason,
                "cue": ball.cue,
                "block": ball.block,
                "override_reason": ball.override,
                **called_values("called_50", ball.called_50_m),
                **called_values("called_80", ball.called_80_m),
            },
        )
    return agenda(database, session_id)


def agenda_basis(database: Database, session_id: int) -> str | None:
    """What the waiting balls were planned from, or None. See `Store.agenda_basis`."""
    row = database.row("SELECT content FROM agenda_basis WHERE session_id = ?", (session_id,))
    return None if row is None else str(row["content"])


def change_ball(database: Database, session_id: int, ball: NewBall) -> AgendaBallRecord:
    """Put `ball` in place of the waiting one of its number. See `Store.change_ball`."""
    changed = database.run(
        "UPDATE agenda_ball SET drill = ?, club = ?, grip_down_m = ?, swing = ?, target_m = ?, flag = ?, stage = ?,"
        " reason = ?, cue = ?, block = ?, override_reason = ?, called_50_low_m = NULL, called_50_high_m = NULL,"
        " called_80_low_m = NULL, called_80_high_m = NULL"
        " WHERE session_id = ? AND number = ? AND state = 'waiting'",
        (
            ball.drill, ball.cell.club, ball.cell.grip_down_m, ball.cell.swing, ball.target_m, ball.flag, ball.stage,
            ball.reason, ball.cue, ball.block, ball.override, session_id, ball.number,
        ),
    )  # fmt: skip
    if not changed:
        raise InputError(f"ball {ball.number} is not to come", f"session {session_id}", "change one that is")
    return next(each for each in agenda(database, session_id) if each.number == ball.number)


def call_ball(
    database: Database, session_id: int, number: int, called_50_m: Range, called_80_m: Range, *, state: BallState
) -> bool:
    """Keep where a ball is called to land; False where it is not in `state`."""
    values = {**called_values("called_50", called_50_m), **called_values("called_80", called_80_m)}
    columns = ", ".join(f"{name} = ?" for name in values)
    where = "session_id = ? AND number = ? AND state = ?"
    sql = f"UPDATE agenda_ball SET {columns} WHERE {where}"
    return bool(database.run(sql, (*values.values(), session_id, number, state)))


def forget_calls(database: Database, session_id: int) -> None:
    """Drop what was called for the balls that wait: another wind blows."""
    database.run(
        "UPDATE agenda_ball SET called_50_low_m = NULL, called_50_high_m = NULL, called_80_low_m = NULL,"
        " called_80_high_m = NULL WHERE session_id = ? AND state = 'waiting'",
        (session_id,),
    )


def agenda(database: Database, session_id: int) -> tuple[AgendaBallRecord, ...]:
    """The balls of a session in their order."""
    rows = database.rows("SELECT * FROM agenda_ball WHERE session_id = ? ORDER BY number", (session_id,))
    return tuple(_ball(row) for row in rows)


def next_ball(database: Database, session_id: int) -> AgendaBallRecord | None:
    """The first ball that waits, or None."""
    row = database.row(
        "SELECT * FROM agenda_ball WHERE session_id = ? AND state = 'waiting' ORDER BY number LIMIT 1", (session_id,)
    )
    return None if row is None else _ball(row)


def mark_ball(
    database: Database, session_id: int, number: int, state: BallState, skip_reason: str
) -> AgendaBallRecord:
    """Say what became of a ball. See `Store.mark_ball`."""
    claimed = database.row("SELECT id FROM shot WHERE session_id = ? AND agenda_number = ?", (session_id, number))
    if claimed is not None and state is not BallState.HIT:
        raise InputError(f"ball {number} was hit", f"session {session_id}", f"undo its shot {claimed['id']} instead")
    changed = database.run(
        "UPDATE agenda_ball SET state = ?, skip_reason = ? WHERE session_id = ? AND number = ?",
        (state, skip_reason, session_id, number),
    )
    if not changed:
        raise InputError(
            f"the agenda has no ball {number}", f"session {session_id}", "name one of the agenda's balls"
        )
    return next(ball for ball in agenda(database, session_id) if ball.number == number)


def _session(row: sqlite3.Row) -> SessionRecord:
    return SessionRecord(
        id=row["id"],
        uid=row["uid"],
        player_id=row["player_id"],
        started_at=moment(row["started_at"]),
        ended_at=moment_of(row["ended_at"]),
        plan_id=row["plan_id"],
        seed=row["seed"],
        air=Air(row["air_temperature_k"], row["air_pressure_pa"], row["air_relative_humidity"]),
        air_stated=bool(row["air_stated"]),
        turf=Turf(row["turf"]),
        note=row["note"],
        undone=bool(row["undone"]),
        kind=SessionKind(row["kind"]),
    )


def _ball(row: sqlite3.Row) -> AgendaBallRecord:
    ball = NewBall(
        number=row["number"],
        drill=row["drill"],
        cell=Cell(row["club"], row["grip_down_m"], Swing(row["swing"])),
        stage=row["stage"],
        reason=row["reason"],
        target_m=row["target_m"],
        flag=row["flag"],
        cue=row["cue"],
        block=row["block"],
        override=row["override_reason"],
        called_50_m=called_range(row, "called_50"),
        called_80_m=called_range(row, "called_80"),
    )
    return AgendaBallRecord(row["session_id"], ball, BallState(row["state"]), row["skip_reason"])


def called_values(name: str, called_m: Range | None) -> dict[str, Value]:
    """The two columns of a called range; none for None. Raises InputError for one upside down."""
    if called_m is None:
        return {}
    low_m, high_m = called_m
    if low_m > high_m:
        raise InputError(
            f"the called range {low_m:g} m to {high_m:g} m is upside down", name, "give the low end first"
        )
    return {f"{name}_low_m": low_m, f"{name}_high_m": high_m}


def called_range(row: sqlite3.Row | Mapping[str, Any], name: str) -> Range | None:
    """The range in the two columns, or None."""
    low_m = row[f"{name}_low_m"]
    return None if low_m is None else (low_m, row[f"{name}_high_m"])
