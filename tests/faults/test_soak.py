"""Thousands of balls through the session's screen: memory and the time from Enter to the kept ball stay flat.

One program, evening after evening, as a season is played: a session of free practice, ended, and the next begun. Each
ball is typed into the line and waited for until the store has answered. Five thousand balls, over more evenings than
it takes until memory is flat, stand for the twenty thousand of a few years, which take half an hour and more (set
`BALLS`). They are typed with the figures left out, whose fits would take hours; a shorter soak has them beside it.
Within one session the time grows with its balls (all of them are read back and shown), so whole evenings are compared
with whole evenings. What is compared is processor time, so that a busy machine changes nothing.

Flat memory does not mean none: the records of what was hit are held (three quarters of a kilobyte a ball, two with
what the allocator leaves between them), and Textual keeps what some
seventy closed screens painted (`StylesCache.get_inner_outer` remembers 1,024 of its own caches) before it is flat.
"""

from __future__ import annotations

import gc
import os
import statistics
import time
from collections import Counter
from datetime import timedelta
from pathlib import Path

import pytest

from tests.tui.helpers import START, Clock, begun, day_is_shown, keep_player, running, settled, typed
from trainer.store.store import open_store
from trainer.tui.desk import Desk

EVENING = 40
QUICK_BALLS, BALLS, BALLS_WITH_FIGURES = 40, 5_000, 400
SHORT_EVENING, COUNTED_AFTER = 4, (160, 220)
LATENCY_RATIO, GROWTH_WITH_FIGURES_MB = 1.5, 60.0
GROWTH_MB_A_BALL = 0.0025
"""The record of a ball that was hit, with what the allocator leaves beside it."""

pytestmark = pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="memory is read from /proc")


def memory_mb() -> float:
    """What the process holds now."""
    gc.collect()
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 2**20


def objects_by_kind() -> Counter[str]:
    """How many objects of each kind there are now."""
    gc.collect()
    return Counter(f"{type(each).__module__}.{type(each).__name__}" for each in gc.get_objects())


class Soak:
    """From Enter to the answer, s of processor time and s waited, of each ball; memory, MB, after each evening.

    `objects` are counted by kind after two late evenings.
    """

    def __init__(self) -> None:
        self.answers_s: list[float] = []
        self.waits_s: list[float] = []
        self.memory_mb: list[float] = []
        self.objects: dict[int, Counter[str]] = {}

    async def play(self, path: Path, balls: int, evening_balls: int = EVENING) -> None:
        """Type `balls` in one program, `evening_balls` an evening."""
        clock = Clock()
        async with running(path, clock=clock) as (app, pilot):
            for evening in range(balls // evening_balls):
                clock.now = START + timedelta(days=2 * evening)
                screen = await begun(app, pilot, wind=f"{8 + evening % 9}mph {1 + evening % 12}h")
                for number in range(evening_balls):
                    text = f"{6 + number % 3} iron: {100 + (7 * evening + 3 * number) % 40} {number % 9}R"
                    begun_at, worked_s = time.perf_counter(), time.process_time()
                    await typed(screen, pilot, text)
                    self.waits_s.append(time.perf_counter() - begun_at)
                    self.answers_s.append(time.process_time() - worked_s)
                    if screen.entering.asking_wind:
                        await pilot.press("escape")
                await pilot.press("escape", "e")
                await day_is_shown(app, pilot)
                await settled(app, pilot)
                self.memory_mb.append(memory_mb())
                if evening in COUNTED_AFTER:
                    self.objects[evening] = objects_by_kind()


async def soak(path: Path, balls: int) -> Soak:
    """Play, and look whether all is there."""
    keep_player(path)
    played = Soak()
    await played.play(path, balls)
    with open_store(path, write=False) as store:
        assert len(store.shots()) == balls
        assert len(store.sessions(store.player().id)) == balls // EVENING
    return played


async def test_an_evening_in_the_soak(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Desk, "_sum", lambda *_: None)
    played = await soak(tmp_path / "t.db", QUICK_BALLS)
    assert len(played.answers_s) == QUICK_BALLS


def require_flat(played: Soak, part: int, growth_mb: float) -> None:
    """The last `part` of the balls against the first, and memory at the end against that after three fifths."""
    first, last = (statistics.median(times) for times in (played.answers_s[:part], played.answers_s[-part:]))
    early, late = played.memory_mb[3 * len(played.memory_mb) // 5], max(played.memory_mb[-3:])
    waits = [statistics.median(times) * 1000 for times in (played.waits_s[:part], played.waits_s[-part:])]
    print(  # noqa: T201
        f"{len(played.answers_s)} balls, Enter to the kept ball: {first * 1000:.1f} ms of work in the first {part}, "
        f"{last * 1000:.1f} ms in the last (ratio {last / first:.2f}), waited {waits[0]:.0f} and {waits[1]:.0f} ms; "
        f"memory {played.memory_mb[0]:.0f} MB at first, {early:.0f} MB after three fifths, {late:.0f} MB at the end"
    )
    assert last <= LATENCY_RATIO * first
    assert late - early <= growth_mb


@pytest.mark.proof
async def test_thousands_of_balls_leave_memory_and_latency_flat(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Desk, "_sum", lambda *_: None)
    require_flat(await soak(tmp_path / "t.db", BALLS), 1000, GROWTH_MB_A_BALL * BALLS * 2 / 5)


@pytest.mark.proof
async def test_balls_with_their_figures_leave_memory_and_latency_flat(tmp_path: Path) -> None:
    require_flat(await soak(tmp_path / "t.db", BALLS_WITH_FIGURES), 80, GROWTH_WITH_FIGURES_MB)


@pytest.mark.proof
async def test_nothing_is_held_but_what_was_hit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Once Textual's own caches are full, what there is one more of an evening is that evening's records alone."""
    monkeypatch.setattr(Desk, "_sum", lambda *_: None)
    keep_player(tmp_path / "t.db")
    played = Soak()
    first, last = COUNTED_AFTER
    await played.play(tmp_path / "t.db", SHORT_EVENING * (last + 1), SHORT_EVENING)
    more = played.objects[last] - played.objects[first]
    evenings = last - first
    grown = {kind: count for kind, count in more.items() if count >= evenings}
    assert {kind: count / evenings for kind, count in grown.items()} == {
        "trainer.core.conditions.Air": 1,
        "trainer.core.conditions.Wind": 1,
        "trainer.store.records.SessionRecord": 1,
        "trainer.store.records.ReadingRecord": 1,
        "trainer.core.bag.Cell": SHORT_EVENING,
        "trainer.core.shot.ShotEntry": SHORT_EVENING,
        "trainer.store.records.ShotRecord": SHORT_EVENING,
    }
