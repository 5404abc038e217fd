"""Bounce and run of a golf ball on turf.

Source: Penner 2002, "The run of a golf ball", Can. J. Phys. 80, 931. The turf gives way, so the ball meets it as if
it were tilted towards the player by θ_c; it bounces there with a measured restitution and friction, flies on without
air, and rolls when it no longer leaves the ground. Fitted to one iron's landing; scaled for soft and firm turf by
common practice.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trainer.core.conditions import Turf
from trainer.core.constants import BALL_RADIUS_M, GRAVITY_MPS2
from trainer.core.errors import InputError
from trainer.core.flight.limits import Floats, require_finite
from trainer.core.flight.trajectory import Flight

FRICTION = 0.40
ROLL_DECELERATION_MPS2 = 5 / 7 * 0.131 * GRAVITY_MPS2
"""Slowing of a rolling ball on a fairway, m/s² (Penner 2002)."""

FASTEST_ROLL_MPS = 9.0
"""A ball that meets the grass faster than this without bouncing, as no landing of Penner's did, is slowed to it: 44 m
of roll is about what a topped shot gets (common practice)."""

GREATEST_RUN_M = 100.0
"""No run is told longer: a thin shot that skips over firm turf is far outside the landings that were fitted."""

GREATEST_TILT_RAD = math.radians(28.0)
"""θ_c is held to this: beyond it the formula leaves the landings it was fitted to."""

_TILT_RAD = math.radians(15.4)
_TILT_SPEED_MPS = 18.6
_TILT_ANGLE_RAD = math.radians(44.4)
_MOST_BOUNCES = 30
_ROLLS_BELOW_MPS = 0.25  # a rebound of 3 mm: the ball no longer leaves the grass


class TurfScale(NamedTuple):
    """Factors on the tilt θ_c and on the restitution: common practice, no source; medium is Penner's own."""

    tilt: float
    restitution: float


TURF_SCALES: Mapping[Turf, TurfScale] = {
    Turf.SOFT: TurfScale(1.30, 0.75),
    Turf.MEDIUM: TurfScale(1.00, 1.00),
    Turf.FIRM: TurfScale(0.75, 1.15),
}

RELATIVE_SPREAD = 0.25
LEAST_SPREAD_M = 1.5
CLAMPED_SPREAD = 0.20
"""S.d. of the run: a share of it, a least, and a further share where θ_c was clamped (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Run:
    """Bounce and roll after the landing, of the flight's shape.

    `run_m` is along the ball's last direction, negative where it comes back; `spread_m` is its s.d. from bounce to
    bounce; `along_m` and `across_m` are its parts along and to the right of the target line.
    """

    run_m: Floats
    spread_m: Floats
    along_m: Floats
    across_m: Floats


def run_out(flight: Flight, turf: Turf = Turf.MEDIUM) -> Run:
    """Bounce and roll of each landing on level `turf`.

    Assumes a bounce in the plane of the last velocity (side spin does not turn it) and a run without wind.
    """
    velocity = flight.landing_velocity_mps
    level = np.hypot(velocity[..., 0], velocity[..., 1])
    run, clamped = _run(level, -velocity[..., 2], flight.landing_spin_rad_s, TURF_SCALES[turf])
    relative = np.hypot(RELATIVE_SPREAD, np.where(clamped, CLAMPED_SPREAD, 0.0))
    # a ball that drops straight down has no direction; it stays on the target line
    ahead = np.divide(velocity[..., 0], level, out=np.ones_like(level), where=level > 0)
    right = np.divide(velocity[..., 1], level, out=np.zeros_like(level), where=level > 0)
    return Run(run, np.hypot(relative * run, LEAST_SPREAD_M), run * ahead, run * right)


def restitution(normal_speed_mps: ArrayLike) -> Floats:
    """Restitution of turf by the speed square to it (in the tilted frame). Source: Penner 2002."""
    speed = np.minimum(require_finite(normal_speed_mps, "speed"), 20.0)
    fitted = 0.510 - 0.0375 * speed + 0.000903 * speed * speed
    return np.asarray(np.where(np.asarray(normal_speed_mps) > 20.0, 0.120, fitted))


def bounce(
    level_mps: ArrayLike, down_mps: ArrayLike, spin_rad_s: ArrayLike, turf: Turf = Turf.MEDIUM
) -> tuple[Floats, Floats, Floats]:
    """One bounce: level and upward speed and backspin after it, from level and downward speed and backspin before.

    Inputs broadcast; `down_mps` must be positive, and backspin is negative where it is forward roll.
    """
    level, down = require_finite(level_mps, "landing speed"), require_finite(down_mps, "landing speed")
    if not (down > 0).all():
        raise InputError("a ball must come down to bounce", "", "give a positive downward speed")
    after = _bounce(level, down, require_finite(spin_rad_s, "spin"), TURF_SCALES[turf])
    return after[0], after[1], after[2]


def _bounce(level: Floats, down: Floats, spin: Floats, turf: TurfScale) -> tuple[Floats, Floats, Floats, Floats]:
    """As `bounce`, and the tilt before it was clamped. A ball that goes back is turned round and back again."""
    way = np.where(level < 0, -1.0, 1.0)
    level, spin = level * way, spin * way
    speed = np.hypot(level, down)
    from_vertical = np.arctan2(level, down)
    wanted = turf.tilt * _TILT_RAD * (speed / _TILT_SPEED_MPS) * (from_vertical / _TILT_ANGLE_RAD)
    tilt = np.minimum(wanted, GREATEST_TILT_RAD)
    cos, sin = np.cos(tilt), np.sin(tilt)
    tangent = level * cos - down * sin
    normal = level * sin + down * cos
    e = turf.restitution * restitution(normal)
    slides = FRICTION * normal * (1 + e) < 2 / 7 * (tangent + BALL_RADIUS_M * spin)
    rolled = 5 / 7 * tangent - 2 / 7 * BALL_RADIUS_M * spin
    after_tangent = np.where(slides, tangent - FRICTION * normal * (1 + e), rolled)
    slid_spin = spin - 5 * FRICTION / (2 * BALL_RADIUS_M) * normal * (1 + e)
    after_spin = np.where(slides, slid_spin, -rolled / BALL_RADIUS_M)
    up = e * normal
    return (
        (after_tangent * cos - up * sin) * way,
        after_tangent * sin + up * cos,
        after_spin * way,
        wanted,
    )


def _run(level: Floats, down: Floats, spin: Floats, turf: TurfScale) -> tuple[Floats, NDArray[np.bool_]]:
    """Bounces until none leaves the ground, then roll: the run, and whether a tilt was clamped."""
    run = np.zeros(np.shape(level))
    clamped = np.zeros(run.shape, dtype=bool)
    for _ in range(_MOST_BOUNCES):
        hops = down > _ROLLS_BELOW_MPS
        if not hops.any():
            break
        after_level, up, after_spin, wanted = _bounce(level, np.where(hops, down, 1.0), spin, turf)
        clamped |= hops & (wanted > GREATEST_TILT_RAD)
        up = np.maximum(up, 0.0)
        level = np.where(hops, after_level, level)
        spin = np.where(hops, after_spin, spin)
        down = np.where(hops, up, down)
        run += np.where(hops, level * 2 * up / GRAVITY_MPS2, 0.0)
    # sliding ends in rolling at 5/7 of the contact point's share; the roll then slows evenly
    rolling = np.clip(5 / 7 * level - 2 / 7 * BALL_RADIUS_M * spin, -FASTEST_ROLL_MPS, FASTEST_ROLL_MPS)
    run = run + rolling * np.abs(rolling) / (2 * ROLL_DECELERATION_MPS2)
    return np.clip(run, -GREATEST_RUN_M, GREATEST_RUN_M), clamped | (np.abs(run) > GREATEST_RUN_M)
