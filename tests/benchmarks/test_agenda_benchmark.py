"""An agenda of 60 balls over 14 clubs × 4 grips × 3 swings, beside the same choice with the posterior solved anew."""

from __future__ import annotations

import math
from datetime import date

import numpy as np
import pytest

from tests.benchmarks.told import at_least, at_most, best_s, tell
from tests.evidence.gaussian_model import Evidence, GaussianPosterior, fit
from trainer.core.bag import Bag, Cell, Club, Swing
from trainer.core.conditions import Conditions, Wind, WindKnowledge
from trainer.core.estimate.evidence import CellSet, Floats
from trainer.core.schedule.agenda import Agenda, build_agenda
from trainer.core.schedule.block import Block
from trainer.core.schedule.information import Beliefs, Direction, beliefs_from_gaussian, choose_balls
from trainer.core.schedule.knowledge import Knowledge

pytestmark = pytest.mark.benchmark

INCH_M = 0.0254
CLUBS = tuple(
    Club(f"{number + 1} iron", math.radians(12 + 3.4 * number), 1.0, 205.0 - 9 * number) for number in range(14)
)
BAG = Bag(CLUBS, (0.0, INCH_M, 1.5 * INCH_M, 2 * INCH_M))
CELLS = BAG.cells()
DIRECTIONS = (Direction("straight out"), Direction("at red", 0.6, ("red",)), Direction("calm", offered=False))


def posterior() -> GaussianPosterior:
    """The club model's prior over the whole bag, with one reading and two days to come."""
    club = np.repeat(np.arange(14), 12)
    swing = np.tile(np.arange(3), 14 * 4)
    three, half = (swing == 1).astype(float), (swing == 2).astype(float)
    grip_in = np.array([cell.grip_down_m / INCH_M for cell in CELLS])
    arrays = CellSet(
        np.array([each.loft_deg for each in CLUBS]), np.array([each.stock_carry_m for each in CLUBS]), club,
        grip_in, three, half,
    )  # fmt: skip
    none: Floats = np.zeros(0)
    index = np.zeros(0, dtype=np.int64)
    nothing = Evidence(index, index, index, none, none, none, none, none, none, none, np.array([1.0]), 2)
    return fit(arrays, nothing)


def beliefs(of: GaussianPosterior) -> Beliefs:
    """What the agenda believes: 168 cells along three lines."""
    layout = of.layout
    rows = np.repeat(of.cell_rows[None], len(DIRECTIONS), axis=0)
    for line, effect in enumerate((-0.12, -0.08, 0.0)):
        rows[line, :, layout.KAPPA] = effect
        rows[line, :, layout.reading_start] = 0.02
        rows[line, :, layout.day_start + (line == 2)] = 1.0
    stock_m = np.repeat([club.stock_carry_m for club in CLUBS], 12)
    return beliefs_from_gaussian(
        CELLS, DIRECTIONS, stock_m=stock_m, mean=of.mean, covariance=of.covariance,
        days=np.arange(layout.day_start, layout.size), still_rows=of.cell_rows, shot_rows=rows,
        ball_var=np.full((len(DIRECTIONS), len(CELLS)), 0.05**2), mishit_share=0.08,
    )  # fmt: skip


def agenda(about: Beliefs) -> Agenda:
    """A session of 60 balls, 45 of them chosen among all cells."""
    wind = Wind(WindKnowledge.STATED, 5.0)
    return build_agenda(
        (Block("gapping round", tuple(club.name for club in CLUBS), 60),),
        BAG,
        balls=60,
        minutes=60,
        conditions=Conditions(wind),
        rng=np.random.default_rng(1),
        expected_carry_m=carry_m,
        knowledge=Knowledge(date(2026, 5, 14), about),
    )


def carry_m(cell: Cell) -> float:
    by_swing = {Swing.FULL: 1.0, Swing.THREE_QUARTER: 0.9, Swing.HALF: 0.75}
    return BAG.club(cell.club).stock_carry_m * by_swing[cell.swing] * math.exp(-0.025 * cell.grip_down_m / INCH_M)


def solved_anew(about: Beliefs, balls: int) -> list[int]:
    """The peer: the same greedy choice, numpy.linalg.solve over all balls so far before each one."""
    count = len(CELLS)
    joint, noise = about.covariance, about.ball_var.ravel() / (1 - about.mishit_share)
    can, scale, enough = about.offered, about.still_carry_m**2, (4 * 0.9144 / 1.2815515655446004) ** 2
    hit: list[int] = []
    for _ in range(balls):
        now = joint
        if hit:
            at = count + np.array(hit)
            inner = joint[np.ix_(at, at)] + np.diag(noise[hit])
            now = joint - joint[:, at] @ np.linalg.solve(inner, joint[at])
        excess = np.maximum(scale * np.diag(now)[:count] - enough, 0.0)
        falls = scale[:, None] * now[:count, count:] ** 2 / (np.diag(now)[count:] + noise)
        hit.append(int(np.argmax(np.where(can, np.minimum(falls, excess[:, None]).sum(axis=0), 0.0))))
    return hit


def test_sixty_balls() -> None:
    of = posterior()
    about = beliefs(of)
    wanted = np.arange(len(CELLS))
    mine = [choice.direction * len(CELLS) + choice.cell for choice in choose_balls(about, wanted, 45)]
    assert mine == solved_anew(about, 45)
    whole_s, peer_s = best_s(lambda: agenda(beliefs(of)), 5), best_s(lambda: solved_anew(about, 45), 2)
    assert len(agenda(about).balls) == 60
    # Solving anew took 119 ms where the whole agenda took 48: 150 ms would be a ratio of 0.8.
    assert tell(
        "an agenda of 60 balls over 168 cells", whole_s * 1e3, "ms", wanted=at_most(150),
        ratio=peer_s / whole_s, of="speed", peer="the same choice by numpy.linalg.solve before each ball",
        goal=at_least(1.5),
    )  # fmt: skip
