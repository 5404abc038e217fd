"""The club model once more, for a general sampler: written from the formulae, mishit labels summed out.

Needs numpyro and jax, which nothing else here does; it runs where somebody has put them.
"""

from __future__ import annotations

from typing import Any

import jax.numpy as jnp  # type: ignore[import-not-found]  # not among the development tools
import numpy as np
import numpyro  # type: ignore[import-not-found]  # not among the development tools
import numpyro.distributions as dist  # type: ignore[import-not-found]  # not among the development tools

from trainer.core.estimate.evidence import CellSet
from trainer.core.estimate.observations import Observations
from trainer.core.estimate.priors import ClubPriors

LOFT_KNOTS_DEG = np.array([15.0, 30.0, 45.0, 60.0])


def _standard(name: str, *shape: int) -> Any:
    return numpyro.sample(name, dist.Normal(0.0, 1.0).expand(list(shape)).to_event(len(shape)))


def _cells(cells: CellSet, priors: ClubPriors) -> Any:
    clubs, k = len(cells.loft_deg), cells.club
    names = ("tau_club", "tau_grip", "tau_swing", "tau_cell")
    sds = (priors.club_sd, priors.club_grip_sd, priors.club_swing_sd, priors.cell_sd)
    tau = [numpyro.sample(name, dist.HalfNormal(sd)) for name, sd in zip(names, sds, strict=True)]
    kernel = np.exp(-0.5 * ((cells.loft_deg[:, None] - LOFT_KNOTS_DEG) / priors.loft_length_deg) ** 2)
    inner = np.exp(-0.5 * ((LOFT_KNOTS_DEG[:, None] - LOFT_KNOTS_DEG) / priors.loft_length_deg) ** 2)
    curve = priors.loft_curve_sd * kernel @ np.linalg.inv(np.linalg.cholesky(inner)).T @ _standard("curve", 4)
    level = priors.alpha.mean + priors.alpha.sd * _standard("alpha") + curve + tau[0] * _standard("club", clubs)
    slopes = [
        prior.mean + prior.sd * _standard(f"beta_{name}") + scale * _standard(name, clubs)
        for name, prior, scale in (
            ("grip", priors.grip_per_in, tau[1]),
            ("three", priors.three_quarter, tau[2]),
            ("half", priors.half, tau[2]),
        )
    ]
    features = (cells.grip_down_in, cells.three_quarter, cells.half)
    eta = level[k] + sum(slope[k] * feature for slope, feature in zip(slopes, features, strict=True))
    return numpyro.deterministic("eta", eta + tau[3] * _standard("cell", len(cells)))


def _effects(seen: Observations, cells: CellSet, priors: ClubPriors) -> Any:
    """What is added to the cell's log ratio, shot by shot."""
    singles = {
        name: numpyro.sample(name, dist.Normal(prior.mean, prior.sd))
        for name, prior in (("kappa", priors.wind_response), ("range_ball", priors.range_ball), ("mat", priors.mat))
    }
    readings = seen.readings
    tools = int(readings.instrument.max()) + 1
    steady = jnp.append(_standard("instrument", tools), 0.0)[readings.instrument] * readings.shared_mps
    error = numpyro.deterministic("along", readings.own_sd_mps * _standard("own_along", len(readings)) + steady)
    day = numpyro.deterministic("day", priors.day_sd * _standard("day_z", len(seen.age_days)))
    eye = priors.eye_day_sd * _standard("eye_z", len(seen.age_days))
    total = singles["kappa"] * seen.wind_log + seen.wind_slope_per_mps * error[seen.reading]
    total = total + singles["range_ball"] * seen.range_ball + singles["mat"] * seen.mat
    return total + day[seen.day] + eye[seen.day] * seen.by_eye


def club_model(cells: CellSet, seen: Observations, priors: ClubPriors) -> None:
    """The model; every carry of `seen` must be a number, every day of one moment."""
    z = np.log(seen.low_m / cells.stock_carry_m[cells.club[seen.cell]])
    mean = _cells(cells, priors)[seen.cell] + _effects(seen, cells, priors)
    share = numpyro.sample("share", dist.Beta(*priors.mishit_share))
    mark = numpyro.sample("mark_rate", dist.Beta(*priors.mark_rate))
    loss = numpyro.sample("loss", dist.Normal(priors.mishit_loss.mean, priors.mishit_loss.sd))
    centre = numpyro.sample("log_spread_mean", dist.Normal(priors.log_spread.mean, priors.log_spread.sd))
    clubs = len(cells.loft_deg)
    spread = numpyro.deterministic("log_spread", centre + priors.club_log_spread_sd * _standard("spread_z", clubs))
    own = seen.spread_log * jnp.exp(spread[cells.club[seen.cell]])
    struck = dist.Normal(mean, jnp.sqrt(own**2 + seen.seen_sd_log**2)).log_prob(z) + jnp.log1p(-share)
    mishit = dist.Normal(mean - loss, np.sqrt(priors.mishit_sd**2 + seen.seen_sd_log**2)).log_prob(z) + jnp.log(share)
    unmarked = jnp.logaddexp(struck, mishit + jnp.log1p(-mark))
    numpyro.factor("shots", jnp.where(seen.marked, mishit + jnp.log(mark), unmarked).sum())
