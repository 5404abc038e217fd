"""A backup made while another program writes, and what a damaged page does to a backup."""

from __future__ import annotations

import random
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from tests.store.samples import LATER, carries, new_shot, overwrite_table
from trainer.core.errors import StoreError
from trainer.store.keeping import doctor, restore
from trainer.store.records import SessionRecord
from trainer.store.store import Store, open_store

WRITE = """
import itertools, sys
from pathlib import Path
from tests.store.samples import new_shot
from trainer.store.store import open_store
with open_store(Path(sys.argv[1]), write=True) as store:
    print("open", flush=True)
    for number in itertools.count():
        store.add_shot(int(sys.argv[2]), new_shot(float(number)))
"""
ROOT = Path(__file__).parents[2]


def test_a_backup_while_another_program_writes_holds_whole_shots_in_order(
    store: Store, session: SessionRecord, path: Path, tmp_path: Path
) -> None:
    store.close()
    command = [sys.executable, "-c", WRITE, str(path), str(session.id)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT) as writer:
        try:
            assert writer.stdout is not None
            assert writer.stdout.readline() == "open\n"
            copies = []
            for number in range(5):
                with open_store(path, write=False) as reader:
                    before = len(carries(reader))
                    reader.backup_to(tmp_path / f"{number}.db")
                    copies.append((before, tmp_path / f"{number}.db", len(carries(reader))))
            assert writer.poll() is None, "the writer had ended: nothing was tested"
        finally:
            writer.kill()
    assert copies[-1][2] > copies[0][0], "nothing was written meanwhile: nothing was tested"
    for before, copy, after in copies:
        with open_store(copy, write=False) as held:
            found = carries(held)
        assert found == [float(number) for number in range(len(found))]
        assert before <= len(found) <= after
        assert doctor(copy).sound


@pytest.fixture
def full(store: Store, session: SessionRecord, tmp_path: Path) -> Path:
    """A backup of many pages."""
    for number in range(120):
        store.add_shot(session.id, new_shot(float(number)))
    store.backup_to(tmp_path / "copy.db")
    store.close()
    return tmp_path / "copy.db"


@pytest.mark.parametrize("seed", range(12))
def test_a_backup_with_a_damaged_page_is_never_restored_as_something_else(full: Path, path: Path, seed: int) -> None:
    with closing(sqlite3.connect(full)) as connection:
        page_bytes = int(connection.execute("PRAGMA page_size").fetchone()[0])
    content = bytearray(full.read_bytes())
    chance = random.Random(seed)
    page = chance.randrange(len(content) // page_bytes)
    content[page * page_bytes : (page + 1) * page_bytes] = chance.randbytes(page_bytes)
    full.write_bytes(content)
    before = path.read_bytes()
    with pytest.raises(StoreError, match=r"copy\.db"):
        restore(path, full, LATER)
    assert path.read_bytes() == before
    assert doctor(path).sound


def test_a_damaged_store_makes_no_backup(full: Path, path: Path, tmp_path: Path) -> None:
    overwrite_table(path, "shot")
    with pytest.raises(StoreError, match="damaged"), open_store(path, write=False) as damaged:
        damaged.backup_to(tmp_path / "second.db")
    assert not (tmp_path / "second.db").exists()
    assert restore(path, full, LATER) is not None
    assert doctor(path).sound
