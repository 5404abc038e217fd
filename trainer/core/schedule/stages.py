"""Stages of practice, and the order in which a stage visits the levels of a block.

A level is an index into a block's cells. Settle keeps to one level, step changes in short runs, mix never repeats
one, test is random. Counts are even to within one ball.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np


class Stage(StrEnum):
    """How a block is ordered and whether feedback is given."""

    WARM_UP = "warm-up"
    SETTLE = "settle"
    STEP = "step"
    MIX = "mix"
    TEST = "test"


class Order(StrEnum):
    """What a drill asks of the order: its stage's, whole sets of every level shuffled, or levels in turn."""

    BY_STAGE = "by stage"
    SETS = "sets"
    IN_TURN = "in turn"


def order_of_levels(order: Order, stage: Stage, levels: int, balls: int, rng: np.random.Generator) -> list[int]:
    """The level of each of `balls` balls. A drill's own order holds until its stage is mix or test."""
    if order is Order.IN_TURN:
        return [ball % levels for ball in range(balls)]
    if stage is Stage.TEST:
        return shuffled(levels, balls, rng)
    if stage is Stage.MIX:
        return without_repeats(levels, balls, rng)
    if order is Order.SETS:
        return shuffled_sets(levels, balls, rng)
    if stage is Stage.STEP:
        return threes_then_twos(levels, balls, rng)
    return blocked(levels, balls, rng)


def even_counts(levels: int, balls: int, rng: np.random.Generator) -> list[int]:
    """Balls for each level, even to within one; which level gets one more is drawn."""
    counts = [balls // levels] * levels
    for level in rng.permutation(levels)[: balls % levels]:
        counts[int(level)] += 1
    return counts


def blocked(levels: int, balls: int, rng: np.random.Generator) -> list[int]:
    """All balls of a level together, levels in their given order."""
    counts = even_counts(levels, balls, rng)
    return [level for level in range(levels) for _ in range(counts[level])]


def threes_then_twos(levels: int, balls: int, rng: np.random.Generator) -> list[int]:
    """Runs of three of each level, then runs of two, the levels shuffled anew each time round."""
    left = even_counts(levels, balls, rng)
    order: list[int] = []
    run = 3
    while any(left):
        for drawn in rng.permutation(levels):
            level = int(drawn)
            hit = min(run, left[level])
            order += [level] * hit
            left[level] -= hit
        run = 2
    return order


def shuffled_sets(levels: int, balls: int, rng: np.random.Generator) -> list[int]:
    """Sets that hold every level once, each set shuffled, so a slow drift of the player touches all levels alike."""
    order: list[int] = []
    while len(order) < balls:
        order += [int(level) for level in rng.permutation(levels)]
    return order[:balls]


def without_repeats(levels: int, balls: int, rng: np.random.Generator) -> list[int]:
    """Random, the same level never twice running (where there are two levels or more)."""
    if levels == 1:
        return [0] * balls
    left = even_counts(levels, balls, rng)
    order: list[int] = []
    for remaining in range(balls, 0, -1):
        allowed = [level for level in range(levels) if left[level] and order[-1:] != [level]]
        pressing = [level for level in allowed if 2 * left[level] > remaining]
        level = int(rng.choice(pressing or allowed))
        order.append(level)
        left[level] -= 1
    return order


def shuffled(levels: int, balls: int, rng: np.random.Generator) -> list[int]:
    """Random, repeats allowed."""
    order = blocked(levels, balls, rng)
    return [order[int(place)] for place in rng.permutation(balls)]
