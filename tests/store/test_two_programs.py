from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.store.samples import carries, new_shot
from trainer.core.errors import StoreError
from trainer.store import database
from trainer.store.records import SessionRecord
from trainer.store.store import Store, open_store

HOLD = """
import sys
from pathlib import Path
from trainer.store.store import open_store
with open_store(Path(sys.argv[1]), write=True):
    print("open", flush=True)
    sys.stdin.read()
"""


@contextmanager
def another_writer(path: Path) -> Iterator[subprocess.Popen[str]]:
    command = [sys.executable, "-c", HOLD, str(path)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as program:
        assert program.stdout is not None
        assert program.stdout.readline() == "open\n"
        try:
            yield program
        finally:
            program.kill()


def test_a_second_writer_in_another_program_is_refused_in_one_line_and_soon(path: Path) -> None:
    with another_writer(path):
        began_s = time.monotonic()
        with pytest.raises(StoreError) as caught:
            open_store(path, write=True)
        assert time.monotonic() - began_s < 30  # that it ends at all, on any machine
    assert "another program" in caught.value.what
    assert str(path) in caught.value.where
    assert "close" in caught.value.remedy
    assert "\n" not in str(caught.value)


def test_a_second_writer_in_this_program_is_refused(
    store: Store, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "LOCK_WAIT_S", 0.0)
    with pytest.raises(StoreError, match="another program"):
        open_store(path, write=True)
    assert store.players()


def test_the_lock_of_a_killed_program_is_free_at_once(path: Path) -> None:
    with another_writer(path) as program:
        program.kill()
        program.wait()
        assert path.with_name("trainer.db.lock").exists()
        open_store(path, write=True).close()


def test_a_lock_file_left_behind_locks_nothing(path: Path) -> None:
    path.parent.mkdir()
    path.with_name("trainer.db.lock").write_text("4242\n")
    open_store(path, write=True).close()


def test_readers_read_what_is_committed_while_a_writer_is_open(
    store: Store, session: SessionRecord, path: Path
) -> None:
    with open_store(path, write=False) as reader, open_store(path, write=False) as other:
        assert carries(reader) == []
        store.add_shot(session.id, new_shot(100.0))
        assert carries(reader) == carries(other) == [100.0]
        with store._database.writing():
            store._database.run("UPDATE shot SET carry_m = 1.0")
            assert carries(reader) == [100.0]
        assert carries(reader) == [1.0]


def test_a_reader_in_another_program_reads_while_a_writer_is_open(store: Store, path: Path) -> None:
    script = (
        "import sys; from pathlib import Path; from trainer.store.store import open_store\n"
        "with open_store(Path(sys.argv[1]), write=False) as store: print(store.player().profile.alias)"
    )
    done = subprocess.run([sys.executable, "-c", script, str(path)], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == store.player().profile.alias


def test_a_writer_opens_while_a_reader_is_open(store: Store, path: Path) -> None:
    store.close()
    with open_store(path, write=False) as reader, open_store(path, write=True) as writer:
        assert reader.players() == writer.players()


def test_a_reader_cannot_write(store: Store, session: SessionRecord, path: Path) -> None:
    with open_store(path, write=False) as reader, pytest.raises(StoreError, match="reading only"):
        reader.add_shot(session.id, new_shot())
    assert carries(store) == []


def test_opening_and_closing_a_reader_leaves_the_writers_own_locks(
    store: Store, session: SessionRecord, path: Path
) -> None:
    # Were the file opened and closed behind SQLite's back, another program's last close would take the log away
    # from under this writer, and what it writes next would be lost.
    open_store(path, write=False).close()
    script = "import sqlite3, sys; c = sqlite3.connect(sys.argv[1]); c.execute('SELECT * FROM shot'); c.close()"
    subprocess.run([sys.executable, "-c", script, str(path)], check=True)
    assert path.with_name("trainer.db-wal").exists()
    store.add_shot(session.id, new_shot(100.0))
    with open_store(path, write=False) as reader:
        assert carries(reader) == [100.0]
