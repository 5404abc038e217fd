from __future__ import annotations

import numpy as np
import pytest

from trainer.core.estimate.diagnostics import (
    Diagnostics,
    UnreliableEstimateError,
    bulk_size,
    diagnose,
    effective_size,
    nested_r_hat,
    r_hat,
    rank_normalised,
    tail_size,
)
from trainer.core.estimate.evidence import Floats


def autoregressive(rng: np.random.Generator, chains: int, draws: int, rho: float) -> Floats:
    noise = rng.normal(size=(chains, draws, 1)) * np.sqrt(1 - rho**2)
    out = np.empty_like(noise)
    out[:, 0] = rng.normal(size=(chains, 1))
    for t in range(1, draws):
        out[:, t] = rho * out[:, t - 1] + noise[:, t]
    return np.asarray(out)


def test_independent_draws_count_fully() -> None:
    draws = np.random.default_rng(1).normal(size=(8, 1000, 3))
    np.testing.assert_allclose(bulk_size(draws), 8000, rtol=0.12)
    np.testing.assert_allclose(tail_size(draws), 8000, rtol=0.15)
    assert np.all(r_hat(draws) < 1.005)


@pytest.mark.parametrize("rho", [0.3, 0.6, 0.9])
def test_an_autoregression_counts_as_its_theory_says(rho: float) -> None:
    # Closed form: the effective share of an AR(1) mean is (1 − ρ)/(1 + ρ).
    draws = autoregressive(np.random.default_rng(2), 16, 4000, rho)
    assert bulk_size(draws)[0] / 64000 == pytest.approx((1 - rho) / (1 + rho), rel=0.1)


def test_one_chain_elsewhere_is_found() -> None:
    draws = np.random.default_rng(3).normal(size=(8, 200, 1))
    draws[0] += 3
    assert r_hat(draws)[0] > 1.05


def test_one_chain_of_another_width_is_found_by_folding() -> None:
    draws = np.random.default_rng(4).normal(size=(4, 500, 1))
    draws[0] *= 5
    assert r_hat(draws)[0] > 1.05


def test_groups_that_remember_their_start_are_found() -> None:
    rng = np.random.default_rng(5)
    draws = rng.normal(size=(64, 32, 1))
    assert nested_r_hat(draws, 8)[0] < 1.02
    remembered = draws + np.repeat(rng.normal(size=8), 8)[:, None, None]
    assert nested_r_hat(remembered, 8)[0] > 1.05


def test_ranks_do_not_see_monotone_changes() -> None:
    draws = np.random.default_rng(6).normal(size=(4, 100, 1))
    np.testing.assert_array_equal(rank_normalised(draws), rank_normalised(np.exp(5 * draws)))


def test_ties_share_a_rank() -> None:
    draws = np.array([0.0, 0.0, 1.0, 1.0]).reshape(2, 2, 1)
    ranks = rank_normalised(draws)
    assert ranks[0, 0] == ranks[0, 1]
    assert ranks[1, 0] == -ranks[0, 0]


def test_a_constant_is_no_reason_to_refuse() -> None:
    assert diagnose(np.ones((8, 100, 1)), ("constant",)).reliable


def test_an_unsettled_run_refuses_and_names_the_quantity() -> None:
    draws = np.random.default_rng(7).normal(size=(8, 100, 2))
    draws[0, :, 1] += 4
    found = diagnose(draws, ("steady", "wandering"))
    with pytest.raises(UnreliableEstimateError, match="wandering"):
        found.require_reliable()


def test_too_few_effective_draws_refuse() -> None:
    assert not Diagnostics(1.0, 399.0, 5000.0, "x").reliable
    assert not Diagnostics(1.0, 5000.0, 399.0, "x").reliable
    assert Diagnostics(1.0, 400.0, 400.0, "x").reliable


def test_the_nested_r_hat_is_the_papers() -> None:
    """Margossian et al. 2024, equations of section 3 written out chain by chain."""
    rng = np.random.default_rng(9)
    starts = np.repeat(rng.normal(0, 0.6, 4), 5)
    draws = rng.normal(size=(20, 12, 1)) + starts[:, None, None] + rng.normal(0, 0.4, (20, 1, 1))

    def of(values: Floats) -> float:
        groups = [values[first : first + 5, :, 0] for first in range(0, 20, 5)]
        between = np.var([group.mean() for group in groups], ddof=1)
        within = [np.var(group.mean(axis=1), ddof=1) + np.mean(np.var(group, axis=1, ddof=1)) for group in groups]
        return float(np.sqrt(1 + between / np.mean(within)))

    folded = np.abs(draws - np.median(draws))
    expected = max(of(rank_normalised(draws)), of(rank_normalised(folded)))
    assert float(nested_r_hat(draws, 4)[0]) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("count", [200, 201, 202, 203])
def test_any_number_of_draws_has_a_size(count: int) -> None:
    draws = np.random.default_rng(4).normal(size=(4, count, 3))
    assert effective_size(draws) == pytest.approx(4 * count, rel=0.35)
    assert bulk_size(draws) == pytest.approx(4 * count, rel=0.35)
