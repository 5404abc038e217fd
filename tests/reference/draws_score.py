"""The score of a forecast kept as draws, every draw in it: what the score of its kept quantiles is held against."""

from __future__ import annotations

import numpy as np

from trainer.core.estimate.evidence import Floats


def crps_of_draws(draws: Floats, weights: Floats, seen: float) -> float:
    """CRPS of weighted `draws` (n,) against what was seen, in their unit; smaller is better.

    Source: Gneiting & Raftery 2007, J. Am. Stat. Assoc. 102, 359–378, eq. 21.
    """
    order = np.argsort(draws)
    ranked, share = draws[order], weights[order]
    below = np.cumsum(share) - 0.5 * share
    spread = 2.0 * float(np.sum(share * ranked * (2.0 * below - 1.0)))
    return float(np.sum(weights * np.abs(draws - seen))) - 0.5 * spread
