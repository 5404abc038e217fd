"""What every rule of the agenda's race meets alike: evenings, winds, readings, and the balls written down.

An evening is 45 balls on a day of its own, a week after the last. In *varied* wind each third of it has another wind
and reading; with *two directions* one wind blows all evening and balls may be hit at it and with it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np

from tests.evidence.agenda_players import BENCH, SEEN_SD_M, Golfer, Seen, hit
from tests.evidence.gaussian_model import Evidence
from trainer.core.bag import Swing
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.estimate.observations import SHOT_FIELDS, Observations, Readings
from trainer.core.flight.wind import WindField
from trainer.core.schedule.balls import Agenda
from trainer.core.schedule.information import Beliefs, Bools, Direction
from trainer.core.schedule.progress import PastShot

EVENING = 45
STRETCHES = 3
MOST_EVENINGS = 16
MOST_BALLS = EVENING * MOST_EVENINGS
SCENARIOS = ("varied", "two directions")
GOAL_M = 4 * 0.9144
WANTED: Ints = np.flatnonzero(
    [(cell.swing is Swing.THREE_QUARTER) if cell.grip_down_m else (cell.swing is Swing.FULL) for cell in BENCH.cells]
)
"""Every club full at the normal grip, and low: three-quarter, an inch down."""

READING_SHARE, READING_LEAST_MPS = 0.15, 1.0
_FIRST_DAY = date(2026, 4, 1)
_SHORTEST_SEEN_M = 20.0


@dataclass(frozen=True, slots=True)
class Stretch:
    """Balls in one wind: the true wind, what was read of it along the line, the lines it may be hit along."""

    balls: int
    day: int
    day_log: float
    true_along: float
    true_across: float
    read_along: float
    read_across: float
    turns: tuple[int, ...]

    @property
    def reading_sd_mps(self) -> float:
        """S.d. of the reading along the line."""
        return max(READING_SHARE * math.hypot(self.read_along, self.read_across), READING_LEAST_MPS)

    @property
    def date(self) -> date:
        """The evening's day."""
        return _FIRST_DAY + timedelta(weeks=self.day)

    @property
    def directions(self) -> tuple[Direction, ...]:
        """The lines with the flag that shows each."""
        out, back = Direction("out", flags=("out",)), Direction("back", math.pi, ("back",))
        return tuple(out if turn > 0 else back for turn in self.turns)


def stretches(rng: np.random.Generator, scenario: str) -> list[Stretch]:
    """The winds of one golfer's evenings."""
    varied = scenario == "varied"
    found = []
    for day in range(MOST_EVENINGS):
        day_log = rng.uniform(-0.04, 0.04)
        for _ in range(STRETCHES if varied else 1):
            speed = rng.uniform(2.0, 8.0) if varied else rng.uniform(4.0, 7.0)
            from_rad = rng.uniform(0, 2 * math.pi) if varied else rng.uniform(-0.5, 0.5)
            along, across = -speed * math.cos(from_rad), -speed * math.sin(from_rad)
            sd = max(READING_SHARE * speed, READING_LEAST_MPS)
            found.append(
                Stretch(
                    balls=EVENING // STRETCHES if varied else EVENING,
                    day=day,
                    day_log=day_log,
                    true_along=along,
                    true_across=across,
                    read_along=along + rng.normal(0, sd),
                    read_across=across + rng.normal(0, sd),
                    turns=(1,) if varied else (1, -1),
                )
            )
    return found


@dataclass(frozen=True, slots=True)
class Flown:
    """What the flight makes of every cell (c,) in a read wind: log effect, its slope, the strike's scatter."""

    wind_log: Floats
    slope: Floats
    scatter: Floats


_FLOWN: dict[tuple[float, float], Flown] = {}


def flown(along: float, across: float) -> Flown:
    """Every cell in one wind; kept, for every rule meets the same winds."""
    if (along, across) not in _FLOWN:
        every = np.arange(len(BENCH.cells))
        wind = (np.full(len(every), along), np.full(len(every), across), np.full(len(every), 2.0))
        found = BENCH.effects(every, *wind)
        _FLOWN[along, across] = Flown(
            np.log(found.carry_m / found.carry_still_m),
            found.slope_along_m_per_mps / found.carry_m,
            BENCH.scatter(every, *wind).log_carry_sd,
        )
    return _FLOWN[along, across]


def flown_each_way(stretch: Stretch) -> Flown:
    """The same (w, c) along each line of a stretch.

    The reading's error is one wind along the line: a ball hit the other way meets it from the other side.
    """
    found = [flown(turn * stretch.read_along, turn * stretch.read_across) for turn in stretch.turns]
    return Flown(
        np.stack([one.wind_log for one in found]),
        np.stack([turn * one.slope for turn, one in zip(stretch.turns, found, strict=True)]),
        np.stack([one.scatter for one in found]),
    )


@dataclass(slots=True)
class Notebook:
    """Every ball hit so far, as columns, with the readings and days it fell under."""

    columns: dict[str, list[float]] = field(
        default_factory=lambda: {
            name: [] for name in ("cell", "reading", "day", "carry", "log", "slope", "scatter", "marked")
        }
    )
    reading_sds: list[float] = field(default_factory=list)

    def add(self, number: int, stretch: Stretch, turns: Ints, cells: Ints, seen: Seen, there: Flown) -> None:
        """Write down balls of stretch `number`."""
        more = {
            "cell": cells, "reading": np.full(len(cells), number), "day": np.full(len(cells), stretch.day),
            "carry": seen.carry_m, "log": there.wind_log[turns, cells], "slope": there.slope[turns, cells],
            "scatter": there.scatter[turns, cells], "marked": seen.marked,
        }  # fmt: skip
        for name, values in more.items():
            self.columns[name] += np.asarray(values, dtype=np.float64).tolist()

    def upto(self, balls: int) -> Notebook:
        """The first `balls` alone; the readings all."""
        return Notebook({name: values[:balls] for name, values in self.columns.items()}, list(self.reading_sds))

    def evidence(self, days: int) -> Evidence:
        """For the exact model: what was not marked as a mishit."""
        table = self._table()
        table = {name: values[table["marked"] == 0] for name, values in table.items()}
        none = np.zeros(len(table["cell"]))
        return Evidence(
            table["cell"].astype(np.int64), table["reading"].astype(np.int64), table["day"].astype(np.int64),
            table["carry"], table["log"], table["slope"], SEEN_SD_M / np.maximum(table["carry"], _SHORTEST_SEEN_M),
            none, none, none, np.array(self.reading_sds), days,
        )  # fmt: skip

    def observations(self, days: int) -> Observations:
        """For the sampled model: every ball, marked mishits as such."""
        table = self._table()
        carry = np.maximum(table["carry"], 5.0)
        said = {
            "cell": table["cell"].astype(np.int64), "reading": table["reading"].astype(np.int64),
            "day": table["day"].astype(np.int64), "low_m": carry, "high_m": carry.copy(), "wind_log": table["log"],
            "wind_slope_per_mps": table["slope"], "spread_log": table["scatter"],
            "seen_sd_log": SEEN_SD_M / np.maximum(carry, _SHORTEST_SEEN_M), "marked": table["marked"] > 0,
            "by_eye": np.zeros(len(carry), dtype=bool),
        }  # fmt: skip
        rest = {name: np.zeros(len(carry)) for name in SHOT_FIELDS if name not in said}
        readings = Readings.of(np.array(self.reading_sds))
        return Observations(**said, **rest, readings=readings, age_days=np.zeros(days))  # type: ignore[arg-type]  # columns by name

    def _table(self) -> dict[str, Floats]:
        return {name: np.array(values, dtype=np.float64) for name, values in self.columns.items()}


@dataclass(frozen=True, slots=True)
class Offer:
    """One stretch as the planner sees it: what the flight says, what is believed, a struck ball's variance (w, c)."""

    there: Flown
    beliefs: Beliefs


@dataclass(slots=True)
class Diary:
    """What a planner keeps of one golfer from stretch to stretch."""

    so_far: int = 0
    past: list[PastShot] = field(default_factory=list)
    agenda: Agenda | None = None
    hit: int = 0
    day: int = -1

    def look_back(self, stretch: Stretch, offer: Offer, turns: Ints, cells: Ints, carry_m: Floats) -> None:
        """Keep balls with how far off each was; a low swing is seen to fly low."""
        aimed_m = (offer.beliefs.stock_m * np.exp(offer.beliefs.shot_mean))[turns, cells]
        for place, off in zip(cells.tolist(), ((carry_m - aimed_m) / aimed_m).tolist(), strict=True):
            cell = BENCH.cells[place]
            self.past.append(PastShot(stretch.date, cell, off, None if cell.swing is Swing.FULL else True))
        self.so_far += len(cells)


def strike(golfer: Golfer, stretch: Stretch, turns: Ints, cells: Ints, rng: np.random.Generator) -> Seen:
    """Hit the balls in the true wind."""
    turned = np.array(stretch.turns)[turns]
    wind = WindField(stretch.true_along * turned, stretch.true_across * turned, 2.0, 0.03)
    return hit(golfer, cells, wind, stretch.day_log, rng)


def holds(golfer: Golfer, mean: Floats, sd: Floats, z80: float) -> float:
    """Share of the wanted 80 % still-air intervals, log `mean` and `sd` over stock (t,), that hold the truth."""
    stock_m = BENCH.arrays.stock_carry_m[BENCH.arrays.club][WANTED]
    inside: Bools = np.abs(np.log(golfer.still_m[WANTED] / stock_m) - mean) <= z80 * sd
    return float(np.mean(inside))
