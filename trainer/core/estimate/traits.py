"""What a shot does besides carry: its run, its height, its side: exact regressions on the flight's expectation.

Run and height are ratios to what the flight and the turf expect of the cell's reference delivery in that wind; side
is an angle. Range: shots that were struck; a mishit's height or side says nothing of the cell and is left out
beforehand.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from trainer.core.estimate.evidence import CellSet, Floats, Ints
from trainer.core.estimate.observations import SMALLEST_READING_SD_MPS, WindTold
from trainer.core.estimate.regression import RegressionPosterior, RegressionPrior, regress


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

LAUNCH_SHIFT_RAD = RatioPrior(0.035, 0.025, 0.017, 0.044)
"""How far a launch lies from the reference: two degrees are the player's, one and a half a swing's, one a cell's; one
ball's as seen, two and a half (common practice)."""

LOG_SPIN_SHIFT = RatioPrior(0.12, 0.10, 0.08, 0.20)
"""The same of the log of the spin ratio (common practice)."""

_NOISE_FREEDOM, _CERTAIN = 6.0, 1e9

LEAST_TOLD = 0.02
"""What the sides add to a reading's precision by less than this share is not worth a word."""


@dataclass(frozen=True, slots=True)
class RatioDraws:
    """`log_ratio` (n, c) of each cell to the flight's expectation, `shot_sd` (n,) of one shot about it."""

    log_ratio: Floats
    shot_sd: Floats


def ratio_draws(
    cells: CellSet, cell: Ints, log_ratio: Floats, prior: RatioPrior, rng: np.random.Generator, *, draws: int = 2048
) -> RatioDraws:
    """Draws for every cell from shots of `cell` (n,) whose log(observed / expected) is `log_ratio` (n,)."""
    every, weights = _shared_in_part(cells, prior, _NOISE_FREEDOM)
    drawn, noise = regress(every[cell], log_ratio, weights).draw(draws, rng)
    return RatioDraws(drawn @ every.T, noise)


def mean_shift(cells: CellSet, cell: Ints, balls: Floats, seen: Floats, prior: RatioPrior) -> Floats:
    """Posterior mean (c,) of a quantity that the player, his swings and his cells share in part.

    `seen` (r,) are means, or medians, over `balls` (r,) shots of `cell` (r,), each as its difference from what was
    expected. `prior` holds the s.d. of each part and of one shot, in the quantity's own unit.
    """
    every, weights = _shared_in_part(cells, prior, _CERTAIN)
    root = np.sqrt(balls)
    found = regress(every[cell] * root[:, None], seen * root, weights)
    return np.asarray(every @ found.mean)


def _shared_in_part(cells: CellSet, prior: RatioPrior, freedom: float) -> tuple[Floats, RegressionPrior]:
    """Rows (c, 3 + c) of the player's, the two swings' and each cell's own part, and the prior of those parts."""
    c = len(cells)
    rows = np.hstack([np.ones((c, 1)), cells.three_quarter[:, None], cells.half[:, None], np.eye(c)])
    sd = np.concatenate([[prior.player_sd, prior.swing_sd, prior.swing_sd], np.full(c, prior.cell_sd)])
    return rows, RegressionPrior(np.zeros(c + 3), sd, prior.shot_sd, freedom)


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

    `drift_rad` is the flight's drift over carry in the wind as read. `slope_along` and `slope_across` are its change,
    rad per m/s, with the wind along and across the line that the wind is read against: towards a flag beside that
    line an error along it is partly one across. `reading` indexes `along_sd_mps` and `across_sd_mps` (r,), the
    readings' errors.
    """

    club: Ints
    reading: Ints
    side_rad: Floats
    drift_rad: Floats
    slope_along: Floats
    slope_across: Floats
    along_sd_mps: Floats
    across_sd_mps: Floats


@dataclass(frozen=True, slots=True)
class SideDraws:
    """Draws (n, …): start bias (n, k) of each club, spread of one shot, response to a cross wind.

    `along_mps` and `across_mps` (n, r) are what each reading was off by, to be added to what it said.
    """

    bias_rad: Floats
    shot_sd_rad: Floats
    drift_response: Floats
    along_mps: Floats
    across_mps: Floats


def side_draws(
    clubs: int, seen: SideEvidence, rng: np.random.Generator, prior: SidePrior | None = None, *, draws: int = 2048
) -> SideDraws:
    """Draws of the side of every club and of the wind across.

    Two flags either side of the wind tell a start bias from a misread wind: their slopes differ in sign or size,
    the bias does not.
    """
    readings = len(seen.across_sd_mps)
    drawn, noise = _sides(clubs, seen, prior or SidePrior()).draw(draws, rng)
    start = 2 + clubs
    return SideDraws(
        drawn[:, [0]] + drawn[:, 2:start], noise, drawn[:, 1],
        drawn[:, start : start + readings], drawn[:, start + readings :],
    )  # fmt: skip


def wind_told(clubs: int, seen: SideEvidence, prior: SidePrior | None = None) -> WindTold:
    """What the sides say of each reading's error, as words that are independent of the reading's own.

    What a reading's prior and the sides know together is divided by the prior: what is left is a normal likelihood
    of the two errors, told by its principal axes. Assumption: readings are told apart from one another, though a
    start bias that is not yet known stands behind them all; with two flags a reading it cancels.
    """
    if not len(seen.side_rad):
        return WindTold.nothing()
    prior, readings = prior or SidePrior(), len(seen.across_sd_mps)
    noise = _sides(clubs, seen, prior).scale
    # Once more with that noise held, so that the priors of biases and readings are in metres and not in noises.
    found = _sides(clubs, seen, replace(prior, shot_sd_rad=noise), freedom=_CERTAIN)
    words: list[tuple[int, float, float, float, float]] = []
    for reading in np.unique(seen.reading).tolist():
        at = 2 + clubs + np.array([reading, readings + reading])
        known = np.linalg.inv(found.covariance[np.ix_(at, at)])
        own = np.maximum([seen.along_sd_mps[reading], seen.across_sd_mps[reading]], SMALLEST_READING_SD_MPS)
        told, axes = np.linalg.eigh(known - np.diag(own**-2.0))
        pull = axes.T @ known @ found.mean[at]
        for k in np.flatnonzero(told > LEAST_TOLD * float(np.min(own)) ** -2.0):
            words.append((reading, axes[0, k], axes[1, k], pull[k] / told[k], told[k] ** -0.5))
    columns = np.array(words).reshape(-1, 5).T
    return WindTold(columns[0].astype(np.int64), *columns[1:])


def _sides(clubs: int, seen: SideEvidence, prior: SidePrior, freedom: float = _NOISE_FREEDOM) -> RegressionPosterior:
    """Weights: the player's start bias, the response to drift, the clubs' own biases, errors along, then across."""
    n, readings = len(seen.side_rad), len(seen.across_sd_mps)
    rows = np.zeros((n, 2 + clubs + 2 * readings))
    shots = np.arange(n)
    rows[:, 0] = 1.0
    rows[:, 1] = seen.drift_rad
    rows[shots, 2 + seen.club] = 1.0
    rows[shots, 2 + clubs + seen.reading] = seen.slope_along
    rows[shots, 2 + clubs + readings + seen.reading] = seen.slope_across
    mean = np.concatenate([[0.0, 1.0], np.zeros(clubs + 2 * readings)])
    sd = np.concatenate([
        [prior.bias_sd_rad, prior.drift_response_sd], np.full(clubs, prior.club_bias_sd_rad),
        np.maximum(np.concatenate([seen.along_sd_mps, seen.across_sd_mps]), SMALLEST_READING_SD_MPS),
    ])  # fmt: skip
    return regress(rows, seen.side_rad, RegressionPrior(mean, sd, prior.shot_sd_rad, freedom))
