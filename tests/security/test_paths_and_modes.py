"""No file names a place to write to or to read from, and what is written is its owner's alone."""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path

import pytest

from tests.application.squad.squad_stores import START as COACH_START
from tests.application.squad.squad_stores import open_coach
from tests.application.squad.test_kill import files_of_a_season
from tests.cli.program import Program
from tests.cli.squad_programs import PLAN, Squad, made
from trainer.application.squad.coach import add_member, assign, write_assigned
from trainer.core.profile import AgeBand
from trainer.exchange.assignment_file import read_assignment, write_assignment
from trainer.exchange.result_file import read_result, write_result
from trainer.store.store import open_store

NAMES = (
    "../evil",
    "..",
    "/etc/passwd",
    "a/../../evil",
    "..\\evil",
    "C:\\evil",
    "evil\x00.toml",
    "~root",
    ".hidden",
    "nul",
)


def everything(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*")}


@pytest.mark.parametrize("name", NAMES)
def test_an_assignment_whose_plan_is_a_path_is_refused(tmp_path: Path, name: str) -> None:
    squad = made(tmp_path / "here")
    (assigned,) = squad.assign()
    folder = squad.out / assigned["folder"]
    record, plan = folder / "assignment.toml", folder / "plan.toml"
    text = plan.read_text()
    held = read_assignment(record.read_text(), text, "a")
    record.write_text(write_assignment(replace(held, plan=name)))
    before = everything(tmp_path)
    squad.player("squad", "start", str(folder)).refused()
    plan.write_text(text.replace(held.plan, name.replace("\\", "\\\\").replace("\x00", "\\u0000")))
    squad.player("squad", "start", str(folder)).refused()
    assert everything(tmp_path) - before <= {"here/player/store.db.lock"}


@pytest.mark.parametrize("name", [*NAMES, "../../wren"])
def test_the_folder_of_a_member_lies_where_it_was_asked_for(tmp_path: Path, name: str) -> None:
    with open_store(tmp_path / "coach" / "store.db", write=True) as store:
        # Past the reader of aliases, as an older store may hold it.
        member = add_member(store, "wren", COACH_START, age_band=AgeBand.ADULT)
        store._database.run("UPDATE squad_member SET alias = ? WHERE id = ?", (name, member.id))
        write_assigned(store, tmp_path / "out", assign(store, PLAN, [name], COACH_START.date(), COACH_START))
    (folder,) = (tmp_path / "out").iterdir()
    assert folder.is_dir()
    assert everything(folder) == {"plan.toml", "assignment.toml"}
    assert {path.name for path in tmp_path.iterdir()} == {"coach", "out"}


@pytest.mark.parametrize("field", ["alias", "plan", "shot id", "session id"])
def test_a_result_file_that_names_a_path_is_refused(tmp_path: Path, field: str) -> None:
    with ExitStack() as stack:
        result = read_result(files_of_a_season(stack, tmp_path / "player")[0], "a")
        changed = {
            "alias": result.model_copy(update={"alias": "../kestrel"}),
            "plan": result.model_copy(update={"session": result.session.model_copy(update={"plan": "../x"})}),
            "shot id": result.model_copy(update={"shot": [result.shot[0].model_copy(update={"id": "../x"})]}),
            "session id": result.model_copy(update={"session": result.session.model_copy(update={"id": "/x"})}),
        }[field]
        open_coach(stack, tmp_path / "coach" / "store.db").close()
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "a.result.toml").write_text(write_result(changed))
    before = everything(tmp_path)
    collected = Program(tmp_path / "coach" / "store.db")("squad", "collect", str(tmp_path / "in"), "--json")
    assert collected.code == 1
    assert everything(tmp_path) == before


def test_links_and_what_is_no_file_are_not_read_as_results(tmp_path: Path) -> None:
    secret = tmp_path / "secret.txt"
    secret.write_text("dear to somebody")
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "a.result.toml").symlink_to(secret)
    (tmp_path / "in" / "b.result.toml").mkdir()
    os.mkfifo(tmp_path / "in" / "c.result.toml")
    program = Program(tmp_path / "coach.db")
    program("squad", "add", "kestrel", "--age-band", "adult")
    collected = program("squad", "collect", str(tmp_path / "in"))
    assert collected.code == 1
    assert "dear" not in collected.out + collected.err
    assert "Traceback" not in collected.err


def test_a_result_file_cut_off_anywhere_is_refused_in_one_line_and_hides_no_other(tmp_path: Path) -> None:
    with ExitStack() as stack:
        whole, other, *_ = files_of_a_season(stack, tmp_path / "player")
        open_coach(stack, tmp_path / "coach.db").close()
    folder = tmp_path / "in"
    folder.mkdir()
    cuts = [0, 1, 40, 79, 80, 81, *range(100, len(whole) - 1, len(whole) // 25), len(whole) - 1]
    for number, cut in enumerate(cuts):
        (folder / f"{number:03}.result.toml").write_bytes(whole[:cut])
    (folder / "zzz.result.toml").write_bytes(other)
    files = Program(tmp_path / "coach.db").json("squad", "collect", str(folder))["files"]
    refused = [file for file in files if file["why"]]
    assert len(refused) == len(cuts)
    assert all("\n" not in file["why"] for file in refused)
    with open_store(tmp_path / "coach.db", write=False) as store:
        member = store.squad.member("kestrel")
        assert member.player_id is not None
        assert len(store.sessions(member.player_id)) == 1


@pytest.fixture
def open_mask() -> Iterator[None]:
    """The rights that a careless system gives: everything to everybody."""
    before = os.umask(0)
    yield
    os.umask(before)


def others_may(folder: Path) -> dict[str, str]:
    """What in `folder`, it included, others may look at or change."""
    return {
        str(path): oct(stat.S_IMODE(path.lstat().st_mode))
        for path in (folder, *folder.rglob("*"))
        if not path.is_symlink() and stat.S_IMODE(path.lstat().st_mode) & 0o077
    }


@pytest.mark.skipif(sys.platform == "win32", reason="no modes there")
def test_all_that_is_written_is_its_owners_alone(tmp_path: Path, open_mask: None) -> None:
    home = tmp_path / "home"
    home.mkdir(mode=0o700)
    squad: Squad = made(home)
    squad.play(squad.start())
    squad.submit()
    squad.collect()
    player = squad.player
    table = home / "t.csv"
    table.touch(mode=0o600)
    table.write_text("Club,Carry (yd)\n7 iron,148\n")
    for words in (
        ("import", str(table), "--accept", "--write-columns", str(home / "c.toml")),
        ("gaps",),
        ("export", str(home / "a" / "b")),
        ("export", str(home / "n"), "--nameless"),
        ("backup", str(home / "b.db")),
        ("restore", str(home / "b.db")),
        ("setup", "--write", str(home / "p.toml")),
        ("plan", "new", "my-plan", "--write", str(home / "plan.toml")),
        ("report", "--out", str(home / "r.txt")),
        ("purge", "--yes", "--player", "Robin Realname"),
    ):
        result = player(*words)
        assert result.code == 0, (words, result.err)
    assert len(everything(home)) > 25
    assert others_may(home) == {}
