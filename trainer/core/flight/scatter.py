"""How strikes scatter, pushed through the flight: the spread of carry, side and height of each cell in each wind."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainer.core.conditions import REFERENCE_AIR, Air
from trainer.core.constants import DEGREE_RAD
from trainer.core.flight.aerodynamics import BallFactors
from trainer.core.flight.delivery import Delivery
from trainer.core.flight.limits import LIMITS, Floats, with_last_axis
from trainer.core.flight.trajectory import NOMINAL, Flight, Launch, fly
from trainer.core.flight.wind import STILL, WindField


@dataclass(frozen=True, slots=True)
class StrikeSpread:
    """S.d. of a struck (not mishit) full swing from ball to ball, of a 12 handicap: common practice, no source.

    Chosen so that the log carry of a mid iron scatters by 0.034 in still air.
    """

    log_ball_speed: float = 0.026
    launch_rad: float = 1.2 * DEGREE_RAD
    log_spin: float = 0.08
    start_direction_rad: float = 2.3 * DEGREE_RAD
    axis_tilt_rad: float = 4.5 * DEGREE_RAD


CLUB_GOLFER = StrikeSpread()


@dataclass(frozen=True, slots=True)
class Scatter:
    """Spread from ball to ball, of the shape of cells × winds: s.d. of log carry, side, apex and time of flight.

    `carry_side_correlation` is positive where long balls finish right.
    """

    log_carry_sd: Floats
    side_sd_m: Floats
    apex_sd_m: Floats
    flight_sd_s: Floats
    carry_side_correlation: Floats


def strike_scatter(
    delivery: Delivery,
    wind: WindField = STILL,
    air: Air = REFERENCE_AIR,
    ball: BallFactors = NOMINAL,
    spread: StrikeSpread = CLUB_GOLFER,
) -> Scatter:
    """Push the strike's spread through the flight; deliveries and winds broadcast.

    Three-point Gauss–Hermite quadrature on each of speed, launch, spin, direction and tilt, interactions left out:
    eleven flights a cell and wind, no random draw. Raises InputError outside the flight's ranges.
    """
    points = _strikes(delivery, spread)
    flight = fly(points, wind.for_strikes(), air, BallFactors(with_last_axis(ball.drag), with_last_axis(ball.lift)))
    return _moments(flight)


def _strikes(delivery: Delivery, spread: StrikeSpread) -> Launch:
    """Launches with a last axis of 11: the middle, then ±√3 s.d. of each of the five."""
    launch = delivery.launch
    signs = np.zeros((5, 11))
    for row in range(5):
        signs[row, 1 + 2 * row], signs[row, 2 + 2 * row] = 1.0, -1.0
    unit = np.sqrt(3.0) * with_last_axis(delivery.scatter) * signs.reshape(5, *(1,) * np.ndim(delivery.scatter), 11)
    low, high, _ = LIMITS["launch angle"]
    return Launch(
        with_last_axis(launch.ball_speed_mps) * np.exp(spread.log_ball_speed * unit[0]),
        np.clip(with_last_axis(launch.launch_rad) + spread.launch_rad * unit[1], low, high),
        with_last_axis(launch.spin_rad_s) * np.exp(spread.log_spin * unit[2]),
        with_last_axis(launch.start_direction_rad) + spread.start_direction_rad * unit[3],
        with_last_axis(launch.axis_tilt_rad) + spread.axis_tilt_rad * unit[4],
    )


def _moments(flight: Flight) -> Scatter:
    log_carry = np.log(np.maximum(flight.carry_m, 0.1))
    carry = _departures(log_carry)
    side, apex, time = (_departures(values) for values in (flight.side_m, flight.apex_m, flight.flight_s))
    sd_carry, sd_side, sd_apex, sd_time = (np.sqrt(_covariance(v, v)) for v in (carry, side, apex, time))
    return Scatter(
        sd_carry,
        sd_side,
        sd_apex,
        sd_time,
        _correlation(_covariance(carry, side), sd_carry * sd_side),
    )


def _departures(values: Floats) -> Floats:
    """Weighted departures (…, 5, 3) from each variable's own mean; weights 2/3, 1/6, 1/6."""
    outer = values[..., 1:].reshape(*values.shape[:-1], 5, 2)
    middle = np.broadcast_to(values[..., :1, None], (*outer.shape[:-1], 1))
    three = np.concatenate([middle, outer], axis=-1)
    weights = np.array([2 / 3, 1 / 6, 1 / 6])
    return np.asarray((three - (weights * three).sum(axis=-1, keepdims=True)) * np.sqrt(weights))


def _covariance(one: Floats, other: Floats) -> Floats:
    return np.asarray((one * other).sum(axis=(-2, -1)))


def _correlation(covariance: Floats, product: Floats) -> Floats:
    return np.divide(covariance, product, out=np.zeros_like(covariance), where=product > 0)
