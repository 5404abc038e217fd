"""One open database file: how it is found fit, locked, opened, made, and what its failures mean in plain words.

A write is on the disk before the call returns: write-ahead log, `synchronous=FULL`, one transaction a call. One
program writes at a time, held by an operating-system lock on a file beside the database, which the system itself
drops when the program dies. Readers open the file read-only and may read at any time.

The file is only ever opened through SQLite: closing any other handle on it would drop the locks that SQLite holds
on it for this process. Source: "How To Corrupt An SQLite Database File", sqlite.org, section 2.2.
"""

from __future__ import annotations

import math
import os
import sqlite3
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from pathlib import Path

from filelock import BaseFileLock, FileLock, SoftFileLock, Timeout

from trainer.core.errors import InputError, StoreError
from trainer.store.migrations import APPLICATION_ID, MIGRATIONS, Migration, migrate, version_of
from trainer.store.times import DamagedValueError

LOCK_WAIT_S = 1.0
"""How long a second writer waits for the first: long enough for a short command to end, too short to annoy."""

BUSY_WAIT_S = 5.0
"""How long SQLite waits for a reader that stands in the way of folding the log into the file."""

Value = str | int | float | None
"""What a column holds. Booleans are the integers 0 and 1."""

Parameters = Sequence[Value] | Mapping[str, Value]
"""Values for a statement's `?` in turn, or for its `:names`."""

_RESTORE = "restore a backup with `trainer restore FILE`"
_RIGHTS = "give yourself the right to write there, or name another place with --store"
_MEANINGS = {
    sqlite3.SQLITE_NOTADB: ("this is not a trainer store", "name the right file with --store"),
    sqlite3.SQLITE_CORRUPT: ("the store is damaged", _RESTORE),
    sqlite3.SQLITE_BUSY: ("another program is using the store", "close it and try again"),
    sqlite3.SQLITE_LOCKED: ("another program is using the store", "close it and try again"),
    sqlite3.SQLITE_READONLY: ("the store cannot be written", _RIGHTS),
    sqlite3.SQLITE_CANTOPEN: ("the store cannot be opened", _RIGHTS),
    sqlite3.SQLITE_FULL: ("the disk is full", "make room and try again"),
    sqlite3.SQLITE_IOERR: ("the disk failed to read or write", "check the disk and try again"),
}


@contextmanager
def explained(path: Path) -> Iterator[None]:
    """Turn what SQLite and the system say of `path` into StoreError, and a value it refuses into InputError."""
    try:
        yield
    except sqlite3.ProgrammingError:
        raise  # a fault of ours, not of the store
    except (sqlite3.IntegrityError, sqlite3.DataError, OverflowError, UnicodeEncodeError) as error:
        raise InputError(f"the store refuses a value ({error})", str(path), "correct that value") from error
    except sqlite3.DatabaseError as error:
        code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF
        what, remedy = _MEANINGS.get(code, (f"the store is damaged ({error})", _RESTORE))
        raise StoreError(what, str(path), remedy) from error
    except OSError as error:
        raise StoreError(f"the store cannot be used ({error.strerror or error})", str(path), _RIGHTS) from error


@contextmanager
def _damage(path: Path) -> Iterator[None]:
    """For what only reads: a value that cannot be read is damage, where a write of it would be somebody's mistake."""
    try:
        yield
    except UnicodeEncodeError:
        raise  # what was asked for, not what is held
    except (ValueError, sqlite3.DataError) as error:
        raise StoreError(f"the store is damaged ({error})", str(path), _RESTORE) from error


class Database:
    """An open connection with its path and, for a writer, its lock. It reads and writes rows and knows no table."""

    def __init__(self, path: Path, connection: sqlite3.Connection, lock: BaseFileLock | None) -> None:
        self.path = path
        self._connection = connection
        self._lock = lock

    @property
    def writable(self) -> bool:
        """Whether this is the writer."""
        return self._lock is not None

    @property
    def connection(self) -> sqlite3.Connection:
        """The connection itself, for what only SQLite can do: its backup, its checks."""
        return self._connection

    def close(self) -> None:
        """Close the connection and give the lock back. A second call does nothing."""
        try:
            self._connection.close()
        finally:
            if self._lock is not None:
                self._lock.release()

    @contextmanager
    def reading(self) -> Iterator[None]:
        """All reads inside see one and the same state. A value that no record can hold is damage: StoreError."""
        with explained(self.path), self._transaction("BEGIN"), _damage(self.path):
            yield

    @contextmanager
    def writing(self) -> Iterator[None]:
        """All writes inside are committed, on the disk, when the block ends, or none of them is."""
        if not self.writable:
            raise StoreError("the store was opened for reading only", str(self.path), "open it for writing")
        with explained(self.path), self._transaction("BEGIN IMMEDIATE"):
            try:
                yield
            except DamagedValueError as error:
                raise StoreError(f"the store is damaged ({error})", str(self.path), _RESTORE) from error

    @contextmanager
    def _transaction(self, begin: str) -> Iterator[None]:
        self._connection.execute(begin)
        try:
            yield
            self._connection.execute("COMMIT")
        except BaseException:
            if self._connection.in_transaction:
                self._connection.execute("ROLLBACK")
            raise

    def rows(self, sql: str, parameters: Parameters = ()) -> list[sqlite3.Row]:
        """Every row of the answer."""
        return self._connection.execute(sql, parameters).fetchall()

    def each(self, sql: str, parameters: Parameters = ()) -> Iterator[sqlite3.Row]:
        """The rows of the answer one after the other: of many, only what is made of them need be held."""
        return self._connection.execute(sql, parameters)

    def row(self, sql: str, parameters: Parameters = ()) -> sqlite3.Row | None:
        """The first row of the answer, or None."""
        found: sqlite3.Row | None = self._connection.execute(sql, parameters).fetchone()
        return found

    def run(self, sql: str, parameters: Parameters = ()) -> int:
        """Carry out a statement; give the number of rows it changed."""
        return self._connection.execute(sql, parameters).rowcount

    def run_many(self, sql: str, rows: Sequence[Sequence[Value]]) -> None:
        """Carry out a statement once for each of `rows`."""
        self._connection.executemany(sql, rows)

    def insert(self, table: str, values: Mapping[str, Value]) -> int:
        """Add a row; give its id. Raises InputError for a number that is not finite."""
        _require_finite(table, values)
        marks = ", ".join("?" * len(values))
        sql = f"INSERT INTO {table} ({', '.join(values)}) VALUES ({marks})"
        return self._connection.execute(sql, tuple(values.values())).lastrowid or 0

    def insert_many(self, table: str, rows: Sequence[Mapping[str, Value]]) -> None:
        """Add rows that all have the columns of the first. Raises InputError for a number that is not finite."""
        if not rows:
            return
        for row in rows:
            _require_finite(table, row)
        columns = tuple(rows[0])
        sql = f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({', '.join('?' * len(columns))})"
        self._connection.executemany(sql, [tuple(row[column] for column in columns) for row in rows])

    def update(self, table: str, row_id: int, values: Mapping[str, Value]) -> None:
        """Change the row with `row_id`. Raises InputError for a number that is not finite."""
        _require_finite(table, values)
        assignments = ", ".join(f"{column} = ?" for column in values)
        self._connection.execute(f"UPDATE {table} SET {assignments} WHERE id = ?", (*values.values(), row_id))


def _require_finite(table: str, values: Mapping[str, Value]) -> None:
    # SQLite would keep a NaN as NULL, that is as "not seen": a silent change of meaning.
    for column, value in values.items():
        if isinstance(value, float) and not math.isfinite(value):
            raise InputError(f"{value} cannot be kept", f"{table} {column}", "give a finite number")


def open_database(path: Path, *, write: bool, migrations: Sequence[Migration] = MIGRATIONS) -> Database:
    """Open the store at `path`; a writer makes it where there is none and brings its tables up to date.

    Raises StoreError, with nothing at `path` touched: no database, not ours, empty, damaged, from a newer version,
    not there or of an older version (reader), in use by another writer, or in a folder that cannot be written.
    """
    with explained(path):
        if write:
            make_folder(path.parent)
        if path.exists():
            require_sound(path, migrations, check=not write)  # a writer looks closely once it holds the lock
        elif not write:
            raise StoreError("there is no store", str(path), "make one with `trainer setup`, or name it with --store")
    return _open_writer(path, migrations) if write else _open_reader(path, migrations)


def _open_reader(path: Path, migrations: Sequence[Migration]) -> Database:
    with explained(path), _damage(path):
        connection = connect(path, "ro")
        try:
            if version_of(connection) < migrations[-1].number:
                raise StoreError(
                    "the store is from an older version", str(path), "run `trainer doctor` to bring it up to date"
                )
        except BaseException:
            connection.close()
            raise
    return Database(path, connection, None)


def _open_writer(path: Path, migrations: Sequence[Migration]) -> Database:
    lock = acquire_lock(path)
    try:
        with explained(path):
            if path.exists():
                require_sound(path, migrations)
            else:
                create(path, migrations)
            connection = connect(path, "rw")
            try:
                connection.execute("PRAGMA secure_delete = ON")  # what is deleted is overwritten: see `purge`
                migrate(connection, migrations)
                if connection.execute("PRAGMA journal_mode = WAL").fetchone()[0] != "wal":
                    raise StoreError("the disk cannot keep a write-ahead log", str(path), "use a local disk")
            except BaseException:
                connection.close()
                raise
    except BaseException:
        lock.release()
        raise
    return Database(path, connection, lock)


def connect(path: Path, mode: str) -> sqlite3.Connection:
    """A connection in autocommit mode; `mode` is `ro` or `rw`, so SQLite never makes a file. Raises sqlite3.Error."""
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}", uri=True, timeout=BUSY_WAIT_S, isolation_level=None
    )
    try:
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA synchronous = FULL")
        # A file that is damaged, or made to look like ours, is found out as it is read. Source: "Defense Against The
        # Dark Arts", sqlite.org. Its `trusted_schema = OFF` cannot be: the tables' own json_valid counts as unsafe.
        connection.execute("PRAGMA cell_size_check = ON")
    except BaseException:
        connection.close()
        raise
    connection.row_factory = sqlite3.Row
    return connection


@contextmanager
def for_checking(path: Path, *, beside: sqlite3.Connection) -> Iterator[sqlite3.Connection]:
    """A connection for `problems`; `beside` is one that reads the same file, and stays open longer.

    SQLite leaves the tables' CHECKs out where a file is opened for reading only, so this one is opened for writing,
    and writes nothing: the last to close would fold the log into the file, and that is `beside`, which cannot.
    """
    beside.execute("SELECT count(*) FROM sqlite_master").fetchone()
    with closing(connect(path, "rw")) as connection:
        connection.execute("PRAGMA query_only = ON")
        yield connection


def make_folder(folder: Path) -> None:
    """Make `folder` and what is missing above it, for the owner alone. One that stands is left as it is."""
    missing = [place for place in (folder, *folder.parents) if not place.exists()]
    for place in reversed(missing):
        place.mkdir(mode=0o700, exist_ok=True)


def acquire_lock(path: Path) -> BaseFileLock:
    """The writer's lock of the store at `path`; raises StoreError where another program holds it."""
    lock = FileLock(f"{path}.lock", timeout=LOCK_WAIT_S, mode=0o600, thread_local=False)
    try:
        lock.acquire()
    except Timeout:
        raise StoreError(
            "another program has the store open for writing", str(path), "close it there, then try again"
        ) from None
    except (OSError, NotImplementedError) as error:
        raise StoreError(f"the folder cannot be written ({error})", str(path.parent), _RIGHTS) from error
    if isinstance(lock, SoftFileLock):  # the library's stand-in would outlive a program that dies
        lock.release()
        raise StoreError("this disk has no file locks", str(path), "use a local disk")
    return lock


def create(path: Path, migrations: Sequence[Migration]) -> None:
    """Make a store, whole, under another name and then give it its own, so that no half-made one is ever met.

    The caller holds the lock. Raises sqlite3.Error and OSError.
    """
    unfinished = fresh_file(path)
    with closing(connect(unfinished, "rw")) as connection:
        connection.execute("PRAGMA journal_mode = WAL")
        migrate(connection, migrations)
    settle(unfinished, path)


def fresh_file(path: Path) -> Path:
    """An empty file beside `path`, for the owner alone, to be settled at `path`; one left over is removed first."""
    unfinished = path.with_name(f"{path.name}.unfinished")
    for leftover in (unfinished, *side_files(unfinished)):
        leftover.unlink(missing_ok=True)
    os.close(os.open(unfinished, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
    return unfinished


def settle(unfinished: Path, path: Path) -> None:
    """Give the closed database `unfinished` the name `path`, at once and for good."""
    unfinished.replace(path)
    if sys.platform != "win32":  # a folder can be synced there only
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def side_files(path: Path) -> tuple[Path, Path]:
    """The write-ahead log of the database at `path` and its index."""
    return path.with_name(f"{path.name}-wal"), path.with_name(f"{path.name}-shm")


def require_sound(path: Path, migrations: Sequence[Migration] = MIGRATIONS, *, check: bool = True) -> int:
    """The version of the store at `path`, if it is one, known and undamaged; else StoreError. Nothing is written.

    `check` reads the whole file for damage; without it only what the file says of itself is read.
    """
    if path.is_dir():
        raise StoreError("this is a folder, not a store", str(path), "name the file")
    with explained(path), _damage(path):
        if path.stat().st_size == 0:
            raise StoreError(
                "the file is empty (0 bytes), it holds no store", str(path), f"move it away, or {_RESTORE}"
            )
        with closing(connect(path, "ro")) as connection:
            require_ours(connection, path)
            version = version_of(connection)
            if version > migrations[-1].number:
                raise StoreError(
                    f"the store has version {version}, this trainer knows {migrations[-1].number} at most",
                    str(path),
                    "install a newer trainer",
                )
            if check:
                with for_checking(path, beside=connection) as checked:
                    _require_no_problem(problems(checked, "quick_check"), path)
    return version


def _require_no_problem(found: tuple[str, ...], path: Path) -> None:
    if found:
        raise StoreError(f"the store is damaged ({found[0]})", str(path), _RESTORE)


def require_ours(connection: sqlite3.Connection, path: Path) -> None:
    """Raise StoreError unless the database carries our application_id and does nothing by itself."""
    if connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
        raise StoreError("this database is not a trainer store", str(path), "name the right file with --store")
    # A trigger or a view would change or invent what is read and written; no migration of ours makes one.
    if connection.execute("SELECT count(*) FROM sqlite_master WHERE type IN ('trigger', 'view')").fetchone()[0]:
        raise StoreError("the store holds a trigger or a view, which is none of ours", str(path), _RESTORE)


def problems(connection: sqlite3.Connection, check: str) -> tuple[str, ...]:
    """What SQLite's `integrity_check` or `quick_check` finds, empty where all is well. Raises sqlite3.Error."""
    lines = tuple(str(row[0]) for row in connection.execute(f"PRAGMA {check}"))
    return () if lines == ("ok",) else tuple(" ".join(line.split()) for line in lines)
