"""The learned scales of the cells: each drawn twice a sweep, once with the cells and once with the effects' ratios
held (ancillarity–sufficiency interweaving, Yu & Meng 2011, J. Comput. Graph. Stat. 20, 531–570).

With the ratios held, the four scales enter the mean linearly, and a half-normal prior is a normal one folded at 0:
that half is one exact normal draw, with the shared and the days' effects integrated out.
"""

from __future__ import annotations

import numpy as np

from trainer.core.estimate import normal
from trainer.core.estimate.cell_prior import SCALE_OF_KIND, SCALES, SHARED, scale_priors
from trainer.core.estimate.design import Design
from trainer.core.estimate.evidence import Floats
from trainer.core.estimate.locations import Core, prior_pull

SMALLEST_SCALE = 1e-6
"""Scales below it are nothing on a log carry; it keeps covariances invertible."""

_STEP = 1.0
"""S.d. of a proposed change in the log of a scale: about what ten cells leave unknown of it."""


def cell_covariance(design: Design, tau: Floats) -> Floats:
    """Prior covariance (b, c, c) of the cells hit, given scales `tau` (b, 4)."""
    squared = tau**2
    total = design.base + squared[:, 0, None, None] * design.kinds[0]
    for k in range(1, SCALES):
        total = total + squared[:, k, None, None] * design.kinds[k]
    return np.asarray(total)


def draw_components(
    design: Design, tau: Floats, covariance: Floats, eta: Floats, rng: np.random.Generator
) -> tuple[Floats, Floats]:
    """Weights (b, SHARED + 4 k) of the prior's columns and own parts (b, c), drawn given that they add up to `eta`.

    `covariance` (b, c, c) is that of the cells at `tau`. A prior draw is moved to match (Matheron's rule; Journel &
    Huijbregts 1978, Mining Geostatistics, ch. 7).
    """
    b, c = eta.shape
    sd = design.prior.column_scales(tau)
    weights = sd * rng.standard_normal(sd.shape)
    own = tau[:, [3]] * rng.standard_normal((b, c))
    gap = eta - design.mean - from_columns(design, weights) - own
    pressed = np.linalg.solve(covariance, gap[..., None])
    weights = weights + sd**2 * np.matmul(np.swapaxes(design.z, 1, 2), pressed)[..., 0]
    return weights, own + tau[:, [3]] ** 2 * pressed[..., 0]


def from_columns(design: Design, weights: Floats) -> Floats:
    """Z·weights (b, c) at the cells hit."""
    return np.asarray(np.matmul(design.z, weights[..., None])[..., 0])


def draw_scales_given_ratios(
    design: Design, core: Core, tau: Floats, weights: Floats, own: Floats, rng: np.random.Generator
) -> Floats:
    """Scales (b, 4) with weights / scale held; shared and days' effects integrated out."""
    b, c = own.shape
    clubs = design.prior.clubs
    directions = np.zeros((b, c, SCALES))
    for kind, scale in enumerate(SCALE_OF_KIND):
        part = slice(SHARED + kind * clubs, SHARED + (kind + 1) * clubs)
        one = np.matmul(design.z[..., part], weights[:, part, None])[..., 0]
        directions[..., scale] += one / tau[:, [scale]]
    directions[..., 3] = own / tau[:, [3]]
    fixed = design.mean + np.matmul(design.z[..., :SHARED], weights[:, :SHARED, None])[..., 0]
    cells = core.precision[:, :, :c]
    seen = np.matmul(cells, directions)
    matrix = np.zeros((b, SCALES + design.shared, SCALES + design.shared))
    matrix[:, :SCALES, :SCALES] = np.matmul(np.swapaxes(directions, 1, 2), seen[:, :c])
    matrix[:, SCALES:, :SCALES] = seen[:, c:]
    matrix[:, :SCALES, SCALES:] = np.swapaxes(seen[:, c:], 1, 2)
    matrix[:, SCALES:, SCALES:] = core.precision[:, c:, c:] + design.shared_precision
    inverse_sd = 1.0 / scale_priors(design.priors)
    matrix[:, np.arange(SCALES), np.arange(SCALES)] += inverse_sd**2
    left = core.pull - np.matmul(cells, fixed[..., None])[..., 0]
    right = np.concatenate([np.matmul(np.swapaxes(directions, 1, 2), left[:, :c, None])[..., 0], left[:, c:]], axis=1)
    right[:, SCALES:] += prior_pull(design, np.zeros((b, design.shared)))
    noise = np.matmul(np.linalg.cholesky(matrix), rng.standard_normal((b, SCALES + design.shared, 1)))
    drawn = np.linalg.solve(matrix, right[..., None] + noise)[..., 0]
    return np.asarray(np.maximum(np.abs(drawn[:, :SCALES]), SMALLEST_SCALE))


def draw_scales_given_cells(
    design: Design, tau: Floats, covariance: Floats, eta: Floats, rng: np.random.Generator
) -> tuple[Floats, Floats]:
    """Scales (b, 4) given the cells alone, their parts integrated out: Metropolis steps on the logs, one by one.

    `covariance` (b, c, c) is that of the cells at `tau`; theirs at the new scales is given back too.
    """
    prior = scale_priors(design.priors)
    gap = np.where(design.own, eta - design.mean, 0.0)
    tau = tau.copy()
    density = _log_density_of_cells(design, covariance, gap)
    for k in range(SCALES):
        old, new = tau[:, k], np.maximum(tau[:, k] * np.exp(_STEP * rng.standard_normal(len(tau))), SMALLEST_SCALE)
        more = new**2 - old**2
        moved = covariance + more[:, None, None] * design.kinds[k]
        density_moved = _log_density_of_cells(design, moved, gap)
        gain = density_moved - density + np.log(new / old) - more / (2 * prior[k] ** 2)
        accepted = np.log(rng.random(len(tau))) < gain
        tau[:, k] = np.where(accepted, new, old)
        covariance = np.where(accepted[:, None, None], moved, covariance)
        density = np.where(accepted, density_moved, density)
    return tau, covariance


def _log_density_of_cells(design: Design, covariance: Floats, gap: Floats) -> Floats:
    """Log density (b,), up to a constant, of the cells hit; cells that only pad a batch are left out."""
    if not bool(design.own.all()):
        both = design.own[:, :, None] & design.own[:, None, :]
        covariance = np.where(both, covariance, np.eye(gap.shape[1]))
    root, whitened = normal.whitened(covariance, gap)
    log_root = np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1)
    return np.asarray(-log_root - 0.5 * np.sum(whitened**2, axis=1))
