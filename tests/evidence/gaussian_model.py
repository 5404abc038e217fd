"""The club model as one exact Gaussian update, its scales held fixed: quick enough for a race of many evenings.

Model (log carry of shot i over the club's stated stock carry):

    z_i = eta[cell_i] + kappa·q_i + p_i·delta[reading_i] + day_i + offsets_i + noise_i
    eta[c,g,w] = (1, g, 1{three-quarter}, 1{half})·psi_c + u[c,g,w]
    psi_c = (alpha + f(loft_c), beta_g, beta_34, beta_half) + deviations of the club

Assumptions: all effects Gaussian on the log scale, every scale known and fixed, marked mishits left out beforehand,
unmarked ones not foreseen. Because scales are not learned the intervals are *provisional*: they do not widen for a
player who scatters more than `Scales` says. Range: carries of 10–330 m. A hierarchical linear model after
Lindley & Smith 1972, J. R. Stat. Soc. B 34, 1–41; the loft curve is a rank-4 Nyström form of a squared-exponential
Gaussian process (Rasmussen & Williams 2006, ch. 8).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainer.core.errors import InputError
from trainer.core.estimate.evidence import CellSet, Floats, Ints

LOFT_KNOTS_DEG = (15.0, 30.0, 45.0, 60.0)


@dataclass(frozen=True, slots=True)
class Evidence:
    """Shots that speak of a carry (n,), with the readings (r,) and days (d,) they fall under.

    `wind_log` is log(1 + wind effect / reference carry), `wind_slope_per_mps` its change per m/s of wind along the
    target line at the reading's height; both are 0 for a carry that is already a still-air figure. `seen_sd_log`
    holds how it was seen, rounding and gusts. `computed` marks carries that a device calculated.
    """

    cell: Ints
    reading: Ints
    day: Ints
    carry_m: Floats
    wind_log: Floats
    wind_slope_per_mps: Floats
    seen_sd_log: Floats
    range_ball: Floats
    mat: Floats
    computed: Floats
    reading_sd_mps: Floats
    days: int

    def __len__(self) -> int:
        return len(self.cell)


@dataclass(frozen=True, slots=True)
class Prior:
    """Mean and s.d. of one effect, on the log scale unless the name says otherwise."""

    mean: float
    sd: float


@dataclass(frozen=True, slots=True)
class Scales:
    """Every prior and fixed scale of the model. Sources are in the comments; the rest is common practice."""

    alpha: Prior = Prior(0.0, 0.04)
    loft_curve_sd: float = 0.03
    loft_length_deg: float = 12.0
    grip_per_in: Prior = Prior(-0.025, 0.015)
    three_quarter: Prior = Prior(float(np.log(0.90)), 0.05)
    half: Prior = Prior(float(np.log(0.75)), 0.08)
    club_sd: float = 0.03
    club_grip_sd_per_in: float = 0.008
    club_swing_sd: float = 0.03
    cell_sd: float = 0.015
    # The flight's wind effect is the starting point; how a player's own flight answers differs by a quarter.
    wind_response: Prior = Prior(1.0, 0.25)
    day_sd: float = 0.025
    range_ball: Prior = Prior(-0.03, 0.04)
    mat: Prior = Prior(0.0, 0.02)
    # One ball and device against the flight calculation (Lyu, Kensrud & Smith 2018 give ±5 % between balls).
    computed: Prior = Prior(0.0, 0.04)
    shot_sd: float = 0.06


MEASURED = Scales()
REMEMBERED = Scales(alpha=Prior(float(np.log(0.95)), 0.05))


@dataclass(frozen=True, slots=True)
class Layout:
    """Where each effect sits in the vector of all effects."""

    clubs: int
    cells: int
    readings: int
    days: int

    LOFT = 1
    BETA = 1 + len(LOFT_KNOTS_DEG)
    KAPPA = BETA + 3
    RANGE_BALL = KAPPA + 1
    MAT = KAPPA + 2
    COMPUTED = KAPPA + 3
    CLUB = KAPPA + 4

    @property
    def cell_start(self) -> int:
        """First of the cells' own deviations."""
        return self.CLUB + 4 * self.clubs

    @property
    def reading_start(self) -> int:
        """First of the readings' errors."""
        return self.cell_start + self.cells

    @property
    def day_start(self) -> int:
        """First of the days."""
        return self.reading_start + self.readings

    @property
    def size(self) -> int:
        """Number of effects."""
        return self.day_start + self.days


@dataclass(frozen=True, slots=True)
class GaussianPosterior:
    """Joint posterior of all effects: `mean` (p,), `covariance` (p, p), with the layout and rows that read it."""

    layout: Layout
    cell_rows: Floats
    mean: Floats
    covariance: Floats
    scales: Scales


def _loft_features(loft_deg: Floats, length_deg: float) -> Floats:
    """Features (k, 4) whose weights are independent N(0, sd²): Nyström on the knots."""
    knots = np.asarray(LOFT_KNOTS_DEG)

    def kernel(a: Floats, b: Floats) -> Floats:
        return np.asarray(np.exp(-0.5 * ((a[:, None] - b[None, :]) / length_deg) ** 2))

    values, vectors = np.linalg.eigh(kernel(knots, knots))
    root = vectors @ np.diag(values**-0.5) @ vectors.T
    return np.asarray(kernel(loft_deg, knots) @ root)


def cell_rows(cells: CellSet, layout: Layout, scales: Scales) -> Floats:
    """Rows (c, p) that read eta of each cell from the vector of effects."""
    rows = np.zeros((len(cells), layout.size))
    per_cell = np.arange(len(cells))
    features = np.stack([np.ones(len(cells)), cells.grip_down_in, cells.three_quarter, cells.half], axis=1)
    rows[:, 0] = 1.0
    rows[:, layout.LOFT : layout.BETA] = _loft_features(cells.loft_deg, scales.loft_length_deg)[cells.club]
    rows[:, layout.BETA : layout.KAPPA] = features[:, 1:]
    for k in range(4):
        rows[per_cell, layout.CLUB + 4 * cells.club + k] = features[:, k]
    rows[per_cell, layout.cell_start + per_cell] = 1.0
    return rows


def _prior(layout: Layout, evidence: Evidence, scales: Scales) -> tuple[Floats, Floats]:
    mean = np.zeros(layout.size)
    sd = np.zeros(layout.size)
    singles = {
        0: scales.alpha,
        layout.BETA: scales.grip_per_in,
        layout.BETA + 1: scales.three_quarter,
        layout.BETA + 2: scales.half,
        layout.KAPPA: scales.wind_response,
        layout.RANGE_BALL: scales.range_ball,
        layout.MAT: scales.mat,
        layout.COMPUTED: scales.computed,
    }
    for index, prior in singles.items():
        mean[index], sd[index] = prior.mean, prior.sd
    sd[layout.LOFT : layout.BETA] = scales.loft_curve_sd
    club_sds = [scales.club_sd, scales.club_grip_sd_per_in, scales.club_swing_sd, scales.club_swing_sd]
    sd[layout.CLUB : layout.cell_start] = np.tile(club_sds, layout.clubs)
    sd[layout.cell_start : layout.reading_start] = scales.cell_sd
    sd[layout.reading_start : layout.day_start] = evidence.reading_sd_mps
    sd[layout.day_start :] = scales.day_sd
    return mean, sd


def _shot_rows(rows: Floats, layout: Layout, evidence: Evidence, part: slice) -> Floats:
    design = rows[evidence.cell[part]]
    shots: Ints = np.arange(len(design))
    design[:, layout.KAPPA] = evidence.wind_log[part]
    design[:, layout.RANGE_BALL] = evidence.range_ball[part]
    design[:, layout.MAT] = evidence.mat[part]
    design[:, layout.COMPUTED] = evidence.computed[part]
    design[shots, layout.reading_start + evidence.reading[part]] = evidence.wind_slope_per_mps[part]
    design[shots, layout.day_start + evidence.day[part]] = 1.0
    return design


def fit(cells: CellSet, evidence: Evidence, scales: Scales = MEASURED, *, chunk: int = 4096) -> GaussianPosterior:
    """The exact posterior of every effect given the shots; with no shots it is the prior.

    Shots are folded in `chunk` at a time, so memory does not grow with the history. Raises InputError where a carry
    is not positive and finite.
    """
    if not bool(np.all(np.isfinite(evidence.carry_m) & (evidence.carry_m > 0))):
        raise InputError("a carry is not a positive number", "evidence", "correct or undo the shot")
    layout = Layout(len(cells.loft_deg), len(cells), len(evidence.reading_sd_mps), evidence.days)
    rows = cell_rows(cells, layout, scales)
    prior_mean, prior_sd = _prior(layout, evidence, scales)
    z = np.log(evidence.carry_m / cells.stock_carry_m[cells.club[evidence.cell]])
    weight = 1.0 / (scales.shot_sd**2 + evidence.seen_sd_log**2)
    precision = np.diag(prior_sd**-2.0)
    pull = np.zeros(layout.size)
    for start in range(0, len(evidence), chunk):
        part = slice(start, start + chunk)
        design = _shot_rows(rows, layout, evidence, part)
        weighted = design * weight[part, None]
        precision += design.T @ weighted
        pull += weighted.T @ (z[part] - design @ prior_mean)
    covariance = np.linalg.inv(precision)
    covariance = (covariance + covariance.T) / 2
    return GaussianPosterior(layout, rows, prior_mean + covariance @ pull, covariance, scales)
