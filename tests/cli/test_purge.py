"""A purge leaves nothing: every file of the store's folder is searched for what it was to remove."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from shutil import copytree

import pytest

from tests.cli.program import Program
from tests.cli.squad_programs import Squad, made, modes, squad_in

ALIAS = "kestrel"
MARKS = (b"zanzibar-note", b"zanzibar-row", b"zanzibar-tag", b"zanzibar-file", b"zanzibar-club")
"""Words that stand in a coach's note, a raw row, a tag, a file's name and a club's name of the member to go."""

PAST_KEEP = datetime(2027, 6, 1, 9, 0)


def searched(folder: Path) -> set[bytes]:
    """What of the member is found in any file of `folder`, in either case."""
    everything = b"\0".join(path.read_bytes().lower() for path in folder.rglob("*") if path.is_file())
    names = b"\0".join(str(path.name).lower().encode() for path in folder.rglob("*"))
    return {mark for mark in (ALIAS.encode(), *MARKS) if mark in everything + names}


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A coach's store in which kestrel left traces everywhere, and wren a few."""
    folder = tmp_path_factory.mktemp("squad")
    squad = made(folder)
    squad.coach.json("squad", "add", "wren", "--age-band", "11-13", "--consent", "2026-05-01")
    squad.coach.json("squad", "note", "wren", "a word on the other")
    squad.player.json("setup", "--player", "Robin Realname", "--club", "Zanzibar-club=50deg, 36in, 80yd")
    squad.player.hit("7 iron: 118 #zanzibar-tag", "Zanzibar-club: 81", *(["7 iron: 120"] * 30))
    squad.submit("--as", "kestrel")
    squad.collect()
    assert squad.member()["shots"] == 32
    squad.coach.json("squad", "note", "kestrel", "zanzibar-note, nothing for others")
    squad.assign("kestrel", "wren")
    table = folder / "zanzibar-file.csv"
    table.write_text("Club,Carry (yd),Remark\n" + "7 iron,118,zanzibar-row\n" * 300)
    squad.coach.json("import", str(table), "--accept", "--player", "kestrel")
    assert squad.coach("shots", "correct", "1", "99 #zanzibar-tag", "--player", "kestrel").code == 0
    squad.coach.json("gaps", "--player", "kestrel")
    return folder


@pytest.fixture
def squad(template: Path, tmp_path: Path) -> Squad:
    """The same, in a place of its own."""
    copytree(template, tmp_path / "squad")
    return squad_in(tmp_path / "squad")


def test_a_purge_leaves_no_trace_in_any_file(squad: Squad) -> None:
    folder = squad.coach.store.parent
    assert searched(folder) == {ALIAS.encode(), *MARKS}
    assert list((folder / "kept").iterdir())
    squad.coach("purge", "--player", "kestrel").refused()
    purged = squad.coach.json("purge", "--player", "Kestrel", "--yes")
    assert purged["purged"] == ["kestrel"]
    assert searched(folder) == set()
    assert list((folder / "kept").iterdir()) == []
    (wren,) = squad.coach.json("squad", "show")["members"]
    assert wren["alias"] == "wren"
    assert len(wren["assignments"]) == 1
    assert squad.coach.json("doctor")["sound"]
    squad.coach("purge", "--player", "kestrel", "--yes").refused()


def test_copies_beside_the_store_are_named_and_go_when_asked(squad: Squad, tmp_path: Path) -> None:
    folder = squad.coach.store.parent
    squad.coach.json("backup", str(tmp_path / "copy.db"))
    replaced = squad.coach.json("restore", str(tmp_path / "copy.db"))["replaced"]
    told = squad.coach("purge", "--player", "kestrel", "--yes")
    assert told.code == 0
    assert replaced in told.out
    assert searched(folder)
    assert squad.coach.json("purge", "--player", "wren", "--yes", "--with-copies")["copies"] == []
    assert searched(folder) == set()


def test_what_is_past_its_date_is_told_and_goes_by_one_command(squad: Squad) -> None:
    squad.coach.json("squad", "add", "wren", "--keep-until", "2028-01-01")
    assert squad.coach.json("doctor")["past_keep_date"] == []
    assert squad.coach.json("doctor", now=PAST_KEEP)["past_keep_date"] == ["kestrel"]
    shown = squad.coach.json("squad", "show", now=PAST_KEEP)["members"]
    assert {each["alias"]: each["past_keep_date"] for each in shown} == {"kestrel": True, "wren": False}
    assert squad.coach.json("purge", "--past-keep-date", "--yes")["purged"] == []
    squad.coach("purge", "--past-keep-date", now=PAST_KEEP).refused()
    assert searched(squad.coach.store.parent)
    assert squad.coach.json("purge", "--past-keep-date", "--yes", now=PAST_KEEP)["purged"] == ["kestrel"]
    assert searched(squad.coach.store.parent) == set()


def test_a_member_without_a_shot_and_a_player_outside_a_squad_are_purged_too(squad: Squad) -> None:
    assert squad.coach.json("purge", "--player", "wren", "--yes")["purged"] == ["wren"]
    assert squad.player.json("purge", "--player", "robin realname", "--yes")["purged"] == ["Robin Realname"]
    assert b"Realname" not in squad.player.store.read_bytes()


def test_the_stores_folder_is_its_owners_alone(squad: Squad) -> None:
    assert modes(squad.coach.store.parent) <= {(True, 0o700), (False, 0o600)}


def test_a_purged_members_files_may_come_in_again_when_he_is_a_member_again(squad: Squad) -> None:
    squad.coach.json("purge", "--player", "kestrel", "--yes")
    result = squad.coach("squad", "collect", str(squad.back))
    assert result.code == 1
    squad.coach.json("squad", "add", "kestrel", "--age-band", "14-15", "--consent", "2026-05-10")
    assert squad.collect()["shots"] == 32


def test_an_alias_that_nobody_has_is_no_question_of_deleting(program: Program) -> None:
    program("setup", "--from-belief", "7 iron=150yd")
    assert "nobody here is called 'wren'" in program("purge", "--player", "wren").refused()
