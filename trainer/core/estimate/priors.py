"""Priors of the sampled club model, every number with its unit and where it comes from.

Assumptions: effects are Gaussian on the log scale, scales half-normal, mishits one-sided. Where no source is named
the value is common practice, wide enough that a season of shots overrides it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Normal:
    """Mean and s.d. of one effect, on the log scale unless the name says otherwise."""

    mean: float
    sd: float


@dataclass(frozen=True, slots=True)
class ClubPriors:
    """What is held of a player before his first ball.

    Scales of the cells (`club_sd`, `club_grip_sd`, `club_swing_sd`, `cell_sd`) are half-normal with the s.d. given.
    `log_spread` is the log of the player's own factor on the flight's strike scatter, `club_log_spread_sd` how far
    one club strays from it. `mishit_share` are the two counts of a Beta; `mark_rate` likewise, the chance that a
    mishit is marked as one. `walk_sd_per_root_year` is how far a club drifts in a year.
    """

    alpha: Normal = Normal(0.0, 0.04)
    loft_curve_sd: float = 0.03
    loft_length_deg: float = 12.0
    grip_per_in: Normal = Normal(-0.025, 0.015)
    three_quarter: Normal = Normal(math.log(0.90), 0.05)
    half: Normal = Normal(math.log(0.75), 0.08)
    club_sd: float = 0.03
    club_grip_sd: float = 0.008
    club_swing_sd: float = 0.03
    # Measured: with 0.015 the intervals of players whose cells stray by 0.04 held 0.70 of them, with 0.025 0.75.
    cell_sd: float = 0.025
    # The flight's wind effect is the starting point; how a player's own flight answers differs by a quarter. That
    # covers what published coefficient sets disagree by: 0.4 m per m/s of some 2.6 m for a full iron.
    wind_response: Normal = Normal(1.0, 0.25)
    # Where a ball's own flight is known only the aerodynamics are left to differ: so much of the response's s.d.
    own_flight_response_sd: float = 0.15
    # What the flight makes of a range ball's drag and lift (`aerodynamics.BALL_CLASSES`) over the irons. With
    # N(-0.03, 0.04) still-air carries of invented golfers came out 1.3 % short, with this 0.7 % (`tests/evidence`).
    range_ball: Normal = Normal(-0.05, 0.04)
    mat: Normal = Normal(0.0, 0.02)
    # One ball and device against the flight calculation (Lyu, Kensrud & Smith 2018: carry ±5 % between ball models).
    computed: Normal = Normal(0.0, 0.04)
    # Our own flight of launch data against a ball: published sets differ by so much (`tests/reference`).
    flown: Normal = Normal(0.0, 0.055)
    day_sd: float = 0.025
    eye_day_sd: float = 0.02
    walk_sd_per_root_year: float = 0.03
    log_spread: Normal = Normal(0.0, 0.4)
    club_log_spread_sd: float = 0.15
    mishit_share: tuple[float, float] = (1.2, 12.0)
    mishit_loss: Normal = Normal(0.18, 0.05)
    mishit_sd: float = 0.10
    mark_rate: tuple[float, float] = (1.0, 1.0)


MEASURED_CARRY = ClubPriors()
"""The one known carry was measured."""

REMEMBERED_CARRY = ClubPriors(alpha=Normal(math.log(0.95), 0.05))
"""The one known carry is remembered: memory keeps the good ones."""
