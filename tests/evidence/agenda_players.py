"""Invented players from outside the club model's prior, and the balls they hit.

Their flight follows another published coefficient set than the trainer's, their clubs stray evenly within bounds and
not as Gaussians do, strikes scatter in ball speed, launch, spin and direction and are flown one by one, every day has
a form of its own, winds are misread, and one ball in twelve is struck badly, which is marked two times in three.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from trainer.application.evidence.cells import Bench, lay_out
from trainer.core.bag import Bag, Club
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.flight.aerodynamics import COEFFICIENT_SETS, BallFactors, CoefficientSet
from trainer.core.flight.scatter import CLUB_GOLFER
from trainer.core.flight.trajectory import Launch, fly
from trainer.core.flight.wind import WindField

INCH_M = 0.0254
MISHIT_SHARE, MARKED_SHARE = 1 / 12, 2 / 3
DAY_MOST_LOG = 0.04
SEEN_SD_M = 3 * 0.9144
_LOFTS_AND_CARRIES = {
    "5 iron": (26.5, 158.0),
    "6 iron": (30.0, 148.0),
    "7 iron": (34.0, 138.0),
    "8 iron": (38.0, 128.0),
    "9 iron": (42.0, 118.0),
    "pitching wedge": (46.0, 107.0),
    "gap wedge": (50.0, 95.0),
    "sand wedge": (55.0, 82.0),
}
BAG = Bag(
    tuple(Club(n, math.radians(loft), 0.94, carry_m) for n, (loft, carry_m) in _LOFTS_AND_CARRIES.items()),
    (0.0, INCH_M),
)
BENCH: Bench = lay_out(BAG)


@dataclass(frozen=True, slots=True)
class Golfer:
    """The truth: launches (c,) of well struck balls, aerodynamics, and still-air carries (c,), m."""

    launch: Launch
    coefficients: CoefficientSet
    ball: BallFactors
    still_m: Floats
    scatter: Floats


def invent(rng: np.random.Generator) -> Golfer:
    """One golfer; his own still-air carries are what the trainer is to find out."""
    arrays = BENCH.arrays
    clubs = len(arrays.loft_deg)
    grip, three, half = rng.uniform(-0.045, -0.01), np.log(rng.uniform(0.83, 0.95)), np.log(rng.uniform(0.65, 0.84))
    log_ratio = (
        rng.uniform(-0.06, 0.06)
        + rng.uniform(-0.05, 0.05, clubs)[arrays.club]
        + (grip + rng.uniform(-0.01, 0.01, clubs)[arrays.club]) * arrays.grip_down_in
        + (three + rng.uniform(-0.04, 0.04, clubs)[arrays.club]) * arrays.three_quarter
        + (half + rng.uniform(-0.04, 0.04, clubs)[arrays.club]) * arrays.half
        + rng.uniform(-0.025, 0.025, len(arrays))
    )
    wanted_m = arrays.stock_carry_m[arrays.club] * np.exp(log_ratio)
    coefficients = COEFFICIENT_SETS["Lieberman lift"]
    ball = BallFactors(rng.uniform(0.96, 1.06), rng.uniform(0.9, 1.05))
    reference = BENCH.deliveries.launch
    launch = Launch(
        np.asarray(reference.ball_speed_mps),
        np.asarray(reference.launch_rad) + math.radians(rng.uniform(-2.0, 2.0)),
        np.asarray(reference.spin_rad_s) * rng.uniform(0.8, 1.15),
    )
    launch = _carrying(launch, wanted_m, coefficients, ball)
    still_m = fly(launch, ball=ball, coefficients=coefficients).carry_m
    return Golfer(launch, coefficients, ball, still_m, rng.uniform(0.8, 1.3) * BENCH.deliveries.scatter)


def _carrying(launch: Launch, wanted_m: Floats, coefficients: CoefficientSet, ball: BallFactors) -> Launch:
    """The launch at the ball speed that carries `wanted_m` in still air."""
    speed = np.asarray(launch.ball_speed_mps)
    for _ in range(15):
        carry = fly(replace(launch, ball_speed_mps=speed), ball=ball, coefficients=coefficients).carry_m
        speed = speed * (wanted_m / carry) ** 0.7
    return replace(launch, ball_speed_mps=speed)


@dataclass(frozen=True, slots=True)
class Seen:
    """Balls as they are typed (n,): carry in m, and whether the ball was marked as a mishit."""

    carry_m: Floats
    marked: np.ndarray[tuple[int], np.dtype[np.bool_]]


def hit(golfer: Golfer, cells: Ints, wind: WindField, day_log: float, rng: np.random.Generator) -> Seen:
    """Hit one ball of each of `cells` (n,) in the true wind, scalar or (n,)."""
    count = len(cells)
    by = golfer.scatter[cells]
    bad = rng.random(count) < MISHIT_SHARE
    lost = np.where(bad, np.abs(rng.normal(0.12, 0.05, count)), 0.0)
    spread = CLUB_GOLFER
    launch = Launch(
        np.asarray(golfer.launch.ball_speed_mps)[cells]
        * np.exp(day_log / 1.4 - lost + by * rng.normal(0, spread.log_ball_speed, count)),
        np.asarray(golfer.launch.launch_rad)[cells] + by * rng.normal(0, spread.launch_rad, count),
        np.asarray(golfer.launch.spin_rad_s)[cells] * np.exp(by * rng.normal(0, spread.log_spin, count)),
        by * rng.normal(0, spread.start_direction_rad, count),
        by * rng.normal(0, spread.axis_tilt_rad, count),
    )
    carry_m = fly(launch, wind, ball=golfer.ball, coefficients=golfer.coefficients).carry_m
    return Seen(carry_m + rng.normal(0, SEEN_SD_M, count), bad & (rng.random(count) < MARKED_SHARE))
