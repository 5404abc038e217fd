"""Invented beliefs for the tests: a small linear-Gaussian player, written out anew without the trainer's model."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.core.schedule.bags import BAG, carry_m
from trainer.core.bag import Cell
from trainer.core.estimate.evidence import Floats
from trainer.core.schedule.information import Beliefs, Direction, beliefs_from_gaussian

CELLS = BAG.cells()
OUT, BACK = Direction("straight out", 0.0, ("red",)), Direction("at back", 3.14, ("back",))
CALM = Direction("on a calm day", offered=False)


@dataclass(frozen=True)
class Player:
    """Effects: one for the bag, one a club, one a cell, the wind response, a reading's error, the day, a calm day."""

    mean: Floats
    covariance: Floats
    still_rows: Floats
    shot_rows: Floats
    days: tuple[int, int]
    noise: float = 0.05


def player(
    cells: tuple[Cell, ...] = CELLS, slopes: tuple[float, ...] = (-0.1,), wind_sd: float = 0.25, sd: float = 0.05
) -> Player:
    """`slopes` are the log wind effects of a full swing along each direction; 0 is a calm day of its own."""
    clubs = [club.name for club in BAG.clubs]
    count, k = len(cells), len(clubs)
    size = 1 + k + count + 4
    sds = np.array([sd, *[0.03] * k, *[0.02] * count, wind_sd, 1.0, 0.025, 0.025])
    still = np.zeros((count, size))
    for row, cell in enumerate(cells):
        still[row, [0, 1 + clubs.index(cell.club), 1 + k + row]] = 1.0
    kappa, error, day, calm = size - 4, size - 3, size - 2, size - 1
    shots = np.repeat(still[None], len(slopes), axis=0)
    for line, slope in enumerate(slopes):
        lower = np.array([1.0 if cell.is_stock else 0.6 for cell in cells])
        shots[line, :, kappa] = slope * lower
        shots[line, :, error] = 0.02 * np.sign(slope) * lower
        shots[line, :, calm if slope == 0 else day] = 1.0
    mean = np.zeros(size)
    mean[kappa] = 1.0
    return Player(mean, np.diag(sds**2), still, shots, (day, calm))


def beliefs(
    one: Player, cells: tuple[Cell, ...] = CELLS, directions: tuple[Direction, ...] = (OUT,), mishits: float = 0.1
) -> Beliefs:
    return beliefs_from_gaussian(
        cells,
        directions,
        stock_m=np.array([carry_m(cell) for cell in cells]),
        mean=one.mean,
        covariance=one.covariance,
        days=np.array(one.days),
        still_rows=one.still_rows,
        shot_rows=one.shot_rows,
        ball_var=np.full((len(directions), len(cells)), one.noise**2),
        mishit_share=mishits,
    )
