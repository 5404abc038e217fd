"""Players, their bags and their flags. Every function runs inside a transaction of the caller."""

from __future__ import annotations

import json
import math
import sqlite3
from collections.abc import Iterable
from datetime import datetime

from trainer.core.bag import Bag, Club, canonical_club
from trainer.core.conditions import Ball, Seen, Surface
from trainer.core.errors import InputError
from trainer.core.profile import AgeBand, CarryBasis, Hand, KnownCarry, Profile, RangeFlag, Sees
from trainer.core.units import UnitChoice
from trainer.store.database import Database, Value
from trainer.store.records import ClubRecord, PlayerRecord
from trainer.store.times import moment, moment_of

SAME_SPECIFICATION = 1e-6
"""Lofts (rad) and lengths (m) nearer than this are one number written twice: far finer than any club is measured."""


def save_profile(database: Database, profile: Profile, at: datetime, new_uid: str) -> PlayerRecord:
    """Keep a profile under its alias, new or changed. See `Store.save_profile`."""
    held = database.row("SELECT id FROM player WHERE alias = ?", (profile.alias,))
    values = _player_values(profile, at)
    if held is None:
        player_id = database.insert("player", {"uid": new_uid, **values})
    else:
        player_id = int(held["id"])
        database.update("player", player_id, values)
    _save_bag(database, player_id, profile.bag, at)
    database.run("DELETE FROM range_flag WHERE player_id = ?", (player_id,))
    for position, flag in enumerate(profile.flags):
        database.insert(
            "range_flag",
            {
                "player_id": player_id,
                "position": position,
                "name": flag.name,
                "distance_m": flag.distance_m,
                "bearing_rad": flag.bearing_rad,
            },
        )
    return player(database, profile.alias)


def players(database: Database) -> tuple[PlayerRecord, ...]:
    """Every player, in the order they came."""
    rows = database.rows("SELECT * FROM player ORDER BY id")
    bags: dict[int, list[Club]] = {row["id"]: [] for row in rows}
    for row in database.rows("SELECT * FROM club WHERE retired IS NULL ORDER BY position"):
        bags[row["player_id"]].append(_club(row))
    flags: dict[int, list[RangeFlag]] = {row["id"]: [] for row in rows}
    for row in database.rows("SELECT * FROM range_flag ORDER BY position"):
        flags[row["player_id"]].append(RangeFlag(row["name"], row["distance_m"], row["bearing_rad"]))
    return tuple(
        PlayerRecord(row["id"], row["uid"], _profile(row, bags[row["id"]], flags[row["id"]])) for row in rows
    )


def player(database: Database, alias: str | None) -> PlayerRecord:
    """The player called `alias`, or the only one. See `Store.player`."""
    held = players(database)
    where = str(database.path)
    if not held:
        raise InputError("the store holds no player yet", where, "run `trainer setup` first")
    names = ", ".join(record.profile.alias for record in held)
    if alias is None:
        if len(held) > 1:
            raise InputError(f"the store holds several players ({names})", where, "pick one with --player ALIAS")
        return held[0]
    found = database.row("SELECT id FROM player WHERE alias = ?", (alias,))
    if found is None:
        raise InputError(f"no player '{alias}' (known: {names})", where, "pick one of them, or run `trainer setup`")
    return next(record for record in held if record.id == found["id"])


def require_player(database: Database, player_id: int) -> None:
    """Raise InputError where no player has this id."""
    if database.row("SELECT id FROM player WHERE id = ?", (player_id,)) is None:
        raise InputError(f"no player has the id {player_id}", str(database.path), "run `trainer setup` first")


def clubs(database: Database, player_id: int, *, include_retired: bool) -> tuple[ClubRecord, ...]:
    """The clubs of a player: in the bag's order, then the retired ones."""
    rows = database.rows(
        "SELECT * FROM club WHERE player_id = ? AND (retired IS NULL OR ?)"
        " ORDER BY retired IS NOT NULL, position, id",
        (player_id, include_retired),
    )
    return tuple(
        ClubRecord(
            row["id"],
            row["player_id"],
            _club(row),
            row["position"],
            moment(row["since"]),
            moment_of(row["retired"]),
        )
        for row in rows
    )


def _save_bag(database: Database, player_id: int, bag: Bag, at: datetime) -> None:
    wanted = [canonical_club(club.name) for club in bag.clubs]
    if twice := next((name for name in wanted if wanted.count(name) > 1), None):
        raise InputError(f"the bag holds '{twice}' twice", "profile", "give each club a name of its own")
    held = clubs(database, player_id, include_retired=True)
    kept = {canonical_club(club.name): _same_club(club, held) for club in bag.clubs}
    kept_ids = {record.id for record in kept.values() if record is not None}
    for record in held:
        if record.retired is None and record.id not in kept_ids:
            database.update("club", record.id, {"retired": at.isoformat()})
    for position, club in enumerate(bag.clubs):
        values: dict[str, Value] = {
            "name": club.name,
            "loft_rad": club.loft_rad,
            "length_m": club.length_m,
            "stock_carry_m": club.stock_carry_m,
            "position": position,
        }
        same = kept[canonical_club(club.name)]
        if same is None:
            database.insert("club", {"player_id": player_id, "since": at.isoformat(), **values})
        else:
            database.update("club", same.id, {"retired": None, **values})


def _same_club(club: Club, held: Iterable[ClubRecord]) -> ClubRecord | None:
    """The club of `held` with this name and specification, in the bag or retired: put back, it is the same club."""
    for record in held:
        if (
            canonical_club(record.club.name) == canonical_club(club.name)
            and math.isclose(record.club.loft_rad, club.loft_rad, rel_tol=0, abs_tol=SAME_SPECIFICATION)
            and math.isclose(record.club.length_m, club.length_m, rel_tol=0, abs_tol=SAME_SPECIFICATION)
        ):
            return record
    return None


def _player_values(profile: Profile, at: datetime) -> dict[str, Value]:
    return {
        "alias": profile.alias,
        "hand": profile.hand,
        "distance_unit": profile.units.distance,
        "speed_unit": profile.units.speed,
        "temperature_unit": profile.units.temperature,
        "grip_unit": profile.units.grip,
        "height_unit": profile.units.height,
        "ball": profile.ball,
        "surface": profile.surface,
        "sees": profile.sees,
        "seen": profile.seen,
        "pin_depth_m": profile.pin_depth_m,
        "pin_width_m": profile.pin_width_m,
        "age_band": profile.age_band,
        "known_club": profile.known_carry.club,
        "known_carry_m": profile.known_carry.carry_m,
        "known_basis": profile.known_carry.basis,
        "grip_steps_m": _finite_json(profile.bag.grip_steps_m),
        "saved_at": at.isoformat(),
    }


def _finite_json(values: tuple[float, ...]) -> str:
    try:
        return json.dumps(values, allow_nan=False)
    except ValueError:
        raise InputError("a grip step is not a finite number", "profile", "give it a length") from None


def _profile(row: sqlite3.Row, bag: list[Club], flags: list[RangeFlag]) -> Profile:
    return Profile(
        alias=row["alias"],
        bag=Bag(tuple(bag), tuple(json.loads(row["grip_steps_m"]))),
        known_carry=KnownCarry(row["known_club"], row["known_carry_m"], CarryBasis(row["known_basis"])),
        units=UnitChoice(
            row["distance_unit"], row["speed_unit"], row["temperature_unit"], row["grip_unit"], row["height_unit"]
        ),
        hand=Hand(row["hand"]),
        ball=Ball(row["ball"]),
        surface=Surface(row["surface"]),
        sees=Sees(row["sees"]),
        seen=Seen(row["seen"]),
        flags=tuple(flags),
        pin_depth_m=row["pin_depth_m"],
        pin_width_m=row["pin_width_m"],
        age_band=None if row["age_band"] is None else AgeBand(row["age_band"]),
    )


def _club(row: sqlite3.Row) -> Club:
    return Club(row["name"], row["loft_rad"], row["length_m"], row["stock_carry_m"])
