"""`say` and `guess` lines in `record`, and what `progress` makes of them."""

from __future__ import annotations

import signal
import subprocess
import sys

import pytest

from tests.cli.program import Program
from trainer.store.store import open_store

HEAD = ("--wind", "12mph", "--wind-from", "0", "--seen", "laser")


def test_they_are_kept_with_the_ball_and_the_reading_that_follow(player: Program) -> None:
    typed = [line for n in range(6) for line in (
        "guess 14mph 12h", "wind 12mph 1h", f"say {140 + n}", "7 iron: 132",
    )]  # fmt: skip
    told = player.lines("say 150", *typed, "say nonsense", options=HEAD)
    assert told["recorded"] == 6
    assert [each["line"] for each in told["refused"]] == [26]
    own = player.json("progress")["own_calls"]
    assert own["carry"]["balls"] == 6
    assert own["carry"]["said_less_seen_m"]["mean"] == pytest.approx(0.9144 * 10.5)
    assert own["carry"]["off_less_called_off_m"]["mean"] > 0
    assert own["wind"]["readings"] == 6
    assert own["wind"]["guess_less_reading_mps"]["mean"] == pytest.approx(2 * 0.44704)
    assert own["wind"]["direction_off_deg"]["mean"] == pytest.approx(30)
    text = player("progress").out
    assert "Say it first" in text
    assert "Read the wind" in text
    assert max(map(len, text.splitlines())) <= 80


def test_a_ball_undone_takes_its_word_with_it(player: Program) -> None:
    player.lines("say 140", "7 iron: 132", options=HEAD)
    shot = player.json("shots")["shots"][0]
    player.json("shots", "undo", str(shot["id"]))
    assert player.json("progress")["own_calls"] == {"carry": None, "wind": None}


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")
def test_killed_between_the_word_and_the_ball_the_word_is_kept(player: Program) -> None:
    command = [sys.executable, "-m", "trainer", "record", "--calm", "--store", str(player.store)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as program:
        assert program.stdin is not None
        assert program.stdout is not None
        program.stdin.write("7 iron: 132\nsay 140\n")
        program.stdin.flush()
        said = ""
        while said.count("kept") < 2:
            said = f"{said}{program.stdout.readline()}"
        program.kill()
        assert program.wait() == -signal.SIGKILL
    with open_store(player.store, write=False) as store:
        (call,) = store.own_calls(store.player().id)
        assert call.carry_m == pytest.approx(140 * 0.9144)
        assert len(store.shots()) == 1
