from __future__ import annotations

import sqlite3
import stat
import sys
from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from tests.store.samples import (
    BREEZE,
    ENTRY,
    LATER,
    PROFILE,
    START,
    ball,
    carries,
    new_session,
    new_shot,
    overwrite_table,
)
from tests.store.test_imports import new_import
from trainer.core.errors import InputError, StoreError
from trainer.store import database
from trainer.store.database import Database, Value, open_database
from trainer.store.keeping import doctor, restore
from trainer.store.migrations import MIGRATIONS, Migration
from trainer.store.records import Counts, SessionRecord
from trainer.store.store import Store, open_store

PURGED = "Purslane Underhill-Ottery"
NEWER = (*MIGRATIONS, Migration(MIGRATIONS[-1].number + 1, "from tomorrow", ("CREATE TABLE tomorrow (x)",)))


def files_with(text: str, folder: Path) -> list[str]:
    return [file.name for file in folder.iterdir() if text.encode() in file.read_bytes()]


def damage(path: Path) -> None:
    content = path.read_bytes()
    path.write_bytes(content[: len(content) // 2])


def test_a_backup_is_one_file_with_all_that_was_committed(
    store: Store, session: SessionRecord, tmp_path: Path
) -> None:
    store.add_shot(session.id, new_shot(100.0))
    target = tmp_path / "copy.db"
    store.backup_to(target)
    store.add_shot(session.id, new_shot(101.0))
    with open_store(target, write=False) as copy:
        assert carries(copy) == [100.0]
        assert copy.player() == store.player()
        assert [file.name for file in tmp_path.iterdir() if file.is_file()] == ["copy.db"]
    if sys.platform != "win32":
        assert stat.S_IMODE(target.stat().st_mode) == 0o600


def test_a_reader_may_make_a_backup_while_a_writer_is_open(store: Store, path: Path, tmp_path: Path) -> None:
    with open_store(path, write=False) as reader:
        reader.backup_to(tmp_path / "copy.db")
    assert doctor(tmp_path / "copy.db").counts.players == 1


def test_a_backup_overwrites_nothing(store: Store, tmp_path: Path) -> None:
    target = tmp_path / "copy.db"
    target.write_text("dear to somebody")
    with pytest.raises(InputError, match=r"copy\.db"):
        store.backup_to(target)
    assert target.read_text() == "dear to somebody"
    with pytest.raises(InputError, match="folder"):
        store.backup_to(tmp_path / "not there" / "copy.db")


def test_a_restore_brings_the_copy_back_and_keeps_what_it_replaced(
    store: Store, session: SessionRecord, path: Path, tmp_path: Path
) -> None:
    store.add_shot(session.id, new_shot(100.0))
    store.backup_to(tmp_path / "copy.db")
    store.add_shot(session.id, new_shot(101.0))
    store.close()
    kept = restore(path, tmp_path / "copy.db", LATER)
    assert kept is not None
    assert kept.parent == path.parent
    with open_store(path, write=True) as restored, open_store(kept, write=False) as replaced:
        assert carries(restored) == [100.0]
        assert carries(replaced) == [100.0, 101.0]
        restored.add_shot(session.id, new_shot(102.0))
    second = restore(path, tmp_path / "copy.db", LATER)
    assert second not in (None, kept)
    assert doctor(path).sound


def test_a_restore_where_no_store_was_makes_one(store: Store, tmp_path: Path) -> None:
    store.backup_to(tmp_path / "copy.db")
    target = tmp_path / "elsewhere" / "trainer.db"
    assert restore(target, tmp_path / "copy.db", LATER) is None
    with open_store(target, write=True) as restored:
        assert restored.player().profile == PROFILE


def test_a_damaged_store_can_be_replaced_and_is_kept_as_it_was(store: Store, path: Path, tmp_path: Path) -> None:
    store.backup_to(tmp_path / "copy.db")
    store.close()
    damage(path)
    damaged = path.read_bytes()
    kept = restore(path, tmp_path / "copy.db", LATER)
    assert kept is not None
    assert kept.read_bytes() == damaged
    assert doctor(path).sound


def test_a_log_that_a_reader_keeps_from_being_folded_stays_with_the_replaced_store(
    store: Store, session: SessionRecord, path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "BUSY_WAIT_S", 0.05)
    store.backup_to(tmp_path / "copy.db")
    with closing(sqlite3.connect(path, isolation_level=None)) as reader:
        reader.execute("BEGIN")
        assert reader.execute("SELECT count(*) FROM shot").fetchone() == (0,)
        store.add_shot(session.id, new_shot(101.0))
        store.close()
        kept = restore(path, tmp_path / "copy.db", LATER)
    assert kept is not None
    with open_store(path, write=True) as restored, open_store(kept, write=False) as replaced:
        assert carries(restored) == []
        assert carries(replaced) == [101.0]
    assert doctor(path).sound


def spoilt_text(path: Path) -> None:
    path.write_text("not a store")


def spoilt_truncated(path: Path) -> None:
    damage(path)


def spoilt_newer(path: Path) -> None:
    path.unlink()
    open_database(path, write=True, migrations=NEWER).close()


def spoilt_reference(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("UPDATE club SET player_id = 77")
        connection.commit()


@pytest.mark.parametrize("spoil", [spoilt_text, spoilt_truncated, spoilt_newer, spoilt_reference])
def test_a_restore_from_what_is_no_sound_store_changes_nothing(
    store: Store, path: Path, tmp_path: Path, spoil: Callable[[Path], None]
) -> None:
    copy = tmp_path / "copy.db"
    store.backup_to(copy)
    store.close()
    spoil(copy)
    before = path.read_bytes()
    with pytest.raises(StoreError, match=r"copy\.db"):
        restore(path, copy, LATER)
    assert path.read_bytes() == before
    assert sorted(file.name for file in path.parent.iterdir()) == ["trainer.db", "trainer.db.lock"]


def test_a_restore_from_nothing_or_from_itself_is_refused(store: Store, path: Path, tmp_path: Path) -> None:
    store.close()
    with pytest.raises(InputError, match="no such file"):
        restore(path, tmp_path / "none.db", LATER)
    with pytest.raises(InputError, match="itself"):
        restore(path, path, LATER)
    assert doctor(path).sound


def test_a_restore_and_a_doctor_are_refused_while_a_writer_is_open(
    store: Store, path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "LOCK_WAIT_S", 0.0)
    store.backup_to(tmp_path / "copy.db")
    with pytest.raises(StoreError, match="another program"):
        restore(path, tmp_path / "copy.db", LATER)
    with pytest.raises(StoreError, match="another program"):
        doctor(path)


def test_the_doctor_finds_a_sound_store_sound_and_counts(store: Store, session: SessionRecord, path: Path) -> None:
    store.add_reading(session.id, BREEZE, START)
    for _ in range(3):
        store.add_shot(session.id, new_shot())
    store.undo_shot(store.shots()[0].id, LATER)
    store.close()
    report = doctor(path)
    assert report.sound
    assert report.checkpointed
    assert (report.version, report.known_version) == (MIGRATIONS[-1].number, MIGRATIONS[-1].number)
    assert report.counts == Counts(players=1, clubs=3, sessions=1, readings=1, shots=3, imports=0)
    assert report.size_bytes == path.stat().st_size


def test_the_doctor_reports_damage_and_leaves_it(store: Store, session: SessionRecord, path: Path) -> None:
    for _ in range(100):
        store.add_shot(session.id, new_shot())
    store.close()
    overwrite_table(path, "shot")
    before = path.read_bytes()
    report = doctor(path)
    assert not report.sound
    assert report.problems
    assert path.read_bytes() == before


def test_the_doctor_cannot_look_into_what_sqlite_cannot_open(store: Store, path: Path) -> None:
    store.close()
    damage(path)
    before = path.read_bytes()
    with pytest.raises(StoreError, match="damaged"):
        doctor(path)
    assert path.read_bytes() == before


def test_the_doctor_finds_a_row_that_points_nowhere(store: Store, session: SessionRecord, path: Path) -> None:
    store.add_shot(session.id, new_shot())
    store.close()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("DELETE FROM club")
        connection.commit()
    (problem,) = doctor(path).problems
    assert "shot" in problem
    assert "club" in problem


@pytest.mark.skipif(sys.platform == "win32", reason="no modes there")
def test_the_doctor_shuts_a_file_that_others_could_read(store: Store, path: Path) -> None:
    store.close()
    path.chmod(0o644)
    assert len(doctor(path).mended) == 1
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert doctor(path).mended == ()


def test_the_doctor_sees_no_store_where_there_is_none(path: Path) -> None:
    with pytest.raises(StoreError, match="no store"):
        doctor(path)
    assert not path.parent.exists()


def full_of(store: Store, alias: str) -> None:
    player = store.save_profile(replace(PROFILE, alias=alias), START)
    session = store.begin_session(replace(new_session(player.id), note=f"note of {alias}"))
    reading = store.add_reading(session.id, BREEZE, START)
    store.correct_reading(reading.id, replace(BREEZE, speed_mps=7.0), LATER)
    store.put_agenda(session.id, [replace(ball(number), cue=f"cue of {alias}") for number in range(1, 40)])
    for number in range(1, 40):
        entry = replace(ENTRY, tags=(f"tag of {alias}",))
        store.add_shot(session.id, new_shot(entry=entry, agenda_number=number, reading_id=reading.id))
    store.correct_shot(store.shots(session.id)[0].id, LATER, cell=new_shot().cell)
    rows = tuple((number, f"{alias};7i;{number}") for number in range(200))
    # What was deleted before lies in the file's free room, where no later deletion overwrites it.
    store.put_agenda(session.id, [replace(ball(number), cue=f"cue of {alias}") for number in range(40, 400)])
    store.put_agenda(session.id, [])
    kept = store.add_import(new_import(player.id, new_session(player.id), raw_rows=rows))
    store.undo_import(kept.id, LATER)


def test_a_purged_player_is_gone_to_the_last_byte_and_the_others_stay(store: Store, path: Path) -> None:
    store._database.run("PRAGMA secure_delete = OFF")  # so that the rewriting of the file is what is tested
    full_of(store, PURGED)
    full_of(store, "Tam Oddney")
    stays = store.player("Tam Oddney")
    shots, readings = store.shots(player_id=stays.id), store.readings(player_id=stays.id)
    assert files_with(PURGED, path.parent)
    store.purge(PURGED.lower())
    assert files_with(PURGED, path.parent) == []
    assert [player.profile.alias for player in store.players()] == [PROFILE.alias, "Tam Oddney"]
    assert store.shots(player_id=stays.id) == shots
    assert store.readings(player_id=stays.id) == readings
    store.close()
    assert files_with(PURGED, path.parent) == []
    assert doctor(path).sound


def test_a_purge_that_is_cut_short_has_overwritten_what_it_deleted(
    store: Store, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    full_of(store, PURGED)
    run = Database.run

    def cut_short(self: Database, sql: str, parameters: Sequence[Value] = ()) -> int:
        if sql == "VACUUM":
            raise KeyboardInterrupt
        return run(self, sql, parameters)

    monkeypatch.setattr(Database, "run", cut_short)
    with pytest.raises(KeyboardInterrupt):
        store.purge(PURGED)
    store.close()
    assert files_with(PURGED, path.parent) == []


def test_a_purge_of_nobody_changes_nothing(store: Store) -> None:
    with pytest.raises(InputError, match="Nobody"):
        store.purge("Nobody")
    assert store.player().profile == PROFILE


def test_a_purge_under_a_readers_eyes_says_what_is_left_to_do(
    store: Store, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    full_of(store, PURGED)
    store._database.run("PRAGMA busy_timeout = 50")
    with closing(sqlite3.connect(path, isolation_level=None)) as reader:
        reader.execute("BEGIN")
        reader.execute("SELECT * FROM player").fetchall()
        with pytest.raises(StoreError, match="doctor"):
            store.purge(PURGED)
        reader.execute("COMMIT")
    store.close()
    assert doctor(path).checkpointed
    assert files_with(PURGED, path.parent) == []
