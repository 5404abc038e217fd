"""What a player's club does to the ball: a prior for each cell, and how strikes scatter.

Launch and spin by loft and swing are common practice (no source), shaped so that a knockdown launches 3…6° lower and
spins 10…30 % less than a full shot of the same carry. The ball speed is not assumed: it is solved so that the shot
carries in still reference air what the player states. Launch data replaces all three.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from trainer.core.bag import Swing
from trainer.core.constants import BALL_MASS_KG, BALL_RADIUS_M, DEGREE_RAD, INCH_M
from trainer.core.errors import InputError
from trainer.core.flight.limits import LIMITS, Floats, require_limit
from trainer.core.flight.trajectory import Launch, fly

_SETTLED = 1e-5  # of log carry: a millimetre
_MOST_SECANTS = 40

GRIP_CARRY_PER_INCH = -0.025
"""Change of log carry per inch of grip-down (common practice; s.d. 0.015)."""


class SwingPrior(NamedTuple):
    """What a swing does beside a full one: factors on carry, launch, spin ratio and on the scatter of strikes."""

    carry: float
    launch: float
    spin_ratio: float
    scatter: float


SWING_PRIORS: Mapping[Swing, SwingPrior] = {
    Swing.FULL: SwingPrior(1.00, 1.00, 1.00, 1.00),
    Swing.THREE_QUARTER: SwingPrior(0.90, 0.87, 0.95, 1.00),
    Swing.HALF: SwingPrior(0.75, 0.86, 0.95, 1.15),
}
GRIP_LAUNCH_PER_INCH = -0.02

LAUNCH_SD_RAD = 2.0 * DEGREE_RAD
SPIN_RELATIVE_SD = 0.15
LOG_BALL_SPEED_SD = 0.04
"""S.d. of a player's mean launch, spin and ball speed about the prior (common practice)."""


@dataclass(frozen=True, slots=True)
class Delivery:
    """Launch of one or many cells as a prior, with the s.d. of its launch angle, log spin and log ball speed.

    `scatter` is each cell's factor on the strike scatter of a full swing.
    """

    launch: Launch
    launch_sd_rad: Floats
    log_spin_sd: Floats
    log_ball_speed_sd: Floats
    scatter: Floats


def launch_of(strike: Delivery | Launch) -> Launch:
    """A delivery's launch; a shot's own launch data as they are."""
    return strike.launch if isinstance(strike, Delivery) else strike


def full_launch_rad(loft_rad: ArrayLike) -> Floats:
    """Launch of a full swing by loft: √(11² + (0.46·loft)²) degrees (common practice: 12° driver, 19° at 34°)."""
    return np.asarray(np.hypot(11 * DEGREE_RAD, 0.46 * require_limit(loft_rad, "loft")))


def full_spin_ratio(loft_rad: ArrayLike) -> Floats:
    """Spin ratio r·ω/V at launch of a full swing: 0.0078 per degree of loft (common practice)."""
    return np.asarray(0.0078 * require_limit(loft_rad, "loft") / DEGREE_RAD)


def reference_delivery(
    loft_rad: ArrayLike, stock_carry_m: ArrayLike, grip_down_m: ArrayLike = 0.0, swing: Swing | ArrayLike = Swing.FULL
) -> Delivery:
    """The prior delivery of each cell; inputs broadcast, `swing` one Swing or an array of them.

    Its still-air carry in reference air is the stock carry times the prior factors of grip and swing. Raises
    InputError outside the ranges, and where no ball speed carries so far.
    """
    loft, stock, grip = np.broadcast_arrays(
        require_limit(loft_rad, "loft"),
        require_limit(stock_carry_m, "carry"),
        require_limit(grip_down_m, "grip-down"),
    )
    factors = _swing_factors(swing)
    inches = grip / INCH_M
    carry = stock * factors[0] * np.exp(GRIP_CARRY_PER_INCH * inches)
    launch = full_launch_rad(loft) * factors[1] * (1 + GRIP_LAUNCH_PER_INCH * inches)
    ratio = full_spin_ratio(loft) * factors[2]
    carry, launch, ratio, scatter = np.broadcast_arrays(carry, launch, ratio, factors[3])
    speed = ball_speed_for_still_carry(carry, launch, ratio)
    spread = np.ones_like(carry)
    return Delivery(
        Launch(speed, launch, ratio * speed / BALL_RADIUS_M),
        LAUNCH_SD_RAD * spread,
        SPIN_RELATIVE_SD * spread,
        LOG_BALL_SPEED_SD * spread,
        np.array(scatter),
    )


def _swing_factors(swing: Swing | ArrayLike) -> tuple[Floats, Floats, Floats, Floats]:
    names = np.asarray(swing, dtype=object)
    rows = np.array([SWING_PRIORS[Swing(name)] for name in names.ravel()], dtype=np.float64)
    carry, launch, spin_ratio, scatter = rows.T.reshape(4, *names.shape)
    return carry, launch, spin_ratio, scatter


def ball_speed_for_still_carry(carry_m: ArrayLike, launch_rad: ArrayLike, spin_ratio: ArrayLike) -> Floats:
    """Ball speed that carries `carry_m` in still reference air at a spin ratio at launch; inputs broadcast.

    Secant steps on log carry over log speed, which is concave: they come from below. To 1e-5 of the carry. Raises
    InputError with the reach where no accepted speed and spin carry so far.
    """
    carry, launch, ratio = np.broadcast_arrays(carry_m, launch_rad, spin_ratio)
    low, high, _ = LIMITS["ball speed"]
    per_speed = ratio / BALL_RADIUS_M
    fastest = np.minimum(high, LIMITS["spin"].high / np.maximum(per_speed, 1e-9))

    def log_carry(log_speed: Floats) -> Floats:
        speed = np.exp(log_speed)
        return np.log(np.maximum(fly(Launch(speed, launch, per_speed * speed)).carry_m, 1e-6))

    wanted = np.log(carry)
    least, most = np.full(carry.shape, np.log(low)), np.log(fastest)
    before = np.clip(np.log(5.0) + 0.5 * (wanted - np.log(5.0)), least, most)
    before_value = log_carry(before)
    now = np.clip(before + (wanted - before_value) / 1.6, least, most)
    for _ in range(_MOST_SECANTS):
        value = log_carry(now)
        off = wanted - value
        if np.all(np.abs(off) < _SETTLED):
            return np.asarray(np.exp(now))
        beyond = (now >= most) & (off > 0)
        if beyond.any():
            reach = np.exp(value[beyond]).flat[0]
            raise InputError(
                f"a carry of {carry[beyond].flat[0]:.4g} m is too far: a ball of this loft reaches {reach:.4g} m",
                "",
                "check the stock carry and the loft",
            )
        change = now - before
        slope = np.divide(value - before_value, change, out=np.full(carry.shape, 1.5), where=np.abs(change) > 1e-9)
        before, before_value = now, value
        now = np.clip(now + off / np.clip(slope, 0.05, 3.0), least, most)
    raise InputError("no ball speed was found for a stock carry", "", "check the stock carry and the loft")


HEAD_MASS_KG = 0.200
HEAD_MASS_LENGTH_M = 45 * INCH_M
HEAD_MASS_PER_M = 0.0085 / INCH_M
"""Mass of a head by the club's length: 200 g at 45 in, 8.5 g more per inch shorter (common practice)."""


THIN_FACE = 0.09
THIN_FACE_FROM_M = 39 * INCH_M
"""Restitution that a driver's thin face adds to Penner's: the rules allow 0.830 at 109 mph (from memory); none below
39 in, in proportion to length between."""

SPEED_PER_LENGTH = 1.3
"""Club speed grows as length to this power through a bag (common practice: 20…25 % from 7 iron to driver)."""


def ball_speed_mps(club_speed_mps: ArrayLike, loft_rad: ArrayLike, length_m: ArrayLike) -> Floats:
    """Ball speed of a full swing by the impact model. Source: Penner 2001, Am. J. Phys. 69, 563.

    The model is of drivers: irons are an extrapolation. The loft delivered is √(10² + (0.76·loft)²) degrees, since
    hands lead the head of an iron (common practice).
    """
    club, length = np.asarray(club_speed_mps, dtype=np.float64), require_limit(length_m, "club length")
    delivered = np.hypot(10 * DEGREE_RAD, 0.76 * require_limit(loft_rad, "loft"))
    mass_ratio = BALL_MASS_KG / (HEAD_MASS_KG + HEAD_MASS_PER_M * (HEAD_MASS_LENGTH_M - length))
    normal_club = club * np.cos(delivered)
    spring = THIN_FACE * np.clip((length - THIN_FACE_FROM_M) / (HEAD_MASS_LENGTH_M - THIN_FACE_FROM_M), 0.0, 1.0)
    normal = (1 + 0.86 + spring - 0.0029 * normal_club) * normal_club / (1 + mass_ratio)
    tangent = club * np.sin(delivered) / (1 + mass_ratio + 5 / 2)
    return np.asarray(np.hypot(normal, tangent))


def propose_stock_carries(
    known_loft_rad: float, known_length_m: float, known_carry_m: float, lofts_rad: ArrayLike, lengths_m: ArrayLike
) -> Floats:
    """Still-air stock carries of a bag from one club's: club speed by length, then impact and flight."""
    lofts, lengths = np.broadcast_arrays(require_limit(lofts_rad, "loft"), require_limit(lengths_m, "club length"))
    known_speed = ball_speed_for_still_carry(
        require_limit(known_carry_m, "carry"), full_launch_rad(known_loft_rad), full_spin_ratio(known_loft_rad)
    )
    club_speed = _club_speed_mps(float(known_speed), known_loft_rad, known_length_m)
    speeds = ball_speed_mps(club_speed * (lengths / known_length_m) ** SPEED_PER_LENGTH, lofts, lengths)
    return fly(Launch(speeds, full_launch_rad(lofts), full_spin_ratio(lofts) * speeds / BALL_RADIUS_M)).carry_m


def _club_speed_mps(wanted_mps: float, loft_rad: float, length_m: float) -> float:
    """Invert the impact model: Newton is not needed, the smash factor hardly changes with speed."""
    club = wanted_mps / 1.35
    for _ in range(50):
        club *= wanted_mps / float(ball_speed_mps(club, loft_rad, length_m))
    return club
