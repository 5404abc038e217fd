"""What a choice is worth: approaches of invented golfers chosen by the model, by averages and by the rule of thumb.

The golfers are those of `agenda_players`: outside the model's prior, with other aerodynamics. A choice is judged by
how far from the target its balls land along the line, against the best cell there was (regret, m). Greens hold where
the ball lands and sides are left out, so that no method gains by a run or a drift that the others do not reckon with.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from tests.core.estimate.baselines import cell_means, least_squares, stated
from tests.evidence.agenda_players import BENCH, DAY_MOST_LOG, MISHIT_SHARE, SEEN_SD_M, Golfer, hit, invent
from trainer.application.flights.cell_flights import FlownWinds, fly_in
from trainer.core.conditions import Conditions
from trainer.core.decide.choose import Aim, chances, ranked
from trainer.core.decide.outcomes import CellFlights, Doubt, Traits, come_to_rest, roll_balls
from trainer.core.decide.target import Target
from trainer.core.estimate.diagnostics import Diagnostics
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.estimate.observations import Observations, Readings
from trainer.core.estimate.posterior import Posterior, fit_players
from trainer.core.estimate.priors import ClubPriors
from trainer.core.estimate.traits import RatioDraws, SideDraws
from trainer.core.flight.scatter import CLUB_GOLFER
from trainer.core.flight.trajectory import Launch, fly
from trainer.core.flight.wind import WindField

EVENING, STRETCHES = 45, 3
GUST_SHARE = 0.2
"""S.d. of a ball's wind over the mean wind, in truth and as the chooser takes it."""

BALLS_JUDGED = 96
CELLS = BENCH.arrays
FULL: Ints = np.flatnonzero((CELLS.grip_down_in == 0) & (CELLS.three_quarter == 0) & (CELLS.half == 0))
MPH_MPS = 0.44704
YARD_M = 0.9144


@dataclass(frozen=True, slots=True)
class Approaches:
    """Winds (a,) along and across, m/s at 2 m, with what the trainer's flight makes of every cell there."""

    along: Floats
    across: Floats
    flights: CellFlights


def approaches(count: int, strongest_mps: float, rng: np.random.Generator) -> Approaches:
    """`count` winds of up to `strongest_mps` along, four tenths of it across."""
    along = rng.uniform(-strongest_mps, strongest_mps, count)
    across = rng.uniform(-0.4 * strongest_mps, 0.4 * strongest_mps, count)
    every = np.arange(len(CELLS))
    flights = fly_in(BENCH, every, FlownWinds(along, across, 2.0), Conditions())
    none = np.zeros_like(flights.side_m)
    stopped = ("side_m", "side_slope_along", "side_slope_across", "side_sd_m", "run_m", "run_spread_m")
    dead = dict.fromkeys((*stopped, "carry_side_correlation"), none)
    return Approaches(along, across, replace(flights, **dead))


def practised(golfer: Golfer, evenings: int, rng: np.random.Generator) -> Observations:
    """Evenings of 45 balls of any cells, each third of one in a wind of its own, read 15 % wrong."""
    count = EVENING * evenings
    stretch = np.arange(count) // (EVENING // STRETCHES)
    day = np.arange(count) // EVENING
    speed = rng.uniform(2.0, 8.0, STRETCHES * evenings)
    from_rad = rng.uniform(0, 2 * math.pi, STRETCHES * evenings)
    along, across = -speed * np.cos(from_rad), -speed * np.sin(from_rad)
    sd = np.maximum(0.15 * speed, 1.0)
    read_along, read_across = along + sd * rng.standard_normal(len(sd)), across + sd * rng.standard_normal(len(sd))
    cell = rng.integers(0, len(CELLS), count)
    gust = GUST_SHARE * speed[stretch]
    met = WindField(along[stretch] + gust * rng.standard_normal(count), across[stretch])
    day_log = rng.uniform(-0.04, 0.04, evenings)
    seen = hit_on_days(golfer, cell, met, day_log[day], rng)
    effects = BENCH.effects(cell, read_along[stretch], read_across[stretch], np.full(count, 2.0))
    scatter = BENCH.scatter(cell, read_along[stretch], read_across[stretch], np.full(count, 2.0))
    no, flags = np.zeros(count), np.zeros(count, dtype=bool)
    slope = effects.slope_along_m_per_mps / effects.carry_m
    return Observations(
        cell, stretch, day, seen[0], seen[0].copy(), np.log(effects.carry_m / effects.carry_still_m), slope, no,
        scatter.log_carry_sd, np.hypot(SEEN_SD_M / seen[0], slope * gust), no.copy(), no.copy(), no.copy(), flags,
        seen[1], no.copy(), no.copy(), no.copy(), Readings.of(sd), np.zeros(evenings),
    )  # fmt: skip


def hit_on_days(
    golfer: Golfer, cell: Ints, wind: WindField, day_log: Floats, rng: np.random.Generator
) -> tuple[Floats, np.ndarray[tuple[int], np.dtype[np.bool_]]]:
    """Carries seen and marks (n,) of balls whose days differ."""
    carry, marked = np.empty(len(cell)), np.zeros(len(cell), dtype=bool)
    for value in np.unique(day_log):
        of = day_log == value
        there = WindField(np.asarray(wind.along_mps)[of], np.asarray(wind.across_mps)[of])
        seen = hit(golfer, cell[of], there, float(value), rng)
        carry[of], marked[of] = np.maximum(seen.carry_m, 5.0), seen.marked
    return carry, marked


def losses(golfer: Golfer, asked: Approaches, target_m: Floats, rng: np.random.Generator) -> Floats:
    """How far from the target each cell's balls land on the mean (a, c), m; every cell meets the same draws."""
    out = np.empty((len(target_m), len(CELLS)))
    for a, target in enumerate(target_m.tolist()):
        speed = math.hypot(asked.along[a], asked.across[a])
        gust = GUST_SHARE * speed * rng.standard_normal((BALLS_JUDGED, 1))
        bad = np.where(rng.random((BALLS_JUDGED, 1)) < MISHIT_SHARE, 1.0, 0.0)
        # a day of its own for each ball: nobody, the best cell's knower included, foresees the day
        days = rng.uniform(-DAY_MOST_LOG, DAY_MOST_LOG, (BALLS_JUDGED, 1))
        lost = bad * np.abs(rng.normal(0.12, 0.05, (BALLS_JUDGED, 1))) - days / 1.4
        launch = _struck(golfer, lost, rng.standard_normal((5, BALLS_JUDGED, 1)))
        wind = WindField(asked.along[a] + gust, asked.across[a])
        carry = fly(launch, wind, ball=golfer.ball, coefficients=golfer.coefficients).carry_m
        out[a] = np.abs(carry - target).mean(axis=0)
    return out


def _struck(golfer: Golfer, lost_log: Floats, normals: Floats) -> Launch:
    """Launches (n, c): the same strike (5, n, 1) with every cell, `lost_log` of ball speed lost."""
    by, spread = golfer.scatter, CLUB_GOLFER
    return Launch(
        golfer.launch.ball_speed_mps * np.exp(by * spread.log_ball_speed * normals[0] - lost_log),
        golfer.launch.launch_rad + by * spread.launch_rad * normals[1],
        golfer.launch.spin_rad_s * np.exp(by * spread.log_spin * normals[2]),
        by * spread.start_direction_rad * normals[3],
        by * spread.axis_tilt_rad * normals[4],
    )


def targets(golfer: Golfer, asked: Approaches, rng: np.random.Generator) -> Floats:
    """Targets (a,) within what the golfer's full swings carry in each wind."""
    speed, angle, spin = (
        np.asarray(part)[FULL]
        for part in (golfer.launch.ball_speed_mps, golfer.launch.launch_rad, golfer.launch.spin_rad_s)
    )
    launch = Launch(speed, angle, spin)
    field = WindField(asked.along[:, None], asked.across[:, None])
    carry = fly(launch, field, ball=golfer.ball, coefficients=golfer.coefficients).carry_m
    return np.asarray(rng.uniform(carry.min(axis=1), carry.max(axis=1)))


def by_model(posterior: Posterior, asked: Approaches, target_m: Floats, rng: np.random.Generator) -> Ints:
    """The chooser's first choice (a,) for nearness."""
    clubs = len(CELLS.loft_deg)
    traits = Traits(
        SideDraws(np.zeros((1, clubs)), np.full(1, 0.06), np.ones(1), *[np.zeros((1, 0))] * 2),
        RatioDraws(np.zeros((1, len(CELLS))), np.full(1, 0.45)),
    )
    believed = replace(posterior, diagnostics=Diagnostics(1.0, 1e4, 1e4, ""))
    balls = roll_balls(believed, traits, Doubt(), rng)
    first = []
    for a, distance in enumerate(target_m.tolist()):
        gust = GUST_SHARE * math.hypot(asked.along[a], asked.across[a])
        rest = come_to_rest(balls, asked.flights.taken(a), gust)
        first.append(int(ranked(chances(Target.at(distance), rest), Aim.NEAREST)[0]))
    return np.array(first)


def by_carries(still_m: Floats, asked: Approaches, target_m: Floats) -> Ints:
    """The cell whose carry, moved by the flight's wind effect, is nearest the target (a,)."""
    return np.asarray(np.argmin(np.abs(still_m * np.exp(asked.flights.log_wind) - target_m[:, None]), axis=1))


def by_rule(asked: Approaches, target_m: Floats, cells: Ints) -> Ints:
    """One yard per mph of headwind on, half a yard of tailwind off, then the stated carry nearest (a,) of `cells`."""
    mph = asked.along / MPH_MPS
    plays = target_m - np.where(mph < 0, 1.0, 0.5) * mph * YARD_M
    return np.asarray(cells[np.argmin(np.abs(stated(CELLS)[cells] - plays[:, None]), axis=1)])


def race(golfers: int, evenings: Sequence[int], asked: Approaches, seed: int) -> dict[str, Floats]:
    """Regret (golfers, a) of each way of choosing; those that learn are named with their balls."""
    rng = np.random.default_rng(seed)
    people = [invent(rng) for _ in range(golfers)]
    aims = [targets(golfer, asked, rng) for golfer in people]
    lost = [losses(golfer, asked, aim, rng) for golfer, aim in zip(people, aims, strict=True)]
    every = np.arange(len(CELLS))
    chosen: dict[str, list[Ints]] = {
        "rule": [by_rule(asked, aim, FULL) for aim in aims],
        "rule with knockdowns": [by_rule(asked, aim, every) for aim in aims],
    }
    nothing = practised(people[0], 1, rng).taken(np.zeros(0, dtype=np.int64))
    blank = fit_players(CELLS, [nothing], rng, ClubPriors(), kept=512)[0]
    chosen["no balls"] = [by_model(blank, asked, aim, rng) for aim in aims]
    for count in evenings:
        seen = [practised(golfer, count, rng) for golfer in people]
        fitted = fit_players(CELLS, seen, rng, ClubPriors(), kept=400)
        label = f"{EVENING * count}"
        pairs = list(zip(seen, aims, strict=True))
        chosen[f"model {label}"] = [by_model(one, asked, aim, rng) for one, aim in zip(fitted, aims, strict=True)]
        chosen[f"cell means {label}"] = [by_carries(cell_means(CELLS, s), asked, aim) for s, aim in pairs]
        chosen[f"least squares {label}"] = [by_carries(least_squares(CELLS, s), asked, aim) for s, aim in pairs]
    return {
        name: np.array([
            loss[np.arange(len(own)), own] - loss.min(axis=1) for loss, own in zip(lost, picks, strict=True)
        ])
        for name, picks in chosen.items()
    }  # fmt: skip
