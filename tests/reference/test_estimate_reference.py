"""The sampler against NUTS on the same model, written twice: the file's maker stands beside it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.core.estimate.simulate import bag
from tests.reference.reference_priors import REFERENCE_PRIORS
from trainer.core.estimate.evidence import Floats
from trainer.core.estimate.observations import Observations, Readings
from trainer.core.estimate.posterior import Draws, Sampling, fit
from trainer.core.estimate.report import quantiles

FILE = Path(__file__).with_name("estimate_reference.json")
CASES: list[dict[str, Any]] = json.loads(FILE.read_text())["cases"]
EVERY_RUN_SHOTS = 60
"""Cases of more are proofs."""


def observations(data: dict[str, Any]) -> Observations:
    arrays: dict[str, Any] = {name: np.array(values) for name, values in data.items() if name != "readings"}
    # The file is of carries alone.
    arrays |= {name: np.zeros(len(arrays["cell"])) for name in ("own_wind_log", "flown_m", "flown_sd_log")}
    readings = Readings(**{k: np.array(v) for k, v in data["readings"].items()})
    return Observations(**arrays, readings=readings)


def drawn(draws: Draws) -> dict[str, Floats]:
    found = {
        "eta": draws.eta, "kappa": draws.wind_response, "range_ball": draws.range_ball, "mat": draws.mat,
        "along": draws.along, "day": draws.day, "instrument": draws.instrument, "share": draws.mishit_share,
        "mark_rate": draws.mark_rate, "loss": draws.mishit_loss, "log_spread": draws.log_spread,
        "log_spread_mean": draws.log_spread_mean, "tau_club": draws.tau[:, 0], "tau_grip": draws.tau[:, 1],
        "tau_swing": draws.tau[:, 2], "tau_cell": draws.tau[:, 3],
    }  # fmt: skip
    return {name: values.reshape(len(draws), -1) for name, values in found.items()}


def against_nuts(case: dict[str, Any], seed: int) -> tuple[Floats, Floats]:
    """Errors of the 80 % intervals' ends, in widths, and z scores of the means, over all quantities."""
    sampling = Sampling(kept=150)
    seen = observations(case["observations"])
    posterior = fit(bag(), seen, np.random.default_rng(seed), REFERENCE_PRIORS, sampling)
    posterior.diagnostics.require_reliable()
    ends, scores = [], []
    for name, values in drawn(posterior.draws).items():
        nuts = {key: np.array(value) for key, value in case["nuts"][name].items()}
        width = nuts["high80"] - nuts["low80"]
        low, high = quantiles(values, posterior.weights, (0.1, 0.9))
        ends += [(low - nuts["low80"]) / width, (high - nuts["high80"]) / width]
        # Both sides are estimates: the standard error of a mean is s.d. / √(effective draws), of each.
        error = nuts["sd"] * np.sqrt(1 / nuts["effective"] + 1 / effective(values, sampling.chains))
        scores.append((values.mean(axis=0) - nuts["mean"]) / error)
    return np.concatenate(ends), np.concatenate(scores)


def with_mark(case: dict[str, Any]) -> Any:
    """Four runs of many shots take half a minute: a proof. Those of few are in every run."""
    marks = [pytest.mark.proof] if case["shots"] > EVERY_RUN_SHOTS else []
    return pytest.param(case, id=f"{case['shots']} shots", marks=marks)


@pytest.mark.parametrize("case", [with_mark(case) for case in CASES])
def test_the_sampler_agrees_with_nuts(case: dict[str, Any]) -> None:
    # The quantities hang together, so one run's rms z of a right sampler scatters by a fifth: four runs are taken.
    ends, scores = zip(*(against_nuts(case, seed) for seed in range(4)), strict=True)
    assert max(np.sqrt(np.mean(error**2)) for error in ends) <= 0.02
    assert np.sqrt(np.mean(np.concatenate(scores) ** 2)) <= 1.1


def effective(values: Floats, chains: int) -> Floats:
    from trainer.core.estimate.diagnostics import effective_size

    return effective_size(values.reshape(chains, -1, values.shape[1]))
