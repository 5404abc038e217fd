"""Lift and drag of a spinning golf ball, and how balls differ.

F = ½·ρ·A·C·V², V relative to the air; Reynolds number Re = V·d/ν; spin ratio S = r·ω/V.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from trainer.core.conditions import Ball
from trainer.core.errors import InputError
from trainer.core.flight.limits import Floats, require_finite

REYNOLDS_UNIT = 1e5
"""The fits are in Re/1e5, so that their constants are of order one."""

SPIN_DECAY = 2.0e-5
"""dω/dt = −2.0e−5·ω·V/r (Smits and Smith 1994, Science and Golf II, 340)."""

DRAG_FIT = (0.2407, 0.119, 0.1178, 0.716, 4.8282)
LIFT_FIT = (0.2429, 0.1386, 0.2042, 3.0802, 0.7095, 120.869)
"""Constants of `drag_of_fit` and `lift_of_fit`, fitted to Bearman and Harvey 1976, Aeronautical Quarterly 27, 112
(hexagonal dimples; 2000…6000 rpm, 13.7…88.1 m/s; Re 4e4…2.6e5, S 0.05…0.98).

Residuals where the table is trusted (21.6…71.9 m/s): C_D rms 0.0032, at most 0.011; C_L rms 0.0064, at most 0.023.
Flown through the table itself, interpolated, seven shots in five winds differ by at most 1.2 m of carry. Past the
table both are bounded and monotone in S. The drag crisis of a ball without spin below Re 6e4 is neither in the table
nor in the fit."""

_DRAG_REYNOLDS = 0.2
_LIFT_REYNOLDS = 0.1
SCRATCH_ROWS = 15


class CoefficientSet(Protocol):
    """Writes C_D and C_L of n flights in place: the integrator asks for them a hundred times a flight.

    `flow` (2, n) holds the spin ratio and Re/`REYNOLDS_UNIT` and is left as it is; `out` (2, n) receives C_D and C_L;
    `scratch` (`SCRATCH_ROWS`, n) may be overwritten. All are float64.
    """

    def __call__(self, flow: Floats, out: Floats, scratch: Floats) -> None:
        """Fill `out`."""


def drag_of_fit(reynolds: Floats, spin_ratio: Floats, constants: tuple[float, ...]) -> Floats:
    """C_D = a + b·u/(c + u)·(1 + g/(q + 0.2)), u = S²·(1 + h·S²), q = Re/1e5, constants (a, b, c, g, h)."""
    a, b, c, g, h = constants
    square = spin_ratio * spin_ratio
    u = square * (1 + h * square)
    return np.asarray(a + b * u / (c + u) * (1 + g / (reynolds / REYNOLDS_UNIT + _DRAG_REYNOLDS)))


def lift_of_fit(reynolds: Floats, spin_ratio: Floats, constants: tuple[float, ...]) -> Floats:
    """C_L = (a·x/(b + x) + c·x²/(1 + x²))·p/(1 + p), constants (a, b, c, g, q1, k).

    x = S·(1 + g/(q + 0.1)) and p = (q/q1)⁴·(1 + k·S²): lift fades where the flow over a slow, little spun ball
    turns laminar.
    """
    a, b, c, g, q1, k = constants
    q = reynolds / REYNOLDS_UNIT
    x = spin_ratio * (1 + g / (q + _LIFT_REYNOLDS))
    p = (q / q1) ** 4 * (1 + k * spin_ratio * spin_ratio)
    return np.asarray((a * x / (b + x) + c * x * x / (1 + x * x)) * p / (1 + p))


def _column(*values: float) -> Floats:
    return np.array(values).reshape(-1, 1)


_OFFSETS = _column(_LIFT_REYNOLDS, _DRAG_REYNOLDS)
_GAINS = _column(LIFT_FIT[3], DRAG_FIT[1] * DRAG_FIT[3])
_PLAIN = _column(1.0, DRAG_FIT[1])
_HALVES = _column(LIFT_FIT[1], DRAG_FIT[2], 1.0, 1.0)
_LIFT_SHARES = _column(LIFT_FIT[0], LIFT_FIT[2])
_FADE = np.array(1 / LIFT_FIT[4] ** 4)
_FADE_BY_SPIN = LIFT_FIT[5] * _FADE
_STEEP_DRAG, _LEAST_DRAG = np.array(DRAG_FIT[4]), np.array(DRAG_FIT[0])


def bearman_harvey(flow: Floats, out: Floats, scratch: Floats) -> None:
    """The fit to Bearman and Harvey 1976: `drag_of_fit` and `lift_of_fit` in place, all four quotients at once."""
    squares, fourths, by_reynolds, bottoms, tops, part = (
        scratch[:2], scratch[2:4], scratch[4:6], scratch[6:10], scratch[10:14], scratch[14],
    )  # fmt: skip
    np.multiply(flow, flow, squares)
    np.multiply(squares, squares, fourths)
    np.add(flow[1], _OFFSETS, by_reynolds)
    np.divide(_GAINS, by_reynolds, by_reynolds)
    np.add(by_reynolds, _PLAIN, by_reynolds)
    np.multiply(flow[0], by_reynolds[0], tops[0])  # x
    np.multiply(fourths[0], _STEEP_DRAG, part)
    np.add(part, squares[0], tops[1])  # u
    np.multiply(tops[0], tops[0], tops[2])  # x²
    np.multiply(squares[0], _FADE_BY_SPIN, part)
    np.add(part, _FADE, part)
    np.multiply(part, fourths[1], tops[3])  # p
    np.add(tops, _HALVES, bottoms)
    np.divide(tops, bottoms, tops)
    np.multiply(tops[1], by_reynolds[1], out[0])
    np.add(out[0], _LEAST_DRAG, out[0])
    np.multiply(tops[0:3:2], _LIFT_SHARES, squares)
    np.add(squares[0], squares[1], part)
    np.multiply(part, tops[3], out[1])


def smits_smith(flow: Floats, out: Floats, scratch: Floats) -> None:
    """Smits and Smith 1994, Science and Golf II, 340: C_L = 0.54·S^0.4, C_D in Re and S.

    For drivers (Re 7e4…2.1e5, S 0.08…0.2); Re is held to that range. It overshoots irons: for comparison only.
    """
    out[0] = 0.24 + 0.18 * flow[0] + 0.06 * np.sin(np.pi * (np.clip(flow[1], 0.7, 2.1) - 0.9) / 2.0)
    out[1] = 0.54 * flow[0] ** 0.4


def lieberman(flow: Floats, out: Floats, scratch: Floats) -> None:
    """Lieberman's lift, C_L = −0.05 + √(0.0025 + 0.36·S) (quoted by Palmer 2005), with this module's drag."""
    bearman_harvey(flow, out, scratch)
    out[1] = -0.05 + np.sqrt(0.0025 + 0.36 * flow[0])


COEFFICIENT_SETS: Mapping[str, CoefficientSet] = {
    "Bearman and Harvey 1976": bearman_harvey,
    "Smits and Smith 1994": smits_smith,
    "Lieberman lift": lieberman,
}
"""Published sets, for the comparison that gives the flight's own error."""


def drag_coefficient(reynolds: ArrayLike, spin_ratio: ArrayLike) -> Floats:
    """C_D; inputs broadcast. Raises InputError for a value that is negative or not finite."""
    return drag_of_fit(*_checked(reynolds, spin_ratio), DRAG_FIT)


def lift_coefficient(reynolds: ArrayLike, spin_ratio: ArrayLike) -> Floats:
    """C_L, zero without spin; inputs broadcast. Raises InputError for a value that is negative or not finite."""
    return lift_of_fit(*_checked(reynolds, spin_ratio), LIFT_FIT)


def _checked(reynolds: ArrayLike, spin_ratio: ArrayLike) -> tuple[Floats, Floats]:
    checked = require_finite(reynolds, "Reynolds number"), require_finite(spin_ratio, "spin ratio")
    if not ((checked[0] >= 0).all() and (checked[1] >= 0).all()):
        raise InputError("a Reynolds number or spin ratio is negative", "", "give 0 or more")
    return checked


@dataclass(frozen=True, slots=True)
class BallFactors:
    """Factors on C_D and C_L of one ball: scalars, or arrays that broadcast with the flights."""

    drag: ArrayLike = 1.0
    lift: ArrayLike = 1.0


@dataclass(frozen=True, slots=True)
class BallClass:
    """A class of balls: its usual factors, and the s.d. of each from ball model to ball model."""

    factors: BallFactors
    drag_sd: float
    lift_sd: float


BALL_CLASSES: Mapping[Ball, BallClass] = {
    Ball.PLAYING: BallClass(BallFactors(), 0.03, 0.05),
    Ball.RANGE: BallClass(BallFactors(1.06, 0.92), 0.06, 0.10),
}
"""Playing balls: 18 m of carry between 13 models (Lyu, Kensrud and Smith 2018, Proceedings 2, 238), C_D spread below
0.05 above Re 1e5; the s.d. of a factor is set to that. Range balls: common practice, no source for their mean."""
