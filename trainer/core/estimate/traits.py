"""What a shot does besides carry: its run, its height, its side: exact regressions on the flight's expectation.

Run and height are ratios to what the flight and the turf expect of the cell's reference delivery in that wind; side
is an angle. Range: shots that were struck; a mishit's height or side says nothing of the cell and is left out
beforehand.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainer.core.estimate.evidence import CellSet, Floats, Ints
from trainer.core.estimate.regression import RegressionPrior, regress


@dataclass(frozen=True, slots=True)
class RatioPrior:
    """S.d. of a log ratio to the flight's expectation: the player's, a swing's, a cell's, and one shot's noise."""

    player_sd: float
    swing_sd: float
    cell_sd: float
    shot_sd: float


APEX = RatioPrior(0.15, 0.10, 0.10, 0.20)
"""Height: common practice puts low shots 35–55 % lower, which the flight expects already; this is what is left."""

RUN = RatioPrior(0.40, 0.20, 0.20, 0.45)
"""Run: the bounce is an extrapolation for low fast shots, and turf differs from its three classes."""

_NOISE_FREEDOM = 6.0


@dataclass(frozen=True, slots=True)
class RatioDraws:
    """`log_ratio` (n, c) of each cell to the flight's expectation, `shot_sd` (n,) of one shot about it."""

    log_ratio: Floats
    shot_sd: Floats


def ratio_draws(
    cells: CellSet, cell: Ints, log_ratio: Floats, prior: RatioPrior, rng: np.random.Generator, *, draws: int = 2048
) -> RatioDraws:
    """Draws for every cell from shots of `cell` (n,) whose log(observed / expected) is `log_ratio` (n,)."""
    c = len(cells)
    every = np.hstack([np.ones((c, 1)), cells.three_quarter[:, None], cells.half[:, None], np.eye(c)])
    sd = np.concatenate([[prior.player_sd, prior.swing_sd, prior.swing_sd], np.full(c, prior.cell_sd)])
    weights = RegressionPrior(np.zeros(c + 3), sd, prior.shot_sd, _NOISE_FREEDOM)
    drawn, noise = regress(every[cell], log_ratio, weights).draw(draws, rng)
    return RatioDraws(drawn @ every.T, noise)


@dataclass(frozen=True, slots=True)
class SidePrior:
    """Angles in radians: the player's start bias, a club's, one shot's; the response to a cross wind, about 1."""

    bias_sd_rad: float = 0.03
    club_bias_sd_rad: float = 0.015
    shot_sd_rad: float = 0.06
    drift_response_sd: float = 0.25


@dataclass(frozen=True, slots=True)
class SideEvidence:
    """Shots whose side was seen (n,): side over carry, rad, right positive.

    `drift_rad` is the flight's drift over carry in the wind as read, `drift_slope_rad_per_mps` its change per m/s of
    wind to the right. `reading` indexes `across_sd_mps` (r,), the readings' error across the line.
    """

    club: Ints
    reading: Ints
    side_rad: Floats
    drift_rad: Floats
    drift_slope_rad_per_mps: Floats
    across_sd_mps: Floats


@dataclass(frozen=True, slots=True)
class SideDraws:
    """Draws (n, …): start bias (n, k) of each club, spread of one shot, response to a cross wind.

    `across_mps` (n, r) is what each reading was off by across the line, to be added to what it said.
    """

    bias_rad: Floats
    shot_sd_rad: Floats
    drift_response: Floats
    across_mps: Floats


def side_draws(
    clubs: int, seen: SideEvidence, rng: np.random.Generator, prior: SidePrior | None = None, *, draws: int = 2048
) -> SideDraws:
    """Draws of the side of every club and of the wind across.

    Two flags either side of the wind tell a start bias from a misread wind: their `drift_slope_rad_per_mps` differ in
    sign or size, the bias does not.
    """
    prior = SidePrior() if prior is None else prior
    n, readings = len(seen.side_rad), len(seen.across_sd_mps)
    rows = np.zeros((n, 2 + clubs + readings))
    shots = np.arange(n)
    rows[:, 0] = 1.0
    rows[:, 1] = seen.drift_rad
    rows[shots, 2 + seen.club] = 1.0
    rows[shots, 2 + clubs + seen.reading] = seen.drift_slope_rad_per_mps
    mean = np.concatenate([[0.0, 1.0], np.zeros(clubs + readings)])
    sd = np.concatenate(
        [[prior.bias_sd_rad, prior.drift_response_sd], np.full(clubs, prior.club_bias_sd_rad), seen.across_sd_mps]
    )
    weights = RegressionPrior(mean, np.maximum(sd, 1e-6), prior.shot_sd_rad, _NOISE_FREEDOM)
    drawn, noise = regress(rows, seen.side_rad, weights).draw(draws, rng)
    return SideDraws(drawn[:, [0]] + drawn[:, 2 : 2 + clubs], noise, drawn[:, 1], drawn[:, 2 + clubs :])
