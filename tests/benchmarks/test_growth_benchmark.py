"""How the cost grows: with one player's shots, by the model alone and by the application's way, and with players.

Processor time of one thread, so that what else the machine does counts little. The peer of a size is the next smaller
one in the same run: a ratio of 1 is growth in step.
"""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.benchmarks.long_history import keep_long_history
from tests.benchmarks.test_estimate_benchmark import evidence
from tests.benchmarks.told import at_least, at_most, tell
from trainer.application.estimates.learning import forget_all, learn
from trainer.application.evidence.history import read_history
from trainer.core.estimate.posterior import fit
from trainer.store.store import open_store

pytestmark = pytest.mark.benchmark

SHOTS = (60, 600, 6000, 20_000)
A_DAY = 50
IN_STEP = 2.5
"""Growth in step with the shots, twice over: where the slowest scale has not settled twice the sweeps are drawn."""

EVENINGS = (1, 10, 100, 333)
"""Of 60 shots each."""

TEN_THOUSAND, MINUTES, END_ERROR = 10_000, 5.0, 0.03
PLAYERS = 1000


def cpu_s(work: Callable[[], Any]) -> float:
    began = time.process_time()
    work()
    return time.process_time() - began


def told_as_they_grow(what: str, took: dict[int, float]) -> list[bool]:
    """Each size but the first beside the next smaller one, shot for shot."""
    return [
        tell(
            f"{what}, {size:,} shots", took[size], "s",
            ratio=took[size] / size / (took[before] / before), of="time a shot", peer=f"{before:,} shots",
            goal=at_most(IN_STEP),
        )
        for before, size in pairwise(took)
    ]  # fmt: skip


def test_the_model_with_more_shots() -> None:
    took = {}
    for shots in SHOTS:
        cells, seen = evidence(shots, -(-shots // A_DAY))
        took[shots] = cpu_s(lambda c=cells, s=seen: fit(c, s, np.random.default_rng(1)))  # type: ignore[misc]  # called at once
    assert all(told_as_they_grow("a posterior from nothing", took))


def test_the_applications_way_with_more_shots(tmp_path: Path) -> None:
    """Stored shots to history, evidence and posterior, nothing remembered or kept before."""
    now = datetime(2026, 5, 14, 18, 30)
    took = {}
    for evenings in EVENINGS:
        path = tmp_path / str(evenings) / "t.db"
        path.parent.mkdir()
        shots = keep_long_history(path, now, evenings=evenings)

        def work(path: Path = path) -> None:
            forget_all()
            with open_store(path, write=False) as store:
                learn(read_history(store, None), now)

        took[shots] = cpu_s(work)
    assert all(told_as_they_grow("a store's shots read and learned", took))


def in_own_process(players: int) -> dict[str, float]:
    command = [sys.executable, "-m", "tests.benchmarks.players", "--players", str(players)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    found: dict[str, float] = json.loads(done.stdout)
    return found


def test_very_many_players() -> None:
    """A thousand stand for ten thousand: they come in batches, and every batch costs the same."""
    cells, seen = evidence(60, 1)
    alone = cpu_s(lambda: fit(cells, seen, np.random.default_rng(1)))
    few, many = in_own_process(PLAYERS // 2), in_own_process(PLAYERS)
    each = many["cpu_s"] / PLAYERS
    quick = tell(
        f"10,000 players of 60 shots, from {PLAYERS:,}", each * TEN_THOUSAND / 60, "min", wanted=at_most(MINUTES),
        ratio=alone / each, of="speed a player", peer="one player fitted alone", goal=at_least(10),
    )  # fmt: skip
    near = tell(
        "their ranges' ends beside a long run's", 100 * many["rms_end_error"], "% of the width",
        wanted=at_most(100 * END_ERROR), ratio=many["rms_end_error"] / many["independent_rms_end_error"], of="error",
        peer="as many independent draws", goal=at_most(1.3),
    )  # fmt: skip
    bounded = tell(
        f"{PLAYERS:,} players, memory", many["peak_mb"], "MB",
        ratio=many["peak_mb"] / few["peak_mb"], of="memory", peer="a single batch", goal=at_most(1.15),
    )  # fmt: skip
    assert quick
    assert near
    assert bounded
