"""The way back: from a carry seen in the wind to the strike and its carry in still air, and to a ball speed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trainer.core.conditions import REFERENCE_AIR, Air
from trainer.core.errors import InputError
from trainer.core.flight.aerodynamics import BallFactors
from trainer.core.flight.delivery import Delivery, launch_of
from trainer.core.flight.limits import LIMITS, Floats, Mask, require_limit
from trainer.core.flight.trajectory import NOMINAL, Launch, fly
from trainer.core.flight.wind import STILL, WindField

LEAST_SLOPE_SHARE = 1 / 3
"""Below this share of the calm slope of carry over ball speed a carry in the wind does not tell the strike."""


@dataclass(frozen=True, slots=True)
class StillAir:
    """Still-air carries of observed ones; zero, which is no carry, wherever `can_tell` is false.

    `slope` is the change of still-air carry per change of observed carry; `ball_speed_mps` the strike's.
    """

    carry_m: Floats
    slope: Floats
    ball_speed_mps: Floats
    can_tell: Mask


_DIFFERENCE = 0.004  # of log ball speed, for slopes
_MOST_TURNS = 12
_FIRST_SLOPE = 1.4  # of log carry over log ball speed, for the first guess alone
_NEAR = 0.005  # of log carry: one last Newton step from here errs by a millimetre
_DEAD_SLOPE = 0.05
_LONGEST_STEP = 0.3


def still_air_carry(
    carry_m: ArrayLike,
    delivery: Delivery | Launch,
    wind: WindField,
    air: Air = REFERENCE_AIR,
    ball: BallFactors = NOMINAL,
) -> StillAir:
    """The carry in still reference air of the strike that carried `carry_m`; all inputs broadcast.

    Strikes are the delivery's, or the shot's own launch data where there are any, with another ball speed and spin in
    proportion. Log carry is concave in log speed, so Newton from the left climbs the rising branch and does not pass
    its fold. Raises InputError for a carry or a condition out of range, never for a carry that tells nothing: that
    is `can_tell`.
    """
    launch = launch_of(delivery)
    observed = require_limit(carry_m, "carry")
    shape = np.broadcast_shapes(
        observed.shape,
        *(np.shape(v) for v in (launch.ball_speed_mps, launch.launch_rad, launch.spin_rad_s)),
        *(
            np.shape(v)
            for v in (wind.along_mps, wind.across_mps, wind.height_m, wind.roughness_m, ball.drag, ball.lift)
        ),
    )
    shots = _Shots(launch, wind, air, ball, shape)
    wanted = np.log(np.broadcast_to(observed, shape).ravel())
    log_scale, slope, found = _climb(shots, wanted)
    return shots.told(log_scale, wanted, slope, found)


class _Shots:
    """The shots of one inversion, flat, to be flown at any scale of ball speed."""

    def __init__(self, launch: Launch, wind: WindField, air: Air, ball: BallFactors, shape: tuple[int, ...]) -> None:
        self.shape = shape
        self._air = air
        self._profile = wind.profile
        parts = (
            launch.ball_speed_mps, launch.launch_rad, launch.spin_rad_s,
            launch.start_direction_rad, launch.axis_tilt_rad,
            wind.along_mps, wind.across_mps, wind.height_m, wind.roughness_m, ball.drag, ball.lift,
        )  # fmt: skip
        self._rows = np.array([np.broadcast_to(np.asarray(part, dtype=np.float64), shape).ravel() for part in parts])
        speed, spin = require_limit(self._rows[0], "ball speed"), self._rows[2]
        fastest = np.minimum(LIMITS["ball speed"].high / speed, LIMITS["spin"].high / np.maximum(spin, 1e-9))
        self.least, self.most = np.log(LIMITS["ball speed"].low / speed), np.log(fastest)

    def log_carry(self, log_scale: Floats, which: NDArray[np.intp], still: bool = False) -> Floats:
        """Log carry of the shots `which` at a log scale (…, n) of their ball speed."""
        speed, launch, spin, start, tilt, along, across, height, roughness, drag, lift = self._rows[:, which]
        scale = np.exp(log_scale)
        strike = Launch(scale * speed, launch, scale * spin, start, tilt)
        if still:
            flight = fly(strike, STILL, REFERENCE_AIR, BallFactors(drag, lift))
        else:
            wind = WindField(along, across, height, roughness, self._profile)
            flight = fly(strike, wind, self._air, BallFactors(drag, lift))
        return np.asarray(np.log(np.maximum(flight.carry_m, 0.1)))

    def value_and_slope(self, x: Floats, which: NDArray[np.intp], still: bool = False) -> tuple[Floats, Floats]:
        """Log carry at log scale `x`, and its slope."""
        ends = np.stack([
            np.maximum(x - _DIFFERENCE, self.least[which]), np.minimum(x + _DIFFERENCE, self.most[which])
        ])  # fmt: skip
        below, above = self.log_carry(ends, which, still)
        slope = (above - below) / (ends[1] - ends[0])
        return below + slope * (x - ends[0]), slope

    def told(self, log_scale: Floats, log_carry: Floats, slope: Floats, found: Mask) -> StillAir:
        """Still-air carry and slope of the strikes that were found on a living slope; zeros elsewhere."""
        which = np.flatnonzero(found)
        value, calm_slope = self.value_and_slope(log_scale[which], which, still=True)
        alive = slope[which] > LEAST_SLOPE_SHARE * calm_slope
        which = which[alive]
        carry, ratio, speed, tells = (np.zeros(found.shape) for _ in range(4))
        carry[which] = np.exp(value[alive])
        ratio[which] = calm_slope[alive] / slope[which] * carry[which] / np.exp(log_carry[which])
        speed[which] = np.exp(log_scale[which]) * self._rows[0, which]
        tells[which] = 1.0
        shaped = [values.reshape(self.shape) for values in (carry, ratio, speed, tells)]
        return StillAir(shaped[0], shaped[1], shaped[2], shaped[3] > 0)


def _climb(shots: _Shots, wanted: Floats) -> tuple[Floats, Floats, Mask]:
    """Log scale of ball speed, slope of log carry there, and whether it was found on the rising branch."""
    every = np.arange(wanted.size)
    x = np.clip(np.zeros(wanted.size), shots.least, shots.most)
    x += np.clip((wanted - shots.log_carry(x, every)) / _FIRST_SLOPE, -2 * _LONGEST_STEP, _LONGEST_STEP)
    x = np.clip(x, shots.least, shots.most)
    slope, found = np.zeros(wanted.size), np.zeros(wanted.size, dtype=bool)
    active = every
    for _ in range(_MOST_TURNS):
        value, rise = shots.value_and_slope(x[active], active)
        short = wanted[active] - value
        rising = rise > _DEAD_SLOPE
        near = rising & (np.abs(short) < _NEAR)
        step = np.clip(short / np.where(rising, rise, 1.0), -2 * _LONGEST_STEP, _LONGEST_STEP)
        moved = np.clip(x[active] + np.where(rising, step, -_LONGEST_STEP), shots.least[active], shots.most[active])
        stuck = ~near & (moved == x[active])
        x[active], slope[active], found[active] = moved, rise, near
        active = active[~near & ~stuck]
        if not active.size:
            break
    return x, slope, found


def ball_speed_for_carry(
    carry_m: float,
    launch_rad: float,
    spin_rad_s: float,
    wind: WindField = STILL,
    air: Air = REFERENCE_AIR,
    ball: BallFactors = NOMINAL,
) -> float:
    """The one ball speed at this launch and spin that carries `carry_m` in these conditions; scalars only.

    Raises InputError where no accepted speed carries it, where more than one does, and where carry in this wind grows
    less than a third as fast with speed as in still air, so that it tells nothing.
    """
    carry = float(require_limit(carry_m, "carry"))
    low, high, _ = LIMITS["ball speed"]
    speeds = np.linspace(low, high, 191)
    carries = fly(Launch(speeds, launch_rad, spin_rad_s), wind, air, ball).carry_m
    crossings = np.flatnonzero(np.diff(carries >= carry))
    if not crossings.size:
        far, near = float(carries.max()), float(carries.min())
        raise InputError(
            f"no ball speed from {low:g} to {high:g} m/s carries {carry:.4g} m here",
            "",
            f"this launch and spin carry {near:.4g} to {far:.4g} m",
        )
    if crossings.size > 1:
        both = " and ".join(f"{speeds[at]:.3g}" for at in crossings[:2])
        raise InputError(
            f"more than one ball speed carries {carry:.4g} m here (near {both} m/s)",
            "",
            "give the ball speed instead of the carry",
        )
    speed, slope = _refine(
        carry, speeds[crossings[0]], speeds[crossings[0] + 1], launch_rad, spin_rad_s, wind, air, ball
    )
    near_speeds = np.array([speed * 0.99, speed * 1.01])
    calm = fly(Launch(near_speeds, launch_rad, spin_rad_s), STILL, REFERENCE_AIR, ball).carry_m
    if slope < LEAST_SLOPE_SHARE * (calm[1] - calm[0]) / (near_speeds[1] - near_speeds[0]):
        raise InputError(
            f"a carry of {carry:.4g} m hardly depends on ball speed in this wind",
            "",
            "give the ball speed instead of the carry",
        )
    return speed


def _refine(
    carry: float,
    low: float,
    high: float,
    launch_rad: float,
    spin_rad_s: float,
    wind: WindField,
    air: Air,
    ball: BallFactors,
) -> tuple[float, float]:
    """Speed and slope of carry between speeds that bracket `carry`: a grid within a grid, then a straight line."""
    for _ in range(3):
        speeds = np.linspace(low, high, 33)
        carries = fly(Launch(speeds, launch_rad, spin_rad_s), wind, air, ball).carry_m
        at = int(np.flatnonzero(np.diff(carries >= carry))[0])
        low, high = float(speeds[at]), float(speeds[at + 1])
    slope = float((carries[at + 1] - carries[at]) / (high - low))
    return low + (carry - float(carries[at])) / slope, slope
