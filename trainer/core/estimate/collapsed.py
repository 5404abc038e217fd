"""A joint move of mishit share and loss, mark rate, level and every club's spread, the mishit labels summed out.

Given the labels these parameters hardly move: labels and parameters hold each other fast. Here the mixture's own
likelihood is used, and one Metropolis step proposes from a Newton step whose curvature is the sum of squared scores
(Fisher scoring; Qi & Minka 2002, "Hessian-based Markov chain Monte Carlo algorithms").
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainer.core.estimate.columns import LOSS
from trainer.core.estimate.design import Design
from trainer.core.estimate.evidence import Floats
from trainer.core.estimate.locations import chains_at_once, gather
from trainer.core.estimate.mixture import Mixture, NewtonPoint, log_spread_precision, newton_point, per_club

SHARE, MARK, LOST, LEVEL, SPREAD = range(5)
"""Where the log odds of the share, those of the mark rate, the loss, a common level and the clubs' spreads sit."""

_LEAST_CURVATURE = 0.3


@dataclass(frozen=True, slots=True)
class Moved:
    """Where b chains stand after the move: `level` (b,) is to be added to every cell, chains that stayed have 0."""

    mixture: Mixture
    shared: Floats
    level: Floats


def move(
    design: Design, mixture: Mixture, shared: Floats, alpha: Floats, mean: Floats, z: Floats, rng: np.random.Generator
) -> Moved:
    """Move from `mixture` and `shared`, given `mean` and log ratios `z` (b, n).

    `alpha` (b,) is the player's own level in its prior's s.d.: the common level moves with it alone.
    """
    level = np.zeros((len(alpha), 1))
    now = np.concatenate(
        [_log_odds(mixture.share), _log_odds(mixture.mark_rate), shared[:, [LOSS]], level, mixture.log_spread], axis=1
    )
    here = _point(design, now, alpha, mean, z)
    moved = here.propose(rng)
    there = _point(design, moved, alpha, mean, z)
    gain = there.density - here.density + there.log_proposal(now) - here.log_proposal(moved)
    accepted = np.log(rng.random(len(now))) < gain
    new = np.where(accepted[:, None], moved, now)
    shared = shared.copy()
    shared[:, LOSS] = new[:, LOST]
    share, mark_rate = _logistic(new[:, SHARE]), _logistic(new[:, MARK])
    return Moved(Mixture(share, mark_rate, mixture.log_spread_mean, new[:, SPREAD:]), shared, new[:, LEVEL])


def _log_odds(p: Floats) -> Floats:
    return np.asarray(np.log(p) - np.log1p(-p))[:, None]


def _logistic(x: Floats) -> Floats:
    size = np.minimum(np.maximum(x, -700.0), 700.0)
    return np.asarray(np.minimum(np.maximum(1.0 / (1.0 + np.exp(-size)), 1e-12), 1 - 1e-12))


def _point(design: Design, x: Floats, alpha: Floats, mean: Floats, z: Floats) -> NewtonPoint:
    """Log posterior density (labels summed out), and the proposal from here."""
    parts = [_likelihood(design, x[of], mean[of], z[of]) for of in chains_at_once(design, *mean.shape)]
    density, slope, info = (np.concatenate(each) for each in zip(*parts, strict=True))
    prior_density, prior_slope, prior_info = _prior(design, x, alpha)
    slope, info = slope + prior_slope, info + prior_info
    return newton_point(density + prior_density, x, slope, info)


def _likelihood(design: Design, x: Floats, mean: Floats, z: Floats) -> tuple[Floats, Floats, Floats]:
    share, mark = _logistic(x[:, SHARE]), _logistic(x[:, MARK])
    half_known = 0.5 * design.known
    own = (design.spread * gather(np.exp(x[:, SPREAD:]), design.club)) ** 2
    struck_var = own + design.seen_var
    mishit_var = design.priors.mishit_sd**2 + design.seen_var
    gap = z - mean - x[:, [LEVEL]]
    short = gap + x[:, [LOST]]
    pulled = gap / struck_var
    ratio = gap * pulled
    struck = np.log1p(-share)[:, None] - half_known * (ratio + np.log(struck_var))
    chance = np.where(design.marked, np.log(mark)[:, None], np.log1p(-mark)[:, None]) + np.log(share)[:, None]
    mishit = chance - half_known * (short * short / mishit_var + np.log(mishit_var))
    odds = np.where(design.marked, np.inf, mishit - struck)
    less = np.exp(-np.abs(odds))
    bad = np.where(odds > 0, 1.0, less) / (1.0 + less)
    both = np.maximum(np.where(design.marked, mishit, struck), mishit) + np.log(1.0 + less)
    score_share = (bad - share[:, None]) * design.counted
    score_mark = np.where(design.marked, 1 - mark[:, None], -mark[:, None] * bad) * design.counted
    known_bad = design.known * bad
    known_struck = design.known - known_bad
    score_loss = known_bad * short * (-1.0 / mishit_var)
    score_level = known_struck * pulled - score_loss
    score_spread = known_struck * own / struck_var * (ratio - 1)
    density = np.sum(both * design.counted, axis=1)
    return density, *_sums(design, (score_share, score_mark, score_loss, score_level), score_spread, x.shape[1])


def _sums(design: Design, common: tuple[Floats, ...], spread: Floats, size: int) -> tuple[Floats, Floats]:
    """Sum of the scores (b, q) and of their squares and products (b, q, q)."""
    scores = np.stack(common, axis=1)
    crossed = per_club(design, scores * spread[:, None, :])
    slope = np.concatenate([scores.sum(axis=2), per_club(design, spread)], axis=1)
    info = np.zeros((len(spread), size, size))
    info[:, :SPREAD, :SPREAD] = np.matmul(scores, np.swapaxes(scores, 1, 2))
    info[:, :SPREAD, SPREAD:] = crossed
    info[:, SPREAD:, :SPREAD] = np.swapaxes(crossed, 1, 2)
    diagonal = np.arange(SPREAD, size)
    info[:, diagonal, diagonal] = per_club(design, spread**2)
    return slope, info


def _prior(design: Design, x: Floats, alpha: Floats) -> tuple[Floats, Floats, Floats]:
    """Log prior density, slope and curvature; the spreads' common mean is summed out."""
    priors = design.priors
    b, size = x.shape
    loss, sd = priors.mishit_loss, priors.alpha.sd
    precision = log_spread_precision(design)
    fixed = np.zeros((size, size))
    fixed[LOST, LOST], fixed[LEVEL, LEVEL] = loss.sd**-2, sd**-2
    fixed[SPREAD:, SPREAD:] = precision
    density, slope, info = np.zeros(b), np.empty((b, size)), np.broadcast_to(fixed, (b, size, size)).copy()
    for at, (one, other) in ((SHARE, priors.mishit_share), (MARK, priors.mark_rate)):
        p = _logistic(x[:, at])
        density += one * np.log(p) + other * np.log1p(-p)
        slope[:, at] = one - (one + other) * p
        info[:, at, at] = np.maximum((one + other) * p * (1 - p), _LEAST_CURVATURE)
    density -= 0.5 * ((x[:, LOST] - loss.mean) / loss.sd) ** 2
    slope[:, LOST] = -(x[:, LOST] - loss.mean) / loss.sd**2
    height = alpha + x[:, LEVEL] / sd
    density -= 0.5 * height**2
    slope[:, LEVEL] = -height / sd
    gap = x[:, SPREAD:] - priors.log_spread.mean
    pressed = gap @ precision
    density -= 0.5 * np.sum(gap * pressed, axis=1)
    slope[:, SPREAD:] = -pressed
    return density, slope, info
