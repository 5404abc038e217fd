"""The open store: what the rest of the program may ask of it. Each call is one transaction, done when it returns."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from types import TracebackType

from trainer.core.bag import Cell
from trainer.core.conditions import Wind
from trainer.core.profile import Profile
from trainer.core.shot import ShotEntry
from trainer.store import imports, keeping, own_calls, players, readings, rounds, sessions, shots
from trainer.store.agenda_part import AgendaPart
from trainer.store.database import Database, open_database
from trainer.store.records import (
    ClubRecord,
    HeldShot,
    ImportedRow,
    ImportRecord,
    Mark,
    NewImport,
    NewSession,
    NewShot,
    OwnCall,
    PlayerRecord,
    ReadingRecord,
    ReadingRevision,
    RoundRecord,
    SessionKind,
    SessionRecord,
    ShotRecord,
    ShotRevision,
)
from trainer.store.squad import SquadBook


def random_uid() -> str:
    """Sixteen hexadecimal digits that no other store will hold."""
    return secrets.token_hex(8)


def open_store(path: Path, *, write: bool, new_uid: Callable[[], str] = random_uid) -> Store:
    """Open the store at `path`, for writing (made where there is none, brought up to date) or for reading only.

    One program writes at a time; readers may read meanwhile. Raises StoreError in one line where the store cannot be
    used: nothing at `path` is touched then. Use it in a `with`, and in the thread that opened it.
    """
    return Store(open_database(path, write=write), new_uid)


class Store(AgendaPart):
    """An open store. A write is on the disk when the call returns, or has left no trace.

    Every call raises InputError for an id that is not there and for a value that no record may hold (NaN, infinity),
    and StoreError where the file fails. Times are kept as they are given: local, with their offset if they have one.
    """

    def __init__(self, database: Database, new_uid: Callable[[], str]) -> None:
        self._database = database
        self._new_uid = new_uid

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file and let the next writer in. A second call does nothing."""
        self._database.close()

    @property
    def path(self) -> Path:
        """Where the database file is."""
        return self._database.path

    def save_profile(self, profile: Profile, at: datetime) -> PlayerRecord:
        """Keep a profile under its alias (case aside), in place of the one held.

        A club whose name, loft and length stand keeps its id, whatever became of its stated stock carry. One whose
        loft or length changed is retired and a new one added; one that comes back with an old specification is that
        old club again. Raises InputError for a bag with one club twice.
        """
        with self._database.writing():
            return players.save_profile(self._database, profile, at, self._new_uid())

    def player(self, alias: str | None = None) -> PlayerRecord:
        """The player called `alias`, or the only one; InputError where there is none or the choice is open."""
        with self._database.reading():
            return players.player(self._database, alias)

    def players(self) -> tuple[PlayerRecord, ...]:
        """Every player, in the order they came."""
        with self._database.reading():
            return players.players(self._database)

    def clubs(self, player_id: int, *, include_retired: bool = False) -> tuple[ClubRecord, ...]:
        """The clubs of a player in the bag's order, and after them the retired ones if asked for."""
        with self._database.reading():
            return players.clubs(self._database, player_id, include_retired=include_retired)

    def begin_session(self, new: NewSession) -> SessionRecord:
        """Begin a session."""
        with self._database.writing():
            return sessions.begin(self._database, new, self._new_uid())

    def session(self, session_id: int) -> SessionRecord:
        """The session with this id."""
        with self._database.reading():
            return sessions.session(self._database, session_id)

    def sessions(self, player_id: int) -> tuple[SessionRecord, ...]:
        """The sessions of a player by local start time, those of undone imports left out."""
        with self._database.reading():
            return sessions.sessions(self._database, player_id)

    def latest_session(self, player_id: int) -> SessionRecord | None:
        """The last of `sessions` on a range, or None."""
        held = [each for each in self.sessions(player_id) if each.kind is SessionKind.RANGE]
        return held[-1] if held else None

    def end_session(self, session_id: int, at: datetime, note: str | None = None) -> SessionRecord:
        """Set when a session ended, and its note where one is given. It may be ended anew."""
        with self._database.writing():
            return sessions.end(self._database, session_id, at, note)

    def add_reading(self, session_id: int, wind: Wind, at: datetime) -> ReadingRecord:
        """Keep a wind reading of a session; a wind guessed before it (`add_own_call`) goes with it."""
        with self._database.writing():
            kept = readings.add(self._database, session_id, wind, at, self._new_uid())
            own_calls.take_reading(self._database, kept)
            return kept

    def reading(self, reading_id: int) -> ReadingRecord:
        """The reading with this id, undone or not."""
        with self._database.reading():
            return readings.reading(self._database, reading_id)

    def readings(
        self, session_id: int | None = None, *, player_id: int | None = None, include_undone: bool = False
    ) -> tuple[ReadingRecord, ...]:
        """The readings of a session, of a player, or of all, in recorded order."""
        with self._database.reading():
            return readings.readings(self._database, session_id, player_id, include_undone=include_undone)

    def correct_reading(self, reading_id: int, wind: Wind, at: datetime) -> ReadingRecord:
        """Put another wind in place of a reading's; its shots follow, the old values are kept."""
        with self._database.writing():
            kept = readings.correct(self._database, reading_id, wind, at)
            own_calls.take_reading(self._database, kept)
            return kept

    def undo_reading(self, reading_id: int, at: datetime) -> ReadingRecord:
        """Take a reading back; its shots fall to the reading before it, the old values are kept."""
        with self._database.writing():
            return readings.undo(self._database, reading_id, at)

    def reading_revisions(self, reading_id: int) -> tuple[ReadingRevision, ...]:
        """What a reading was before each change, oldest first."""
        with self._database.reading():
            return readings.revisions(self._database, reading_id)

    def add_shot(self, session_id: int, new: NewShot) -> ShotRecord:
        """Keep a shot with its tags, and mark its ball of the agenda hit, in one transaction.

        A carry said before it (`add_own_call`) goes with it. Raises InputError for a club that is not in the bag, a
        ball that was hit before, and a reading of another session.
        """
        with self._database.writing():
            kept = shots.add(self._database, session_id, new, self._new_uid())
            own_calls.take_shot(self._database, kept)
            return kept

    def add_shots(self, session_id: int, several: Sequence[NewShot]) -> tuple[ShotRecord, ...]:
        """Keep several shots in one transaction: all of them or none. Raises as `add_shot` does."""
        with self._database.writing():
            return tuple(shots.add(self._database, session_id, new, self._new_uid()) for new in several)

    def shot(self, shot_id: int) -> ShotRecord:
        """The shot with this id, undone or not."""
        with self._database.reading():
            return shots.shot(self._database, shot_id)

    def shots(
        self, session_id: int | None = None, *, player_id: int | None = None, include_undone: bool = False
    ) -> tuple[ShotRecord, ...]:
        """The shots of a session, of a player, or of all, in recorded order."""
        with self._database.reading():
            return shots.shots(self._database, session_id, player_id, include_undone=include_undone)

    def correct_shot(
        self,
        shot_id: int,
        at: datetime,
        *,
        entry: ShotEntry | None = None,
        cell: Cell | None = None,
        aimed_at: tuple[float | None, float] | None = None,
    ) -> ShotRecord:
        """Put another entry, another cell, or both in place of a shot's; the old values are kept.

        `aimed_at` is the target's distance, m, and bearing, rad, where another flag was meant; None leaves both.
        A cell of the same club name keeps the specification the shot was hit with. Raises InputError for a shot that
        was undone.
        """
        with self._database.writing():
            return shots.correct(self._database, shot_id, entry, cell, at, aimed_at)

    def set_mark(self, shot_id: int, mark: Mark | None, at: datetime) -> ShotRecord:
        """Say that a shot met a gust or a lull, or neither; the old mark is kept. InputError for one undone."""
        with self._database.writing():
            return shots.set_mark(self._database, shot_id, mark, at)

    def undo_shot(self, shot_id: int, at: datetime) -> ShotRecord:
        """Take a shot back; its ball of the agenda waits again, the old values are kept."""
        with self._database.writing():
            return shots.undo(self._database, shot_id, at)

    def revisions(self, shot_id: int) -> tuple[ShotRevision, ...]:
        """What a shot was before each change, oldest first."""
        with self._database.reading():
            return shots.revisions(self._database, shot_id)

    def add_import(self, new: NewImport) -> ImportRecord:
        """Keep a file: its session, wind, raw rows and shots, all of it in one transaction.

        Raises InputError for a file of the same content that this player imported and did not undo.
        """
        with self._database.writing():
            return imports.add(self._database, new, self._new_uid)

    def extend_import(
        self, import_id: int, rows: Iterable[ImportedRow], sha256: str, taken_bytes: int
    ) -> tuple[int, ...]:
        """Add rows to the import of a file that grew, with how much of it is taken now; give the ids of their shots.

        All in one transaction. Raises InputError for an import that was undone.
        """
        with self._database.writing():
            return imports.extend(self._database, import_id, rows, sha256, taken_bytes, self._new_uid)

    def held_shots(self, player_id: int) -> tuple[HeldShot, ...]:
        """The little of a player's standing shots by which the same shots in a file are known again."""
        with self._database.reading():
            return tuple(imports.held_shots(self._database, player_id))

    def imports(self, player_id: int) -> tuple[ImportRecord, ...]:
        """The imports of a player in the order they were made, undone ones included."""
        with self._database.reading():
            return imports.imports(self._database, player_id)

    def import_by_hash(self, player_id: int, sha256: str) -> ImportRecord | None:
        """The standing import of a file with this content, or None."""
        with self._database.reading():
            return imports.by_hash(self._database, player_id, sha256)

    def raw_rows(self, import_id: int) -> tuple[tuple[int, str], ...]:
        """The raw rows of an import as (row number, text)."""
        with self._database.reading():
            return imports.raw_rows(self._database, import_id)

    def undo_import(self, import_id: int, at: datetime) -> ImportRecord:
        """Take a file's shots back, all of them, and the session it made if nothing else was hit in it."""
        with self._database.writing():
            return imports.undo(self._database, import_id, at)

    def add_own_call(
        self, session_id: int, at: datetime, *, carry_m: float | None = None, wind: Wind | None = None
    ) -> OwnCall:
        """Keep what the player says before he knows: the carry of the ball to come, or the wind to be read."""
        with self._database.writing():
            return own_calls.add(self._database, session_id, at, carry_m=carry_m, wind=wind)

    def own_calls(self, player_id: int) -> tuple[OwnCall, ...]:
        """What a player said, in recorded order."""
        with self._database.reading():
            return own_calls.own_calls(self._database, player_id)

    def start_round(self, player_id: int, at: datetime, card: Mapping[str, str]) -> RoundRecord:
        """Begin a round, with the card made before it by form; one still open ends where this begins."""
        with self._database.writing():
            return rounds.start(self._database, player_id, at, card)

    def end_round(self, round_id: int, at: datetime) -> RoundRecord:
        """End a round."""
        with self._database.writing():
            return rounds.end(self._database, round_id, at)

    def latest_round(self, player_id: int) -> RoundRecord | None:
        """The round begun last, ended or not; None where there was none."""
        with self._database.reading():
            return rounds.latest(self._database, player_id)

    @property
    def squad(self) -> SquadBook:
        """The squad kept in this store, and what its players were assigned."""
        return SquadBook(self._database, self._new_uid)

    def backup_to(self, target: Path) -> None:
        """Copy the store as it stands to `target`, one file that needs nothing beside it.

        Raises InputError where `target` exists: nothing is ever overwritten.
        """
        keeping.backup_to(self._database, target)

    def purge(self, *aliases: str) -> None:
        """Delete players and squad members with all that is theirs, and overwrite the bytes.

        Copies made before are not reached (see `keeping.copies_beside`). Raises InputError where one is not there,
        and nothing is deleted then; StoreError where another program reads at this moment: the rows are gone then,
        their bytes are not, and the line says what to do.
        """
        keeping.purge(self._database, aliases)
