"""Looking after the store: backup, restore, the doctor's look, and purging a player."""

from __future__ import annotations

import os
import shutil
import sqlite3
import stat
import sys
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from datetime import datetime
from itertools import count
from pathlib import Path

from trainer.core.errors import InputError, StoreError
from trainer.store.database import (
    Database,
    acquire_lock,
    connect,
    explained,
    for_checking,
    fresh_file,
    make_folder,
    problems,
    require_sound,
    settle,
    side_files,
)
from trainer.store.migrations import MIGRATIONS, migrate, version_of
from trainer.store.players import player
from trainer.store.records import Counts, DoctorReport


def backup_to(database: Database, target: Path) -> None:
    """Copy the store to `target`. See `Store.backup_to`."""
    with explained(target):
        if target.exists():
            raise InputError("the file exists, and a backup overwrites nothing", str(target), "give another name")
        if not target.parent.is_dir():
            raise InputError("there is no such folder", str(target.parent), "make it first, or name another")
        settle(_copy_beside(database.connection, target), target)


def restore(path: Path, backup: Path, at: datetime) -> Path | None:
    """Put a copy of `backup` at `path`; give the path that the replaced store is kept at, or None if there was none.

    Nothing changes unless `backup` is a sound store of a known version. The store that was there, sound or not, stays
    beside it under a name with the time `at`. Raises InputError where `backup` is not there or is the store itself,
    and StoreError where it is not sound, the store is open for writing, or the folder cannot be written.
    """
    with explained(path):
        if not backup.exists():
            raise InputError("there is no such file", str(backup), "name a backup made with `trainer backup`")
        if path.exists() and path.samefile(backup):
            raise InputError("this is the store itself", str(backup), "name a backup made with `trainer backup`")
    require_sound(backup)
    with _locked(path):
        with closing(connect(backup, "ro")) as source:
            with for_checking(backup, beside=source) as checked:
                found = _all_problems(checked)
            if found:
                raise StoreError(f"the backup is damaged ({found[0]})", str(backup), "name another backup")
            unfinished = _copy_beside(source, path)
        kept = _keep_replaced(path, at) if path.exists() else None
        settle(unfinished, path)
        return kept


def doctor(path: Path) -> DoctorReport:
    """Look the whole store over, and mend what needs no choice: tables out of date, file rights, an unfolded log.

    A damaged store is reported and left as it is. Raises StoreError where there is no store, it is not ours, it is
    from a newer version, too damaged to be opened at all, or another program has it open for writing.
    """
    with explained(path):
        if not path.exists():
            raise StoreError("there is no store", str(path), "make one with `trainer setup`, or name it with --store")
    require_sound(path, check=False)
    known = MIGRATIONS[-1].number
    with _locked(path):
        with closing(connect(path, "ro")) as connection, for_checking(path, beside=connection) as checked:
            version, found = version_of(connection), _all_problems(checked)
        if found:
            return DoctorReport(str(path), version, known, found, (), False, path.stat().st_size)
        mended = _mend_rights(path)
        with closing(connect(path, "rw")) as connection:
            if migrate(connection) < known:
                mended = (*mended, f"brought up to date from version {version}")
            checkpointed = _fold_log(connection)
            counts = _counts(connection)
        return DoctorReport(str(path), known, known, (), mended, checkpointed, path.stat().st_size, counts)


def purge(database: Database, aliases: Sequence[str]) -> None:
    """Delete players and squad members by alias, and overwrite the bytes. See `Store.purge`."""
    with database.writing():
        for alias in aliases:
            found = database.rows(
                "SELECT id FROM player WHERE alias = :alias"
                " UNION SELECT player_id FROM squad_member WHERE alias = :alias AND player_id IS NOT NULL",
                {"alias": alias},
            )
            member = database.run("DELETE FROM squad_member WHERE alias = ?", (alias,))
            if not found and not member:
                player(database, alias)  # says who there is
            for row in found:
                database.run("DELETE FROM player WHERE id = ?", (row["id"],))
    with explained(database.path):
        database.run("VACUUM")  # what page splits left behind lies in no row that a deletion could overwrite
        folded = _fold_log(database.connection)
    if not folded:
        raise StoreError(
            f"'{', '.join(aliases)}' deleted, but another program is reading and the old bytes are still in the file",
            str(database.path),
            "close it and run `trainer doctor`",
        )


def copies_beside(path: Path) -> tuple[Path, ...]:
    """Older copies of the store at `path` that lie beside it: what `restore` replaced, what was left half made."""
    marks = (".replaced-", ".unfinished")
    held = sorted(path.parent.iterdir()) if path.parent.is_dir() else []
    return tuple(each for each in held if each.name.startswith(tuple(f"{path.name}{mark}" for mark in marks)))


@contextmanager
def _locked(path: Path) -> Iterator[None]:
    """The writer's lock, with failures at `path` explained."""
    with explained(path):
        make_folder(path.parent)
        lock = acquire_lock(path)
        try:
            yield
        finally:
            lock.release()


def _copy_beside(source: sqlite3.Connection, target: Path) -> Path:
    """Copy a database into one file beside `target`, to be settled there; give its path."""
    unfinished = fresh_file(target)
    try:
        with closing(connect(unfinished, "rw")) as copy:
            source.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")  # one file, readable where nothing can be written
    except BaseException:
        unfinished.unlink(missing_ok=True)
        raise
    return unfinished


def _keep_replaced(path: Path, at: datetime) -> Path:
    """Keep the store at `path` beside it, log and all, so that a damaged one can still be looked into.

    A copy, so that there is a store at `path` at every moment. No log is left there: SQLite would play it into the
    file that comes next.
    """
    with suppress(sqlite3.DatabaseError), closing(connect(path, "rw")) as connection:
        _fold_log(connection)
    base = f"{path.name}.replaced-{at:%Y%m%dT%H%M%S}"
    names = (path.with_name(base if number == 1 else f"{base}-{number}") for number in count(1))
    kept = next(name for name in names if not name.exists())
    shutil.copy2(path, kept)
    with kept.open("rb+") as copy:
        os.fsync(copy.fileno())
    for old, new in zip(side_files(path), side_files(kept), strict=True):
        if old.exists():
            old.rename(new)
    return kept


def _mend_rights(path: Path) -> tuple[str, ...]:
    if sys.platform == "win32" or stat.S_IMODE(path.stat().st_mode) == 0o600:
        return ()
    path.chmod(0o600)
    return ("the file could be read by others, now by its owner alone",)


def _all_problems(connection: sqlite3.Connection) -> tuple[str, ...]:
    try:
        found = problems(connection, "integrity_check")
        if found:
            return found
        strays = connection.execute("PRAGMA foreign_key_check").fetchall()
    except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
        return (" ".join(str(error).split()),)
    return tuple(f"a row of {row[0]} points to a row of {row[2]} that is not there" for row in strays)


def _fold_log(connection: sqlite3.Connection) -> bool:
    """Fold the write-ahead log into the file and empty it; False where a reader stands in the way."""
    return not connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]


def _counts(connection: sqlite3.Connection) -> Counts:
    tables = {
        "players": "player",
        "clubs": "club",
        "sessions": "session",
        "readings": "reading",
        "shots": "shot",
        "imports": "import_file",
    }
    return Counts(
        **{name: connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0] for name, table in tables.items()}
    )
