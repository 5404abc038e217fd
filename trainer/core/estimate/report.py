"""From draws to what a player reads: carries with intervals, the called range, and what the wind hides.

Every function here raises UnreliableEstimateError where the diagnostics say that the draws may not be reported.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainer.core.constants import Z80
from trainer.core.estimate.evidence import Floats, Interval, Setting
from trainer.core.estimate.posterior import Posterior


@dataclass(frozen=True, slots=True)
class CalledRange:
    """Where the next ball is called to carry, m, before it is hit: median, central 50 and 80 %, one entry a cell."""

    median: Floats
    low50: Floats
    high50: Floats
    low80: Floats
    high80: Floats


@dataclass(frozen=True, slots=True)
class SaidWind:
    """What the balls say of a reading's error along the target line, m/s, to be added to what was read."""

    error_mps: float
    sd_mps: float


def quantiles(draws: Floats, weights: Floats, levels: tuple[float, ...]) -> Floats:
    """Weighted quantiles (levels, …) of `draws` (n, …) along the first axis, linear between draws' mid-weights."""
    flat = draws.reshape(len(draws), -1)
    order = np.argsort(flat, axis=0)
    ranked = np.take_along_axis(flat, order, axis=0)
    share = weights[order]
    middle = np.cumsum(share, axis=0) - 0.5 * share
    out = np.empty((len(levels), flat.shape[1]))
    for k in range(flat.shape[1]):
        out[:, k] = np.interp(levels, middle[:, k], ranked[:, k])
    return out.reshape(len(levels), *draws.shape[1:])


def still_air_carry(posterior: Posterior) -> Interval:
    """Still-air carry of every cell, m: no wind, reference air, playing ball from grass."""
    posterior.diagnostics.require_reliable()
    return _interval(posterior, posterior.draws.eta)


def carry_in(posterior: Posterior, setting: Setting, rng: np.random.Generator) -> Interval:
    """Carry of every cell in `setting`, m: the middle of a struck ball's scatter, not one ball.

    Where the wind is a reading of the evidence, that reading's error and that day are the ones the shots were hit
    under, jointly with the carry: this is why today's carry is known better than the still-air one.
    """
    posterior.diagnostics.require_reliable()
    return _interval(posterior, log_carry_in(posterior, setting, rng))


def log_carry_in(posterior: Posterior, setting: Setting, rng: np.random.Generator) -> Floats:
    """Draws (n, c) of a struck ball's mean log carry over stock in `setting`."""
    draws = posterior.draws
    log_ratio = draws.eta + draws.wind_response[:, None] * setting.wind_log
    if setting.reading is None:
        error = setting.wind_sd_mps * rng.standard_normal(len(draws))
    else:
        error = draws.along[:, setting.reading]
    log_ratio = log_ratio + error[:, None] * setting.wind_slope_per_mps
    if setting.range_ball:
        log_ratio = log_ratio + draws.range_ball[:, None]
    if setting.mat:
        log_ratio = log_ratio + draws.mat[:, None]
    if setting.day is not None:
        log_ratio = log_ratio + draws.day[:, [setting.day]]
    return np.asarray(log_ratio)


def called_range(
    posterior: Posterior, setting: Setting, spread_log: Floats, rng: np.random.Generator, *, seen_sd_log: float = 0.0
) -> CalledRange:
    """Where the next ball of each cell lands, mishits in; `spread_log` (c,) is the flight's scatter in that wind.

    On a day that the evidence does not know, the day's own offset is drawn too. `seen_sd_log` adds the error of
    seeing, for a call that is checked against a seen carry.
    """
    posterior.diagnostics.require_reliable()
    draws, priors = posterior.draws, posterior.priors
    mean = log_carry_in(posterior, setting, rng)
    if setting.day is None:
        mean = mean + priors.day_sd * rng.standard_normal((len(draws), 1))
    bad = rng.random(mean.shape) < draws.mishit_share[:, None]
    own = spread_log * np.exp(draws.log_spread[:, posterior.cells.club])
    sd = np.hypot(np.where(bad, priors.mishit_sd, own), seen_sd_log)
    ball = mean - bad * draws.mishit_loss[:, None] + sd * rng.standard_normal(mean.shape)
    low80, low50, median, high50, high80 = _stock(posterior) * np.exp(
        quantiles(ball, posterior.weights, (0.1, 0.25, 0.5, 0.75, 0.9))
    )
    return CalledRange(median, low50, high50, low80, high80)


def ball_draws(
    posterior: Posterior, setting: Setting, spread_log: Floats, cell: int, rng: np.random.Generator
) -> Floats:
    """Draws (n,) of one cell's next struck or mishit carry, m, for scores and choices."""
    posterior.diagnostics.require_reliable()
    draws, priors = posterior.draws, posterior.priors
    mean = log_carry_in(posterior, setting, rng)[:, cell]
    bad = rng.random(len(draws)) < draws.mishit_share
    own = spread_log[cell] * np.exp(draws.log_spread[:, posterior.cells.club[cell]])
    sd = np.where(bad, priors.mishit_sd, own)
    return np.asarray(
        _stock(posterior)[cell] * np.exp(mean - bad * draws.mishit_loss + sd * rng.standard_normal(len(draws)))
    )


def shot_spread_m(posterior: Posterior, setting: Setting, spread_log: Floats, rng: np.random.Generator) -> Floats:
    """S.d. (c,) of a struck ball's carry in `setting`, m, posterior median."""
    posterior.diagnostics.require_reliable()
    mean = log_carry_in(posterior, setting, rng)
    own = spread_log * np.exp(posterior.draws.log_spread[:, posterior.cells.club])
    return np.asarray(quantiles(_stock(posterior) * np.exp(mean) * own, posterior.weights, (0.5,))[0])


def mishit_share(posterior: Posterior) -> tuple[float, float, float]:
    """Median and central 80 % of the share of balls that are mishit."""
    posterior.diagnostics.require_reliable()
    low, median, high = quantiles(posterior.draws.mishit_share, posterior.weights, (0.1, 0.5, 0.9))
    return float(median), float(low), float(high)


def wind_share(posterior: Posterior) -> Floats:
    """Share (c,) of the variance of a cell's still-air log carry that comes from not knowing the wind."""
    posterior.diagnostics.require_reliable()
    used = np.unique(posterior.observations.reading)
    draws = posterior.draws
    explained, total = _explained(posterior, np.column_stack([draws.wind_response, draws.along[:, used]]))
    return np.asarray(np.clip(explained / total, 0.0, 1.0))


def wind_floor_m(posterior: Posterior) -> Floats:
    """Half-width (c,), m, of the 80 % still-air interval that any number of balls in these winds and days leaves."""
    posterior.diagnostics.require_reliable()
    draws, seen = posterior.draws, posterior.observations
    hidden = [
        draws.wind_response[:, None],
        draws.along[:, np.unique(seen.reading)],
        draws.day[:, np.unique(seen.day)],
    ]
    explained, _ = _explained(posterior, np.hstack(hidden))
    still = still_air_carry(posterior).median
    return np.asarray(still * np.expm1(Z80 * np.sqrt(np.maximum(explained, 0.0))))


def wind_response_contraction(posterior: Posterior) -> float:
    """1 − (posterior s.d. / prior s.d.)² of the player's own wind response: 0 nothing learned."""
    posterior.diagnostics.require_reliable()
    kappa, weights = posterior.draws.wind_response, posterior.weights
    mean = float(weights @ kappa)
    return 1.0 - float(weights @ (kappa - mean) ** 2) / posterior.priors.wind_response.sd**2


def wind_from_balls(posterior: Posterior, reading: int) -> SaidWind:
    """What the balls say that reading number `reading` was off by, along the target line."""
    posterior.diagnostics.require_reliable()
    error, weights = posterior.draws.along[:, reading], posterior.weights
    mean = float(weights @ error)
    return SaidWind(mean, float(np.sqrt(weights @ (error - mean) ** 2)))


def _explained(posterior: Posterior, hidden: Floats) -> tuple[Floats, Floats]:
    """Variance (c,) of eta that linear regression on `hidden` (n, h) explains, and all of it.

    The sample's own optimism is taken out (adjusted R²): h regressors explain h/n of pure noise.
    """
    weights, eta = posterior.weights, posterior.draws.eta
    centred = eta - weights @ eta
    causes = hidden - weights @ hidden
    weighted = causes * weights[:, None]
    cross = weighted.T @ centred
    total = weights @ centred**2
    fitted = np.einsum("hc,hc->c", cross, np.linalg.solve(weighted.T @ causes, cross))
    size, used = posterior.effective_size, hidden.shape[1]
    left = (total - fitted) * (size - 1) / max(size - used - 1, 1.0)
    return np.maximum(total - left, 0.0), total


def _interval(posterior: Posterior, log_ratio: Floats) -> Interval:
    low, median, high = _stock(posterior) * np.exp(quantiles(log_ratio, posterior.weights, (0.1, 0.5, 0.9)))
    return Interval(median, low, high)


def _stock(posterior: Posterior) -> Floats:
    return np.asarray(posterior.cells.stock_carry_m[posterior.cells.club])
