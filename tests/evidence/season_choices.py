"""What a season is worth on the course: approaches chosen by each method, judged by the golfer's own true balls.

As in `choosing_race`: a choice is judged by how far from the target its balls land along the line, against the best
cell there was (regret). Greens hold where the ball lands and sides are left out. Winds are known to the chooser, the
day and the gusts are not. Playing balls, reference air.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from tests.core.estimate.baselines import stated
from tests.evidence.season_evenings import GUSTS
from tests.evidence.season_golfers import Form, Golfer, bad_strikes, scatter, spoilt, struck
from tests.evidence.season_methods import (
    MEANS,
    NO_BALLS,
    OURS,
    RULE,
    RULE_LOW,
    SQUARES,
    means_said,
    squares_said,
    taught,
)
from trainer.application.estimates.learning import Known
from trainer.application.flights.cell_flights import FlownWinds, fly_in
from trainer.core.bag import Swing
from trainer.core.conditions import Ball, Conditions
from trainer.core.decide.baselines import RULE_HEAD_M_PER_MPS, RULE_TAIL_M_PER_MPS
from trainer.core.decide.choose import Aim, chances, ranked
from trainer.core.decide.outcomes import CellFlights, Doubt, Traits, come_to_rest, roll_balls
from trainer.core.decide.target import Target
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.estimate.traits import RatioDraws, SideDraws
from trainer.core.flight.trajectory import fly
from trainer.core.flight.wind import WindField

APPROACHES, BALLS_JUDGED = 18, 48
BANDS_MPS: Mapping[str, tuple[float, float]] = {"to 4 m/s": (0, 4), "4 to 7 m/s": (4, 7), "7 to 10 m/s": (7, 10)}


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """A golfer's approaches (a,): winds, m/s at 2 m, targets, m, what the trainer's flight makes of every cell, and
    how far from the target each cell's balls land on the mean (a, c), m."""

    along: Floats
    across: Floats
    target_m: Floats
    flights: CellFlights
    loss_m: Floats

    @property
    def speed(self) -> Floats:
        """Strength of each wind, m/s."""
        return np.hypot(self.along, self.across)

    def regret_m(self, chosen: Ints) -> Floats:
        """What the chosen cells (a,) lose over the best ones, m."""
        return np.asarray(self.loss_m[np.arange(len(chosen)), chosen] - self.loss_m.min(axis=1))


def ask(golfer: Golfer, rng: np.random.Generator) -> Asked:
    """Approaches in winds of every band alike, from anywhere, to targets that his full swings reach there."""
    bands = list(BANDS_MPS.values())
    speed = np.array([rng.uniform(*bands[i % len(bands)]) for i in range(APPROACHES)])
    from_rad = rng.uniform(0, 2 * math.pi, APPROACHES)
    along, across = -speed * np.cos(from_rad), -speed * np.sin(from_rad)
    every = np.arange(len(golfer.bench.cells))
    flights = fly_in(golfer.bench, every, FlownWinds(along, across, 2.0), Conditions())
    none = np.zeros_like(flights.side_m)
    parts = ("side_m", "side_slope_along", "side_slope_across", "side_sd_m", "run_m", "run_spread_m")
    flat = dict.fromkeys((*parts, "carry_side_correlation"), none)
    full = np.flatnonzero([cell.swing is Swing.FULL for cell in golfer.bench.cells])
    carries = [_carries_m(golfer, a, c, rng) for a, c in zip(along.tolist(), across.tolist(), strict=True)]
    reach = np.stack([np.median(each[:, full], axis=0) for each in carries])
    target = rng.uniform(reach.min(axis=1), reach.max(axis=1))
    loss = np.stack([np.abs(each - t).mean(axis=0) for each, t in zip(carries, target.tolist(), strict=True)])
    return Asked(along, across, target, replace(flights, **flat), loss)


def _carries_m(golfer: Golfer, along: float, across: float, rng: np.random.Generator) -> Floats:
    """Carries (n, c) of every cell in one wind; all cells meet the same strikes, gusts and days."""
    shape = (BALLS_JUDGED, 1)
    every = np.arange(len(golfer.bench.cells))
    form = Form(rng.normal(0, golfer.habits.form_log_speed, shape))
    launch = spoilt(struck(golfer, every, form, scatter(rng, shape)), bad_strikes(golfer, rng, shape))
    gust = GUSTS * math.hypot(along, across) * rng.standard_normal((2, *shape))
    wind = WindField(along + gust[0], across + gust[1], 2.0, golfer.roughness_m)
    ball = golfer.balls[Ball.PLAYING]
    return fly(launch, wind, ball=ball, coefficients=golfer.coefficients).carry_m


def regrets(known: Known, blank: Known, asked: Asked, rng: np.random.Generator) -> Mapping[str, Floats]:
    """Regret (a,), m, of every method but the oracle, whose is none."""
    arrays = known.bench.arrays
    seen = taught(known.evidence.observations)
    every: Ints = np.arange(len(arrays))
    full = np.flatnonzero((arrays.three_quarter == 0) & (arrays.half == 0) & (arrays.grip_down_in == 0))
    picks = {
        OURS: _by_model(known, asked, rng),
        NO_BALLS: _by_model(blank, asked, rng),
        RULE: _by_rule(stated(arrays), asked, full),
        RULE_LOW: _by_rule(stated(arrays), asked, every),
        MEANS: _by_carries(means_said(arrays, seen).middle, asked),
        SQUARES: _by_carries(squares_said(arrays, seen).middle, asked),
    }
    return {name: asked.regret_m(chosen) for name, chosen in picks.items()}


def _by_model(known: Known, asked: Asked, rng: np.random.Generator) -> Ints:
    """The chooser's first choice for nearness (a,)."""
    cells = len(known.bench.cells)
    clubs = len(known.bench.arrays.loft_deg)
    traits = Traits(
        SideDraws(np.zeros((1, clubs)), np.full(1, 0.06), np.ones(1), np.zeros((1, 0)), np.zeros((1, 0))),
        RatioDraws(np.zeros((1, cells)), np.full(1, 0.45)),
    )
    balls = roll_balls(known.posterior, traits, Doubt(), rng, strikes=8)
    first = []
    for a, distance in enumerate(asked.target_m.tolist()):
        rest = come_to_rest(balls, asked.flights.taken(a), GUSTS * float(asked.speed[a]))
        first.append(int(ranked(chances(Target.at(distance), rest), Aim.NEAREST)[0]))
    return np.array(first)


def _by_carries(still_m: Floats, asked: Asked) -> Ints:
    """The cell whose carry, moved by the flight's wind effect, is nearest the target (a,)."""
    off = np.abs(still_m * np.exp(asked.flights.log_wind) - asked.target_m[:, None])
    return np.asarray(np.argmin(off, axis=1))


def _by_rule(carry_m: Floats, asked: Asked, cells: Ints) -> Ints:
    """One yard per mph of headwind on, half a yard of tailwind off, then the nearest stated carry (a,) of `cells`."""
    per_mps = np.where(asked.along < 0, RULE_HEAD_M_PER_MPS, RULE_TAIL_M_PER_MPS)
    plays = asked.target_m - per_mps * asked.along
    return np.asarray(cells[np.argmin(np.abs(carry_m[cells] - plays[:, None]), axis=1)])
