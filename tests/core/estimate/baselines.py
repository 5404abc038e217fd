"""The fixed baselines that the club model is compared with: what one would do without it."""

from __future__ import annotations

import numpy as np

from trainer.core.estimate.evidence import CellSet, Floats
from trainer.core.estimate.observations import Observations

THREE_QUARTER, HALF, GRIP_PER_IN = 0.90, 0.75, 0.025


def stated(cells: CellSet) -> Floats:
    """Stated carry × the usual ratios of swing and grip, m."""
    ratio = np.where(cells.three_quarter > 0, THREE_QUARTER, np.where(cells.half > 0, HALF, 1.0))
    return np.asarray(cells.stock_carry_m[cells.club] * ratio * (1 - GRIP_PER_IN * cells.grip_down_in))


def without_wind(seen: Observations) -> Floats:
    """Carries with the flight's wind effect taken out as it stands, m."""
    return np.asarray(seen.low_m * np.exp(-seen.wind_log))


def cell_means(cells: CellSet, seen: Observations) -> Floats:
    """Mean of each cell's carries without wind; an empty cell takes the stated carry × ratios, m."""
    count = np.bincount(seen.cell, minlength=len(cells))
    total = np.bincount(seen.cell, without_wind(seen), len(cells))
    return np.where(count > 0, total / np.maximum(count, 1), stated(cells))


def least_squares(cells: CellSet, seen: Observations) -> Floats:
    """Log carry without wind on club, grip and swing; an empty club keeps its stated carry, m."""
    clubs = len(cells.loft_deg)
    club = np.eye(clubs)[cells.club]
    rows = np.hstack([club, np.column_stack([cells.grip_down_in, cells.three_quarter, cells.half])])
    z = np.log(without_wind(seen) / cells.stock_carry_m[cells.club[seen.cell]])
    weights = np.linalg.lstsq(rows[seen.cell], z, rcond=None)[0]
    known = np.bincount(cells.club[seen.cell], minlength=clubs) > 0
    weights[:clubs] = np.where(known, weights[:clubs], 0.0)
    hit = [bool(np.any(feature[seen.cell] > 0)) for feature in (cells.grip_down_in, cells.three_quarter, cells.half)]
    usual = (-GRIP_PER_IN, np.log(THREE_QUARTER), np.log(HALF))
    weights[clubs:] = np.where(hit, weights[clubs:], usual)
    return np.asarray(cells.stock_carry_m[cells.club] * np.exp(rows @ weights))
