"""The real program in processes of its own: acknowledged shots outlive `kill -9`, and two programs share a store."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.program import Program
from tests.tui.helpers import put_store


def command(store: Path, *words: str) -> tuple[list[str], dict[str, str]]:
    return [sys.executable, "-m", "trainer", *words], {**os.environ, "TRAINER_STORE": str(store)}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store that a process of its own made, and closed."""
    path = tmp_path_factory.mktemp("made") / "store.db"
    argv, environ = command(path, "setup", "--from-carry", "7 iron=150yd")
    subprocess.run(argv, env=environ, capture_output=True, check=True, timeout=60)
    return path


@pytest.fixture
def player(made: Path, tmp_path: Path) -> Program:
    """The command line in this process, which is another one than the one that records."""
    put_store(tmp_path / "data" / "store.db", made.read_bytes())
    return Program(tmp_path / "data" / "store.db")


@pytest.mark.parametrize("acknowledged", [1, pytest.param(2, marks=pytest.mark.proof), 5])
def test_a_kill_between_any_two_lines_loses_no_acknowledged_shot(player: Program, acknowledged: int) -> None:
    argv, environ = command(player.store, "record", "--wind", "12mph", "--wind-from", "0")
    with subprocess.Popen(argv, env=environ, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        kept = []
        for number in range(acknowledged):
            process.stdin.write(f"7 iron: {120 + number}\n")
            process.stdin.flush()
            while not (line := process.stdout.readline()).startswith("kept "):
                assert line, "the program ended by itself"
            kept.append(int(line.split()[1].rstrip(":")))
        os.kill(process.pid, signal.SIGKILL)
    shots = player.json("shots")["shots"]
    assert [shot["id"] for shot in shots] == kept
    assert [round(shot["carry_m"] / 0.9144) for shot in shots] == [120 + number for number in range(acknowledged)]
    assert player.json("doctor")["sound"]
    assert player("record", typed="7 iron: 140\n").code == 0


def test_readers_read_while_a_session_is_open_and_a_second_writer_is_refused(player: Program) -> None:
    argv, environ = command(player.store, "record", "--calm")
    with subprocess.Popen(argv, env=environ, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.write("7 iron: 140\n")
        process.stdin.flush()
        while not process.stdout.readline().startswith("kept "):
            pass
        assert len(player.json("shots")["shots"]) == 1
        assert player.json("gaps")["cells"]
        player("record", typed="7 iron: 150\n").refused(code=3)
        process.stdin.close()
        process.wait(timeout=30)
    assert process.returncode == 0
    assert len(player.json("shots")["shots"]) == 1


def test_a_broken_pipe_is_no_traceback(player: Program) -> None:
    argv, environ = command(player.store, "gaps", "--all")
    with subprocess.Popen(
        argv, env=environ, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, stdin=subprocess.DEVNULL
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert "Traceback" not in process.stderr.read()


def test_ctrl_c_in_mid_session_keeps_the_shots(player: Program) -> None:
    argv, environ = command(player.store, "record", "--calm")
    with subprocess.Popen(
        argv, env=environ, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdin.write("7 iron: 140\n")
        process.stdin.flush()
        while not process.stdout.readline().startswith("kept "):
            pass
        process.send_signal(signal.SIGINT)
        assert "Traceback" not in process.stderr.read()
    assert len(player.json("shots")["shots"]) == 1


def test_input_that_is_no_text_is_one_line(player: Program) -> None:
    argv, environ = command(player.store, "record")
    result = subprocess.run(
        argv, env=environ, input=b"7 iron: 140\n\xff\xfe\x00\n", capture_output=True, check=False, timeout=60
    )
    assert b"Traceback" not in result.stderr
