"""How far published coefficient sets disagree: the flight's own error, given to whoever trusts a flight.

Each set flies the same shot twice: with the same launch, for the error of a carry that is only calculated; and with
the ball speed that gives the same still-air carry, for the error of a wind effect where the carry is the player's.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from trainer.core.conditions import REFERENCE_AIR, Air
from trainer.core.flight.aerodynamics import COEFFICIENT_SETS, CoefficientSet
from trainer.core.flight.limits import Floats
from trainer.core.flight.trajectory import Launch, fly
from trainer.core.flight.wind import STILL, WindField


@dataclass(frozen=True, slots=True)
class SetComparison:
    """One row a coefficient set (first axis, in the order of `COEFFICIENT_SETS`), then cells × winds.

    `carry_m` is flown with the given launch in the wind, `still_carry_m` in still air; `effect_m` is the wind effect
    where every set has its own ball speed for the first set's still-air carry.
    """

    carry_m: Floats
    still_carry_m: Floats
    effect_m: Floats

    @property
    def log_carry_sd(self) -> Floats:
        """S.d. of log still-air carry between the sets."""
        return np.asarray(np.std(np.log(self.still_carry_m), axis=0, ddof=1))

    @property
    def effect_sd_m(self) -> Floats:
        """S.d. of the wind effect between the sets, m."""
        return np.asarray(np.std(self.effect_m, axis=0, ddof=1))


def compare_sets(launch: Launch, wind: WindField, air: Air = REFERENCE_AIR) -> SetComparison:
    """Fly launches in winds (both broadcast) with every published set. Raises InputError outside the ranges."""
    rows = []
    wanted = fly(launch).carry_m
    for coefficients in COEFFICIENT_SETS.values():
        carry = fly(launch, wind, air, coefficients=coefficients).carry_m
        still = fly(launch, STILL, coefficients=coefficients).carry_m
        same = _with_still_carry(launch, wanted, coefficients)
        effect = fly(same, wind, air, coefficients=coefficients).carry_m - wanted
        rows.append((carry, np.broadcast_to(still, carry.shape), effect))
    carries, stills, effects = (np.stack(parts) for parts in zip(*rows, strict=True))
    return SetComparison(carries, stills, effects)


def _with_still_carry(launch: Launch, wanted_m: Floats, coefficients: CoefficientSet) -> Launch:
    """The launch with ball speed and spin scaled so that this set carries `wanted_m` in still air."""
    scale = np.ones(np.shape(wanted_m))

    def scaled() -> Launch:
        speed, spin = np.asarray(launch.ball_speed_mps), np.asarray(launch.spin_rad_s)
        return Launch(
            scale * speed, launch.launch_rad, scale * spin, launch.start_direction_rad, launch.axis_tilt_rad
        )

    for _ in range(12):
        carry = fly(scaled(), coefficients=coefficients).carry_m
        scale = scale * (wanted_m / carry) ** 0.7  # carry grows as speed to a power of 1.1 to 1.6: this contracts
    return scaled()


class FlightError(NamedTuple):
    """S.d. of the flight's own error: of log calculated carry, and of a wind effect per m/s of along wind at 2 m."""

    log_carry: float
    effect_m_per_mps: float


FLIGHT_ERRORS: Mapping[str, FlightError] = {
    "driver": FlightError(0.035, 1.00),
    "full iron": FlightError(0.055, 0.40),
    "low iron": FlightError(0.060, 0.20),
    "wedge": FlightError(0.065, 0.60),
}
"""What `compare_sets` gives for a driver, a full 7 iron, a three-quarter 6 iron an inch down and a full pitching
wedge of a 150 yd 7 iron, in along winds of 2.5 to 8 m/s at 2 m, both ways: three sets, so each s.d. is rough."""
