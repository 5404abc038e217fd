"""What one would foresee without the club model, each ball from those before it alone: what calls are held against.

Rule: the stated carry, one yard off per mph of headwind, half a yard on per mph of tailwind. Cell means: the mean of
a cell's carries with the flight's wind effect taken out; a cell not hit yet takes the stated carry × the usual
ratios. Least squares: log carry, wind out, on club, grip and swing. No balls: what is believed before the first.
The ratios and the rule are common practice (no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from trainer.core.constants import MPH_MPS, YARD_M
from trainer.core.estimate.evidence import CellSet, Floats, Ints
from trainer.core.estimate.observations import Bools
from trainer.core.estimate.priors import ClubPriors

THREE_QUARTER, HALF, GRIP_PER_IN = 0.90, 0.75, 0.025
"""Carry over the full swing's, and what an inch of grip-down takes off it."""

RULE_HEAD_M_PER_MPS, RULE_TAIL_M_PER_MPS = YARD_M / MPH_MPS, 0.5 * YARD_M / MPH_MPS
LEAST_EARLIER = 5
"""Fewer errors before a ball say nothing of how far the next may be off."""

_LEAST_SHARE = 0.05
_SAME = 1e-10


@dataclass(frozen=True, slots=True)
class BallsSeen:
    """Balls in the order they were hit (n,): cell, carry seen, m, the flight's log wind effect, the wind along, m/s.

    `teaches` is false for a ball marked as a mishit: nobody takes that into his averages, yet it is foreseen too.
    """

    cell: Ints
    carry_m: Floats
    wind_log: Floats
    along_mps: Floats
    teaches: Bools


def stated_m(cells: CellSet) -> Floats:
    """Stated carry × the usual ratios of swing and grip (c,), m."""
    ratio = np.where(cells.three_quarter > 0, THREE_QUARTER, np.where(cells.half > 0, HALF, 1.0))
    return np.asarray(cells.stock_carry_m[cells.club] * ratio * (1 - GRIP_PER_IN * cells.grip_down_in))


def by_rule(cells: CellSet, seen: BallsSeen) -> Floats:
    """Carries (n,) that the rule of thumb foresees, m."""
    per_mps = np.where(seen.along_mps < 0, RULE_HEAD_M_PER_MPS, RULE_TAIL_M_PER_MPS)
    stated = stated_m(cells)[seen.cell]
    return np.asarray(np.maximum(stated + per_mps * seen.along_mps, _LEAST_SHARE * stated))


def by_no_balls(cells: CellSet, priors: ClubPriors, seen: BallsSeen) -> Floats:
    """Carries (n,) from what is believed before any ball, in each ball's wind as the flight has it, m."""
    prior_log = (
        priors.alpha.mean
        + priors.grip_per_in.mean * cells.grip_down_in
        + priors.three_quarter.mean * cells.three_quarter
        + priors.half.mean * cells.half
    )
    still = cells.stock_carry_m[cells.club] * np.exp(prior_log)
    return np.asarray(still[seen.cell] * np.exp(priors.wind_response.mean * seen.wind_log))


def by_cell_means(cells: CellSet, seen: BallsSeen) -> Floats:
    """Carries (n,) that the mean of the cell's earlier balls foresees, m."""
    foreseen = stated_m(cells)
    count = np.zeros(len(cells))
    still = seen.carry_m * np.exp(-seen.wind_log)
    out = np.empty(len(seen.cell))
    for i, cell in enumerate(seen.cell.tolist()):
        out[i] = foreseen[cell]
        if seen.teaches[i]:
            count[cell] += 1
            before = 0.0 if count[cell] == 1 else foreseen[cell]
            foreseen[cell] = before + (still[i] - before) / count[cell]
    return np.asarray(out * np.exp(seen.wind_log))


def by_least_squares(cells: CellSet, seen: BallsSeen) -> Floats:
    """Carries (n,) that a least-squares fit to the earlier balls foresees, m.

    A club not hit yet keeps its stated carry, a swing or grip not tried its usual ratio. Normal equations, one row
    added a ball; what they leave open is settled by the least norm.
    """
    clubs = len(cells.loft_deg)
    shape = np.column_stack([cells.grip_down_in, cells.three_quarter, cells.half])
    rows = np.hstack([np.eye(clubs)[cells.club], shape])
    usual = np.concatenate([np.zeros(clubs), [-GRIP_PER_IN, math.log(THREE_QUARTER), math.log(HALF)]])
    stock = cells.stock_carry_m[cells.club]
    z = np.log(seen.carry_m / stock[seen.cell]) - seen.wind_log
    product, moment = np.zeros((len(usual), len(usual))), np.zeros(len(usual))
    weights, out = usual, np.empty(len(z))
    for i, cell in enumerate(seen.cell.tolist()):
        row = rows[cell]
        out[i] = row @ weights
        if seen.teaches[i]:
            product += np.outer(row, row)
            moment += z[i] * row
            fitted = np.linalg.pinv(product, rcond=_SAME, hermitian=True) @ moment
            weights = np.where(product.diagonal() > 0, fitted, usual)
    return np.asarray(stock[seen.cell] * np.exp(out + seen.wind_log))


def error_sd_log(foreseen_m: Floats, carry_m: Floats) -> Floats:
    """Pooled s.d. (n,) of a method's own log errors over the balls before each; NaN where they are too few."""
    squares = np.log(carry_m / foreseen_m) ** 2
    earlier = np.arange(len(squares))
    total = np.concatenate([[0.0], np.cumsum(squares)[:-1]]) if len(squares) else squares
    mean = np.divide(total, earlier, out=np.full(len(squares), np.nan), where=earlier >= LEAST_EARLIER)
    return np.asarray(np.sqrt(mean))
