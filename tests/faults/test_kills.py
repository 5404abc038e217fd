"""Programs killed at random moments: no acknowledged shot is lost, and the store always opens.

What is killed is the process (SIGKILL). What was committed has reached the operating system then, and that is what
these runs prove. That it also survives the loss of power is SQLite's promise for `synchronous=FULL` with a
write-ahead log, on a disk that does not lie about its cache: it is relied upon, and no kill proves it.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from tests.faults.trials import TRIALS, Trial

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")

KILLS, QUICK_KILLS = 500, len(TRIALS)
KILLS_A_STORE = 12
"""After so many a trial begins anew: a store that grows for ever makes every program slower, not the test better."""


def kill_at_random(folder: Path, kills: int, seed: int) -> dict[str, tuple[int, int]]:
    """Kill `kills` programs, of every kind alike, in an order of chance: of each how many, and how many at work."""
    generator = np.random.default_rng(seed)
    kinds = [TRIALS[number % len(TRIALS)] for number in range(kills)]
    generator.shuffle(kinds)
    open_trials: dict[type[Trial], Trial] = {}
    counts: dict[str, tuple[int, int]] = {}
    for kind in kinds:
        done, at_work = counts.get(kind.__name__, (0, 0))
        if done % KILLS_A_STORE == 0:
            open_trials[kind] = kind(folder / f"{kind.__name__}{done}", generator)
        counts[kind.__name__] = (done + 1, at_work + open_trials[kind].strike())
    return counts


def test_a_few_kills_lose_nothing(tmp_path: Path) -> None:
    counts = kill_at_random(tmp_path, QUICK_KILLS, 11)
    assert set(counts) == {kind.__name__ for kind in TRIALS}
    assert sum(at_work for _, at_work in counts.values()) > 0


@pytest.mark.proof
def test_five_hundred_kills_lose_nothing(tmp_path: Path) -> None:
    counts = kill_at_random(tmp_path, KILLS, 12)
    print(f"kills, and how many met a program at work: {counts}")  # noqa: T201
    assert sum(done for done, _ in counts.values()) == KILLS
    # A kill before or after the work shows nothing: of each kind enough must have fallen into it.
    assert all(at_work >= done // 4 for done, at_work in counts.values()), counts
