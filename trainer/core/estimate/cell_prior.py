"""The prior of the cells' log ratios: a Gaussian whose covariance is linear in the squared scales.

    eta = mean + Z·v + u,   v = (shared curve and slopes, club, grip, three-quarter, half),   u its own
    Cov(eta) = Z0 Z0ᵀ + tau_c² Zc Zcᵀ + tau_g² Zg Zgᵀ + tau_w² (Z3 Z3ᵀ + Zh Zhᵀ) + tau_u² I

Source: a hierarchical linear model after Lindley & Smith 1972, J. R. Stat. Soc. B 34, 1–41; the loft curve is a
rank-4 Nyström form of a squared-exponential Gaussian process (Rasmussen & Williams 2006, ch. 8).

Range: lofts of 8–64°.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainer.core.estimate.evidence import CellSet, Floats
from trainer.core.estimate.priors import ClubPriors

LOFT_KNOTS_DEG = (15.0, 30.0, 45.0, 60.0)
SHARED = 1 + len(LOFT_KNOTS_DEG) + 3
"""Columns of Z that all clubs share: level, loft curve, grip, three-quarter, half."""

SCALES = 4
"""The learned scales: club, grip, swing, cell."""

SCALE_OF_KIND = (0, 1, 2, 2)
"""Which scale the club's level, grip, three-quarter and half deviations have."""


@dataclass(frozen=True, slots=True)
class CellPrior:
    """`mean` (c,) and columns `z` (c, SHARED + 4 k) of the cells' log ratios; clubs vary slowest in no column:
    the four kinds of deviation follow one another, each with one column a club.
    """

    mean: Floats
    z: Floats
    clubs: int

    def column_scales(self, tau: Floats) -> Floats:
        """S.d. (…, SHARED + 4 k) of each column's weight, given scales `tau` (…, 4)."""
        shared = np.ones((*tau.shape[:-1], SHARED))
        kinds = [np.repeat(tau[..., [s]], self.clubs, axis=-1) for s in SCALE_OF_KIND]
        return np.concatenate([shared, *kinds], axis=-1)


def loft_features(loft_deg: Floats, length_deg: float) -> Floats:
    """Features (k, 4) whose weights are independent standard normals: Nyström on the knots."""
    knots = np.asarray(LOFT_KNOTS_DEG)

    def kernel(a: Floats, b: Floats) -> Floats:
        return np.asarray(np.exp(-0.5 * ((a[:, None] - b[None, :]) / length_deg) ** 2))

    values, vectors = np.linalg.eigh(kernel(knots, knots))
    root = vectors @ np.diag(values**-0.5) @ vectors.T
    return np.asarray(kernel(loft_deg, knots) @ root)


def cell_prior(cells: CellSet, priors: ClubPriors) -> CellPrior:
    """Mean and columns for `cells`."""
    clubs = len(cells.loft_deg)
    features = np.stack([np.ones(len(cells)), cells.grip_down_in, cells.three_quarter, cells.half], axis=1)
    effects = (priors.alpha, priors.grip_per_in, priors.three_quarter, priors.half)
    mean = features @ np.array([effect.mean for effect in effects])
    curve = priors.loft_curve_sd * loft_features(cells.loft_deg, priors.loft_length_deg)[cells.club]
    slopes = features[:, 1:] * np.array([effect.sd for effect in effects[1:]])
    level = np.full((len(cells), 1), priors.alpha.sd)
    one_club = np.zeros((len(cells), clubs))
    one_club[np.arange(len(cells)), cells.club] = 1.0
    kinds = [features[:, [k]] * one_club for k in range(SCALES)]
    return CellPrior(mean, np.concatenate([level, curve, slopes, *kinds], axis=1), clubs)


def scale_priors(priors: ClubPriors) -> Floats:
    """S.d. (4,) of the half-normal of each learned scale."""
    return np.array([priors.club_sd, priors.club_grip_sd, priors.club_swing_sd, priors.cell_sd])
