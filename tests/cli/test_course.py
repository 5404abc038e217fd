"""`trainer course-log`: approaches test the card, and teach the clubs nothing."""

from __future__ import annotations

import signal
import subprocess
import sys
from datetime import datetime, timedelta
from pathlib import Path
from shutil import copytree

import pytest

from tests.cli.program import NOW, Program, cell_of
from trainer.store.keeping import doctor
from trainer.store.records import SessionKind
from trainer.store.store import open_store

ROUND = NOW + timedelta(days=2)
LINES = (
    "wind 12mph 12h",
    "7 iron, to 140yd: flag-8 4L",
    "# the ninth",
    "7 iron, to 135: 126",
    "6 iron, 1 in, three-quarter, to 130: red-4",
    "9 iron: 110",
    "8 iron, to 120: 117 x",
    "8 iron, to 120: short left",
    "7 iron, to 140: 129/131 2R",
)


@pytest.fixture(scope="module")
def evening(set_up: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a store with an evening of twelve balls, to be copied and not used itself."""
    player = Program(tmp_path_factory.mktemp("evening") / "data" / "store.db")
    copytree(set_up, player.store.parent)
    balls = [f"{club}: {carry}" for club, carry in (("7 iron", 139), ("8 iron", 128), ("6 iron", 148)) * 4]
    player.hit(*balls, options=("--calm", "--seen", "laser"))
    return player.store.parent


@pytest.fixture
def practised(program: Program, evening: Path) -> Program:
    copytree(evening, program.store.parent)
    return program


def log(program: Program, *lines: str, when: datetime = ROUND, options: tuple[str, ...] = ()) -> dict[str, object]:
    return program.json("course-log", *options, typed="\n".join(lines) + "\n", now=when)


def test_each_line_stands_alone_and_is_held_against_what_was_called(practised: Program) -> None:
    told = practised.json("course-log", typed="\n".join(LINES), now=ROUND)
    assert told["recorded"] == 6
    assert [each["line"] for each in told["refused"]] == [6]
    first = told["approaches"][0]
    assert (first["club"], first["swing"]) == ("7 iron", "full")
    assert first["flag_m"] == pytest.approx(140 * 0.9144)
    assert first["total_m"] == pytest.approx(132 * 0.9144)
    assert first["side_m"] == pytest.approx(-4 * 0.9144)
    for each in told["approaches"]:
        low, high = each["called_80_m"]
        assert low < each["called_m"] < high
        assert each["held"] is (None if each["total_m"] is None else low <= each["total_m"] <= high)
    course = told["course"]
    assert (course["approaches"], course["called"], course["measured"], course["rounds"]) == (6, 5, 5, 1)
    assert course["held_80"] == sum(each["held"] is True for each in told["approaches"])
    offset = course["offset_percent"]
    assert offset["low80"] < offset["mean"] < offset["high80"]


def test_nothing_taken_is_exit_one(practised: Program) -> None:
    result = practised("course-log", typed="9 iron: 110\n", now=ROUND)
    assert result.code == 1
    assert practised("course-log", typed="\n", now=ROUND).refused()


def test_the_clubs_learn_nothing_from_it(practised: Program) -> None:
    before = practised.json("gaps", "--calm", now=ROUND)
    log(practised, "wind calm", *(["7 iron, to 150: 100"] * 6))
    after = practised.json("gaps", "--calm", now=ROUND)
    assert after == before
    assert practised.json("agenda", "--plan", "first-windy-evening", "--seed", "3", "--calm", now=ROUND)["balls"]
    assert practised.json("progress", now=ROUND)["load"]["balls"] == 12


def test_short_approaches_make_a_short_offset_that_choose_and_card_tell(practised: Program) -> None:
    level = log(practised, "wind calm", *(["7 iron, to 150: 141", "8 iron, to 140: 132"] * 3))["course"]
    short = log(practised, "wind calm", *(["7 iron, to 150: 119", "8 iron, to 140: 110"] * 9))["course"]
    assert isinstance(level, dict)
    assert isinstance(short, dict)
    assert short["offset_percent"]["mean"] < level["offset_percent"]["mean"] - 1
    assert short["offset_percent"]["high80"] < 0
    assert short["offset_clear"] is True
    assert short["offset_m"]["mean"] < 0
    for command in (("choose", "150yd", "--calm"), ("card",)):
        assert practised.json(*command, now=ROUND)["course"]["offset_m"] == pytest.approx(short["offset_m"])
        assert "On the course you have come up" in " ".join(practised(*command, now=ROUND).out.split())
    assert practised.json("progress", now=ROUND)["course"]["approaches"] == 24


def test_a_few_approaches_are_not_told_beside_a_choice(practised: Program) -> None:
    log(practised, "wind calm", "7 iron, to 150: 125")
    assert "On the course" not in practised("choose", "150yd", "--calm", now=ROUND).out
    assert "On the course" in practised("progress", now=ROUND).out


def test_only_what_came_before_the_round_is_called_from(practised: Program) -> None:
    early = log(practised, "wind calm", "7 iron, to 150: 141")["approaches"]
    practised.hit(*["7 iron: 129"] * 4, options=("--calm", "--seen", "laser"), now=ROUND + timedelta(days=3))
    late = practised.json(
        "course-log",
        "--when",
        ROUND.isoformat(),
        typed="wind calm\n7 iron, to 150: 141\n",
        now=ROUND + timedelta(days=4),
    )["approaches"]
    assert isinstance(early, list)
    assert early[0]["called_80_m"] == pytest.approx(late[0]["called_80_m"])


def test_lists_corrections_and_exports_know_it(practised: Program, tmp_path: Path) -> None:
    shot = log(practised, "7 iron, to 150: flag-6")["approaches"]
    assert isinstance(shot, list)
    listed = practised.json("shots", now=ROUND)
    assert [each["kind"] for each in listed["sessions"]] == ["range", "course"]
    assert "Course log" in practised("shots", now=ROUND).out
    practised.json("shots", "correct", str(shot[0]["id"]), "flag-9", "2R", now=ROUND)
    mended = practised.json("shots", now=ROUND)["shots"][-1]
    assert mended["total_m"] == pytest.approx(141 * 0.9144)
    assert mended["carry_m"] is None
    assert practised("export", str(tmp_path / "out"), now=ROUND).code == 0
    assert "course" in (tmp_path / "out" / "sessions.csv").read_text(encoding="utf-8")
    assert len((tmp_path / "out" / "shots.csv").read_text(encoding="utf-8").splitlines()) == 14
    practised.json("shots", "undo", str(shot[0]["id"]), now=ROUND)
    assert practised.json("progress", now=ROUND)["course"] is None


def test_it_is_the_round_s_day_and_the_player_s_own_units(player: Program) -> None:
    assert player("round", "start", now=NOW).code == 0
    assert player("round", "end", now=NOW + timedelta(hours=4)).code == 0
    log(player, "7 iron, to 150: 141", when=NOW + timedelta(hours=5))
    (session,) = player.json("shots")["sessions"]
    assert session["time"] == NOW.isoformat()
    assert cell_of(player.json("gaps"), "7 iron")["shots"] == 0


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")
def test_killed_between_two_lines_it_has_lost_nothing(practised: Program) -> None:
    command = [sys.executable, "-m", "trainer", "course-log", "--store", str(practised.store)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as program:
        assert program.stdin is not None
        assert program.stdout is not None
        for line in ("wind 12mph 1h", "7 iron, to 150: flag-6", "8 iron, to 140: 131"):
            program.stdin.write(f"{line}\n")
            program.stdin.flush()
        said = ""
        while said.count("kept") < 3:
            said = f"{said}{program.stdout.readline()}"
        program.kill()
        assert program.wait() == -signal.SIGKILL
    assert doctor(practised.store).problems == ()
    with open_store(practised.store, write=True) as store:
        (course,) = [each for each in store.sessions(store.player().id) if each.kind is SessionKind.COURSE]
        assert [shot.target_m for shot in store.shots(course.id)] == pytest.approx([150 * 0.9144, 140 * 0.9144])
        assert store.latest_session(store.player().id) != course
