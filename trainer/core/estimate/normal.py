"""The standard normal, for arrays: log density, distribution function, quantile, truncated draws.

Source: the complementary error function's Chebyshev form of Press et al., Numerical Recipes, "Incomplete gamma and
error functions" (relative error below 1.2e-7 everywhere, tails included); the quantile is algorithm AS 241, Wichura
1988, Applied Statistics 37, 477–484 (about 1e-15).
"""

from __future__ import annotations

import math

import numpy as np

from trainer.core.estimate.evidence import Floats

LOG_ROOT_TWO_PI = 0.5 * math.log(2 * math.pi)
_LARGE = 1e300
_TINY = 1e-300

_ERFC = (
    0.17087277, -0.82215223, 1.48851587, -1.13520398, 0.27886807, -0.18628806, 0.09678418, 0.37409196, 1.00002368,
    -1.26551223,
)  # fmt: skip
_CENTRE = (
    (2.5090809287301226727e3, 3.3430575583588128105e4, 6.7265770927008700853e4, 4.5921953931549871457e4,
     1.3731693765509461125e4, 1.9715909503065514427e3, 1.3314166789178437745e2, 3.3871328727963666080e0),
    (5.2264952788528545610e3, 2.8729085735721942674e4, 3.9307895800092710610e4, 2.1213794301586595867e4,
     5.3941960214247511077e3, 6.8718700749205790830e2, 4.2313330701600911252e1, 1.0),
)  # fmt: skip
_MIDDLE = (
    (7.74545014278341407640e-4, 2.27238449892691845833e-2, 2.41780725177450611770e-1, 1.27045825245236838258e0,
     3.64784832476320460504e0, 5.76949722146069140550e0, 4.63033784615654529590e0, 1.42343711074968357734e0),
    (1.05075007164441684324e-9, 5.47593808499534494600e-4, 1.51986665636164571966e-2, 1.48103976427480074590e-1,
     6.89767334985100004550e-1, 1.67638483018380384940e0, 2.05319162663775882187e0, 1.0),
)  # fmt: skip
_FAR = (
    (2.01033439929228813265e-7, 2.71155556874348757815e-5, 1.24266094738807843860e-3, 2.65321895265761230930e-2,
     2.96560571828504891230e-1, 1.78482653991729133580e0, 5.46378491116411436990e0, 6.65790464350110377720e0),
    (2.04426310338993978564e-15, 1.42151175831644588870e-7, 1.84631831751005468180e-5, 7.86869131145613259100e-4,
     1.48753612908506148525e-2, 1.36929880922735805310e-1, 5.99832206555887937690e-1, 1.0),
)  # fmt: skip


def whitened(matrix: Floats, vector: Floats) -> tuple[Floats, Floats]:
    """Cholesky root L (b, q, q) of `matrix` and L⁻¹·`vector` (b, q), from one factorisation of both."""
    b, q = vector.shape
    both = np.empty((b, q + 1, q + 1))
    both[:, :q, :q] = matrix
    both[:, q, :q] = both[:, :q, q] = vector
    # Larger than any vector's size, so that the last row can be taken too; its own root is not used.
    both[:, q, q] = _LARGE
    root = np.linalg.cholesky(both)
    return np.asarray(root[:, :q, :q]), np.asarray(root[:, q, :q])


def log_density(standardised: Floats, sd: Floats) -> Floats:
    """Log density at `standardised` = (x − mean) / `sd`, of x itself."""
    return np.asarray(-0.5 * standardised * standardised - np.log(sd) - LOG_ROOT_TWO_PI)


def cdf(x: Floats) -> Floats:
    """P(Z ≤ x); infinities give 0 and 1."""
    size = np.minimum(np.abs(x) / math.sqrt(2.0), 26.0)
    t = 1.0 / (1.0 + 0.5 * size)
    upper = 0.5 * t * np.exp(-size * size + np.polyval(_ERFC, t))
    return np.asarray(np.where(x > 0, 1.0 - upper, upper))


def quantile(p: Floats) -> Floats:
    """x with P(Z ≤ x) = p, for 0 < p < 1; p is kept off the ends by 1e-300."""
    p = np.clip(p, _TINY, 1 - 1e-16)
    q = p - 0.5
    tail = np.sqrt(-np.log(np.minimum(p, 1.0 - p)))
    central = q * _ratio(_CENTRE, 0.180625 - q * q)
    outer = np.where(tail <= 5.0, _ratio(_MIDDLE, tail - 1.6), _ratio(_FAR, tail - 5.0))
    return np.where(np.abs(q) <= 0.425, central, np.sign(q) * outer)


def _ratio(coefficients: tuple[tuple[float, ...], tuple[float, ...]], x: Floats) -> Floats:
    above, below = coefficients
    return np.asarray(np.polyval(above, x) / np.polyval(below, x))


def interval_probability(low: Floats, high: Floats) -> Floats:
    """P(low < Z < high), accurate in both tails, never below 1e-300."""
    flip = low > 0
    a, b = np.where(flip, -high, low), np.where(flip, -low, high)
    return np.maximum(cdf(b) - cdf(a), _TINY)


def truncated(low: Floats, high: Floats, uniform: Floats) -> Floats:
    """Draws of Z given low < Z < high, by inversion of `uniform` in (0, 1)."""
    flip = low > 0
    a, b = np.where(flip, -high, low), np.where(flip, -low, high)
    at_a, at_b = cdf(a), cdf(b)
    drawn = np.clip(quantile(at_a + uniform * (at_b - at_a)), a, b)
    return np.where(flip, -drawn, drawn)
