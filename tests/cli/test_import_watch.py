"""`trainer import --watch`: a table followed while it grows, by the real program too, killed between rows."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.cli.program import Program
from tests.cli.test_import_asks import typed_at

HEADER = "Club,Carry (yd),Side (yd)\n"
ACCEPTED = ("--accept", "--side-positive", "right", "--every", "0.05s")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    found = tmp_path / "live.csv"
    found.write_text(HEADER + "7i,148,3\n7i,150,-2\nspoon,150,1\n7i,15")
    return found


def test_rows_are_kept_and_the_unfinished_one_is_said(player: Program, path: Path) -> None:
    done = player("import", str(path), "--watch", *ACCEPTED, "--stop-after", "0s", "--json")
    assert done.code == 0, done.err
    assert (done.data["imported"], len(done.data["skipped"])) == (2, 1)
    assert "not finished" in done.err
    path.write_text(path.read_text() + "1,4\n")
    again = player("import", str(path), "--watch", *ACCEPTED, "--stop-after", "0s", "--json")
    assert (again.data["imported"], again.data["session"]) == (1, done.data["session"])
    assert len(player.json("shots")["shots"]) == 3
    assert "imported before" in player("import", str(path), "--accept", "--side-positive", "right").err


def test_the_rows_are_the_balls_of_a_plan_and_of_the_session_asked_for(player: Program, path: Path) -> None:
    plan = ("--plan", "first-windy-evening", "--wind", "10mph", "--wind-from", "0")
    session = player.json("import", str(path), "--watch", *ACCEPTED, "--stop-after", "0s", *plan)["session"]
    shots = player.json("shots", "--session", str(session))["shots"]
    assert [shot["club"] for shot in shots] == ["7 iron", "7 iron"]
    path.write_text(path.read_text() + "1,4\n")
    player.json("import", str(path), "--watch", *ACCEPTED, "--stop-after", "0s", "--session", str(session))
    assert len(player.json("shots", "--session", str(session))["shots"]) == 3


def test_each_row_is_asked_about_at_a_terminal(player: Program, path: Path) -> None:
    done = typed_at(
        player,
        "import",
        str(path),
        "--watch",
        "--every",
        "0.05s",
        "--stop-after",
        "0s",
        replies=("left", "yes", "no"),
    )
    assert done.code == 0, done.err
    (shot,) = player.json("shots")["shots"]
    assert shot["side_m"] == pytest.approx(-3 * 0.9144)


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ((), "--accept"),
        (("--accept",), "right"),
        (("--accept", "--dry-run"), "--dry-run"),
        (("--accept", "--remember"), "--remember"),
        (("--accept", "--every", "soon"), "--every"),
        (("--accept", "--session", "99"), "99"),
        (("--accept", "--session", "1", "--plan", "gapping-round"), "--plan"),
        (("--accept", "--balls", "9"), "--plan"),
        (("--accept", "--level", "junior"), "--plan"),
    ],
)
def test_what_cannot_be_watched_is_refused(player: Program, path: Path, words: tuple[str, ...], named: str) -> None:
    assert named in player("import", str(path), "--watch", "--stop-after", "0s", *words).err
    assert player.json("shots")["shots"] == []


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (("--wind", "10mph", "--wind-from", "0"), "--wind"),
        (("--calm",), "--calm"),
        (("--balls", "9"), "--balls"),
        (("--level", "club"), "--level"),
    ],
)
def test_a_session_that_stands_takes_nothing_anew(
    player: Program, path: Path, words: tuple[str, ...], named: str
) -> None:
    session = str(player.hit("7 iron: 140")["session"])
    done = player("import", str(path), "--watch", *ACCEPTED, "--stop-after", "0s", "--session", session, *words)
    assert named in done.refused()
    assert len(player.json("shots")["shots"]) == 1


def _begin(program: Program, path: Path) -> subprocess.Popen[bytes]:
    words = [sys.executable, "-m", "trainer", "import", str(path), "--watch", *ACCEPTED]
    return subprocess.Popen(
        words,
        env={**os.environ, "TRAINER_STORE": str(program.store)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )


def _wait_for(program: Program, count: int) -> None:
    deadline = time.monotonic() + 60
    while len(program.json("shots")["shots"]) < count:
        assert time.monotonic() < deadline
        time.sleep(0.05)


def test_a_killed_watch_is_taken_up_without_a_row_lost_or_twice(player: Program, tmp_path: Path) -> None:
    path = tmp_path / "live.csv"
    path.write_text(HEADER)
    for kill, count in ((signal.SIGKILL, 3), (signal.SIGINT, 6)):
        process = _begin(player, path)
        for number in range(count - 3, count):
            with path.open("a") as file:
                file.write(f"7i,{140 + number},1\n")
            _wait_for(player, number + 1)
        process.send_signal(kill)
        _, error = process.communicate(timeout=30)
        assert b"Traceback" not in error
        assert process.returncode == (-signal.SIGKILL if kill is signal.SIGKILL else 0)
    carries = [round(shot["carry_m"] / 0.9144) for shot in player.json("shots")["shots"]]
    assert carries == [140, 141, 142, 143, 144, 145]
    assert len({shot["session"] for shot in player.json("shots")["shots"]}) == 1


def test_what_belongs_to_a_watch_is_refused_without_one(player: Program, path: Path) -> None:
    assert "--watch" in player("import", str(path), "--accept", "--session", "1").refused()
