"""How quick the screens are: started against a bare app, keys while the model works, figures after a typed shot.

Processes run in a pseudo-terminal with byte code compiled beforehand: without it every start would measure the
compiler.
"""

from __future__ import annotations

import asyncio
import fcntl
import os
import pty
import re
import select
import statistics
import struct
import subprocess
import sys
import termios
import time
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest
from textual.app import App, ComposeResult
from textual.widgets import Static

from tests.benchmarks.long_history import keep_long_history
from tests.benchmarks.told import at_most, best_s, tell
from tests.tui.helpers import begun, keep_player, running, until
from tests.tui.test_look_looks import showing
from trainer.application.conditions.stated import StatedConditions
from trainer.application.demo.playing import play_all
from trainer.application.estimates.learning import forget_all
from trainer.application.estimates.snapshot import snapshot
from trainer.application.evidence.history import read_history
from trainer.store.store import open_store
from trainer.tui.screens.cell import PARTS, CellScreen
from trainer.tui.screens.gaps import GapsScreen
from trainer.tui.screens.look import LookScreen
from trainer.tui.widgets.line import Line
from trainer.tui.widgets.words import Words

pytestmark = pytest.mark.benchmark

ROOT = Path(__file__).parents[2]
RUNS, KEYS, SHOTS = 9, 150, 40
BETWEEN_SHOTS_S = 0.6
"""A fifth of what a quick player needs; in it the draws that the figures stand on are drawn anew."""

START_RATIO, KEY_P99_MS, FIGURES_P95_MS = 1.6, 50.0, 60.0
KEY_RATIO, FIGURES_RATIO = 5.0, 0.15
"""50 ms where a bare app with nothing else to do shows a key within 10; 60 ms where a fit from nothing takes 400."""

GAPS_MS, GAPS_RATIO, MEMORY_MB, MEMORY_RATIO = 300.0, 1.6, 150.0, 4.0
"""300 ms for the table where a bare app starts in 185 ms, 150 MB where one takes 38."""

REDRAW_MS, REDRAW_RATIO = 15.0, 6.0
"""Well within 15 ms: a bare app repaints as many characters of plain text in 1 to 2 ms."""

LOOKS, REDRAWS = 5, 60
A_LOOK_AT_THE_DAY_S = 2.0
F2 = b"\x1bOQ"

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
from trainer.application.evidence import cells
from trainer.application.evidence import gathering as evidence
from trainer.application.estimates.snapshot import snapshot
from trainer.application.conditions.stated import StatedConditions
from trainer.application.evidence.history import read_history
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

    def memory_mb(self) -> float:
        """Resident memory of the process."""
        status = Path(f"/proc/{self._process.pid}/status").read_text(encoding="utf-8")
        return int(re.search(r"VmRSS:\s+(\d+)", status)[1]) / 1024  # type: ignore[index]  # Linux always writes it

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
    assert tell(
        "first usable screen", median["ours"] * 1000, "ms",
        ratio=median["ours"] / median["bare"], of="time", peer="a bare app with as many widgets",
        goal=at_most(START_RATIO),
    )  # fmt: skip


def percentile(values: list[float], share: float) -> float:
    return sorted(values)[min(round(share * len(values)), len(values) - 1)]


def key_times_ms(screen: Screen) -> list[float]:
    """From each of some keys pressed in a field until it is on the screen."""
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
    return times


def from_nothing_ms(path: Path) -> float:
    """Figures of a store's whole history with nothing remembered."""
    with open_store(path, write=False) as store:
        history = replace(read_history(store, None), kept_folder=None)
    last = history.newest_session
    assert last is not None

    def work() -> None:
        forget_all()
        snapshot(history, StatedConditions(), last.started_at)

    return best_s(work, 3) * 1000


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
        busy = percentile(key_times_ms(screen), 0.99)
    finally:
        screen.close()
    bare = Screen([sys.executable, "-c", BARE_APP], environ)
    try:
        bare.until(b"From")
        idle = percentile(key_times_ms(bare), 0.99)
    finally:
        bare.close()
    assert tell(
        "key to screen while the model works, 99 %", busy, "ms", wanted=at_most(KEY_P99_MS),
        ratio=busy / idle, of="time", peer="a bare app that does nothing else", goal=at_most(KEY_RATIO),
    )  # fmt: skip


async def test_figures_follow_a_typed_shot(tmp_path: Path) -> None:
    path = demo_store(tmp_path)
    times = []
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, wind="15mph 1h gust 22mph")
        line = screen.query_one("#line", Line)
        for number in range(SHOTS):
            if screen.entering.asking_wind:
                await pilot.press("escape")
            version = screen.view.version
            line.put(f"{6 + number % 3} iron, {number % 2} in, three-quarter: {120 + number % 17} {number % 5}L")
            await asyncio.sleep(BETWEEN_SHOTS_S)
            begun_at = time.perf_counter()
            screen.action_keep()
            await until(
                pilot,
                lambda version=version: screen.figures is not None and screen.figures.version > version,  # type: ignore[misc]  # bound at once
            )
            times.append((time.perf_counter() - begun_at) * 1000)
    p95, anew = percentile(times, 0.95), from_nothing_ms(path)
    assert tell(
        "typed shot to figures, 95 %", p95, "ms", wanted=at_most(FIGURES_P95_MS),
        ratio=p95 / anew, of="time", peer="the same figures from nothing", goal=at_most(FIGURES_RATIO),
    )  # fmt: skip


@pytest.fixture(scope="module")
def long_history(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store of 5,000 shots whose posterior of today is kept."""
    from trainer.application.looking import Looking, Shelf

    path, now = tmp_path_factory.mktemp("long") / "t.db", datetime.now().replace(microsecond=0)
    assert keep_long_history(path, now) >= 5000
    Looking().known(Shelf(path, None).take(now))
    return path


def gaps_open_after_ms(path: Path, environ: dict[str, str], look_s: float) -> tuple[float, float]:
    """From the key to the table's picture, `look_s` after the day was shown; and the memory then, MB."""
    screen = Screen([sys.executable, "-m", "trainer", "--store", str(path)], environ)
    try:
        screen.until(b"Enter begins")
        screen.drain(look_s)
        screen.press(F2)
        screen.until(b"Look at")
        begun_at = screen.press(b"1")
        opened = (screen.until(b"[today]") - begun_at) * 1000
        screen.drain(0.3)
        return opened, screen.memory_mb()
    finally:
        screen.close()


def test_gaps_of_5000_shots_open_at_once_in_little_memory(long_history: Path, tmp_path: Path) -> None:
    environ = environment(tmp_path)
    bare = [sys.executable, "-c", BARE_APP]
    for _ in range(2):
        usable_after_s(bare, environ)
        gaps_open_after_ms(long_history, environ, 0.0)
    starts, opened, memory = [], [], []
    for _ in range(LOOKS):
        starts.append(usable_after_s(bare, environ) * 1000)
        milliseconds, megabytes = gaps_open_after_ms(long_history, environ, A_LOOK_AT_THE_DAY_S)
        opened.append(milliseconds)
        memory.append(megabytes)
    peer = Screen(bare, environ)
    try:
        peer.until(b"From")
        peer.drain(0.5)
        bare_mb = peer.memory_mb()
    finally:
        peer.close()
    shown, start = statistics.median(opened), statistics.median(starts)
    quick = tell(
        "gaps of 5,000 shots opened", shown, "ms", wanted=at_most(GAPS_MS),
        ratio=shown / start, of="time", peer="a bare app's start", goal=at_most(GAPS_RATIO),
    )  # fmt: skip
    small = tell(
        "gaps of 5,000 shots, memory", max(memory), "MB", wanted=at_most(MEMORY_MB),
        ratio=max(memory) / bare_mb, of="memory", peer="a bare app", goal=at_most(MEMORY_RATIO),
    )  # fmt: skip
    assert quick
    assert small


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("what", ["gaps", "cell", "compare", "progress"])
async def test_a_plot_is_redrawn_in_a_blink(
    tmp_path: Path, what: str, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Against a bare app that replaces as many characters of plain text."""

    class Bare(App[None]):
        def compose(self) -> ComposeResult:
            yield Static("", id="text", markup=False)

    bare = Bare()
    plain: list[float] = []
    async with bare.run_test(size=size):
        static = bare.query_one("#text", Static)
        for number in range(REDRAWS):
            begun_at = time.perf_counter()
            static.update("\n".join(chr(97 + number % 26) * (size[0] - 2) for _ in range(size[1] - 2)))
            painted(bare)
            plain.append((time.perf_counter() - begun_at) * 1000)
    drawn: list[float] = []
    async with showing(tmp_path / "t.db", what, size, monkeypatch) as (app, _):
        screen = app.screen
        assert isinstance(screen, LookScreen)
        for number in range(REDRAWS):
            if isinstance(screen, GapsScreen):
                screen.still = not screen.still
            elif isinstance(screen, CellScreen):
                screen.part = number % len(PARTS)
                for part in range(len(PARTS)):
                    screen.query_one(f"#part-{part}", Words).show(str(number))
            else:
                screen.query_one("#flights" if what == "compare" else "#kinds", Words).show(str(number))
            begun_at = time.perf_counter()
            screen.redraw()
            painted(app)
            drawn.append((time.perf_counter() - begun_at) * 1000)
    ours, peers = statistics.median(drawn), statistics.median(plain)
    assert tell(
        f"{what} redrawn at {size[0]}x{size[1]}", ours, "ms", wanted=at_most(REDRAW_MS),
        ratio=ours / peers, of="time", peer="as many characters of plain text", goal=at_most(REDRAW_RATIO),
    )  # fmt: skip


def painted(app: App[None]) -> None:
    """Lay out and paint the whole screen, as Textual does before it writes to the terminal."""
    app.screen._refresh_layout()
    app.screen._compositor.render_strips()
