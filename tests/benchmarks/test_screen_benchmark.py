"""How quick the screens are: started against a bare app, keys while the model works, figures after a typed shot.

Processes run in a pseudo-terminal with byte code compiled beforehand: without it every start would measure the
compiler.
"""

from __future__ import annotations

import asyncio
import fcntl
import os
import pty
import select
import statistics
import struct
import subprocess
import sys
import termios
import time
from pathlib import Path

import pytest

from tests.tui.helpers import begun, keep_player, running, until
from trainer.application.demo import play_all
from trainer.store.store import open_store
from trainer.tui.widgets.line import ShotLine

pytestmark = pytest.mark.benchmark

ROOT = Path(__file__).parents[2]
RUNS, KEYS, SHOTS = 9, 150, 40
BETWEEN_SHOTS_S = 0.6
"""A fifth of what a quick player needs; in it the draws that the figures stand on are drawn anew."""

START_RATIO, KEY_P99_MS, FIGURES_P95_MS = 1.6, 50.0, 60.0

BARE_APP = """
from textual.app import App
from textual.widgets import Input, Static
class Bare(App):
    def compose(self):
        for number in range(18):
            yield Static(f"From {number}")
        yield Input()
    def on_mount(self):
        self.query_one(Input).focus()
Bare().run()
"""
"""As many widgets as the first screen has, one of them a focused field."""

BUSY_SESSION = """
import sys, threading, time
from pathlib import Path
from trainer.tui.app import TrainerApp
from trainer.application import cells, evidence
from trainer.application.estimates import snapshot
from trainer.application.conditions import StatedConditions
from trainer.application.history import read_history
from trainer.store.store import open_store
path = Path(sys.argv[1])
with open_store(path, write=False) as store:
    history = read_history(store, None)
def work():
    while True:
        # Nothing is remembered: the hardest the model ever works while a session runs.
        cells._lay_out.cache_clear(); cells._effects_in.cache_clear(); evidence._known_terms.cache_clear()
        snapshot(history, StatedConditions(), history.newest_session.started_at)
threading.Thread(target=work, daemon=True).start()
TrainerApp(path).run()
"""


class Screen:
    """A program in a pseudo-terminal of 80 × 24."""

    def __init__(self, command: list[str], environ: dict[str, str]) -> None:
        self.started = time.perf_counter()
        self._master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self._process = subprocess.Popen(
            command, stdin=slave, stdout=slave, stderr=slave, env=environ, cwd=ROOT, start_new_session=True
        )
        os.close(slave)

    def until(self, part: bytes, seconds: float = 20.0) -> float:
        """Read until `part` has come; give the moment."""
        deadline = time.perf_counter() + seconds
        seen = b""
        while part not in seen:
            left = deadline - time.perf_counter()
            assert left > 0, f"{part!r} never came: {seen[-600:]!r}"
            if select.select([self._master], [], [], left)[0]:
                seen = (seen + os.read(self._master, 65536))[-20000:]
        return time.perf_counter()

    def press(self, key: bytes) -> float:
        os.write(self._master, key)
        return time.perf_counter()

    def drain(self, seconds: float) -> None:
        deadline = time.perf_counter() + seconds
        while (left := deadline - time.perf_counter()) > 0:
            if select.select([self._master], [], [], left)[0]:
                os.read(self._master, 65536)

    def close(self) -> None:
        self._process.kill()
        self._process.wait()
        os.close(self._master)


def environment(folder: Path) -> dict[str, str]:
    environ = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {
        **environ,
        "PYTHONPYCACHEPREFIX": str(folder / "compiled"),
        "PYTHONPATH": str(ROOT),
        "TERM": "xterm-256color",
        "OMP_NUM_THREADS": "1",
    }


def usable_after_s(command: list[str], environ: dict[str, str]) -> float:
    """Seconds from the start of the process until a key is on the screen."""
    screen = Screen(command, environ)
    try:
        screen.until(b"From")
        screen.press(b"@")
        return screen.until(b"@") - screen.started
    finally:
        screen.close()


def test_the_first_screen_is_usable_almost_as_soon_as_a_bare_app(tmp_path: Path) -> None:
    path, environ = tmp_path / "t.db", environment(tmp_path)
    keep_player(path)
    ours = [sys.executable, "-m", "trainer", "--store", str(path)]
    bare = [sys.executable, "-c", BARE_APP]
    for command in (ours, bare, ours):
        usable_after_s(command, environ)
    times: dict[str, list[float]] = {"ours": [], "bare": []}
    for _ in range(RUNS):
        times["bare"].append(usable_after_s(bare, environ))
        times["ours"].append(usable_after_s(ours, environ))
    median = {name: statistics.median(values) for name, values in times.items()}
    print(f"first usable screen: {median['ours'] * 1000:.0f} ms, bare app {median['bare'] * 1000:.0f} ms")  # noqa: T201
    assert median["ours"] <= START_RATIO * median["bare"]


def percentile(values: list[float], share: float) -> float:
    return sorted(values)[min(round(share * len(values)), len(values) - 1)]


def demo_store(folder: Path) -> Path:
    path = folder / "demo.db"
    with open_store(path, write=True) as store:
        play_all(store)
    return path


def test_keys_are_on_the_screen_at_once_while_the_model_works(tmp_path: Path) -> None:
    environ = environment(tmp_path)
    screen = Screen([sys.executable, "-c", BUSY_SESSION, str(demo_store(tmp_path))], environ)
    try:
        screen.until(b"Enter begins")
        screen.press(b"calm\r")
        screen.until(b"warm-up")
        screen.drain(1.0)
        times = []
        for number in range(KEYS):
            key = b"@%&~$"[number % 5 : number % 5 + 1]
            begun_at = screen.press(key)
            times.append((screen.until(key) - begun_at) * 1000)
            screen.drain(0.02 + 0.007 * (number % 9))
            if number % 20 == 19:
                screen.press(b"\x15")
                screen.drain(0.2)
    finally:
        screen.close()
    p50, p99 = statistics.median(times), percentile(times, 0.99)
    print(f"key to screen while the model works: p50 {p50:.1f} ms, p99 {p99:.1f} ms")  # noqa: T201
    assert p99 <= KEY_P99_MS


async def test_figures_follow_a_typed_shot(tmp_path: Path) -> None:
    path = demo_store(tmp_path)
    times = []
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, wind="15mph 1h gust 22mph")
        line = screen.query_one("#line", ShotLine)
        for number in range(SHOTS):
            if screen.entering.asking_wind:
                await pilot.press("escape")
            version = screen.view.version
            line.put(f"{6 + number % 3} iron, {number % 2} in, three-quarter: {120 + number % 17} {number % 5}L")
            await asyncio.sleep(BETWEEN_SHOTS_S)
            begun_at = time.perf_counter()
            line.enter()
            await until(
                pilot,
                lambda version=version: screen.figures is not None and screen.figures.version > version,  # type: ignore[misc]  # bound at once
            )
            times.append((time.perf_counter() - begun_at) * 1000)
    p50, p95 = statistics.median(times), percentile(times, 0.95)
    print(f"typed shot to figures: p50 {p50:.1f} ms, p95 {p95:.1f} ms")  # noqa: T201
    assert p95 <= FIGURES_P95_MS
