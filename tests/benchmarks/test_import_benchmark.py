"""How fast a hundred thousand rows are imported, beside the standard library reading and converting the same file."""

from __future__ import annotations

import csv
import json
import random
import subprocess
import sys
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.benchmarks.told import at_most, tell

pytestmark = pytest.mark.benchmark

ROWS = 100_000
MEMORY_RATIO = 16.0
"""200 MB where the bare reader, who keeps one row, takes 13."""

_PEER = """
import csv, json, sys, time
from tests.benchmarks.told import peak_mb
began = time.process_time()
rows = 0
with open(sys.argv[1], encoding="utf-8", newline="") as file:
    for row in csv.DictReader(file):
        numbers = [float(row[name]) * 0.9144 for name in sys.argv[2].split("|")]
        rows += 1
print(json.dumps({"rows": rows, "cpu_s": time.process_time() - began, "peak_mb": peak_mb()}))
"""
_OURS = """
import json, sys, time
from datetime import datetime
from pathlib import Path
from tests.benchmarks.told import peak_mb
from trainer.application.conditions.stated import StatedConditions
from trainer.application.files.importing import keep_shots, read_shots
from trainer.application.files.table_opening import Answers, open_shots
from trainer.store.store import open_store
began, wall = time.process_time(), time.perf_counter()
when = datetime(2026, 5, 14, 18, 30)
with open_store(Path(sys.argv[2]), write=True) as store:
    player = store.player()
    path = Path(sys.argv[1])
    opened = open_shots(path.read_bytes(), path.name, None, Answers(), player.profile.alias)
    read = read_shots(store, opened, player, StatedConditions(), when)
    keep_shots(store, player, opened, read, StatedConditions(), when)
print(json.dumps({
    "rows": read.taken, "cpu_s": time.process_time() - began, "wall_s": time.perf_counter() - wall,
    "peak_mb": peak_mb(),
}))
"""
NUMBERS = ("Carry (yd)", "Total (yd)", "Peak height (ft)", "Ball speed (mph)", "Launch angle", "Spin (rpm)")


def _write_table(path: Path) -> None:
    rng, at = random.Random(1), datetime(2025, 5, 3, 9)
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(("Time", "Club", "Side (yd)", *NUMBERS, "Note"))
        for _ in range(ROWS):
            at += timedelta(seconds=rng.randint(20, 60))
            carry, side = rng.gauss(140, 15), rng.gauss(0, 8)
            club = rng.choice(("7i", "Iron 8", "9-Iron", "PW", "5 Iron"))
            numbers = (carry, carry + 8, rng.gauss(80, 5), rng.gauss(110, 4), rng.gauss(16, 2), rng.gauss(6500, 400))
            shown = (f"{abs(side):.1f} {'L' if side < 0 else 'R'}", *(f"{number:.1f}" for number in numbers), "")
            writer.writerow((at.isoformat(" "), club, *shown))


def _run(script: str, *words: str) -> dict[str, float]:
    done = subprocess.run([sys.executable, "-c", script, *words], capture_output=True, text=True, check=True)
    found: dict[str, float] = json.loads(done.stdout)
    return found


def test_a_hundred_thousand_rows(tmp_path: Path) -> None:
    path, store = tmp_path / "big.csv", tmp_path / "data" / "store.db"
    _write_table(path)
    setup = ["-m", "trainer", "setup", "--from-carry", "7 iron=150yd", "--store", str(store)]
    subprocess.run([sys.executable, *setup], check=True, capture_output=True)
    peer = _run(_PEER, str(path), "|".join(NUMBERS))
    ours = _run(_OURS, str(path), str(store))
    assert (ours["rows"], peer["rows"]) == (ROWS, ROWS)
    name, alone = f"{ROWS:,} rows imported", "csv.DictReader with float() alone"
    quick = tell(
        name, ours["wall_s"], "s", wanted=at_most(12),
        ratio=ours["cpu_s"] / peer["cpu_s"], of="processor time", peer=alone, goal=at_most(90),
    )  # fmt: skip
    small = tell(
        f"{name}, memory", ours["peak_mb"], "MB", wanted=at_most(200),
        ratio=ours["peak_mb"] / peer["peak_mb"], of="memory", peer=alone, goal=at_most(MEMORY_RATIO),
    )  # fmt: skip
    assert quick
    assert small
