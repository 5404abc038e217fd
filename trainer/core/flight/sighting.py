"""A strike from what was seen of it: its carry, and its time in the air or its peak height, in a known wind.

The cheapest launch instrument: hang time or height tells a low flight from a ballooned one, so that the wind need not
be taken off by the reference delivery alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from trainer.core.conditions import REFERENCE_AIR, Air
from trainer.core.flight.aerodynamics import BallFactors
from trainer.core.flight.delivery import Delivery, launch_of
from trainer.core.flight.limits import LIMITS, Floats, Mask, require_finite
from trainer.core.flight.trajectory import NOMINAL, Launch, fly
from trainer.core.flight.wind import STILL, WindField


class Sight(StrEnum):
    """What was seen beside the carry."""

    HANG = "hang"
    APEX = "apex"


@dataclass(frozen=True, slots=True)
class Sighting:
    """Strikes and their still-air carries; zeros wherever `can_tell` is false.

    `slope_carry` is the change of still-air carry per change of the carry seen, `slope_seen` per change of the time
    (m/s) or of the height (m/m).
    """

    carry_m: Floats
    slope_carry: Floats
    slope_seen: Floats
    ball_speed_mps: Floats
    launch_rad: Floats
    spin_rad_s: Floats
    can_tell: Mask


_STEP = 0.01
_MOST_TURNS = 10
_CONVERGED = 1e-5
_LEAST_DETERMINANT = 0.1
_LARGEST_SCALE = np.log(2.5)


def strike_from_sight(
    carry_m: ArrayLike,
    seen: ArrayLike,
    sight: Sight,
    delivery: Delivery | Launch,
    wind: WindField,
    air: Air = REFERENCE_AIR,
    ball: BallFactors = NOMINAL,
) -> Sighting:
    """The strike that carried `carry_m` and hung `seen` seconds, or rose `seen` metres; all inputs broadcast.

    Ball speed and launch are the unknowns; spin follows both, as all three follow the club's speed and the loft it
    delivers. Newton's method on logs from the delivery. A pair that no strike within 2.5 times the delivery explains,
    that hardly distinguishes strikes, or of which one is no carry or no sight of a flight, is left untold: one such
    ball spoils no other. Raises InputError for what is not a number, and for a wind or an air out of range.
    """
    launch = launch_of(delivery)
    carry, second = np.broadcast_arrays(require_finite(carry_m, "carry"), require_finite(seen, "what was seen"))
    low, high, _ = LIMITS["carry"]
    flew = (carry >= low) & (carry <= high) & (second > 0)
    carry, second = np.where(flew, carry, low), np.where(flew, second, 1.0)
    parts = np.broadcast_arrays(
        carry, second, launch.ball_speed_mps, launch.launch_rad, launch.spin_rad_s,
        wind.along_mps, wind.across_mps, wind.height_m, wind.roughness_m, ball.drag, ball.lift,
    )  # fmt: skip
    rows = np.array([np.ravel(part) for part in parts], dtype=np.float64)
    solver = _Solver(rows[2:], sight, wind.profile == "log", air)
    x, jacobian, found = solver.solve(np.log(rows[:2]))
    shape = parts[0].shape
    found &= np.broadcast_to(flew, shape).ravel()
    return solver.sighting(rows[:2], x, jacobian, found, shape)


class _Solver:
    """The strikes of one call, flat: their delivery, wind and ball, flown at any scale of speed and launch."""

    def __init__(self, rows: Floats, sight: Sight, logarithmic: bool, air: Air) -> None:
        self._rows, self._sight, self._air = rows, sight, air
        self._logarithmic = logarithmic

    def strike(self, x: Floats) -> Launch:
        """Launches at log scales x (2, …, n) of ball speed and launch, held to the flight's ranges."""
        speed, launch, spin = self._rows[:3]
        scale = np.exp(x)
        return Launch(
            np.clip(scale[0] * speed, *LIMITS["ball speed"][:2]),
            np.clip(scale[1] * launch, *LIMITS["launch angle"][:2]),
            np.clip(scale[0] * scale[1] * spin, *LIMITS["spin"][:2]),
        )

    def seen(self, x: Floats, still: bool = False) -> Floats:
        """Log carry and log of what was seen (2, …, n)."""
        along, across, height, roughness, drag, lift = self._rows[3:]
        wind = WindField(along, across, height, roughness, "log" if self._logarithmic else "uniform")
        conditions = (STILL, REFERENCE_AIR) if still else (wind, self._air)
        flight = fly(self.strike(x), *conditions, BallFactors(drag, lift))
        second = flight.flight_s if self._sight is Sight.HANG else flight.apex_m
        return np.asarray(np.log(np.maximum(np.stack([flight.carry_m, second]), 1e-3)))

    def linear(self, x: Floats, still: bool = False) -> tuple[Floats, Floats]:
        """Values (2, n) at `x` and their Jacobian (2, 2, n): [what is seen, of which scale]."""
        steps = np.array([[0.0, _STEP, 0.0], [0.0, 0.0, _STEP]])[:, :, None]
        values = self.seen(x[:, None, :] + steps, still)
        return values[:, 0], np.asarray((values[:, 1:] - values[:, :1]) / _STEP)

    def solve(self, wanted: Floats) -> tuple[Floats, Floats, Mask]:
        """Scales (2, n), the Jacobian there, and where they were found."""
        x = np.zeros_like(wanted)
        for _ in range(_MOST_TURNS):
            value, jacobian = self.linear(x)
            short = wanted - value
            near = np.abs(short).max(axis=0) < _CONVERGED
            if near.all():
                break
            x = np.clip(x + _newton(jacobian, short), -_LARGEST_SCALE, _LARGEST_SCALE)
        return x, jacobian, near & (_determinant(jacobian) > _LEAST_DETERMINANT)

    def sighting(
        self, observed: Floats, x: Floats, jacobian: Floats, found: Mask, shape: tuple[int, ...]
    ) -> Sighting:
        """The answers where found: still-air carry through the calm Jacobian and the inverse of the wind's."""
        value, calm = self.linear(x, still=True)
        determinant = np.where(found, _determinant(jacobian), 1.0)
        carry = np.exp(value[0])
        per_carry = (calm[0, 0] * jacobian[1, 1] - calm[0, 1] * jacobian[1, 0]) / determinant
        per_seen = (calm[0, 1] * jacobian[0, 0] - calm[0, 0] * jacobian[0, 1]) / determinant
        strike = self.strike(x)
        answers = (
            carry, per_carry * carry / observed[0], per_seen * carry / observed[1],
            strike.ball_speed_mps, strike.launch_rad, strike.spin_rad_s,
        )  # fmt: skip
        told = [np.where(found, answer, 0.0).reshape(shape) for answer in answers]
        return Sighting(told[0], told[1], told[2], told[3], told[4], told[5], found.reshape(shape))


def _determinant(jacobian: Floats) -> Floats:
    return np.asarray(jacobian[0, 0] * jacobian[1, 1] - jacobian[0, 1] * jacobian[1, 0])


def _newton(jacobian: Floats, short: Floats) -> Floats:
    """A Newton step, shortened to 0.3, with a flat Jacobian held off from zero."""
    determinant = np.maximum(_determinant(jacobian), 0.05)
    step = np.stack([
        jacobian[1, 1] * short[0] - jacobian[0, 1] * short[1],
        jacobian[0, 0] * short[1] - jacobian[1, 0] * short[0],
    ])  # fmt: skip
    return np.asarray(np.clip(step / determinant, -0.3, 0.3))
