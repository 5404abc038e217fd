"""One flight by an adaptive eighth-order method, written apart from the trainer's: its numerical reference.

Here x is to the target, y to the left and z up, a right-handed frame, and lift is spin vector × velocity; the
trainer's y is to the right and its lift is worked out in components. Only the coefficients' formulas are shared.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from trainer.core.constants import BALL_DIAMETER_M, BALL_MASS_KG, GRAVITY_MPS2
from trainer.core.flight.aerodynamics import DRAG_FIT, LIFT_FIT, drag_of_fit, lift_of_fit

RADIUS_M = BALL_DIAMETER_M / 2
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Shot:
    """A launch, the wind it meets (log profile, or uniform without a roughness), and the air."""

    ball_speed_mps: float
    launch_rad: float
    spin_rad_s: float
    start_direction_rad: float = 0.0
    axis_tilt_rad: float = 0.0
    along_mps: float = 0.0
    across_mps: float = 0.0
    height_m: float = 2.0
    roughness_m: float | None = None
    target_m: float = 0.0
    density_kg_m3: float = 1.225
    viscosity_pa_s: float = 1.789e-5


@dataclass(frozen=True)
class Result:
    """Where it came down, how high it went and how long it took."""

    carry_m: float
    side_m: float
    apex_m: float
    flight_s: float


def fly_one(shot: Shot, rtol: float = 1e-10) -> Result:
    """Fly `shot` by DOP853; landing and apex are roots of the method's own dense output."""
    velocity = _launch_velocity(shot)
    spin_axis = _spin_axis(shot)
    per_coefficient = shot.density_kg_m3 * math.pi * RADIUS_M**2 / (2 * BALL_MASS_KG)

    def slope(_: float, state: Floats) -> list[float]:
        _, _, z, vx, vy, vz, spin = (float(value) for value in state)
        share = _share(shot, z)
        ux, uy, uz = vx - shot.along_mps * share, vy + shot.across_mps * share, vz
        speed = math.sqrt(ux * ux + uy * uy + uz * uz)
        reynolds = shot.density_kg_m3 * speed * BALL_DIAMETER_M / shot.viscosity_pa_s
        ratio = RADIUS_M * spin / speed
        drag = per_coefficient * float(drag_of_fit(np.array(reynolds), np.array(ratio), DRAG_FIT)) * speed
        lift = per_coefficient * float(lift_of_fit(np.array(reynolds), np.array(ratio), LIFT_FIT)) * speed
        wx, wy, wz = spin_axis
        return [
            vx,
            vy,
            vz,
            lift * (wy * uz - wz * uy) - drag * ux,
            lift * (wz * ux - wx * uz) - drag * uy,
            lift * (wx * uy - wy * ux) - drag * uz - GRAVITY_MPS2,
            -2.0e-5 * spin * speed / RADIUS_M,
        ]

    def over_target(_: float, state: Floats) -> float:
        return float(state[2]) - shot.target_m

    def rising(_: float, state: Floats) -> float:
        return float(state[5])

    over_target.terminal = True  # type: ignore[attr-defined]  # how scipy's events are told to stop
    over_target.direction = -1.0  # type: ignore[attr-defined]
    rising.direction = -1.0  # type: ignore[attr-defined]
    # the ball starts a hair above the ground, so that the first event is the landing and not the launch
    start = [0.0, 0.0, 1e-12, *velocity, shot.spin_rad_s]
    flown = solve_ivp(slope, (0.0, 30.0), start, method="DOP853", rtol=rtol, atol=1e-9, events=(over_target, rising))
    landing = flown.y_events[0][0]
    apex = float(flown.y_events[1][0][2]) if len(flown.y_events[1]) else 0.0
    return Result(float(landing[0]), -float(landing[1]), apex, float(flown.t_events[0][0]))


def _launch_velocity(shot: Shot) -> tuple[float, float, float]:
    level = shot.ball_speed_mps * math.cos(shot.launch_rad)
    return (
        level * math.cos(shot.start_direction_rad),
        -level * math.sin(shot.start_direction_rad),
        shot.ball_speed_mps * math.sin(shot.launch_rad),
    )


def _spin_axis(shot: Shot) -> tuple[float, float, float]:
    """Backspin points to the right, so that lift points up; a tilt turns it about the first velocity."""
    direction = np.array(_launch_velocity(shot)) / shot.ball_speed_mps
    left = np.array([math.sin(shot.start_direction_rad), math.cos(shot.start_direction_rad), 0.0])
    # Rodrigues' rotation about the first velocity; the axis is square to it
    turned = -left * math.cos(shot.axis_tilt_rad) - np.cross(direction, left) * math.sin(shot.axis_tilt_rad)
    return float(turned[0]), float(turned[1]), float(turned[2])


def _share(shot: Shot, z: float) -> float:
    if shot.roughness_m is None:
        return 1.0
    ground_m = min(shot.target_m, 0.0)
    at_reading = math.log1p(((shot.height_m - ground_m) / shot.roughness_m) ** 2)
    return math.log1p(((z - ground_m) / shot.roughness_m) ** 2) / at_reading
