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


STAGES = (Stage.SETTLE, Stage.STEP, Stage.MIX, Stage.TEST)
"""The stages that a shot climbs, in order."""


class Order(StrEnum):
    """What a drill asks of the order: its stage's, whole sets of every level shuffled, or levels in turn."""

    BY_STAGE = "by stage"
    SETS = "sets"
    IN_TURN = "in turn"


def order_of_levels(order: Order, stage: Stage, levels: int, balls: int, rng: np.random.Generator) -> list[int]:
    """The level of each of `balls` balls. A drill's own order holds until its stage is mix or test.

    Raises ValueError where there is no level.
    """
    if levels < 1:
        raise ValueError("there is no shot to order")
    if order is Order.IN_TURN:
        return [ball % levels for ball in range(balls)]
    if order is Order.SETS and stage not in {Stage.MIX, Stage.TEST}:
        return shuffled_sets(levels, balls, rng)
    return order_of_counts(stage, even_counts(levels, balls, rng), rng)


def order_of_counts(stage: Stage, counts: list[int], rng: np.random.Generator) -> list[int]:
    """The levels in the stage's order, each as often as `counts` says."""
    if stage is Stage.TEST:
        order = blocked(counts)
        return [order[int(place)] for place in rng.permutation(len(order))]
    if stage is Stage.MIX:
        return without_repeats(counts, rng)
    if stage is Stage.STEP:
        return threes_then_twos(counts, rng)
    return blocked(counts)


def even_counts(levels: int, balls: int, rng: np.random.Generator) -> list[int]:
    """Balls for each level, even to within one; which level gets one more is drawn."""
    counts = [balls // levels] * levels
    for level in rng.permutation(levels)[: balls % levels]:
        counts[int(level)] += 1
    return counts


def blocked(counts: list[int]) -> list[int]:
    """All balls of a level together, levels in their given order."""
    return [level for level, count in enumerate(counts) for _ in range(count)]


def threes_then_twos(counts: list[int], rng: np.random.Generator) -> list[int]:
    """Runs of three of each level, then runs of two, the levels shuffled anew each time round."""
    left = list(counts)
    order: list[int] = []
    run = 3
    while any(left):
        for drawn in rng.permutation(len(left)):
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


def without_repeats(counts: list[int], rng: np.random.Generator) -> list[int]:
    """Random, the same level never twice running as long as another is left."""
    left = list(counts)
    order: list[int] = []
    for remaining in range(sum(counts), 0, -1):
        open_ = [level for level in range(len(left)) if left[level]]
        allowed = [level for level in open_ if order[-1:] != [level]] or open_
        pressing = [level for level in allowed if 2 * left[level] > remaining]
        level = int(rng.choice(pressing or allowed))
        order.append(level)
        left[level] -= 1
    return order
