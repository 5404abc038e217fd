"""Invented players and shots for the tests of the store."""

from __future__ import annotations

import math
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from trainer.core.bag import Bag, Cell, Club, Swing
from trainer.core.conditions import Air, ReadingMethod, Turf, Wind, WindKnowledge, WindPlace
from trainer.core.profile import CarryBasis, Hand, KnownCarry, Profile, RangeFlag
from trainer.core.shot import ShotEntry
from trainer.core.units import UnitChoice
from trainer.store.records import NewBall, NewSession, NewShot
from trainer.store.store import Store

START = datetime.fromisoformat("2026-05-04T18:30:00+02:00")
LATER = START + timedelta(minutes=40)

SEVEN = Club("7 iron", math.radians(33), 0.94, 137.16)
EIGHT = Club("8 iron", math.radians(37), 0.927, 128.0)
WEDGE = Club("pitching wedge", math.radians(46), 0.90, 104.2)
PROFILE = Profile(
    alias="Wren Quillfeather",
    bag=Bag((SEVEN, EIGHT, WEDGE), (0.0, 0.0254, 0.0381)),
    known_carry=KnownCarry("7 iron", 137.16, CarryBasis.REMEMBERED),
    units=UnitChoice.following("m"),
    hand=Hand.LEFT,
    flags=(RangeFlag("red", 137.16, -0.1), RangeFlag("blue", 91.44)),
    pin_depth_m=6.5,
)
CELL = Cell("7 iron", 0.0254, Swing.THREE_QUARTER)
ENTRY = ShotEntry(carry_m=129.8, side_m=-5.5, tags=("closer", "cold"), resolution_m=0.9144)
BREEZE = Wind(WindKnowledge.READ, 6.2, 0.52, 2.0, ReadingMethod.FELT, WindPlace.BAY, 9.1)


def new_session(player_id: int, at: datetime = START) -> NewSession:
    return NewSession(
        player_id, at, "first-windy-evening", 17, Air(284.0, 99800.0, 0.71), air_stated=True, turf=Turf.FIRM
    )


def new_shot(carry_m: float = 129.8, **fields: Any) -> NewShot:
    """A shot; `fields` are fields of NewShot."""
    return replace(NewShot(LATER, CELL, ShotEntry(carry_m=carry_m)), **fields)


def ball(number: int, **fields: Any) -> NewBall:
    """A ball of the agenda; `fields` are fields of NewBall."""
    plain = NewBall(number, "grip-down steps", CELL, "step", "widest interval", 130.0, "red", "hands shoulder-high")
    return replace(plain, **fields)


def carries(store: Store, session_id: int | None = None, *, include_undone: bool = False) -> list[float | None]:
    return [shot.entry.carry_m for shot in store.shots(session_id, include_undone=include_undone)]


def overwrite_table(path: Path, table: str) -> None:
    """Write rubbish over the first page of a table in a closed store."""
    with closing(sqlite3.connect(path)) as connection:
        page_bytes = int(connection.execute("PRAGMA page_size").fetchone()[0])
        (root,) = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (table,)).fetchone()
    content = bytearray(path.read_bytes())
    content[(root - 1) * page_bytes : root * page_bytes] = b"\xa5" * page_bytes
    path.write_bytes(content)
