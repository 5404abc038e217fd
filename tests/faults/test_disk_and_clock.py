"""A full disk, a folder that cannot be written, a newer store, a clock set back, two programs: each a clear end."""

from __future__ import annotations

import errno
import io
import os
import re
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.cli.program import NOW, Program
from tests.faults.trials import older_copy
from tests.store.samples import new_shot
from tests.store.test_opening import folder_of_mode
from trainer.cli.main import Streams, run
from trainer.store import database
from trainer.store.keeping import doctor
from trainer.store.migrations import MIGRATIONS, Migration
from trainer.store.store import open_store

CARRIES_YD = tuple(148 + number / 100 for number in range(200))
"""Such as the player's known carry leads one to expect: what contradicts it takes long to estimate."""
LINES = tuple(f"7 iron: {carry_yd:.2f}" for carry_yd in CARRIES_YD)
WRITERS: tuple[tuple[str, ...], ...] = (
    ("record", "--calm"),
    ("setup", "--from-carry", "7 iron=151yd"),
    ("doctor",),
    ("purge", "--yes", "--player", "player"),
    ("squad", "add", "kestrel", "--age-band", "adult"),
)


@pytest.fixture
def player(tmp_path: Path) -> Program:
    program = Program(tmp_path / "data" / "store.db")
    assert program("setup", "--from-carry", "7 iron=150yd").code == 0
    return program


def acknowledged(out: str) -> list[int]:
    return [int(number) for number in re.findall(r"^kept (\d+): ", out, re.MULTILINE)]


def ids(program: Program) -> list[int]:
    return [shot["id"] for shot in program.json("shots")["shots"]]


def no_more_pages(monkeypatch: pytest.MonkeyPatch, pages: int) -> None:
    """Each connection from now on meets a full disk after so many pages more, as SQLite itself plays it."""
    connect = database.connect

    def limited(path: Path, mode: str) -> sqlite3.Connection:
        connection = connect(path, mode)
        held = connection.execute("PRAGMA page_count").fetchone()[0]
        connection.execute(f"PRAGMA max_page_count = {held + pages}")
        return connection

    monkeypatch.setattr(database, "connect", limited)


def test_a_disk_that_fills_up_while_shots_are_typed_keeps_all_that_were_acknowledged(
    player: Program, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patched:
        no_more_pages(patched, 3)
        full = player("record", "--calm", typed="\n".join(LINES))
    assert "disk is full" in full.refused(code=3)
    kept = acknowledged(full.out)
    assert 0 < len(kept) < len(LINES)
    assert ids(player) == kept
    assert doctor(player.store).sound
    assert player.lines(*LINES[:2])["recorded"] == 2


def test_an_import_that_the_disk_has_no_room_for_leaves_nothing(
    player: Program, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = tmp_path / "t.csv"
    table.write_text("Club,Carry (yd)\n" + "".join(f"7 iron,{100 + row / 100:.2f}\n" for row in range(300)))
    with monkeypatch.context() as patched:
        no_more_pages(patched, 3)
        assert "disk is full" in player("import", str(table), "--accept").refused(code=3)
    assert ids(player) == []
    assert player.json("import", str(table), "--accept")["imported"] == 300


@pytest.mark.parametrize("failing", ["open", "fsync"])
def test_an_export_that_the_disk_has_no_room_for_leaves_no_half_file(
    player: Program, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: str
) -> None:
    def full(*_: object) -> int:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(tmp_path / "out"))

    with monkeypatch.context() as patched:
        patched.setattr(os, failing, full)
        assert "No space left" in player("export", str(tmp_path / "out")).refused()
    assert list((tmp_path / "out").iterdir()) == []


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 3 MB of its own; the box must allow it."""
    place = tmp_path / "small"
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=3m,mode=700", "tmpfs", str(place)]
    try:
        mounted = subprocess.run(mount, capture_output=True, check=False).returncode == 0
    except OSError:
        mounted = False
    if not mounted:
        pytest.skip("no file system may be mounted here")
    try:
        yield place
    finally:
        subprocess.run(["umount", str(place)], check=True)


def test_a_real_disk_that_is_full_loses_nothing(small_disk: Path) -> None:
    program = Program(small_disk / "store.db")
    assert program("setup", "--from-carry", "7 iron=150yd").code == 0
    assert program("record", "--calm", typed=LINES[0]).code == 0
    filler = small_disk / "filler"
    with filler.open("wb") as file:
        room = os.statvfs(small_disk)
        file.write(b"\0" * (room.f_bavail * room.f_frsize - 60_000))
    full = program("record", "--calm", typed="\n".join(LINES))
    full.refused(code=3)
    kept = acknowledged(full.out)
    for words in (("backup", str(small_disk / "copy.db")), ("export", str(small_disk / "out"))):
        assert program(*words).code in (1, 3)
    filler.unlink()
    assert not (small_disk / "copy.db").exists()
    assert doctor(program.store).sound
    assert set(kept) <= set(ids(program))
    assert program.lines(*LINES[:2])["recorded"] == 2


@pytest.mark.skipif(sys.platform == "win32", reason="no modes there")
@pytest.mark.parametrize("words", [*WRITERS, ("gaps",), ("shots",)], ids=" ".join)
def test_a_folder_that_cannot_be_written_is_said_in_one_line(words: tuple[str, ...]) -> None:
    with folder_of_mode(0o755) as folder:
        as_root = os.getuid() == 0
        if as_root:
            os.seteuid(0)
        Program(folder / "store.db")("setup", "--from-carry", "7 iron=150yd")
        (folder / "store.db").chmod(0o444)
        folder.chmod(0o555)
        if as_root:
            os.seteuid(65534)
        before = (folder / "store.db").read_bytes()
        result = Program(folder / "store.db")(*words, typed=LINES[0])
        assert result.code in (0, 3) if words[0] in ("gaps", "shots") else result.code == 3
        if result.code:
            result.refused(code=3)
        assert (folder / "store.db").read_bytes() == before


@pytest.mark.parametrize(
    "words", [*WRITERS, ("gaps",), ("shots",), ("export", "out"), ("backup", "b.db")], ids=" ".join
)
def test_a_store_of_a_newer_version_is_refused_by_every_command(
    tmp_path: Path, words: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "data" / "store.db"
    newer = (*MIGRATIONS, Migration(len(MIGRATIONS) + 1, "from tomorrow", ("CREATE TABLE tomorrow (x)",)))
    database.open_database(path, write=True, migrations=newer).close()
    before = path.read_bytes()
    assert "newer" in Program(path)(*words, typed=LINES[0]).refused(code=3)
    assert path.read_bytes() == before
    assert not list(tmp_path.glob("out")) + list(tmp_path.glob("b.db"))


def test_a_store_of_an_older_version_is_brought_up_to_date_by_what_writes(player: Program, tmp_path: Path) -> None:
    player.lines(*LINES[:3])
    old = Program(tmp_path / "old.db")
    older_copy(player.store, old.store, MIGRATIONS[-1].number - 1)
    assert "older" in old("gaps").refused(code=3)
    assert old("doctor").code == 0
    assert ids(old) == ids(player)


def test_a_clock_set_back_between_shots_loses_none_and_keeps_their_order(player: Program) -> None:
    moments = [NOW + timedelta(minutes=step) for step in (0, 1, 2, -90, -89, 3, -60 * 24 * 400, 4)]
    ticks = iter([*moments, *[NOW - timedelta(days=1)] * 99])
    out, errors = io.StringIO(), io.StringIO()
    streams = Streams(io.StringIO("\n".join(LINES[:7])), out, errors)
    environ = {"TRAINER_STORE": str(player.store)}
    assert run(["record", "--calm"], streams, environ, lambda: next(ticks)) == 0, errors.getvalue()
    assert len(acknowledged(out.getvalue())) == 7
    shots = player.json("shots")["shots"]
    assert [round(shot["carry_m"] / 0.9144, 2) for shot in shots] == pytest.approx(CARRIES_YD[:7])
    for words in (("gaps",), ("progress",), ("choose", "150yd"), ("report",), ("doctor",)):
        result = player(*words, now=datetime(2026, 5, 14, 20))
        assert result.code == 0, (words, result.err)
    assert player.lines(*LINES[:1], now=NOW - timedelta(days=2))["recorded"] == 1
    assert len(ids(player)) == 8


RECORD = "import sys; from trainer.cli.main import run_process; sys.exit(run_process(['record', '--calm']))"


def test_programs_that_write_at_once_are_done_or_refused_and_no_acknowledged_shot_is_lost(player: Program) -> None:
    environ = {**os.environ, "TRAINER_STORE": str(player.store), "OMP_NUM_THREADS": "1"}
    programs = [
        subprocess.Popen(
            [sys.executable, "-c", RECORD],
            env=environ, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for _ in range(3)
    ]  # fmt: skip
    for number, process in enumerate(programs):
        assert process.stdin is not None
        process.stdin.write("\n".join(LINES[8 * number : 8 * number + 8]))
        process.stdin.close()
        process.stdin = None
    kept: list[int] = []
    done = 0
    for process in programs:
        out, errors = process.communicate(timeout=120)
        assert process.returncode in (0, 3)
        assert "Traceback" not in errors
        assert process.returncode == 0 or len(errors.strip().splitlines()) == 1
        done += process.returncode == 0
        kept += acknowledged(out)
    assert done >= 1
    assert sorted(kept) == ids(player)
    assert len(kept) == 8 * done


def test_a_store_with_a_trigger_is_refused(player: Program) -> None:
    # A file that came from elsewhere could change what is written, at every write, without a line of our code.
    with closing(sqlite3.connect(player.store)) as connection:
        connection.execute("CREATE TRIGGER quietly AFTER INSERT ON shot BEGIN UPDATE shot SET carry_m = 999.0; END")
        connection.commit()
    for words in (("record", "--calm"), ("gaps",), ("doctor",)):
        assert "trigger" in player(*words, typed=LINES[0]).refused(code=3)
    with pytest.raises(Exception, match="trigger"):
        open_store(player.store, write=True).add_shot(1, new_shot())
