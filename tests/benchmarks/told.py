"""What a benchmark found, told in one way: printed, and as a line of JSON in the file that `LISTENER` names."""

from __future__ import annotations

import json
import os
import resource
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

LISTENER = "TRAINER_BENCHMARKS"
"""Environment variable that names the file; unset, the figures are only printed."""


@dataclass(frozen=True, slots=True)
class Goal:
    """A bound that a figure or a ratio is to keep."""

    bound: float
    at_least: bool

    def met(self, value: float) -> bool:
        """Whether `value` keeps the bound."""
        return value >= self.bound if self.at_least else value <= self.bound

    def __str__(self) -> str:
        return f"{'≥' if self.at_least else '≤'} {number(self.bound)}"


def at_least(bound: float) -> Goal:
    """Met by `bound` and what is above."""
    return Goal(bound, True)


def at_most(bound: float) -> Goal:
    """Met by `bound` and what is below."""
    return Goal(bound, False)


@dataclass(frozen=True, slots=True)
class Told:
    """A benchmark's line: the figure in its unit with its goal there, and the ratio of `ratio_of` to a named peer's.

    The ratio's goal is what a test holds: it hardly changes with the machine and what else it does. `load` is the
    number of processes that wanted a processor in the last minute.
    """

    name: str
    figure: float
    unit: str
    figure_goal: str | None
    figure_met: bool | None
    ratio: float
    ratio_of: str
    peer: str
    goal: str
    ratio_met: bool
    load: float

    @property
    def met(self) -> bool:
        """Whether both goals are met, or the one there is."""
        return self.ratio_met and self.figure_met is not False

    def __str__(self) -> str:
        wanted = "" if self.figure_goal is None else f" ({self.figure_goal})"
        return (
            f"{self.name}: {number(self.figure)} {self.unit}{wanted}; {number(self.ratio)} × the {self.ratio_of} of "
            f"{self.peer} ({self.goal}); load {self.load:.1f}"
        )


def tell(
    name: str, figure: float, unit: str, *, ratio: float, of: str, peer: str, goal: Goal, wanted: Goal | None = None
) -> bool:
    """Print a figure and its ratio to a peer of the same run, write them where someone listens; is the goal met?

    `goal` is the ratio's, `wanted` the figure's own, in its unit, where it has one.
    """
    told = Told(
        name, figure, unit, None if wanted is None else str(wanted), None if wanted is None else wanted.met(figure),
        ratio, of, peer, str(goal), goal.met(ratio), os.getloadavg()[0],
    )  # fmt: skip
    print(f"\n{told}")  # noqa: T201  # a benchmark's result is what it prints
    if listener := os.environ.get(LISTENER):
        with Path(listener).open("a", encoding="utf-8") as file:
            file.write(json.dumps(asdict(told)) + "\n")
    return told.ratio_met


def number(value: float) -> str:
    """Three figures that matter, no exponent."""
    size = abs(value)
    if size >= 100:
        return f"{value:,.0f}"
    return f"{value:.1f}" if size >= 10 else f"{value:.2f}" if size >= 0.1 else f"{value:.2g}"


def peak_mb() -> float:
    """The most memory this process has had resident; what a parent had before it does not count on Linux."""
    status = Path("/proc/self/status")
    if status.exists():
        return (
            int(next(line for line in status.read_text().splitlines() if line.startswith("VmHWM")).split()[1]) / 1024
        )
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20


def best_s(work: Callable[[], object], repeats: int) -> float:
    """Seconds of the quickest of `repeats` goes after one that is not counted."""
    work()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)
