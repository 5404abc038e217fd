from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.store.samples import LATER, PROFILE, START, ball, new_session, new_shot
from trainer.core.bag import Swing
from trainer.core.conditions import Ball, ReadingMethod, Seen, Surface, Turf, Wind, WindKnowledge, WindPlace
from trainer.core.errors import StoreError
from trainer.core.profile import AgeBand, CarryBasis, Hand, Sees
from trainer.core.shot import CarryOrigin, Depth, Width
from trainer.store.database import open_database
from trainer.store.keeping import doctor
from trainer.store.migrations import APPLICATION_ID, MIGRATIONS, Migration, version_of
from trainer.store.records import BallState, Mark, Reason, SessionKind, Source
from trainer.store.store import Store, open_store

NEXT = len(MIGRATIONS) + 1
GOOD = Migration(
    NEXT, "a greeting", ("CREATE TABLE greeting (text TEXT)", "INSERT INTO greeting VALUES ('good day')")
)
BAD = Migration(
    NEXT,
    "half a greeting",
    ("CREATE TABLE greeting (text TEXT)", "UPDATE player SET alias = 'gone'", "INSERT INTO no_such_table VALUES (1)"),
)


def logical_content(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as connection:
        return list(connection.iterdump())


def test_numbers_run_from_one_without_a_gap() -> None:
    assert [migration.number for migration in MIGRATIONS] == list(range(1, len(MIGRATIONS) + 1))


def test_an_empty_place_gets_a_store_of_the_latest_version(path: Path) -> None:
    open_store(path, write=True).close()
    with closing(sqlite3.connect(path)) as connection:
        assert version_of(connection) == MIGRATIONS[-1].number
        assert connection.execute("PRAGMA application_id").fetchone()[0] == APPLICATION_ID
        assert connection.execute("PRAGMA journal_mode").fetchone()[0] == "wal"


def test_opening_again_changes_nothing(store: Store, path: Path) -> None:
    store.close()
    before = logical_content(path)
    open_store(path, write=True).close()
    assert logical_content(path) == before


def test_a_migration_is_applied_once_with_its_record(store: Store, path: Path) -> None:
    store.close()
    for _ in range(2):
        database = open_database(path, write=True, migrations=(*MIGRATIONS, GOOD))
        assert [tuple(row) for row in database.rows("SELECT text FROM greeting")] == [("good day",)]
        assert version_of(database.connection) == NEXT
        database.close()


def test_a_migration_that_fails_half_way_leaves_the_old_version_whole(store: Store, path: Path) -> None:
    store.close()
    before = logical_content(path)
    with pytest.raises(StoreError) as caught:
        open_database(path, write=True, migrations=(*MIGRATIONS, BAD))
    assert logical_content(path) == before
    with open_store(path, write=True) as again:  # while the error lives: the lock is given back, not collected
        assert again.player().profile == PROFILE
    assert "\n" not in str(caught.value)


def test_a_first_migration_that_fails_leaves_no_store_behind(path: Path) -> None:
    broken = Migration(1, "broken", (*MIGRATIONS[0].statements, "INSERT INTO no_such_table VALUES (1)"))
    with pytest.raises(StoreError):
        open_database(path, write=True, migrations=(broken,))
    assert not path.exists()
    open_store(path, write=True).close()
    assert doctor(path).sound


def test_a_reader_refuses_an_older_version_and_a_writer_mends_it(store: Store, path: Path) -> None:
    store.close()
    newer = (*MIGRATIONS, GOOD)
    with pytest.raises(StoreError, match="older"):
        open_database(path, write=False, migrations=newer)
    open_database(path, write=True, migrations=newer).close()
    open_database(path, write=False, migrations=newer).close()


@pytest.mark.parametrize(
    ("table", "column", "words"),
    [
        ("player", "hand", Hand),
        ("player", "ball", Ball),
        ("player", "surface", Surface),
        ("player", "sees", Sees),
        ("player", "seen", Seen),
        ("player", "known_basis", CarryBasis),
        ("player", "age_band", AgeBand),
        ("session", "turf", Turf),
        ("session", "kind", SessionKind),
        ("reading", "knowledge", WindKnowledge),
        ("reading", "method", ReadingMethod),
        ("reading", "place", WindPlace),
        ("agenda_ball", "swing", Swing),
        ("agenda_ball", "state", BallState),
        ("shot", "swing", Swing),
        ("shot", "ball", Ball),
        ("shot", "surface", Surface),
        ("shot", "seen", Seen),
        ("shot", "depth", Depth),
        ("shot", "width", Width),
        ("shot", "carry_origin", CarryOrigin),
        ("shot", "mark", Mark),
        ("shot", "source", Source),
        ("revision", "reason", Reason),
    ],
)
def test_a_column_takes_every_word_of_its_enumeration_and_no_other(
    store: Store, path: Path, table: str, column: str, words: type[Hand]
) -> None:
    session = store.begin_session(new_session(store.player().id))
    store.add_reading(session.id, Wind(WindKnowledge.CALM), START)
    store.put_agenda(session.id, [ball(1)])
    shot = store.add_shot(session.id, new_shot())
    store.correct_shot(shot.id, LATER, cell=shot.cell)
    store.close()
    with closing(sqlite3.connect(path)) as connection:
        for word in words:
            assert connection.execute(f"UPDATE {table} SET {column} = ?", (word.value,)).rowcount == 1
        with pytest.raises(sqlite3.IntegrityError):
            connection.execute(f"UPDATE {table} SET {column} = 'sideways'")
