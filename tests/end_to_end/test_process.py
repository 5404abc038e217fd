"""The real program in processes of its own: acknowledged shots outlive `kill -9`, and two programs share a store."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest


def command(store: Path, *words: str) -> tuple[list[str], dict[str, str]]:
    return [sys.executable, "-m", "trainer", *words], {**os.environ, "TRAINER_STORE": str(store)}


def run(store: Path, *words: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    argv, environ = command(store, *words)
    return subprocess.run(argv, env=environ, input=typed, capture_output=True, text=True, check=False, timeout=60)


def data(store: Path, *words: str) -> dict[str, Any]:
    result = run(store, *words, "--json")
    assert result.returncode == 0, result.stderr
    loaded = json.loads(result.stdout)
    assert isinstance(loaded, dict)
    return loaded


@pytest.fixture
def store(tmp_path: Path) -> Path:
    path = tmp_path / "store.db"
    assert run(path, "setup", "--from-carry", "7 iron=150yd").returncode == 0
    return path


@pytest.mark.parametrize("acknowledged", [1, 2, 5])
def test_a_kill_between_any_two_lines_loses_no_acknowledged_shot(store: Path, acknowledged: int) -> None:
    argv, environ = command(store, "record", "--wind", "12mph", "--wind-from", "0")
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
    shots = data(store, "shots")["shots"]
    assert [shot["id"] for shot in shots] == kept
    assert [round(shot["carry_m"] / 0.9144) for shot in shots] == [120 + number for number in range(acknowledged)]
    assert data(store, "doctor")["sound"]
    assert run(store, "record", typed="7 iron: 140\n").returncode == 0


def test_readers_read_while_a_session_is_open_and_a_second_writer_is_refused(store: Path) -> None:
    argv, environ = command(store, "record", "--calm")
    with subprocess.Popen(argv, env=environ, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.write("7 iron: 140\n")
        process.stdin.flush()
        while not process.stdout.readline().startswith("kept "):
            pass
        assert len(data(store, "shots")["shots"]) == 1
        assert data(store, "gaps")["cells"]
        second = run(store, "record", typed="7 iron: 150\n")
        assert second.returncode == 3
        assert len(second.stderr.strip().splitlines()) == 1
        process.stdin.close()
        process.wait(timeout=30)
    assert process.returncode == 0
    assert len(data(store, "shots")["shots"]) == 1


def test_a_broken_pipe_is_no_traceback(store: Path) -> None:
    argv, environ = command(store, "gaps", "--all")
    with subprocess.Popen(
        argv, env=environ, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, stdin=subprocess.DEVNULL
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert "Traceback" not in process.stderr.read()


def test_ctrl_c_in_mid_session_keeps_the_shots(store: Path) -> None:
    argv, environ = command(store, "record", "--calm")
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
    assert len(data(store, "shots")["shots"]) == 1


def test_input_that_is_no_text_is_one_line(store: Path) -> None:
    argv, environ = command(store, "record")
    result = subprocess.run(
        argv, env=environ, input=b"7 iron: 140\n\xff\xfe\x00\n", capture_output=True, check=False, timeout=60
    )
    assert b"Traceback" not in result.stderr
