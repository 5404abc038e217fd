from __future__ import annotations

import os
import sqlite3
import stat
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from pathlib import Path

import pytest

from tests.store.samples import PROFILE, START, new_session, new_shot, overwrite_table
from trainer.core.errors import StoreError
from trainer.store.database import open_database
from trainer.store.keeping import doctor, restore
from trainer.store.location import store_path
from trainer.store.migrations import MIGRATIONS, Migration
from trainer.store.store import Store, open_store


def refused(path: Path, *, write: bool) -> StoreError:
    """The error of opening `path`, after checking that it is one line with where and remedy and touches nothing."""
    before = path.read_bytes() if path.is_file() else None
    with pytest.raises(StoreError) as caught:
        open_store(path, write=write)
    error = caught.value
    assert "\n" not in str(error)
    assert error.what
    assert error.remedy
    assert str(path) in error.where or error.where in str(path)
    assert (path.read_bytes() if path.is_file() else None) == before
    return error


def filled(path: Path, shots: int = 200) -> None:
    with open_store(path, write=True) as store:
        store.save_profile(PROFILE, START)
        session = store.begin_session(new_session(store.player().id))
        for number in range(shots):
            store.add_shot(session.id, new_shot(100.0 + number))


both = pytest.mark.parametrize("write", [True, False], ids=["writer", "reader"])


@both
def test_a_text_file_is_refused(tmp_path: Path, write: bool) -> None:
    path = tmp_path / "notes.txt"
    path.write_text("seven iron, a breeze\n" * 400)
    assert "not a trainer store" in refused(path, write=write).what
    assert [file.name for file in tmp_path.iterdir()] == ["notes.txt"]


@both
def test_an_empty_file_is_refused_and_said_to_be_empty(tmp_path: Path, write: bool) -> None:
    path = tmp_path / "trainer.db"
    path.touch()
    assert "0 bytes" in refused(path, write=write).what


@both
def test_another_programs_database_is_refused(tmp_path: Path, write: bool) -> None:
    path = tmp_path / "other.db"
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE migration (number INTEGER)")
        connection.commit()
    assert "not a trainer store" in refused(path, write=write).what


@both
def test_a_newer_version_is_refused(path: Path, write: bool) -> None:
    newer = (*MIGRATIONS, Migration(MIGRATIONS[-1].number + 1, "from tomorrow", ("CREATE TABLE tomorrow (x)",)))
    open_database(path, write=True, migrations=newer).close()
    error = refused(path, write=write)
    assert str(newer[-1].number) in error.what
    assert "newer" in error.remedy


@both
def test_a_truncated_store_is_refused(path: Path, write: bool) -> None:
    filled(path)
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    assert "damaged" in refused(path, write=write).what


@both
def test_a_store_with_an_overwritten_page_is_refused(path: Path, write: bool) -> None:
    filled(path)
    overwrite_table(path, "shot")
    assert "damaged" in refused(path, write=write).what


def test_a_reader_finds_no_store(path: Path) -> None:
    error = refused(path, write=False)
    assert "setup" in error.remedy
    assert not path.parent.exists()


@both
def test_a_folder_in_place_of_the_file_is_refused(tmp_path: Path, write: bool) -> None:
    assert "folder" in refused(tmp_path, write=write).what


def test_a_folder_that_cannot_be_made_is_refused(tmp_path: Path) -> None:
    # A file where the folder should be: this fails for every user, root too, whom file modes do not stop.
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(StoreError) as caught:
        open_store(tmp_path / "file" / "data" / "trainer.db", write=True)
    assert "\n" not in str(caught.value)
    assert "--store" in caught.value.remedy
    assert (tmp_path / "file").read_text() == "in the way"


@contextmanager
def folder_of_mode(mode: int) -> Iterator[Path]:
    """A folder with these rights; root, whom they do not stop, steps down while it is looked at."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        is_root = os.geteuid() == 0
        folder.chmod(mode)
        if is_root:
            os.seteuid(65534)
        try:
            yield folder
        finally:
            if is_root:
                os.seteuid(0)
            folder.chmod(0o700)


@pytest.mark.skipif(sys.platform == "win32", reason="no modes there")
def test_a_folder_without_the_right_to_write_is_refused() -> None:
    with folder_of_mode(0o555) as folder:
        error = refused(folder / "trainer.db", write=True)
        assert "cannot be written" in error.what
        assert list(folder.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="no modes there")
def test_a_folder_without_the_right_to_look_is_refused_by_every_way_in(store: Store) -> None:
    with folder_of_mode(0o000) as folder:
        path = store_path(folder / "trainer.db", {})
        attempts: list[Callable[[], object]] = [
            lambda: open_store(path, write=True),
            lambda: open_store(path, write=False),
            lambda: doctor(path),
            lambda: restore(path, path, START),
            lambda: store.backup_to(path),
        ]
        for attempt in attempts:
            with pytest.raises(StoreError, match=r"trainer\.db"):
                attempt()


def test_a_folder_the_system_will_not_write_in_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # What a read-only disk answers, at the one call that makes files; the tests may run as root.
    system_open = os.open

    def read_only(name: str | Path, flags: int, mode: int = 0o777, **more: int) -> int:
        if str(name).startswith(str(tmp_path)) and flags & os.O_CREAT:
            raise OSError(30, "Read-only file system", str(name))
        return system_open(name, flags, mode, **more)

    monkeypatch.setattr(os, "open", read_only)
    error = refused(tmp_path / "trainer.db", write=True)
    assert "Read-only" in str(error)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="no modes there")
def test_files_and_folders_are_the_owners_alone(store: Store, path: Path) -> None:
    session = store.begin_session(new_session(store.player().id))
    store.add_shot(session.id, new_shot())
    files = {file.name: stat.S_IMODE(file.stat().st_mode) for file in path.parent.iterdir()}
    assert set(files) >= {"trainer.db", "trainer.db-wal", "trainer.db-shm", "trainer.db.lock"}
    assert set(files.values()) == {0o600}
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


@pytest.mark.skipif(sys.platform == "win32", reason="no modes there")
def test_every_folder_made_on_the_way_is_the_owners_and_one_that_stood_is_left(tmp_path: Path) -> None:
    tmp_path.chmod(0o755)
    open_store(tmp_path / "a" / "b" / "trainer.db", write=True).close()
    modes = [stat.S_IMODE(folder.stat().st_mode) for folder in (tmp_path, tmp_path / "a", tmp_path / "a" / "b")]
    assert modes == [0o755, 0o700, 0o700]


@both
def test_the_safeguards_are_on_in_every_connection(store: Store, path: Path, write: bool) -> None:
    store.close()
    database = open_database(path, write=write)
    try:
        assert database.rows("PRAGMA foreign_keys")[0][0] == 1
        assert database.rows("PRAGMA synchronous")[0][0] == 2  # FULL, by SQLite's documentation of the pragma
        assert database.rows("PRAGMA secure_delete")[0][0] == 1 or not write
        assert database.rows("PRAGMA journal_mode")[0][0] == "wal"
    finally:
        database.close()


def test_what_a_killed_creation_left_over_does_not_stand_in_the_way(path: Path) -> None:
    path.parent.mkdir()
    path.with_name("trainer.db.unfinished").write_bytes(b"half a store")
    open_store(path, write=True).close()
    assert sorted(file.name for file in path.parent.iterdir()) == ["trainer.db", "trainer.db.lock"]


def test_a_failure_in_use_is_a_store_error(store: Store, path: Path) -> None:
    session = store.begin_session(new_session(store.player().id))
    # A full disk, as SQLite itself plays it: no page more than the file has.
    store._database.run("PRAGMA max_page_count = 1")
    with pytest.raises(StoreError, match="full"):
        store.save_profile(replace(PROFILE, alias="x" * 100_000), START)
    store._database.run("PRAGMA max_page_count = 1000000")
    assert store.player().profile == PROFILE
    assert store.add_shot(session.id, new_shot()).number == 1


def test_a_closed_store_closes_again(path: Path) -> None:
    store = open_store(path, write=True)
    store.close()
    store.close()
    open_store(path, write=True).close()
