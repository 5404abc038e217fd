"""A whole short session in a real terminal: corrected, the wind changed, killed, gone on with, compared."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from trainer.application.conditions.stated import StatedConditions
from trainer.application.planning.agenda import Wish
from trainer.application.session.recording import begin
from trainer.core.conditions import Ball, Surface
from trainer.core.units import UnitChoice
from trainer.exchange.wind_text import parse_wind
from trainer.store.records import ShotRecord
from trainer.store.store import Store, open_store

ROOT = Path(__file__).parents[2]
PATIENCE_S = 60.0
PLAN = "first-windy-evening"

pytestmark = [
    pytest.mark.skipif(shutil.which("tmux") is None, reason="tmux is not installed"),
    pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="the child's process id is read from /proc"),
]


class Terminal:
    """One window of a tmux server of its own."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._program = ""

    def tmux(self, *words: str) -> str:
        command = ["tmux", "-L", self._name, "-f", os.devnull, *words]
        return subprocess.run(command, capture_output=True, text=True, check=False).stdout

    def start(self, store: Path, columns: int = 80, rows: int = 24, extra: str = "") -> None:
        environ = f"env PYTHONPATH={ROOT} TERM=tmux-256color OMP_NUM_THREADS=1 {extra}"
        program = f"{environ} {sys.executable} -m trainer --store {store}; echo back $?; sleep 60"
        self.tmux("new-session", "-d", "-x", str(columns), "-y", str(rows), program)
        self._program = program

    def start_again(self) -> None:
        self.tmux("respawn-pane", "-k", self._program)

    def close(self) -> None:
        self.tmux("kill-server")

    @property
    def text(self) -> str:
        return self.tmux("capture-pane", "-p")

    @property
    def child(self) -> int:
        shell = int(self.tmux("display-message", "-p", "#{pane_pid}"))
        return int(Path(f"/proc/{shell}/task/{shell}/children").read_text(encoding="ascii").split()[0])

    def wait(self, condition: Callable[[str], bool], what: str) -> str:
        deadline = time.monotonic() + PATIENCE_S
        while not condition(text := self.text):
            assert time.monotonic() < deadline, f"never came: {what}\n{text}"
            time.sleep(0.05)
        return text

    def wait_for(self, part: str) -> str:
        return self.wait(lambda text: part in text, part)

    def keys(self, *names: str) -> None:
        self.tmux("send-keys", *names)

    def enter(self, text: str) -> None:
        self.tmux("send-keys", "-l", text)
        end = text[-40:]  # a line too long for its field shows its end
        self.wait(lambda shown: end in shown, f"{text} in the line")
        self.keys("Enter")


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Terminal]:
    window = Terminal(f"trainer-{os.getpid()}-{tmp_path.name}"[:60])
    yield window
    window.close()


def begin_on_screen(terminal: Terminal, store: Path) -> None:
    """From the very first start to the first ball after the warm-up."""
    terminal.start(store)
    terminal.wait_for("You know your")
    terminal.enter("150")
    terminal.wait_for("1 of 4")  # the tour, once
    terminal.keys("Escape")
    terminal.wait(lambda text: "1 of 4" not in text and "Enter begins: First windy evening" in text, "the day")
    terminal.enter("14mph 1h")
    text = terminal.wait_for("warm-up")
    while "not recorded. Enter" in text:
        ball = text.splitlines()[0]
        terminal.keys("Enter")
        text = terminal.wait(lambda shown, ball=ball: shown.splitlines()[0] != ball, "the next ball")  # type: ignore[misc]  # bound at once


def is_running(process: int) -> bool:
    """Whether it still runs: one that has ended and waits to be reaped by whoever inherited it does not."""
    try:
        stat = Path(f"/proc/{process}/stat").read_text(encoding="ascii", errors="replace")
    except (FileNotFoundError, ProcessLookupError):
        return False
    return stat.rpartition(")")[2].split()[0] not in ("Z", "X")


def standing_of(process: int) -> str:
    """What the kernel says each of its threads waits for."""
    threads = Path(f"/proc/{process}/task").glob("*")
    return "\n".join(f"{each.name}: {(each / 'wchan').read_text(encoding='ascii')}" for each in threads)


def kept(store: Store) -> list[dict[str, Any]]:
    """What the shots of a store say, without ids and times."""
    winds = {reading.id: reading.wind for reading in store.readings()}

    def said(shot: ShotRecord) -> dict[str, Any]:
        return {
            "cell": shot.cell,
            "entry": replace(shot.entry, hang_s=None),
            "target": shot.target_m,
            "ball": shot.agenda_number,
            "wind": None if shot.reading_id is None else winds[shot.reading_id],
            "mark": shot.mark,
        }

    return [said(shot) for shot in store.shots()]


def test_a_session_with_a_correction_a_new_wind_and_a_kill(terminal: Terminal, tmp_path: Path) -> None:
    path = tmp_path / "screen.db"
    begin_on_screen(terminal, path)
    for text, heard in (("104 3R", "carry 104 yd"), ("99", "carry 99 yd"), ("x", "mishit")):
        terminal.enter(text)
        terminal.wait_for(f"kept: {heard}")
    terminal.keys("Up", "Up", "Enter")
    terminal.wait_for("correcting shot 2")
    terminal.keys("BSpace", "BSpace")
    terminal.enter("109 2L")
    terminal.wait_for("corrected: carry 109 yd")
    terminal.enter("wind 10mph 3h")
    terminal.wait_for("kept: wind 10 mph")
    terminal.enter("101 4L")
    terminal.wait_for("kept: carry 101 yd")
    terminal.tmux("send-keys", "-l", "88")  # half typed, not entered
    os.kill(terminal.child, signal.SIGKILL)
    terminal.wait_for("back 137")
    with open_store(path, write=False) as store:
        assert len(store.shots()) == 4
    terminal.start_again()
    terminal.wait_for("Go on: First windy evening")
    terminal.keys("Enter")
    text = terminal.wait_for("109 2L")
    assert "10 mph from 3h" in text
    assert "88" not in text
    terminal.keys("Escape")
    terminal.wait_for("7 long left")
    terminal.keys("3")
    terminal.wait(lambda shown: "short right" in shown.split("x mishit")[-1], "the shot in the list")
    terminal.keys("u", "1")
    terminal.wait(lambda shown: "short left" in shown.split("x mishit")[-1], "the shot after it")
    terminal.keys("C-q")
    terminal.wait_for("back 0")

    assert_equals_typed_twin(path, tmp_path / "typed.db")


def assert_equals_typed_twin(path: Path, twin_path: Path) -> None:
    """The same session typed without screens holds the same."""
    with open_store(path, write=False) as store, open_store(twin_path, write=True) as twin:
        player, session = store.player(), store.sessions(1)[0]
        assert session.ended_at is None
        twin.save_profile(player.profile, session.started_at)
        wind = parse_wind("14mph 1h", UnitChoice())
        stated = StatedConditions(wind=wind, ball=Ball.PLAYING, surface=Surface.GRASS)
        recorder = begin(twin, None, stated, session.started_at, Wish(PLAN))
        for line in ("104 3R", "109 2L", "x", "wind 10mph 3h", "101 4L", "z1"):
            recorder.line(line, session.started_at)
        assert kept(store) == kept(twin)
        ended = [ball.state for ball in store.agenda(session.id)], [ball.state for ball in twin.agenda(1)]
        assert ended[0] == ended[1]


def test_a_signal_ends_it_in_good_order(terminal: Terminal, tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    begin_on_screen(terminal, path)
    terminal.enter("104 3R")
    terminal.wait_for("kept: carry 104 yd")
    os.kill(terminal.child, signal.SIGTERM)
    text = terminal.wait_for("back 0")
    assert "is kept" in text
    assert "Traceback" not in text
    with open_store(path, write=True) as store:
        assert len(store.shots()) == 1


def test_a_closed_terminal_loses_nothing_and_leaves_no_process(terminal: Terminal, tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    begin_on_screen(terminal, path)
    terminal.enter("104 3R")
    terminal.wait_for("kept: carry 104 yd")
    child = terminal.child
    terminal.close()
    deadline = time.monotonic() + PATIENCE_S
    while is_running(child):
        assert time.monotonic() < deadline, f"the program outlives its terminal\n{standing_of(child)}"
        time.sleep(0.05)
    with open_store(path, write=True) as store:
        assert len(store.shots()) == 1


def test_no_color_paints_without_any(terminal: Terminal, tmp_path: Path) -> None:
    terminal.start(tmp_path / "t.db", extra="NO_COLOR=1")
    terminal.wait_for("You know your")
    painted = terminal.tmux("capture-pane", "-p", "-e")
    codes = {code for codes in re.findall(r"\x1b\[([0-9;]*)m", painted) for code in codes.split(";")}
    assert codes <= {"", "0", "1", "2", "3", "4", "7", "22", "23", "24", "27", "39", "49"}, codes
