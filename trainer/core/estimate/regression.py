"""Bayesian linear regression with unknown noise, in closed form.

    y ~ N(X·w, s²),   w | s ~ N(m, s²·diag(sd/scale)²),   s² ~ scale²·freedom/χ²(freedom)

The conjugate normal–inverse-gamma model (Gelman et al., Bayesian Data Analysis, 3rd ed., ch. 14). Assumption: one
noise s.d. for all rows; a prior s.d. is stated as it holds when the noise is `scale`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainer.core.errors import InputError
from trainer.core.estimate.evidence import Floats


@dataclass(frozen=True, slots=True)
class RegressionPrior:
    """`mean` and `sd` (p,) of the weights; noise about `scale`, believed as strongly as `freedom` rows."""

    mean: Floats
    sd: Floats
    scale: float
    freedom: float


@dataclass(frozen=True, slots=True)
class RegressionPosterior:
    """Weights: Student t with `freedom`, centre `mean` (p,), shape `covariance` (p, p); noise about `scale`."""

    mean: Floats
    covariance: Floats
    scale: float
    freedom: float

    def draw(self, count: int, rng: np.random.Generator) -> tuple[Floats, Floats]:
        """Joint draws: weights (count, p) and the noise's s.d. (count,)."""
        noise = self.scale * np.sqrt(self.freedom / rng.chisquare(self.freedom, count))
        root = np.linalg.cholesky(self.covariance)
        standard = rng.standard_normal((count, len(self.mean)))
        return self.mean + (noise / self.scale)[:, None] * (standard @ root.T), noise


def regress(rows: Floats, y: Floats, prior: RegressionPrior) -> RegressionPosterior:
    """The posterior given `rows` (n, p) and `y` (n,); with no rows it is the prior.

    Raises InputError where a value is not finite.
    """
    if not bool(np.all(np.isfinite(rows)) and np.all(np.isfinite(y))):
        raise InputError("a value is not a number", "estimate", "correct or undo the shot")
    prior_precision = (prior.scale / prior.sd) ** 2
    precision = rows.T @ rows + np.diag(prior_precision)
    gap = y - rows @ prior.mean
    shape = np.linalg.inv(precision)
    shift = shape @ (rows.T @ gap)
    freedom = prior.freedom + len(y)
    squares = float(gap @ gap - shift @ precision @ shift)
    scale = float(np.sqrt((prior.freedom * prior.scale**2 + max(squares, 0.0)) / freedom))
    return RegressionPosterior(prior.mean + shift, np.asarray(scale**2 * (shape + shape.T) / 2), scale, freedom)
