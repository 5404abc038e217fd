"""The score of a call: against the formula for samples, the normal's closed form, and its own laws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from trainer.core.decide.scoring import LEVELS, crps_of_normal, crps_of_quantiles
from trainer.core.errors import InputError
from trainer.core.estimate import report
from trainer.core.estimate.evidence import Floats


def balls(seed: int, count: int = 1024) -> tuple[Floats, Floats]:
    """Carries with bad strikes among them, and weights."""
    rng = np.random.default_rng(seed)
    bad = rng.random(count) < rng.uniform(0.0, 0.3)
    spread = np.where(bad, 0.10, rng.uniform(0.03, 0.12))
    carry = 140 * np.exp(spread * rng.standard_normal(count) - bad * rng.uniform(0.1, 0.3))
    return carry, rng.dirichlet(np.full(count, rng.uniform(0.5, 5.0)))


def kept(carry: Floats, weights: Floats) -> list[float]:
    return [float(value) for value in report.quantiles(carry, weights, LEVELS).ravel()]


def sample_score(draws: Floats, weights: Floats, seen: float) -> float:
    """E|X − y| − E|X − X'| / 2, every pair counted (Gneiting & Raftery 2007, eq. 21)."""
    pairs = np.abs(draws[:, None] - draws[None, :])
    return float(weights @ np.abs(draws - seen) - 0.5 * weights @ pairs @ weights)


@pytest.mark.parametrize("seed", range(12))
def test_the_kept_quantiles_score_as_all_the_draws_do(seed: int) -> None:
    carry, weights = balls(seed)
    shape = kept(carry, weights)
    looked_at = report.quantiles(carry, weights, (0.01, 0.05, 0.2, 0.5, 0.7, 0.9, 0.97)).ravel()
    for seen in (*looked_at.tolist(), 20.0, 90.0, 250.0):
        assert crps_of_quantiles(shape, seen) == pytest.approx(sample_score(carry, weights, seen), rel=0.01)


def test_the_normal_s_closed_form() -> None:
    # Gneiting & Raftery 2007: CRPS(N(0, 1), 0) = 2φ(0) − 1/√π = 0.23379
    zero, one = np.zeros(1), np.ones(1)
    assert float(crps_of_normal(zero, one, zero)[0]) == pytest.approx(0.2337, abs=5e-5)
    for mean, sd, seen in ((140.0, 9.0, 128.0), (140.0, 9.0, 171.0), (3.0, 0.2, 3.1)):
        z = (seen - mean) / sd
        closed = sd * (z * (2 * stats.norm.cdf(z) - 1) + 2 * stats.norm.pdf(z) - 1 / np.sqrt(np.pi))
        found = float(crps_of_normal(np.array([mean]), np.array([sd]), np.array([seen]))[0])
        assert found == pytest.approx(closed, rel=1e-12)


def test_the_integral_that_both_are() -> None:
    def integrand(x: float) -> float:
        return float((stats.norm.cdf(x, 140, 9) - (x >= 131)) ** 2)

    low, _ = integrate.quad(integrand, 40, 131)
    high, _ = integrate.quad(integrand, 131, 240)
    exact = float(crps_of_normal(np.array([140.0]), np.array([9.0]), np.array([131.0]))[0])
    assert low + high == pytest.approx(exact, rel=1e-8)
    inner = np.clip(LEVELS, 1e-4, 1 - 1e-4)
    assert crps_of_quantiles(stats.norm.ppf(inner, 140, 9).tolist(), 131.0) == pytest.approx(exact, rel=0.01)


rising = st.lists(st.floats(0, 400), min_size=len(LEVELS), max_size=len(LEVELS)).map(sorted)


@given(rising, st.floats(-50, 500))
def test_it_is_never_negative_and_never_beyond_the_farthest_quantile(shape: list[float], seen: float) -> None:
    score = crps_of_quantiles(shape, seen)
    assert 0 <= score <= max(abs(shape[0] - seen), abs(shape[-1] - seen)) + 1e-9


@given(rising, st.floats(0, 400), st.floats(1, 5))
def test_a_call_made_wider_about_what_was_seen_scores_worse_by_as_much(
    shape: list[float], seen: float, factor: float
) -> None:
    wider = [seen + factor * (value - seen) for value in shape]
    wider = np.maximum.accumulate(wider).tolist()
    assert crps_of_quantiles(wider, seen) == pytest.approx(
        factor * crps_of_quantiles(shape, seen), rel=1e-6, abs=1e-6
    )


@given(st.floats(1, 400), st.floats(0, 400))
def test_a_call_of_one_number_scores_its_distance(said: float, seen: float) -> None:
    assert crps_of_quantiles([said] * len(LEVELS), seen) == pytest.approx(abs(said - seen), abs=1e-9)


@pytest.mark.parametrize("shape", [[], [1.0] * (len(LEVELS) - 1), [2.0] + [1.0] * (len(LEVELS) - 1)])
def test_what_is_no_call_is_refused(shape: list[float]) -> None:
    with pytest.raises(InputError):
        crps_of_quantiles(shape, 140.0)
