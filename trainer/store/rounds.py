"""Rounds of golf: when one began and ended, and the card made before it. Inside a transaction of the caller."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping
from datetime import datetime

from trainer.core.errors import InputError
from trainer.store.database import Database, Value
from trainer.store.players import require_player
from trainer.store.records import RoundRecord
from trainer.store.times import moment, moment_of


def start(database: Database, player_id: int, at: datetime, card: Mapping[str, str]) -> RoundRecord:
    """Begin a round. See `Store.start_round`."""
    require_player(database, player_id)
    database.run(
        "UPDATE round SET ended_at = ? WHERE player_id = ? AND ended_at IS NULL", (at.isoformat(), player_id)
    )
    values: dict[str, Value] = {"player_id": player_id, "started_at": at.isoformat(), "card": json.dumps(dict(card))}
    return _round(database, database.insert("round", values))


def end(database: Database, round_id: int, at: datetime) -> RoundRecord:
    """End a round; raises InputError for one that is not there."""
    _round(database, round_id)
    database.update("round", round_id, {"ended_at": at.isoformat()})
    return _round(database, round_id)


def latest(database: Database, player_id: int) -> RoundRecord | None:
    """The round begun last, or None."""
    row = database.row("SELECT * FROM round WHERE player_id = ? ORDER BY id DESC LIMIT 1", (player_id,))
    return None if row is None else _record(row)


def _round(database: Database, round_id: int) -> RoundRecord:
    row = database.row("SELECT * FROM round WHERE id = ?", (round_id,))
    if row is None:
        raise InputError(
            f"no round has the id {round_id}", str(database.path), "begin one with `trainer round start`"
        )
    return _record(row)


def _record(row: sqlite3.Row) -> RoundRecord:
    return RoundRecord(
        row["id"],
        row["player_id"],
        moment(row["started_at"]),
        moment_of(row["ended_at"]),
        json.loads(row["card"]),
    )
