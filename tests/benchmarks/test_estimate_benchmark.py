"""The sampler's speed, as ratios against a named peer in one run, one thread.

The peer is NUTS (numpyro) on the same model, its compilation not counted, its warm-up counted as ours is.
Its settings are fixed here. Where numpyro is not installed those ratios are skipped.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.benchmarks.told import at_least, at_most, best_s, tell
from tests.core.estimate.simulate import bag, hit, plan, player
from trainer.core.estimate.diagnostics import bulk_size
from trainer.core.estimate.evidence import CellSet, Floats
from trainer.core.estimate.observations import Observations
from trainer.core.estimate.online import refresh, reweighted
from trainer.core.estimate.posterior import LONG_HISTORY, STANDARD, Sampling, fit
from trainer.core.estimate.priors import ClubPriors

pytestmark = pytest.mark.benchmark

SIZES = {
    60: (1, STANDARD, 4, 500, 1000),
    600: (12, LONG_HISTORY, 4, 500, 1000),
    6000: (120, LONG_HISTORY, 1, 300, 300),
}
"""Shots: days, own settings, NUTS chains, warm-up and kept draws."""

LEAST_RATIO = {60: 28.0, 600: 55.0, 6000: 28.0}


def evidence(shots: int, days: int) -> tuple[CellSet, Observations]:
    """An ordinary player: the flight's own scatter, one ball in twelve mishit."""
    rng = np.random.default_rng(shots)
    cells, priors = bag(), ClubPriors()
    asked = plan(rng, cells, shots, days)
    truth = replace(
        player(rng, cells, asked, priors), share=0.08, loss=0.18, log_spread=np.zeros(len(cells.loft_deg))
    )
    return cells, hit(rng, cells, asked, truth, priors)


def timed(run: Callable[[], Any]) -> tuple[float, Any]:
    began = time.perf_counter()
    result = run()
    return time.perf_counter() - began, result


def own_rate(cells: CellSet, seen: Observations, sampling: Sampling) -> float:
    """Effective draws a second of the mean still-air carry, averaged over cells hit."""
    took, posterior = timed(lambda: fit(cells, seen, np.random.default_rng(1), sampling=sampling))
    eta = posterior.draws.eta[:, np.unique(seen.cell)]
    return rate(eta.reshape(sampling.chains, -1, eta.shape[1]), took)


def rate(draws: Floats, seconds: float) -> float:
    return float(np.mean(bulk_size(draws))) / seconds


def nuts_rate(cells: CellSet, seen: Observations, chains: int, warm_up: int, kept: int) -> float:
    jax = pytest.importorskip("jax")
    infer = pytest.importorskip("numpyro.infer")
    from tests.reference.nuts_model import club_model

    jax.config.update("jax_enable_x64", True)
    kernel = infer.NUTS(club_model, target_accept_prob=0.8)
    mcmc = infer.MCMC(
        kernel, num_warmup=warm_up, num_samples=kept, num_chains=chains, chain_method="sequential", progress_bar=False
    )
    mcmc.warmup(jax.random.PRNGKey(0), cells, seen, ClubPriors())
    mcmc.post_warmup_state = None

    def run() -> Any:
        mcmc.run(jax.random.PRNGKey(1), cells, seen, ClubPriors())
        return np.asarray(mcmc.get_samples(group_by_chain=True)["eta"], dtype=np.float64)

    run()
    took, eta = timed(run)
    return rate(eta[..., np.unique(seen.cell)], took)


@pytest.mark.parametrize("shots", SIZES)
def test_effective_draws_a_second_against_nuts(shots: int) -> None:
    days, sampling, chains, warm_up, kept = SIZES[shots]
    cells, seen = evidence(shots, days)
    peer = nuts_rate(cells, seen, chains, warm_up, kept)
    own = own_rate(cells, seen, sampling)
    assert tell(
        f"mean still-air carry of {shots:,} shots", own, "effective draws/s",
        ratio=own / peer, of="speed", peer="NUTS on the same model, not compiling", goal=at_least(LEAST_RATIO[shots]),
    )  # fmt: skip


def test_reweighting_and_refreshing_against_a_fresh_fit() -> None:
    cells, seen = evidence(61, 1)
    before = fit(cells, seen.taken(np.arange(60)), np.random.default_rng(1))
    fresh, _ = timed(lambda: fit(cells, seen, np.random.default_rng(1)))
    weigh = best_s(lambda: reweighted(before, seen, np.random.default_rng(2)), 5)
    after = reweighted(before, seen, np.random.default_rng(2))
    anew = best_s(lambda: list(refresh(after, seen, np.random.default_rng(3))), 5)
    peer = "fitting the 61 shots from nothing"
    at_once = tell(
        "one more shot reweighted", weigh * 1e3, "ms", wanted=at_most(1),
        ratio=weigh / fresh, of="time", peer=peer, goal=at_most(0.01),
    )  # fmt: skip
    soon = tell(
        "61 shots refreshed", anew * 1e3, "ms", wanted=at_most(100),
        ratio=anew / fresh, of="time", peer=peer, goal=at_most(0.5),
    )  # fmt: skip
    assert at_once
    assert soon
