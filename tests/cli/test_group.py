"""`trainer group`: sheets out, filled sheets in."""

from __future__ import annotations

import re
import stat
from dataclasses import replace
from pathlib import Path
from shutil import copytree

import pytest

from tests.cli.program import NOW, Program
from tests.exchange.drawn import assert_no_two_texts_share_a_place, assert_on_the_page, pages_of, texts_of
from trainer.application.group.evening import group_units
from trainer.exchange.group_text import PlayerLine, parse_group_line
from trainer.store.store import open_store

YARD_M = 0.9144
STATIONS = "7 iron, three-quarter, 120yd; 9 iron, half, 80 yd"
WHEN = ("--when", "2026-05-14T18:30")


@pytest.fixture(scope="module")
def three(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a store with three players, one of whom counts in metres; to be copied and not used itself."""
    program = Program(tmp_path_factory.mktemp("three") / "data" / "store.db")
    for alias, carry in (("kestrel", "150yd"), ("heron", "140yd"), ("dunlin", "120m")):
        assert program("setup", "--from-belief", f"7 iron={carry}", "--player", alias).code == 0
    return program.store.parent


@pytest.fixture
def squad(program: Program, three: Path) -> Program:
    copytree(three, program.store.parent)
    return program


def filled(text: str, balls: str) -> str:
    """The file with the same balls on every line that waits for some."""
    return re.sub(r"(?m)^([a-z, 0-9-]+: )$", rf"\g<1>{balls}", text)


def test_sheets_out_and_the_filled_file_in(squad: Program, tmp_path: Path) -> None:
    made = squad.json("group", "sheets", str(tmp_path / "evening"), "--cells", STATIONS, *WHEN)
    assert made["players"] == ["kestrel", "heron", "dunlin"]
    folder = tmp_path / "evening"
    assert all(stat.S_IMODE((folder / name).stat().st_mode) == 0o600 for name in made["files"])
    entries = folder / "entries.txt"
    entries.write_text(filled(entries.read_text(), "5 5 2 x 8 - 4"))
    done = squad.json("group", "record", str(entries))
    assert (done["recorded"], done["already"], done["refused"]) == (3 * 2 * 7, 0, [])
    again = squad.json("group", "record", str(entries))
    assert (again["recorded"], again["already"]) == (0, 42)
    shots = squad.json("shots", "--player", "dunlin")["shots"]
    assert [(shot["depth"], shot["width"]) for shot in shots[:3]] == [("pin", "straight")] * 2 + [
        ("short", "straight")
    ]
    assert [shot["mishit"] for shot in shots[:7]] == [False, False, False, True, False, False, False]
    assert {shot["target_m"] for shot in shots[:7]} == {120 * YARD_M}
    assert {shot["time"] for shot in shots} == {"2026-05-14T18:30:00"}
    assert squad("group", "record", str(entries), "--when", "2026-05-15").code == 0


def test_the_sheets_hold_every_player_and_station(squad: Program, tmp_path: Path) -> None:
    squad("group", "sheets", str(tmp_path / "a"), "--cells", STATIONS, *WHEN, "--balls", "6")
    by_player = ("--by", "player", "--players", "heron,kestrel")
    squad("group", "sheets", str(tmp_path / "b"), "--cells", STATIONS, *WHEN, *by_player)
    stations = pages_of((tmp_path / "a" / "sheets.html").read_text())
    players = pages_of((tmp_path / "b" / "sheets.html").read_text())
    assert (len(stations), len(players)) == (1 + 2, 1 + 2)
    for page in (*stations, *players):
        assert_on_the_page(page)
        assert_no_two_texts_share_a_place(page)
    words = {each.text for each in texts_of(stations[1])}
    assert {"1 kestrel", "2 heron", "3 dunlin"} <= words
    assert any("120 yd" in each and "6 balls" in each for each in words)
    assert {each.text for each in texts_of(players[1])} >= {
        "heron",
        "1 7 iron",
        "three-quarter",
        "to 120 yd, 12 balls",
    }
    assert (tmp_path / "b" / "sheets.txt").read_text().count("\f") == 1


def test_a_plan_gives_each_player_balls_that_fit_him(squad: Program, tmp_path: Path) -> None:
    plan = ("--plan", "junior-short-session", "--players", "kestrel,heron")
    made = squad.json("group", "sheets", str(tmp_path / "x"), *plan, *WHEN)
    assert made["players"] == ["kestrel", "heron"]
    text = (tmp_path / "x" / "entries.txt").read_text()
    with open_store(squad.store, write=False) as store:
        units = group_units(store)
    lines = [parse_group_line(line, units) for line in text.splitlines()]
    targets: dict[str, set[float]] = {}
    for line in lines:
        if isinstance(line, PlayerLine):
            assert line.station is not None
            targets.setdefault(line.alias, set()).add(line.station.target_m)
    assert max(targets["kestrel"]) > max(targets["heron"])
    done = squad.json("group", "record", "-", typed=filled(text, "5*2"))
    assert done["refused"] == []
    assert {each["player"] for each in done["players"]} == {"kestrel", "heron"}


@pytest.mark.parametrize("plan", ["first-windy-evening", "gapping-round", "club-down-ladder-night"])
def test_shipped_plans_fit_the_sheets(player: Program, tmp_path: Path, plan: str) -> None:
    assert player("group", "sheets", str(tmp_path / "x"), "--plan", plan).code == 0


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("--cells", STATIONS, "--plan", "first-windy-evening"),
        ("--cells", ";"),
        ("--cells", "7 iron, 120"),
        ("--cells", "2 iron, 120yd"),
        ("--cells", STATIONS, "--players", "kestrel,nobody"),
        ("--cells", STATIONS, "--players", "kestrel,Kestrel"),
        ("--cells", STATIONS, "--balls", "0"),
        ("--cells", STATIONS, "--by", "moon"),
        ("--plan", "first-windy-evening", "--by", "station"),
    ],
)
def test_wishes_that_cannot_be_are_refused_and_nothing_is_written(
    squad: Program, tmp_path: Path, words: tuple[str, ...]
) -> None:
    squad("group", "sheets", str(tmp_path / "x"), *words).refused()
    assert not (tmp_path / "x").exists()


def test_sheets_overwrite_nothing(squad: Program, tmp_path: Path) -> None:
    assert squad("group", "sheets", str(tmp_path), "--cells", STATIONS, *WHEN).code == 0
    squad("group", "sheets", str(tmp_path), "--cells", STATIONS, *WHEN).refused()


def test_refused_lines_are_named_and_the_others_kept(squad: Program) -> None:
    typed = "kestrel, 7 iron three-quarter, 120yd: 5 5\nheron, 7 iron, 120yd: 5 q\nnobody, 7 iron, 120yd: 5\n"
    result = squad("group", "record", "-", *WHEN, "--json", typed=typed)
    assert result.code == 0
    assert [each["line"] for each in result.data["refused"]] == [2, 3]
    assert result.data["recorded"] == 2
    assert len(result.err.splitlines()) == 2


def test_a_file_with_nothing_to_keep_exits_1(squad: Program, tmp_path: Path) -> None:
    assert squad("group", "record", "-", typed="kestrel, 7 iron, 120yd: 5\n").code == 1
    assert squad("group", "record", "-", typed="").code == 1
    assert squad("group", "record", str(tmp_path / "none.txt")).code == 1


def test_thirty_players_with_twelve_balls_take_the_number_pad_alone(program: Program, tmp_path: Path) -> None:
    aliases = [f"player-{number}" for number in range(1, 31)]
    assert program("setup", "--from-belief", "7 iron=150yd", "--player", aliases[0]).code == 0
    with open_store(program.store, write=True) as store:
        first = store.player().profile
        for alias in aliases[1:]:
            store.save_profile(replace(first, alias=alias), NOW)
    program("group", "sheets", str(tmp_path / "x"), "--cells", "7 iron, three-quarter, 120yd", *WHEN)
    entries = (tmp_path / "x" / "entries.txt").read_text()
    typed = "5521087-4563"
    assert set(typed) <= set("0123456789-")
    text = filled(entries, typed)
    # 12 keys and one to the next line for each player: 390 keys, so 15 minutes leave 2.3 s a key (our arithmetic)
    assert len(text) - len(entries) == 30 * 12
    assert program.json("group", "record", "-", typed=text)["recorded"] == 360
