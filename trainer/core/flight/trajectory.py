"""Flight of a golf ball through the air: carry, side, height and how it comes down."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from trainer.core.conditions import REFERENCE_AIR, Air
from trainer.core.constants import BALL_DIAMETER_M, BALL_MASS_KG, BALL_RADIUS_M
from trainer.core.errors import InputError
from trainer.core.flight.aerodynamics import REYNOLDS_UNIT, BallFactors, CoefficientSet, bearman_harvey
from trainer.core.flight.air import air_density_kg_m3, dynamic_viscosity_pa_s
from trainer.core.flight.integrator import (
    DEFAULT_STEPS,
    RIM,
    VX,
    VY,
    VZ,
    Batch,
    Landed,
    Medium,
    Steps,
    X,
    Y,
    Z,
    integrate,
)
from trainer.core.flight.limits import Floats, require_limit
from trainer.core.flight.wind import STILL, WindField, checked_wind, profile_shape

_BLOCK = 4096  # flights at once: their working memory stays in the processor's second cache (measured)
NOMINAL = BallFactors()


@dataclass(frozen=True, slots=True)
class Launch:
    """How the ball leaves the club; scalars or arrays that broadcast.

    `start_direction_rad` is positive to the right of the target line. The spin axis stands square to the first
    velocity; `axis_tilt_rad` is positive where it curves the ball to the right.
    """

    ball_speed_mps: ArrayLike
    launch_rad: ArrayLike
    spin_rad_s: ArrayLike
    start_direction_rad: ArrayLike = 0.0
    axis_tilt_rad: ArrayLike = 0.0


@dataclass(frozen=True, slots=True)
class Flight:
    """Flights of one broadcast shape. Carry is measured along the target line, side to the right of it."""

    carry_m: Floats
    side_m: Floats
    apex_m: Floats
    flight_s: Floats
    descent_rad: Floats
    landing_speed_mps: Floats
    landing_velocity_mps: Floats
    landing_spin_rad_s: Floats


def fly(
    launch: Launch,
    wind: WindField = STILL,
    air: Air = REFERENCE_AIR,
    ball: BallFactors = NOMINAL,
    target_height_m: ArrayLike = 0.0,
    *,
    coefficients: CoefficientSet = bearman_harvey,
    steps: Steps = DEFAULT_STEPS,
) -> Flight:
    """Fly every shot to where it comes down to `target_height_m` above the player.

    All inputs broadcast; every result has their common shape (`landing_velocity_mps` one axis of 3 more). A ball
    launched downwards lands where it lies. Assumes an even wind (no gusts), a spin axis fixed in space, and the ball
    of the rules' limits. Over a lower target the wind's profile rises from that lower ground, through the reading
    above the player. Raises InputError outside `limits.LIMITS`, and where a higher target is not reached.
    Source: Newton's law with the lift and drag of `coefficients`; spin decay of Smits and Smith 1994.
    """
    pieces, shape = _integrated(launch, wind, air, ball, target_height_m, coefficients, steps, None)
    return _flight(pieces, shape)


def _integrated(
    launch: Launch,
    wind: WindField,
    air: Air,
    ball: BallFactors,
    target_height_m: ArrayLike,
    coefficients: CoefficientSet,
    steps: Steps,
    trace: list[Floats] | None,
) -> tuple[list[Landed], tuple[int, ...]]:
    inputs, shape = _broadcast(launch, wind, ball, target_height_m)
    # a calm has no profile: it needs neither the logarithm nor the fine steps at the ground
    logarithmic = wind.profile == "log" and bool(np.any(inputs[5]) or np.any(inputs[6]))
    density = air_density_kg_m3(air)
    per_speed = density * BALL_DIAMETER_M / float(dynamic_viscosity_pa_s(air.temperature_k)) / REYNOLDS_UNIT
    per_coefficient = density * np.pi / 8 * BALL_DIAMETER_M**2 / BALL_MASS_KG
    medium = Medium(per_speed, coefficients, logarithmic)
    alone = inputs[0].size == 1
    if alone:  # numpy takes twice as long over arrays of one number as of two: fly it twice
        inputs = [np.repeat(row, 2) for row in inputs]
    pieces = []
    for at in range(0, max(inputs[0].size, 1), _BLOCK):
        batch = _batch([row[at : at + _BLOCK] for row in inputs], per_coefficient, logarithmic)
        pieces.append(integrate(batch, medium, steps, trace))
    return ([pieces[0].first()] if alone else pieces), shape


def _broadcast(
    launch: Launch, wind: WindField, ball: BallFactors, target_height_m: ArrayLike
) -> tuple[list[Floats], tuple[int, ...]]:
    checked = checked_wind(wind)
    parts = np.broadcast_arrays(
        require_limit(launch.ball_speed_mps, "ball speed"),
        require_limit(launch.launch_rad, "launch angle"),
        require_limit(launch.spin_rad_s, "spin"),
        require_limit(launch.start_direction_rad, "start direction"),
        require_limit(launch.axis_tilt_rad, "axis tilt"),
        checked.along_mps,
        checked.across_mps,
        checked.height_m,
        checked.roughness_m,
        require_limit(ball.drag, "drag factor"),
        require_limit(ball.lift, "lift factor"),
        require_limit(target_height_m, "target height"),
    )
    return [np.ravel(part) for part in parts], parts[0].shape


def _batch(rows: list[Floats], per_coefficient: float, logarithmic: bool) -> Batch:
    speed, launch, spin, direction, tilt, along, across, height, roughness, drag, lift, target = rows
    level, up = np.cos(launch), np.sin(launch)
    ahead, right = np.cos(direction), np.sin(direction)
    nothing = np.zeros_like(speed)
    state = np.stack([
        nothing, nothing, nothing, speed * level * ahead, speed * level * right, speed * up, BALL_RADIUS_M * spin
    ])  # fmt: skip
    # lift points along axis × velocity: up for plain backspin, to the right for the tilted part
    flat, tilted = np.cos(tilt), np.sin(tilt)
    axis = np.stack([flat * right - tilted * up * ahead, -flat * ahead - tilted * up * right, tilted * level])
    # the integrator multiplies ln(1 + (z/z0)²), twice the profile's shape
    ground = np.minimum(target, 0.0)
    per_shape = 0.5 / profile_shape(height - ground, roughness) if logarithmic else 1.0
    shear = np.stack([along * per_shape, across * per_shape])
    factors = per_coefficient * np.stack([drag, lift])
    return Batch(state, axis, factors, shear, 1 / roughness, ground, np.array(target))


def _flight(pieces: list[Landed], shape: tuple[int, ...]) -> Flight:
    state = np.concatenate([piece.state for piece in pieces], axis=1)
    velocity = state[VX : VZ + 1]
    level = np.hypot(velocity[0], velocity[1])

    def shaped(values: Floats) -> Floats:
        return np.asarray(values.reshape(shape))

    return Flight(
        carry_m=shaped(state[X]),
        side_m=shaped(state[Y]),
        apex_m=shaped(np.concatenate([piece.apex_m for piece in pieces])),
        flight_s=shaped(np.concatenate([piece.time_s for piece in pieces])),
        descent_rad=shaped(np.arctan2(-velocity[2], level)),
        landing_speed_mps=shaped(np.hypot(level, velocity[2])),
        landing_velocity_mps=np.ascontiguousarray(velocity.T).reshape(*shape, 3),
        landing_spin_rad_s=shaped(state[RIM] / BALL_RADIUS_M),
    )


@dataclass(frozen=True, slots=True)
class FlightPath:
    """Points of one flight at even times from launch to landing, each of shape (points,)."""

    time_s: Floats
    along_m: Floats
    side_m: Floats
    height_m: Floats


def fly_path(
    launch: Launch,
    wind: WindField = STILL,
    air: Air = REFERENCE_AIR,
    ball: BallFactors = NOMINAL,
    target_height_m: float = 0.0,
    points: int = 61,
) -> FlightPath:
    """The way of one flight, for pictures: cubic pieces through the integrator's own steps.

    Raises InputError outside `limits.LIMITS`, for more than one flight, and for fewer than two points.
    """
    if points < 2:
        raise InputError("a path needs two points", "", "give points of 2 or more")
    trace: list[Floats] = []
    pieces, shape = _integrated(launch, wind, air, ball, target_height_m, bearman_harvey, DEFAULT_STEPS, trace)
    if shape != ():
        raise InputError("a path is of one flight", "", "give numbers, not arrays")
    landing = np.concatenate([pieces[0].time_s, pieces[0].state[:, 0]])
    knots = np.array([*trace, landing]).T
    times = np.linspace(0.0, float(knots[0, -1]), points)
    along, side, height = (
        _hermite(times, knots[0], knots[1 + value], knots[1 + rate]) for value, rate in ((X, VX), (Y, VY), (Z, VZ))
    )
    return FlightPath(times, along, side, height)


def _hermite(times: Floats, knots: Floats, values: Floats, rates: Floats) -> Floats:
    """Cubic Hermite interpolation of `values` with their `rates` at the `knots`."""
    at = np.clip(np.searchsorted(knots, times, side="right") - 1, 0, max(knots.size - 2, 0))
    width = np.maximum(knots[at + 1] - knots[at], 1e-12)
    s = np.clip((times - knots[at]) / width, 0.0, 1.0)
    rise = values[at + 1] - values[at]
    first, last = rates[at] * width, rates[at + 1] * width
    return np.asarray(values[at] + s * (first + s * ((3 * rise - 2 * first - last) + s * (first + last - 2 * rise))))
