"""From the posterior of effects to what a player reads: carries with intervals, and what the wind hides."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainer.core.estimate.evidence import CellSet, Floats, Setting
from trainer.core.estimate.linear import GaussianPosterior

Z80 = 1.2815515655446004
"""Half-width of the central 80 % of a standard normal."""


@dataclass(frozen=True, slots=True)
class Interval:
    """Median and central 80 % of a quantity, in metres, one entry a cell (c,)."""

    median: Floats
    low80: Floats
    high80: Floats


def _carry(cells: CellSet, rows: Floats, posterior: GaussianPosterior, extra_var: Floats | float) -> Interval:
    mean = rows @ posterior.mean
    variance = np.einsum("ij,jk,ik->i", rows, posterior.covariance, rows) + extra_var
    sd = np.sqrt(variance)
    stock = cells.stock_carry_m[cells.club]
    return Interval(stock * np.exp(mean), stock * np.exp(mean - Z80 * sd), stock * np.exp(mean + Z80 * sd))


def still_air_carry(cells: CellSet, posterior: GaussianPosterior) -> Interval:
    """Still-air carry of every cell, m: no wind, reference air, playing ball from grass."""
    return _carry(cells, posterior.cell_rows, posterior, 0.0)


def carry_in(cells: CellSet, posterior: GaussianPosterior, setting: Setting) -> Interval:
    """Carry of every cell in `setting`, m.

    Where the wind is a reading of the evidence, that reading's error and that day are the ones the shots were hit
    under, jointly with the carry: this is why today's carry is known better than the still-air one.
    """
    layout = posterior.layout
    rows = posterior.cell_rows.copy()
    rows[:, layout.KAPPA] = setting.wind_log
    rows[:, layout.RANGE_BALL] = float(setting.range_ball)
    rows[:, layout.MAT] = float(setting.mat)
    if setting.day is not None:
        rows[:, layout.day_start + setting.day] = 1.0
    extra_var: Floats | float = (setting.wind_slope_per_mps * setting.wind_sd_mps) ** 2
    if setting.reading is not None:
        rows[:, layout.reading_start + setting.reading] = setting.wind_slope_per_mps
        extra_var = 0.0
    return _carry(cells, rows, posterior, extra_var)


def wind_share(posterior: GaussianPosterior) -> Floats:
    """Share (c,) of the variance of eta that comes from not knowing the wind: 0 none, 1 all.

    Cov(eta, G) Var(G)⁻¹ Cov(G, eta) / Var(eta) with G the wind response and the readings' errors.
    """
    layout = posterior.layout
    wind = np.r_[layout.KAPPA, layout.reading_start : layout.day_start]
    eta_all = posterior.cell_rows @ posterior.covariance
    var_eta = np.einsum("ij,ij->i", eta_all, posterior.cell_rows)
    cross = eta_all[:, wind]
    var_wind = posterior.covariance[np.ix_(wind, wind)]
    explained = np.einsum("ij,ji->i", cross, np.linalg.solve(var_wind, cross.T))
    return np.asarray(np.clip(explained / var_eta, 0.0, 1.0))


def wind_floor_m(cells: CellSet, posterior: GaussianPosterior) -> Floats:
    """Half-width (c,), m, of the 80 % still-air interval that more balls in these winds would leave.

    What remains is the part explained by the wind and by the days hit so far, which more balls on them cannot tell
    from the club.
    """
    layout = posterior.layout
    hidden = np.r_[layout.KAPPA, layout.reading_start : layout.size]
    eta_all = posterior.cell_rows @ posterior.covariance
    cross = eta_all[:, hidden]
    explained = np.einsum("ij,ji->i", cross, np.linalg.solve(posterior.covariance[np.ix_(hidden, hidden)], cross.T))
    still = still_air_carry(cells, posterior).median
    return np.asarray(still * np.expm1(Z80 * np.sqrt(np.maximum(explained, 0.0))))


def wind_response_contraction(posterior: GaussianPosterior) -> float:
    """1 − (posterior s.d. / prior s.d.)² of the player's own wind response: 0 nothing learned."""
    kappa = posterior.layout.KAPPA
    return float(1 - posterior.covariance[kappa, kappa] / posterior.scales.wind_response.sd**2)
