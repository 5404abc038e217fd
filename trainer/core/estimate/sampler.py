"""The blocked Gibbs sampler: many chains, or many players, in one numpy sweep.

Model (log carry of a shot over the club's stated stock carry):

    z = eta[cell] + kappa·q + p·(delta[reading] + instrument) + day + eye's day + ball, surface, device + drift
        + noise

with q the flight's wind effect and p its slope, both from the cell's reference delivery; see `cell_prior`, `design`
and `mixture` for the parts. Assumptions: effects Gaussian on the log scale; mishits one-sided and short; a day's own
offset and a reading's error are each one number. Range: carries of 10–330 m.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from trainer.core.estimate.cell_prior import scale_priors
from trainer.core.estimate.collapsed import move
from trainer.core.estimate.columns import LOSS
from trainer.core.estimate.design import Design
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.estimate.locations import Locations, draw_locations, eliminate_days, expected, row_sums
from trainer.core.estimate.mixture import Mixture, draw_log_spread, draw_shares, impute, struck_variance
from trainer.core.estimate.scales import (
    cell_covariance,
    draw_components,
    draw_scales_given_cells,
    draw_scales_given_ratios,
    from_columns,
)


@dataclass(frozen=True, slots=True)
class State:
    """Where b chains stand: locations, the cells' prior taken apart (`weights`, `own`), scales `tau`, mixture."""

    at: Locations
    weights: Floats
    own: Floats
    tau: Floats
    mixture: Mixture
    z: Floats

    def taken(self, chains: Ints) -> State:
        """The states at `chains`."""
        at = Locations(self.at.eta[chains], self.at.shared[chains], self.at.local[chains])
        m = self.mixture
        mixture = Mixture(m.share[chains], m.mark_rate[chains], m.log_spread_mean[chains], m.log_spread[chains])
        return State(at, self.weights[chains], self.own[chains], self.tau[chains], mixture, self.z[chains])


def start(design: Design, chains: int, rng: np.random.Generator, groups: int = 0) -> State:
    """`chains` states drawn from the prior, so that their agreement later means something.

    With `groups` only that many are drawn and each is the start of `chains // groups` chains, one after another.
    """
    drawn = _drawn(design, groups or chains, rng)
    return drawn.taken(np.repeat(np.arange(groups or chains), chains // groups if groups else 1))


def _drawn(design: Design, chains: int, rng: np.random.Generator) -> State:
    priors = design.priors
    tau = np.maximum(scale_priors(priors) * np.abs(rng.standard_normal((chains, 4))), 1e-4)
    sd = design.prior.column_scales(tau)
    weights = sd * rng.standard_normal(sd.shape)
    own = tau[:, [3]] * rng.standard_normal((chains, design.hit.shape[1]))
    root = np.linalg.inv(design.shared_root)
    noise = rng.standard_normal((chains, design.shared, 1))
    shared = design.shared_mean + np.matmul(np.swapaxes(root, 1, 2), noise)[..., 0]
    local = rng.standard_normal((chains, *design.local_precision.shape[1:])) / np.sqrt(design.local_precision)
    centre = priors.log_spread.mean + priors.log_spread.sd * rng.standard_normal(chains)
    spread = centre[:, None] + priors.club_log_spread_sd * rng.standard_normal((chains, design.prior.clubs))
    share = np.clip(rng.beta(*priors.mishit_share, size=chains), 1e-6, 1 - 1e-6)
    mark_rate = np.clip(rng.beta(*priors.mark_rate, size=chains), 1e-6, 1 - 1e-6)
    eta = design.mean + from_columns(design, weights) + own
    inside = np.where(np.isfinite(design.low), design.low, design.high)
    z = np.broadcast_to(np.where(design.exact | design.bounded, inside, 0.0), (chains, design.low.shape[1]))
    return State(Locations(eta, shared, local), weights, own, tau, Mixture(share, mark_rate, centre, spread), z)


def sweep(design: Design, state: State, rng: np.random.Generator) -> State:
    """One pass over every unknown; the posterior is left as it is."""
    mean = expected(design, state.at)
    moved = move(design, state.mixture, state.at.shared, state.weights[:, 0], mean, state.z, rng)
    mean = mean + moved.level[:, None] * design.counted
    weights = state.weights.copy()
    weights[:, 0] += moved.level / design.priors.alpha.sd
    mixture = moved.mixture
    imputed = impute(design, mixture, mean, moved.shared[:, LOSS], rng)
    share, mark_rate = draw_shares(design, imputed, rng)
    spread, centre = draw_log_spread(design, imputed, mixture, mean, rng)
    mixture = Mixture(share, mark_rate, centre, spread)
    informative = design.exact | design.bounded
    weight = replace(imputed, struck_var=struck_variance(design, spread)).weight * informative
    total, pull = row_sums(design, imputed.mishit, weight, imputed.z)
    core = eliminate_days(design, total, pull, rng)
    tau = draw_scales_given_ratios(design, core, state.tau, weights, state.own, rng)
    covariance = cell_covariance(design, tau)
    precision = np.linalg.inv(covariance)
    precision = (precision + np.swapaxes(precision, 1, 2)) / 2
    at = draw_locations(design, core, precision, rng)
    tau, covariance = draw_scales_given_cells(design, tau, covariance, at.eta, rng)
    weights, own = draw_components(design, tau, covariance, at.eta, rng)
    return State(at, weights, own, tau, mixture, imputed.z)


def all_cells(design: Design, state: State, rng: np.random.Generator) -> tuple[State, Floats]:
    """The state and eta (b, all cells): what no cell hit speaks of is drawn from its prior given the scales."""
    b = len(state.tau)
    sd = design.prior.column_scales(state.tau)
    weights = np.where(design.active, state.weights, sd * rng.standard_normal(sd.shape))
    own = state.tau[:, [3]] * rng.standard_normal((b, design.cells))
    hit = np.broadcast_to(design.hit, (b, design.hit.shape[1]))
    kept = np.where(design.own, state.own, np.take_along_axis(own, hit, axis=1))
    np.put_along_axis(own, hit, kept, axis=1)
    eta = np.asarray(design.prior.mean + weights @ design.prior.z.T + own)
    return replace(state, weights=weights), eta
