from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from trainer.core.estimate import normal

REAL = st.floats(-8, 8)


def test_cdf_agrees_with_scipy_in_relative_terms() -> None:
    x = np.linspace(-30, 8, 400)
    np.testing.assert_allclose(normal.cdf(x), stats.norm.cdf(x), rtol=3e-7)


def test_quantile_agrees_with_scipy() -> None:
    p = np.concatenate([10.0 ** np.arange(-200, -1, 7.0), np.linspace(0.01, 0.99, 99), 1 - 10.0 ** -np.arange(2, 12)])
    np.testing.assert_allclose(normal.quantile(p), stats.norm.ppf(p), rtol=1e-9, atol=1e-12)


def test_log_density_agrees_with_scipy() -> None:
    x, sd = np.linspace(-4, 4, 9), np.full(9, 0.3)
    np.testing.assert_allclose(normal.log_density(x / sd, sd), stats.norm.logpdf(x, scale=sd))


@given(REAL, REAL)
def test_interval_probability_agrees_with_scipy(a: float, b: float) -> None:
    low, high = np.array([min(a, b)]), np.array([max(a, b)])
    direct = np.abs(stats.norm.cdf(high) - stats.norm.cdf(low))
    mirrored = np.abs(stats.norm.sf(low) - stats.norm.sf(high))
    expected = np.where(low > 0, mirrored, direct)
    np.testing.assert_allclose(normal.interval_probability(low, high), expected, rtol=1e-5, atol=3e-7)


@given(REAL, st.floats(0.01, 5), st.floats(0.001, 0.999))
def test_truncated_draws_stay_inside_and_invert_the_distribution(low: float, width: float, u: float) -> None:
    a, b = np.array([low]), np.array([low + width])
    drawn = normal.truncated(a, b, np.array([u]))
    assert a <= drawn <= b
    sign = -1.0 if low > 0 else 1.0
    inner, outer = (a, b) if sign > 0 else (-b, -a)
    expected = stats.norm.ppf(stats.norm.cdf(inner) + u * (stats.norm.cdf(outer) - stats.norm.cdf(inner)))
    np.testing.assert_allclose(sign * drawn, expected, atol=1e-4)


def test_open_zones_far_out_stay_finite() -> None:
    low, high = np.array([40.0, -np.inf]), np.array([np.inf, -40.0])
    drawn = normal.truncated(low, high, np.array([0.5, 0.5]))
    assert np.all(np.isfinite(drawn))
    assert np.all(normal.interval_probability(low, high) > 0)
