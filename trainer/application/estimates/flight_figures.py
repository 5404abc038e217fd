"""What a cell does besides carry, in the conditions asked for: run, height and side, from what was seen of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from trainer.application.estimates.learning import Known
from trainer.application.estimates.traits_seen import height_draws, traits_of
from trainer.application.evidence.history import History
from trainer.application.evidence.sides import tells_side
from trainer.core.bag import Cell
from trainer.core.estimate.evidence import Floats, Interval, Ints
from trainer.core.flight.wind_effect import WindEffects
from trainer.core.profile import Hand
from trainer.core.units import UnitChoice, from_si, whole
from trainer.store.records import ReadingRecord, ShotRecord


@dataclass(frozen=True, slots=True)
class Range80:
    """A distance in metres: median and central 80 %."""

    median: float
    low80: float
    high80: float

    @classmethod
    def at(cls, interval: Interval, i: int) -> Range80:
        """Number `i` of what is said of many."""
        return cls(float(interval.median[i]), float(interval.low80[i]), float(interval.high80[i]))

    @property
    def half_width_m(self) -> float:
        """Half of the interval's width."""
        return (self.high80 - self.low80) / 2

    def words(self, units: UnitChoice) -> str:
        """`150 (141–160)` in the player's unit."""
        median, low, high = (
            whole(from_si(value, units.distance)) for value in (self.median, self.low80, self.high80)
        )
        return f"{median} ({low}–{high})"


@dataclass(frozen=True, slots=True)
class FlightFigures:
    """Run, height and side of a cell's usual ball in the conditions, m; side positive to the right of its line.

    `side_spread_m` is the s.d. from ball to ball. `runs`, `heights` and `sides` count the cell's balls of which each
    was seen: with none the figure is the calculation's, or what the player's other cells say of it.
    """

    run: Range80
    apex: Range80
    side: Range80
    side_spread_m: float
    runs: int
    heights: int
    sides: int


def flight_figures(
    history: History, known: Known, cells: Ints, effects: WindEffects, carry_m: Floats, reading: ReadingRecord | None
) -> tuple[FlightFigures, ...]:
    """Of the cells at `cells` in the bench, whose reference flights in the conditions are `effects` (c,).

    `carry_m` (c,) are their carries there. Where the wind is one of the history's readings, what the sides say of its
    error across is in the side.
    """
    rng = np.random.default_rng(known.seed)
    traits, heights = traits_of(history, known, rng), height_draws(history, known, rng)
    hand = -1.0 if history.profile.hand is Hand.LEFT else 1.0
    club = known.bench.arrays.club[cells]
    side = hand * traits.side.bias_rad[:, club]
    side = side + traits.side.drift_response[:, None] * effects.side_m / effects.carry_m
    place = None if reading is None else known.evidence.reading_index.get(reading.id)
    if place is not None:
        slope = effects.side_slope_across_m_per_mps / effects.carry_m
        side = side + hand * traits.side.across_mps[:, [place]] * slope
    parts = (
        effects.run_m * np.exp(traits.run.log_ratio[:, cells]), effects.apex_m * np.exp(heights.log_ratio[:, cells]),
        side * carry_m,
    )  # fmt: skip
    run, apex, aside = (np.quantile(part, [0.5, 0.1, 0.9], axis=0).T for part in parts)
    spread = float(np.median(traits.side.shot_sd_rad)) * carry_m
    seen = _seen(history)
    names = [known.bench.cells[i] for i in cells.tolist()]
    return tuple(
        FlightFigures(
            _range(run[i]), _range(apex[i]), _range(aside[i]), float(spread[i]), *(count[cell] for count in seen)
        )
        for i, cell in enumerate(names)
    )


def _seen(history: History) -> tuple[Counter[Cell], Counter[Cell], Counter[Cell]]:
    """How many balls of each cell were seen to run, to rise and to miss to a side."""
    shots = [shot for shot in history.shots_that_count if not shot.entry.mishit]

    def of(told: Iterable[ShotRecord]) -> Counter[Cell]:
        return Counter(shot.cell for shot in told)

    return (
        of(shot for shot in shots if shot.entry.carry_m is not None and shot.entry.total_m is not None),
        of(shot for shot in shots if shot.entry.apex_m is not None),
        of(shot for shot in shots if tells_side(shot)),
    )


def _range(values: Floats) -> Range80:
    return Range80(*(float(value) for value in values))
