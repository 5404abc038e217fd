"""Makes `estimate_reference.json`: two invented players, their balls, and what NUTS says of them.

Run by hand with numpyro and jax at hand (they are not needed otherwise), one thread:

    python -m tests.reference.make_estimate_reference

Settings: 8 chains one after another, 1,500 warm-up and 4,000 kept draws each, acceptance 0.9, double precision.
"""

from __future__ import annotations

import json
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

import jax  # type: ignore[import-not-found]  # not among the development tools
import numpy as np
from numpyro.diagnostics import (  # type: ignore[import-not-found]  # not among the development tools
    effective_sample_size,
    gelman_rubin,
)
from numpyro.infer import MCMC, NUTS  # type: ignore[import-not-found]  # not among the development tools

from tests.core.estimate.simulate import bag, hit, plan, player
from tests.reference.nuts_model import club_model
from tests.reference.reference_priors import REFERENCE_PRIORS
from trainer.core.estimate.evidence import CellSet
from trainer.core.estimate.observations import Observations
from trainer.core.estimate.priors import ClubPriors

TARGET = Path(__file__).with_name("estimate_reference.json")
CHAINS, WARM_UP, KEPT = 8, 1500, 4000
QUANTITIES = (
    "eta", "kappa", "range_ball", "mat", "along", "day", "instrument", "share", "mark_rate", "loss", "log_spread",
    "log_spread_mean", "tau_club", "tau_grip", "tau_swing", "tau_cell",
)  # fmt: skip


def scenario(shots: int, days: int, seed: int) -> tuple[CellSet, Observations]:
    """An invented player's balls, rounded so that the file holds exactly what was fitted."""
    rng = np.random.default_rng(seed)
    cells, priors = bag(), ClubPriors()
    asked = plan(rng, cells, shots, days)
    tools = np.where(np.arange(2 * days) % 2 == 0, 0, -1)
    steady = np.where(tools == 0, rng.normal(0, 0.5, 2 * days).round(3), 0.0)
    asked = replace(
        asked, range_ball=(rng.random(shots) < 0.5).astype(float), mat=(rng.random(shots) < 0.3).astype(float),
        by_eye=rng.random(shots) < 0.5, wind_log=asked.wind_log.round(5),
        wind_slope_per_mps=asked.wind_slope_per_mps.round(5),
        readings=replace(asked.readings, instrument=tools, shared_mps=steady),
    )  # fmt: skip
    seen = hit(rng, cells, asked, player(rng, cells, asked, priors), priors)
    return cells, replace(seen, low_m=seen.low_m.round(2), high_m=seen.high_m.round(2))


def reference(cells: CellSet, seen: Observations) -> dict[str, Any]:
    """Mean, s.d., 10 and 90 % quantile and effective size of every quantity, from NUTS."""
    kernel = NUTS(club_model, target_accept_prob=0.9)
    mcmc = MCMC(
        kernel, num_warmup=WARM_UP, num_samples=KEPT, num_chains=CHAINS, chain_method="sequential", progress_bar=False
    )
    mcmc.run(jax.random.PRNGKey(1), cells, seen, REFERENCE_PRIORS)
    drawn = mcmc.get_samples(group_by_chain=True)
    out: dict[str, Any] = {}
    for name in QUANTITIES:
        values = np.asarray(drawn[name], dtype=np.float64)
        values = values.reshape(CHAINS, KEPT, -1)
        flat = values.reshape(-1, values.shape[2])
        out[name] = {
            "mean": flat.mean(axis=0).tolist(), "sd": flat.std(axis=0, ddof=1).tolist(),
            "low80": np.quantile(flat, 0.1, axis=0).tolist(), "high80": np.quantile(flat, 0.9, axis=0).tolist(),
            "effective": np.atleast_1d(effective_sample_size(values)).tolist(),
            "r_hat": float(np.max(gelman_rubin(values))),
        }  # fmt: skip
    return out


def main() -> None:
    """Write the file."""
    jax.config.update("jax_enable_x64", True)
    cases = []
    for shots, days, seed in ((60, 1, 11), (600, 12, 12)):
        cells, seen = scenario(shots, days, seed)
        cases.append({"shots": shots, "observations": asdict(seen), "nuts": reference(cells, seen)})
    TARGET.write_text(json.dumps({"cases": cases}, default=np.ndarray.tolist))


if __name__ == "__main__":
    main()
