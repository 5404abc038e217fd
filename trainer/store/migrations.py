"""The store's tables, as numbered migrations: each is one transaction together with its record.

A migration that has been released is never edited: a change is a new one. So the words that a CHECK allows are
written out here and not taken from today's enumerations.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass

from trainer.store.squad_tables import SQUAD_TABLES

APPLICATION_ID = 0x57445452
"""SQLite's application_id of a store: 'WDTR' in ASCII. It tells our file from any other database."""


@dataclass(frozen=True, slots=True)
class Migration:
    """One step of the tables from version `number` - 1 to `number`."""

    number: int
    name: str
    statements: tuple[str, ...]


_PLAYER = (
    """CREATE TABLE player (
        id INTEGER PRIMARY KEY,
        uid TEXT NOT NULL UNIQUE,
        alias TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (alias <> ''),
        hand TEXT NOT NULL CHECK (hand IN ('right', 'left')),
        distance_unit TEXT NOT NULL,
        speed_unit TEXT NOT NULL,
        temperature_unit TEXT NOT NULL,
        grip_unit TEXT NOT NULL,
        height_unit TEXT NOT NULL,
        ball TEXT NOT NULL CHECK (ball IN ('range', 'playing')),
        surface TEXT NOT NULL CHECK (surface IN ('grass', 'mat')),
        sees TEXT NOT NULL CHECK (sees IN ('landing', 'finish')),
        seen TEXT NOT NULL CHECK (seen IN ('eye', 'flag', 'laser', 'device')),
        pin_depth_m REAL NOT NULL,
        pin_width_m REAL NOT NULL,
        known_club TEXT NOT NULL,
        known_carry_m REAL NOT NULL,
        known_basis TEXT NOT NULL CHECK (known_basis IN ('measured', 'remembered')),
        grip_steps_m TEXT NOT NULL CHECK (json_valid(grip_steps_m)),
        saved_at TEXT NOT NULL
    ) STRICT""",
    """CREATE TABLE club (
        id INTEGER PRIMARY KEY,
        player_id INTEGER NOT NULL REFERENCES player (id) ON DELETE CASCADE,
        name TEXT NOT NULL CHECK (name <> ''),
        loft_rad REAL NOT NULL,
        length_m REAL NOT NULL,
        stock_carry_m REAL NOT NULL,
        position INTEGER NOT NULL,
        since TEXT NOT NULL,
        retired TEXT
    ) STRICT""",
    "CREATE INDEX club_by_player ON club (player_id)",
    "CREATE UNIQUE INDEX club_in_the_bag ON club (player_id, name) WHERE retired IS NULL",
    """CREATE TABLE range_flag (
        player_id INTEGER NOT NULL REFERENCES player (id) ON DELETE CASCADE,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        distance_m REAL NOT NULL,
        bearing_rad REAL NOT NULL,
        PRIMARY KEY (player_id, position)
    ) STRICT""",
)

_SESSION = (
    """CREATE TABLE session (
        id INTEGER PRIMARY KEY,
        uid TEXT NOT NULL UNIQUE,
        player_id INTEGER NOT NULL REFERENCES player (id) ON DELETE CASCADE,
        started_at TEXT NOT NULL,
        ended_at TEXT,
        plan_id TEXT,
        seed INTEGER,
        air_temperature_k REAL NOT NULL,
        air_pressure_pa REAL NOT NULL,
        air_relative_humidity REAL NOT NULL,
        air_stated INTEGER NOT NULL CHECK (air_stated IN (0, 1)),
        turf TEXT NOT NULL CHECK (turf IN ('soft', 'medium', 'firm')),
        note TEXT NOT NULL,
        undone INTEGER NOT NULL DEFAULT 0 CHECK (undone IN (0, 1))
    ) STRICT""",
    "CREATE INDEX session_by_player ON session (player_id, started_at)",
    """CREATE TABLE reading (
        id INTEGER PRIMARY KEY,
        uid TEXT NOT NULL UNIQUE,
        session_id INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE,
        at TEXT NOT NULL,
        knowledge TEXT NOT NULL CHECK (knowledge IN ('unknown', 'calm', 'read', 'stated')),
        speed_mps REAL NOT NULL,
        from_rad REAL NOT NULL,
        height_m REAL NOT NULL,
        method TEXT NOT NULL CHECK (method IN ('meter', 'forecast', 'felt')),
        place TEXT NOT NULL CHECK (place IN ('open', 'bay')),
        gust_mps REAL,
        undone INTEGER NOT NULL DEFAULT 0 CHECK (undone IN (0, 1)),
        UNIQUE (session_id, id)
    ) STRICT""",
    """CREATE TABLE agenda_ball (
        session_id INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE,
        number INTEGER NOT NULL,
        drill TEXT NOT NULL,
        club TEXT NOT NULL,
        grip_down_m REAL NOT NULL CHECK (grip_down_m >= 0),
        swing TEXT NOT NULL CHECK (swing IN ('full', 'three-quarter', 'half')),
        target_m REAL,
        flag TEXT,
        stage TEXT NOT NULL,
        reason TEXT NOT NULL,
        cue TEXT NOT NULL,
        state TEXT NOT NULL DEFAULT 'waiting' CHECK (state IN ('waiting', 'hit', 'skipped')),
        skip_reason TEXT NOT NULL DEFAULT '',
        PRIMARY KEY (session_id, number)
    ) STRICT""",
)

_SHOT = (
    """CREATE TABLE import_file (
        id INTEGER PRIMARY KEY,
        player_id INTEGER NOT NULL REFERENCES player (id) ON DELETE CASCADE,
        session_id INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE,
        made_session INTEGER NOT NULL CHECK (made_session IN (0, 1)),
        sha256 TEXT NOT NULL,
        name TEXT NOT NULL,
        at TEXT NOT NULL,
        undone_at TEXT
    ) STRICT""",
    "CREATE INDEX import_by_session ON import_file (session_id)",
    "CREATE UNIQUE INDEX import_once ON import_file (player_id, sha256) WHERE undone_at IS NULL",
    """CREATE TABLE raw_row (
        import_id INTEGER NOT NULL REFERENCES import_file (id) ON DELETE CASCADE,
        row_number INTEGER NOT NULL,
        text TEXT NOT NULL,
        PRIMARY KEY (import_id, row_number)
    ) STRICT""",
    """CREATE TABLE shot (
        id INTEGER PRIMARY KEY,
        uid TEXT NOT NULL UNIQUE,
        session_id INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE,
        number INTEGER NOT NULL,
        at TEXT NOT NULL,
        club_id INTEGER NOT NULL REFERENCES club (id),
        grip_down_m REAL NOT NULL CHECK (grip_down_m >= 0),
        swing TEXT NOT NULL CHECK (swing IN ('full', 'three-quarter', 'half')),
        agenda_number INTEGER,
        reading_id INTEGER,
        target_m REAL,
        target_bearing_rad REAL NOT NULL,
        ball TEXT NOT NULL CHECK (ball IN ('range', 'playing')),
        surface TEXT NOT NULL CHECK (surface IN ('grass', 'mat')),
        seen TEXT NOT NULL CHECK (seen IN ('eye', 'flag', 'laser', 'device')),
        carry_m REAL,
        total_m REAL,
        side_m REAL,
        flag TEXT,
        flag_offset_m REAL,
        depth TEXT CHECK (depth IN ('short', 'pin', 'long')),
        width TEXT CHECK (width IN ('left', 'straight', 'right')),
        apex_m REAL,
        hang_s REAL,
        ball_speed_mps REAL,
        launch_rad REAL,
        spin_rad_s REAL,
        mishit INTEGER NOT NULL CHECK (mishit IN (0, 1)),
        unseen INTEGER NOT NULL CHECK (unseen IN (0, 1)),
        resolution_m REAL,
        carry_origin TEXT NOT NULL CHECK (carry_origin IN ('seen', 'computed', 'corrected')),
        called_50_low_m REAL,
        called_50_high_m REAL,
        called_80_low_m REAL,
        called_80_high_m REAL,
        mark TEXT CHECK (mark IN ('gust', 'lull')),
        source TEXT NOT NULL CHECK (source IN ('typed', 'table')),
        import_id INTEGER REFERENCES import_file (id) ON DELETE CASCADE,
        undone INTEGER NOT NULL DEFAULT 0 CHECK (undone IN (0, 1)),
        UNIQUE (session_id, number),
        FOREIGN KEY (session_id, reading_id) REFERENCES reading (session_id, id),
        FOREIGN KEY (session_id, agenda_number) REFERENCES agenda_ball (session_id, number),
        CHECK ((called_50_low_m IS NULL) = (called_50_high_m IS NULL) AND called_50_low_m <= called_50_high_m),
        CHECK ((called_80_low_m IS NULL) = (called_80_high_m IS NULL) AND called_80_low_m <= called_80_high_m)
    ) STRICT""",
    "CREATE INDEX shot_by_club ON shot (club_id)",
    "CREATE INDEX shot_by_import ON shot (import_id) WHERE import_id IS NOT NULL",
    "CREATE INDEX shot_by_reading ON shot (session_id, reading_id)",
    "CREATE UNIQUE INDEX shot_once_a_ball ON shot (session_id, agenda_number) WHERE agenda_number IS NOT NULL",
    """CREATE TABLE shot_tag (
        shot_id INTEGER NOT NULL REFERENCES shot (id) ON DELETE CASCADE,
        position INTEGER NOT NULL,
        tag TEXT NOT NULL,
        PRIMARY KEY (shot_id, position)
    ) STRICT""",
    """CREATE TABLE revision (
        id INTEGER PRIMARY KEY,
        shot_id INTEGER REFERENCES shot (id) ON DELETE CASCADE,
        reading_id INTEGER REFERENCES reading (id) ON DELETE CASCADE,
        at TEXT NOT NULL,
        reason TEXT NOT NULL CHECK (reason IN ('corrected', 'undone')),
        old_values TEXT NOT NULL CHECK (json_valid(old_values)),
        CHECK ((shot_id IS NULL) <> (reading_id IS NULL))
    ) STRICT""",
    "CREATE INDEX revision_by_shot ON revision (shot_id) WHERE shot_id IS NOT NULL",
    "CREATE INDEX revision_by_reading ON revision (reading_id) WHERE reading_id IS NOT NULL",
)

_RECORD = (
    f"PRAGMA application_id = {APPLICATION_ID}",
    "CREATE TABLE migration (number INTEGER PRIMARY KEY, name TEXT NOT NULL) STRICT",
)

_COURSE_AND_CALLS = (
    "ALTER TABLE session ADD COLUMN kind TEXT NOT NULL DEFAULT 'range' CHECK (kind IN ('range', 'course'))",
    "ALTER TABLE shot ADD COLUMN called_shape_m TEXT CHECK (called_shape_m IS NULL OR json_valid(called_shape_m))",
    """CREATE TABLE own_call (
        id INTEGER PRIMARY KEY,
        session_id INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE,
        at TEXT NOT NULL,
        carry_m REAL,
        wind_mps REAL,
        wind_from_rad REAL,
        shot_id INTEGER REFERENCES shot (id) ON DELETE CASCADE,
        reading_id INTEGER REFERENCES reading (id) ON DELETE CASCADE,
        CHECK ((carry_m IS NULL) <> (wind_mps IS NULL)),
        CHECK ((wind_mps IS NULL) = (wind_from_rad IS NULL)),
        CHECK (shot_id IS NULL OR carry_m IS NOT NULL),
        CHECK (reading_id IS NULL OR wind_mps IS NOT NULL)
    ) STRICT""",
    "CREATE INDEX own_call_by_session ON own_call (session_id)",
    "CREATE INDEX own_call_by_shot ON own_call (shot_id) WHERE shot_id IS NOT NULL",
    "CREATE INDEX own_call_by_reading ON own_call (reading_id) WHERE reading_id IS NOT NULL",
    """CREATE TABLE round (
        id INTEGER PRIMARY KEY,
        player_id INTEGER NOT NULL REFERENCES player (id) ON DELETE CASCADE,
        started_at TEXT NOT NULL,
        ended_at TEXT,
        card TEXT NOT NULL CHECK (json_valid(card))
    ) STRICT""",
    "CREATE INDEX round_by_player ON round (player_id)",
)

_IMPORTS_THAT_GROW = (
    "ALTER TABLE session ADD COLUMN import_id INTEGER REFERENCES import_file (id) ON DELETE SET NULL",
    "CREATE INDEX session_by_import_made ON session (import_id) WHERE import_id IS NOT NULL",
    "ALTER TABLE import_file ADD COLUMN taken_bytes INTEGER",
)

_AGENDA_THAT_CHANGES = (
    "ALTER TABLE player ADD COLUMN age_band TEXT"
    " CHECK (age_band IN ('under 11', '11-13', '14-15', '16-17', 'adult'))",
    "ALTER TABLE agenda_ball ADD COLUMN block INTEGER NOT NULL DEFAULT -1",
    "ALTER TABLE agenda_ball ADD COLUMN override_reason TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE agenda_ball ADD COLUMN called_50_low_m REAL",
    "ALTER TABLE agenda_ball ADD COLUMN called_50_high_m REAL"
    " CHECK ((called_50_low_m IS NULL) = (called_50_high_m IS NULL) AND called_50_low_m <= called_50_high_m)",
    "ALTER TABLE agenda_ball ADD COLUMN called_80_low_m REAL",
    "ALTER TABLE agenda_ball ADD COLUMN called_80_high_m REAL"
    " CHECK ((called_80_low_m IS NULL) = (called_80_high_m IS NULL) AND called_80_low_m <= called_80_high_m)",
    """CREATE TABLE agenda_basis (
        session_id INTEGER PRIMARY KEY REFERENCES session (id) ON DELETE CASCADE,
        content TEXT NOT NULL CHECK (json_valid(content))
    ) STRICT""",
    """CREATE TABLE thunder (
        id INTEGER PRIMARY KEY,
        session_id INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE,
        at TEXT NOT NULL,
        undone INTEGER NOT NULL DEFAULT 0 CHECK (undone IN (0, 1))
    ) STRICT""",
    "CREATE INDEX thunder_by_session ON thunder (session_id)",
)

MIGRATIONS: tuple[Migration, ...] = (
    Migration(1, "players, sessions and shots", (*_RECORD, *_PLAYER, *_SESSION, *_SHOT)),
    Migration(2, "an agenda that changes, thunder, age bands", _AGENDA_THAT_CHANGES),
    Migration(3, "the course log, rounds, and what was called", _COURSE_AND_CALLS),
    Migration(4, "imports of several sessions, and of a file that grows", _IMPORTS_THAT_GROW),
    Migration(5, "squads", SQUAD_TABLES),
)


def version_of(connection: sqlite3.Connection) -> int:
    """The number of the last migration applied, 0 for a database without tables; raises sqlite3.DatabaseError."""
    if connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] == 0:
        return 0
    return int(connection.execute("SELECT max(number) FROM migration").fetchone()[0] or 0)


def migrate(connection: sqlite3.Connection, migrations: Sequence[Migration] = MIGRATIONS) -> int:
    """Bring the tables up to the last of `migrations`; give the version that was found.

    Each migration commits together with its record, or leaves no trace. `connection` must be in autocommit mode.
    Raises sqlite3.DatabaseError.
    """
    found = version_of(connection)
    for migration in migrations:
        if migration.number > found:
            _apply(connection, migration)
    return found


def _apply(connection: sqlite3.Connection, migration: Migration) -> None:
    connection.execute("BEGIN IMMEDIATE")
    try:
        for statement in migration.statements:
            connection.execute(statement)
        connection.execute("INSERT INTO migration (number, name) VALUES (?, ?)", (migration.number, migration.name))
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise
