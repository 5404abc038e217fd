"""The wind effect and its slopes for many cells in many winds, and what misreading costs. The way back: `inverse`."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike

from trainer.core.conditions import REFERENCE_AIR, Air, Turf
from trainer.core.constants import OPEN_COURSE_ROUGHNESS_M
from trainer.core.errors import InputError
from trainer.core.flight.aerodynamics import BallFactors
from trainer.core.flight.delivery import Delivery, launch_of
from trainer.core.flight.landing import run_out
from trainer.core.flight.limits import LIMITS, Floats, require_finite, require_limit, with_last_axis
from trainer.core.flight.trajectory import NOMINAL, Flight, Launch, fly
from trainer.core.flight.wind import STILL, WindField

_STEP_MPS = 0.25


@dataclass(frozen=True, slots=True)
class WindEffects:
    """Reference deliveries in winds, all of the shape of cells × winds. Slopes are per m/s at the reading's height.

    `effect_m` is the carry in the wind and air less the carry in still reference air.
    """

    carry_still_m: Floats
    carry_m: Floats
    effect_m: Floats
    slope_along_m_per_mps: Floats
    slope_across_m_per_mps: Floats
    side_m: Floats
    side_slope_along_m_per_mps: Floats
    side_slope_across_m_per_mps: Floats
    apex_m: Floats
    flight_s: Floats
    descent_rad: Floats
    run_m: Floats
    run_spread_m: Floats


def wind_effects(
    deliveries: Delivery | Launch,
    along_mps: ArrayLike,
    across_mps: ArrayLike = 0.0,
    height_m: ArrayLike = 2.0,
    air: Air = REFERENCE_AIR,
    ball: BallFactors = NOMINAL,
    turf: Turf = Turf.MEDIUM,
    roughness_m: ArrayLike = OPEN_COURSE_ROUGHNESS_M,
) -> WindEffects:
    """Wind effect, its slopes and the flight's shape for cells and winds that broadcast (cells[:, None] with winds).

    Five flights a cell and wind, one a cell. Raises InputError outside the flight's ranges.
    """
    launch = launch_of(deliveries)
    along, across = np.asarray(along_mps, dtype=np.float64), np.asarray(across_mps, dtype=np.float64)
    along, across = _inside_the_limit(along, across)
    # a wind near the limit still has slopes: step inwards
    inward_along, inward_across = np.where(along > 0, -1.0, 1.0), np.where(across > 0, -1.0, 1.0)
    winds = WindField(
        along[..., None] + _STEP_MPS * inward_along[..., None] * np.array([0.0, 1.0, 2.0, 0.0, 0.0]),
        across[..., None] + _STEP_MPS * inward_across[..., None] * np.array([0.0, 0.0, 0.0, 1.0, 2.0]),
        with_last_axis(height_m),
        with_last_axis(roughness_m),
    )
    factors = BallFactors(with_last_axis(ball.drag), with_last_axis(ball.lift))
    flights = fly(_with_axis(launch), winds, air, factors)
    middle = _first(flights)
    still = np.broadcast_to(fly(launch, STILL, REFERENCE_AIR, ball).carry_m, middle.carry_m.shape)
    run = run_out(middle, turf)
    return WindEffects(
        carry_still_m=np.array(still),
        carry_m=middle.carry_m,
        effect_m=middle.carry_m - still,
        slope_along_m_per_mps=_slope(flights.carry_m, 1, inward_along),
        slope_across_m_per_mps=_slope(flights.carry_m, 3, inward_across),
        side_m=middle.side_m,
        side_slope_along_m_per_mps=_slope(flights.side_m, 1, inward_along),
        side_slope_across_m_per_mps=_slope(flights.side_m, 3, inward_across),
        apex_m=middle.apex_m,
        flight_s=middle.flight_s,
        descent_rad=middle.descent_rad,
        run_m=run.run_m,
        run_spread_m=run.spread_m,
    )


def _inside_the_limit(along: Floats, across: Floats) -> tuple[Floats, Floats]:
    """The wind, at most a centimetre a second short of the limit, so that a step square to it stays within."""
    speed = require_limit(np.hypot(along, across), "wind speed")
    held = np.minimum(1.0, (LIMITS["wind speed"].high - 0.01) / np.maximum(speed, 1e-9))
    return along * held, across * held


def _with_axis(launch: Launch) -> Launch:
    parts = (getattr(launch, field.name) for field in fields(launch))
    return Launch(*map(with_last_axis, parts))


def _first(flights: Flight) -> Flight:
    """The flights in the stated wind: the first of the last axis of winds."""
    parts = {field.name: getattr(flights, field.name) for field in fields(flights)}
    return Flight(
        **{name: part[..., 0, :] if name == "landing_velocity_mps" else part[..., 0] for name, part in parts.items()}
    )


def _slope(values: Floats, at: int, inward: Floats) -> Floats:
    """One-sided second-order difference from the winds 0, `at` and `at` + 1 of the last axis."""
    return np.asarray(inward * (4 * values[..., at] - values[..., at + 1] - 3 * values[..., 0]) / (2 * _STEP_MPS))


def misreading_m(
    deliveries: Delivery | Launch,
    along_mps: ArrayLike,
    across_mps: ArrayLike,
    wrong_by_mps: ArrayLike,
    height_m: ArrayLike = 2.0,
    air: Air = REFERENCE_AIR,
    ball: BallFactors = NOMINAL,
    roughness_m: ArrayLike = OPEN_COURSE_ROUGHNESS_M,
) -> Floats:
    """What it costs to misread a wind: its carry when it is `wrong_by_mps` stronger less the carry as read, m.

    The direction stays as read; all inputs broadcast. Raises InputError for a calm, which has no direction, and for a
    wind read so that it would be less than nothing.
    """
    launch = launch_of(deliveries)
    along, across = require_finite(along_mps, "wind"), require_finite(across_mps, "wind")
    speed = np.hypot(along, across)
    if not (speed > 0).all():
        raise InputError("a calm has no direction to be misread in", "", "give a wind")
    ratio = 1 + require_finite(wrong_by_mps, "wind") / speed
    if not (ratio >= 0).all():
        raise InputError("the wind would be less than nothing", "", "give an error smaller than the wind")
    read = fly(launch, WindField(along, across, height_m, roughness_m), air, ball)
    true = fly(launch, WindField(along * ratio, across * ratio, height_m, roughness_m), air, ball)
    return np.asarray(true.carry_m - read.carry_m)
