"""Whether draws may be believed: rank-normalised split R-hat and effective sample sizes.

With many short chains the nested R-hat is used: chains in groups of one common start, so that what a group still
remembers of its start shows between groups and a short chain's own wandering does not.

Sources: Margossian, Hoffman, Sountsov, Riou-Durand, Vehtari & Gelman 2024, "Nested R-hat", Bayesian Analysis;
Vehtari, Gelman, Simpson, Carpenter & Bürkner 2021, "Rank-normalization, folding, and localization: an improved
R-hat", Bayesian Analysis 16, 667–718; truncation after Geyer 1992, Statistical Science 7, 473–483. Draws are (chains,
draws, quantities); every result is one number a quantity.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from trainer.core.errors import TrainerError
from trainer.core.estimate import normal
from trainer.core.estimate.evidence import Floats

LARGEST_R_HAT = 1.05
SMALLEST_SIZE = 400.0
"""At 400 effective draws the ends of an 80 % interval are within a fifteenth of its width (Vehtari et al. 2021)."""


class UnreliableEstimateError(TrainerError):
    """The chains do not agree, or say too little: no number is reported."""


@dataclass(frozen=True, slots=True)
class Diagnostics:
    """The worst quantity of each kind: `r_hat`, effective size in the middle (`bulk`) and at the ends (`tail`)."""

    r_hat: float
    bulk: float
    tail: float
    worst: str

    @property
    def least(self) -> float:
        """The smaller of the two effective sizes."""
        return min(self.bulk, self.tail)

    @property
    def reliable(self) -> bool:
        """Whether the draws may be reported."""
        return self.r_hat <= LARGEST_R_HAT and self.least >= SMALLEST_SIZE

    def require_reliable(self) -> None:
        """Raise UnreliableEstimateError where the draws may not be reported."""
        if not self.reliable:
            raise UnreliableEstimateError(
                f"the estimate has not settled (R-hat {self.r_hat:.3f}, effective size {self.least:.0f})",
                self.worst,
                "run it longer, and look for shots that contradict each other",
            )


def diagnose(draws: Floats, names: tuple[str, ...], groups: int = 0) -> Diagnostics:
    """Diagnostics over all quantities of `draws` (chains, draws, q).

    With `groups` the chains are that many groups of equal starts, one after another, else each stands alone.
    """
    hats = nested_r_hat(draws, groups) if groups else r_hat(draws)
    bulk, tail = bulk_size(draws), tail_size(draws)
    least = np.minimum(bulk, tail)
    worst = int(np.argmax(hats)) if hats.max() > LARGEST_R_HAT else int(np.argmin(least))
    return Diagnostics(float(hats.max()), float(bulk.min()), float(tail.min()), names[worst])


def split_chains(draws: Floats) -> Floats:
    """Each chain cut into its first and second half; an odd draw in the middle is left out."""
    half = draws.shape[1] // 2
    return np.concatenate([draws[:, :half], draws[:, -half:]], axis=0)


def rank_normalised(draws: Floats) -> Floats:
    """Draws replaced by the normal quantiles of their ranks over all chains; ties share their mean rank."""
    flat = draws.reshape(-1, draws.shape[2])
    order = np.argsort(flat, axis=0)
    ranked = np.take_along_axis(flat, order, axis=0)
    scores = _scores(len(flat))
    out = np.empty_like(flat)
    np.put_along_axis(out, order, np.broadcast_to(scores[2::2, None], flat.shape), axis=0)
    for k in np.flatnonzero(np.any(ranked[1:] == ranked[:-1], axis=0)):
        _, inverse, counts = np.unique(flat[:, k], return_inverse=True, return_counts=True)
        out[:, k] = scores[(2 * np.cumsum(counts) - (counts - 1))[inverse]]
    return out.reshape(draws.shape)


@lru_cache(maxsize=16)
def _scores(count: int) -> Floats:
    """Normal quantiles of the ranks 0, ½, 1, … `count` among as many draws (Blom 1958); the first is no rank."""
    ranks = np.maximum(np.arange(2 * count + 1), 1) / 2.0
    return normal.quantile((ranks - 0.375) / (count + 0.25))


def r_hat(draws: Floats) -> Floats:
    """The larger of rank-normalised split R-hat and the folded one; 1 for a constant."""
    split = split_chains(draws)
    folded = np.abs(split - np.median(split, axis=(0, 1)))
    return np.asarray(np.maximum(_r_hat(rank_normalised(split)), _r_hat(rank_normalised(folded))))


def nested_r_hat(draws: Floats, groups: int) -> Floats:
    """Rank-normalised and folded nested R-hat of `groups` groups of chains."""
    folded = np.abs(draws - np.median(draws, axis=(0, 1)))
    return np.asarray(np.maximum(*(_nested(rank_normalised(x), groups) for x in (draws, folded))))


def _nested(chains: Floats, groups: int) -> Floats:
    by_group = chains.reshape(groups, -1, *chains.shape[1:])
    means = by_group.mean(axis=2)
    within = by_group.var(axis=2, ddof=1).mean(axis=1) + means.var(axis=1, ddof=1)
    between = means.mean(axis=1).var(axis=0, ddof=1)
    average = within.mean(axis=0)
    return np.where(average > 0, np.sqrt(1.0 + between / np.where(average > 0, average, 1.0)), 1.0)


def _r_hat(chains: Floats) -> Floats:
    n = chains.shape[1]
    within = chains.var(axis=1, ddof=1).mean(axis=0)
    between = n * chains.mean(axis=1).var(axis=0, ddof=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        hat = np.sqrt((n - 1) / n + between / within / n)
    return np.where(within > 0, hat, np.where(between > 0, np.inf, 1.0))


def bulk_size(draws: Floats) -> Floats:
    """Effective sample size for means and medians."""
    return effective_size(rank_normalised(split_chains(draws)))


def tail_size(draws: Floats) -> Floats:
    """The smaller effective sample size of the 10 and 90 % quantiles, the ends of the intervals reported."""
    split = split_chains(draws)
    ends = np.quantile(split, [0.1, 0.9], axis=(0, 1))
    sizes = [effective_size((split <= end).astype(np.float64)) for end in ends]
    return np.asarray(np.minimum(*sizes))


def effective_size(chains: Floats) -> Floats:
    """Effective sample size from `chains` (chains, draws, q) as they stand, at most draws × log10(draws)."""
    m, n, _ = chains.shape
    cov = _autocovariance(chains)
    within = (cov[:, 0] * n / (n - 1)).mean(axis=0)
    between = chains.mean(axis=1).var(axis=0, ddof=1) if m > 1 else np.zeros(chains.shape[2])
    pooled = within * (n - 1) / n + between
    safe = np.where(pooled > 0, pooled, 1.0)
    rho = 1.0 - (within - (cov * n / (n - 1)).mean(axis=0)) / safe
    rho[0] = 1.0
    pairs = rho[0 : n - n % 2 : 2] + rho[1:n:2][: n // 2]
    positive = np.logical_and.accumulate(pairs > 0, axis=0)
    monotone = np.minimum.accumulate(np.where(positive, pairs, 0.0), axis=0)
    time = np.maximum(-1.0 + 2.0 * monotone.sum(axis=0), 1.0 / np.log10(m * n))
    return np.where(pooled > 0, m * n / time, float(m * n))


def _autocovariance(chains: Floats) -> Floats:
    """Biased autocovariance (chains, lags, q) by Fourier transform."""
    n = chains.shape[1]
    centred = chains - chains.mean(axis=1, keepdims=True)
    spectrum = np.fft.rfft(centred, 2 * n, axis=1)
    return np.asarray(np.fft.irfft(np.abs(spectrum) ** 2, 2 * n, axis=1)[:, :n] / n)
