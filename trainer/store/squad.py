"""A coach's squad in the coach's own store, and what a player was assigned in his.

Nothing here knows a name: a member is an alias and an age band. The key from alias to person lives outside.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Sequence
from datetime import datetime

from trainer.core.errors import InputError
from trainer.core.profile import AgeBand
from trainer.store import squad_results
from trainer.store.database import Database, Value
from trainer.store.squad_records import (
    AssignmentRecord,
    CoachNote,
    Decision,
    Member,
    Merged,
    NewAssignment,
    NewMember,
    SharedPlayer,
    SharedResult,
    SharedSession,
    TakenAssignment,
)
from trainer.store.times import day, moment, moment_of

_STARTED = """SELECT min(started_at) FROM session
    WHERE session.plan_id = assignment.plan_id AND session.player_id = {player} AND session.undone = 0"""
_HANDED_IN = """SELECT max(handed_in.at) FROM handed_in JOIN session ON session.id = handed_in.session_id
    WHERE session.plan_id = assignment.plan_id AND session.player_id = {player}"""
_ASSIGNMENTS = f"""SELECT assignment.*, ({_STARTED.format(player="member.player_id")}) AS started_at,
        ({_HANDED_IN.format(player="member.player_id")}) AS handed_in_at, decision, squad_decision.at AS decided_at
    FROM squad_assignment AS assignment JOIN squad_member AS member ON member.id = assignment.member_id
    LEFT JOIN squad_decision ON squad_decision.id =
        (SELECT max(id) FROM squad_decision WHERE assignment_id = assignment.id)"""
_TAKEN = f"""SELECT assignment.*, ({_STARTED.format(player="assignment.player_id")}) AS started_at,
        ({_HANDED_IN.format(player="assignment.player_id")}) AS handed_in_at
    FROM taken_assignment AS assignment"""


class SquadBook:
    """The squad's part of an open store. As everywhere a call is one transaction, done when it returns.

    Every call raises InputError for a member or an assignment that is not there, StoreError where the file fails.
    """

    def __init__(self, database: Database, new_uid: Callable[[], str]) -> None:
        self._database = database
        self.new_uid = new_uid

    def save_member(self, new: NewMember, at: datetime) -> Member:
        """Keep a member under his alias (case aside), in place of what was said of him before."""
        values: dict[str, Value] = {
            "alias": new.alias,
            "age_band": new.age_band,
            "consent": int(new.consent_date is not None),
            "consent_date": None if new.consent_date is None else new.consent_date.isoformat(),
            "keep_until": new.keep_until.isoformat(),
        }
        with self._database.writing():
            held = self._database.row("SELECT id FROM squad_member WHERE alias = ?", (new.alias,))
            if held is None:
                self._database.insert("squad_member", {**values, "added_at": at.isoformat()})
            else:
                self._database.update("squad_member", held["id"], values)
            return self._member(new.alias)

    def member(self, alias: str) -> Member:
        """The member called `alias`."""
        with self._database.reading():
            return self._member(alias)

    def _member(self, alias: str) -> Member:
        row = self._database.row("SELECT * FROM squad_member WHERE alias = ?", (alias,))
        if row is None:
            held = ", ".join(member.alias for member in self._members()) or "nobody"
            raise InputError(
                f"no squad member '{alias}' (known: {held})",
                str(self._database.path),
                "add him with `trainer squad add`",
            )
        return _member(row)

    def members(self) -> tuple[Member, ...]:
        """Every member by alias: no other order is ever given."""
        with self._database.reading():
            return self._members()

    def _members(self) -> tuple[Member, ...]:
        return tuple(_member(row) for row in self._database.rows("SELECT * FROM squad_member ORDER BY alias"))

    def add_note(self, member_id: int, text: str, at: datetime) -> None:
        """Keep a coach's words on a member; they go into no file."""
        with self._database.writing():
            values: dict[str, Value] = {"member_id": member_id, "at": at.isoformat(), "text": text}
            self._database.insert("squad_note", values)

    def notes(self, member_id: int) -> tuple[CoachNote, ...]:
        """A coach's words on a member, oldest first."""
        with self._database.reading():
            rows = self._database.rows("SELECT * FROM squad_note WHERE member_id = ? ORDER BY id", (member_id,))
            return tuple(CoachNote(moment(row["at"]), row["text"]) for row in rows)

    def add_assignments(self, new: Sequence[NewAssignment]) -> None:
        """Keep what was assigned, all of it."""
        with self._database.writing():
            for each in new:
                self._database.insert(
                    "squad_assignment",
                    {
                        "uid": each.uid,
                        "member_id": each.member_id,
                        "plan_id": each.plan_id,
                        "title": each.title,
                        "assigned_at": each.assigned_at.isoformat(),
                        "due": each.due.isoformat(),
                    },
                )

    def assignments(self, member_id: int) -> tuple[AssignmentRecord, ...]:
        """What a member was assigned, oldest first."""
        with self._database.reading():
            rows = self._database.rows(
                f"{_ASSIGNMENTS} WHERE member_id = ? ORDER BY assignment.assigned_at, assignment.id", (member_id,)
            )
            return tuple(_assignment(row) for row in rows)

    def decide(self, plan_id: str, decision: Decision, at: datetime) -> AssignmentRecord:
        """Return or accept the assignment with that plan id. InputError where nothing was handed in, or accepted."""
        with self._database.writing():
            held = self._assignment(plan_id)
            if held.handed_in_at is None:
                raise InputError("nothing of it was handed in yet", plan_id, "collect its results first")
            if held.decision is Decision.ACCEPTED:
                raise InputError("it was accepted already", plan_id, "assign it anew instead")
            values: dict[str, Value] = {"assignment_id": held.id, "at": at.isoformat(), "decision": decision}
            self._database.insert("squad_decision", values)
            return self._assignment(plan_id)

    def _assignment(self, plan_id: str) -> AssignmentRecord:
        row = self._database.row(f"{_ASSIGNMENTS} WHERE assignment.plan_id = ?", (plan_id,))
        if row is None:
            raise InputError(f"no assignment has the id '{plan_id}'", "squad", "see `trainer squad show`")
        return _assignment(row)

    def merge(self, result: SharedResult, *, corrections: bool = False) -> Merged:
        """Add what a result holds and the store does not, all of it or, where there are conflicts, nothing.

        With `corrections` what the player put right after he last handed it in is put right here; what stood is kept
        among the revisions.
        """
        with self._database.writing():
            member = self._member(result.alias)
            return squad_results.merge(self._database, member, result, corrections=corrections)

    def shared_player(self, player_id: int, now: datetime) -> SharedPlayer:
        """A player as he travels: of now, or of when his profile came in where it came in by file."""
        with self._database.reading():
            row = self._database.row("SELECT * FROM squad_member WHERE player_id = ?", (player_id,))
            as_of = None if row is None else _member(row).profile_as_of
            return squad_results.read_player(self._database, player_id, as_of or now)

    def shared_session(self, session_id: int) -> SharedSession:
        """A session as it travels."""
        with self._database.reading():
            return squad_results.read_session(self._database, session_id)

    def handed_in(self, player_id: int) -> dict[int, datetime]:
        """When each session of a player was last handed in, by the session's id."""
        with self._database.reading():
            rows = self._database.rows(
                "SELECT session_id, at FROM handed_in JOIN session ON session.id = session_id WHERE player_id = ?",
                (player_id,),
            )
            return {row["session_id"]: moment(row["at"]) for row in rows}

    def note_handed_in(self, session_ids: Sequence[int], at: datetime) -> None:
        """Say that sessions left in result files."""
        with self._database.writing():
            for session_id in session_ids:
                squad_results.keep_handed_in(self._database, session_id, at)

    def take(self, new: TakenAssignment) -> None:
        """Keep that a player took an assignment up; taking it again changes nothing."""
        with self._database.writing():
            self._database.run(
                "INSERT INTO taken_assignment (uid, player_id, alias, age_band, plan_id, title, assigned_at, due,"
                " taken_at) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (uid) DO NOTHING",
                (
                    new.uid, new.player_id, new.alias, new.age_band, new.plan_id, new.title,
                    new.assigned_at.isoformat(), new.due.isoformat(), new.taken_at.isoformat(),
                ),
            )  # fmt: skip

    def taken(self, player_id: int) -> tuple[TakenAssignment, ...]:
        """What a player took up, oldest first."""
        with self._database.reading():
            rows = self._database.rows(f"{_TAKEN} WHERE player_id = ? ORDER BY taken_at, uid", (player_id,))
            return tuple(_taken(row) for row in rows)


def _member(row: sqlite3.Row) -> Member:
    return Member(
        id=row["id"],
        alias=row["alias"],
        age_band=AgeBand(row["age_band"]),
        consent_date=None if row["consent_date"] is None else day(row["consent_date"]),
        keep_until=day(row["keep_until"]),
        added_at=moment(row["added_at"]),
        player_id=row["player_id"],
        profile_as_of=moment_of(row["profile_as_of"]),
    )


def _assignment(row: sqlite3.Row) -> AssignmentRecord:
    return AssignmentRecord(
        id=row["id"],
        uid=row["uid"],
        member_id=row["member_id"],
        plan_id=row["plan_id"],
        title=row["title"],
        assigned_at=moment(row["assigned_at"]),
        due=day(row["due"]),
        started_at=moment_of(row["started_at"]),
        handed_in_at=moment_of(row["handed_in_at"]),
        decision=None if row["decision"] is None else Decision(row["decision"]),
        decided_at=moment_of(row["decided_at"]),
    )


def _taken(row: sqlite3.Row) -> TakenAssignment:
    return TakenAssignment(
        uid=row["uid"],
        player_id=row["player_id"],
        alias=row["alias"],
        age_band=AgeBand(row["age_band"]),
        plan_id=row["plan_id"],
        title=row["title"],
        assigned_at=moment(row["assigned_at"]),
        due=day(row["due"]),
        taken_at=moment(row["taken_at"]),
        started_at=moment_of(row["started_at"]),
        handed_in_at=moment_of(row["handed_in_at"]),
    )
