"""An invented bag, its flights by a formula of the tests' own, and posteriors that say exactly what a test needs."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np

from tests.core.estimate.simulate import bag
from trainer.core.decide.outcomes import CellFlights, Traits
from trainer.core.estimate.diagnostics import Diagnostics
from trainer.core.estimate.evidence import CellSet, Floats
from trainer.core.estimate.observations import Observations, Readings
from trainer.core.estimate.posterior import Draws, Posterior
from trainer.core.estimate.priors import ClubPriors
from trainer.core.estimate.traits import RatioDraws, SideDraws, SidePrior

CELLS = bag()


def flights(along_mps: float, across_mps: float = 0.0, cells: CellSet = CELLS) -> CellFlights:
    """Shorter swings fly lower: less wind in their carry, less drift, more run."""
    low = cells.three_quarter + 2 * cells.half
    c = np.ones(len(cells))
    slope = 0.016 - 0.004 * low
    stock = cells.stock_carry_m[cells.club]
    drift = (0.018 - 0.003 * low) * stock
    return CellFlights(
        log_wind=slope * along_mps - 0.0006 * along_mps**2, log_slope_along=slope, log_slope_across=0.001 * c,
        side_m=drift * across_mps, side_slope_along=0.0 * c, side_slope_across=drift,
        spread_log=0.035 + 0.008 * low, side_sd_m=0.055 * stock,
        carry_side_correlation=0.05 * across_mps * c, run_m=3.0 + 6.0 * low, run_spread_m=1.5 + 1.5 * low,
        descent_rad=0.8 - 0.15 * low, apex_m=28.0 - 7 * low,
    )  # fmt: skip


def stacked(*each: CellFlights) -> CellFlights:
    """Winds one over the other."""
    return CellFlights(*(np.stack([getattr(one, field.name) for one in each]) for field in fields(CellFlights)))


def nothing_seen() -> Observations:
    none, no = np.zeros(0), np.zeros(0, dtype=np.int64)
    flags = np.zeros(0, dtype=bool)
    return Observations(
        no, no, no, none, none, none, none, none, none, none, none, none, none, flags, flags,
        none, none, none, Readings.of(np.zeros(0)), none,
    )  # fmt: skip


def posterior_of(eta: Floats, *, share: float = 0.0, log_spread: float = 0.0, day_sd: float = 1e-9) -> Posterior:
    """A posterior with the draws `eta` (n, c) and everything else known."""
    n, clubs = len(eta), len(CELLS.loft_deg)
    one, none = np.ones(n), np.zeros((n, 0))
    draws = Draws(
        eta=eta, wind_response=one, range_ball=0 * one, mat=0 * one, computed=0 * one, mishit_loss=0.18 * one,
        mishit_share=share * one, mark_rate=0.5 * one, log_spread=np.full((n, clubs), log_spread),
        log_spread_mean=0 * one, tau=np.zeros((n, 4)), along=none, across=none, own_along=none, instrument=none,
        day=none, eye_day=none, weights=none, drift=none, own_response=one, flown=np.zeros((n, 2)),
    )  # fmt: skip
    priors = replace(ClubPriors(), day_sd=day_sd)
    good = Diagnostics(1.0, 1e4, 1e4, "")
    return Posterior(CELLS, priors, nothing_seen(), draws, np.full(n, 1.0 / n), good)


def eta_of(cells: CellSet = CELLS, shift: float = 0.0) -> Floats:
    """Usual log ratios (c,) of grip and swing."""
    return np.asarray(
        shift - 0.025 * cells.grip_down_in + np.log(0.9) * cells.three_quarter + np.log(0.75) * cells.half
    )


def plain_traits(clubs: int = len(CELLS.loft_deg), cells: int = len(CELLS)) -> Traits:
    """A player who starts balls on line, drifts as the flight says and runs as the turf says."""
    side = SideDraws(np.zeros((1, clubs)), np.full(1, SidePrior().shot_sd_rad), np.ones(1), *[np.zeros((1, 0))] * 2)
    return Traits(side, RatioDraws(np.zeros((1, cells)), np.full(1, 0.45)))
