"""The tables of a coach's squad, and of what a player was assigned: the statements of one migration.

As every migration it is never edited once released.
"""

from __future__ import annotations

SQUAD_TABLES = (
    """CREATE TABLE squad_member (
        id INTEGER PRIMARY KEY,
        alias TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (alias <> ''),
        age_band TEXT NOT NULL CHECK (age_band IN ('under 11', '11-13', '14-15', '16-17', 'adult')),
        consent INTEGER NOT NULL CHECK (consent IN (0, 1)),
        consent_date TEXT,
        keep_until TEXT NOT NULL,
        added_at TEXT NOT NULL,
        player_id INTEGER UNIQUE REFERENCES player (id) ON DELETE SET NULL,
        profile_as_of TEXT,
        CHECK ((consent = 1) = (consent_date IS NOT NULL))
    ) STRICT""",
    """CREATE TABLE squad_note (
        id INTEGER PRIMARY KEY,
        member_id INTEGER NOT NULL REFERENCES squad_member (id) ON DELETE CASCADE,
        at TEXT NOT NULL,
        text TEXT NOT NULL CHECK (text <> '')
    ) STRICT""",
    "CREATE INDEX squad_note_by_member ON squad_note (member_id)",
    """CREATE TABLE squad_assignment (
        id INTEGER PRIMARY KEY,
        uid TEXT NOT NULL UNIQUE,
        member_id INTEGER NOT NULL REFERENCES squad_member (id) ON DELETE CASCADE,
        plan_id TEXT NOT NULL UNIQUE,
        title TEXT NOT NULL,
        assigned_at TEXT NOT NULL,
        due TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX squad_assignment_by_member ON squad_assignment (member_id)",
    """CREATE TABLE squad_decision (
        id INTEGER PRIMARY KEY,
        assignment_id INTEGER NOT NULL REFERENCES squad_assignment (id) ON DELETE CASCADE,
        at TEXT NOT NULL,
        decision TEXT NOT NULL CHECK (decision IN ('returned', 'accepted'))
    ) STRICT""",
    "CREATE INDEX squad_decision_by_assignment ON squad_decision (assignment_id)",
    """CREATE TABLE handed_in (
        session_id INTEGER PRIMARY KEY REFERENCES session (id) ON DELETE CASCADE,
        at TEXT NOT NULL
    ) STRICT""",
    """CREATE TABLE taken_assignment (
        uid TEXT PRIMARY KEY,
        player_id INTEGER NOT NULL REFERENCES player (id) ON DELETE CASCADE,
        alias TEXT NOT NULL,
        age_band TEXT NOT NULL,
        plan_id TEXT NOT NULL UNIQUE,
        title TEXT NOT NULL,
        assigned_at TEXT NOT NULL,
        due TEXT NOT NULL,
        taken_at TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX taken_assignment_by_player ON taken_assignment (player_id)",
)
"""`handed_in` says when a session last left in a result file or came in by one."""
