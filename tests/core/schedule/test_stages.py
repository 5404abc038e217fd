"""Orders: counts are even, runs and sets are what the stage says, the seed decides the rest."""

from __future__ import annotations

from collections import Counter
from itertools import groupby, pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.schedule.stages import Order, Stage, order_of_levels

levels_and_balls = st.tuples(st.integers(1, 8), st.integers(0, 60))
seeds = st.integers(0, 2**32 - 1)
worked = [Stage.SETTLE, Stage.STEP, Stage.MIX, Stage.TEST]


def ordered(order: Order, stage: Stage, levels: int, balls: int, seed: int) -> list[int]:
    return order_of_levels(order, stage, levels, balls, np.random.default_rng(seed))


@given(st.sampled_from(Order), st.sampled_from(worked), levels_and_balls, seeds)
def test_every_order_is_complete_even_and_reproducible(
    order: Order, stage: Stage, size: tuple[int, int], seed: int
) -> None:
    levels, balls = size
    found = ordered(order, stage, levels, balls, seed)
    counts = [Counter(found)[level] for level in range(levels)]
    assert sum(counts) == len(found) == balls
    assert max(counts) - min(counts) <= 1
    assert found == ordered(order, stage, levels, balls, seed)


@given(levels_and_balls, seeds)
def test_settle_keeps_to_one_level_at_a_time(size: tuple[int, int], seed: int) -> None:
    runs = [level for level, _ in groupby(ordered(Order.BY_STAGE, Stage.SETTLE, *size, seed))]
    assert runs == sorted(set(runs))


@given(st.tuples(st.integers(2, 8), st.integers(0, 60)), seeds)
def test_mix_never_repeats(size: tuple[int, int], seed: int) -> None:
    assert all(one != next_ for one, next_ in pairwise(ordered(Order.BY_STAGE, Stage.MIX, *size, seed)))


@given(seeds)
def test_step_is_threes_then_twos(seed: int) -> None:
    found = ordered(Order.BY_STAGE, Stage.STEP, 3, 15, seed)
    assert sorted(found[:9]) == sorted([*found[9:], 0, 1, 2])
    assert all(len(set(found[at : at + 3])) == 1 for at in (0, 3, 6))
    assert all(len(set(found[at : at + 2])) == 1 for at in (9, 11, 13))


@given(st.integers(1, 6), st.integers(0, 8), seeds)
def test_every_set_holds_each_level_once(levels: int, sets: int, seed: int) -> None:
    found = ordered(Order.SETS, Stage.STEP, levels, levels * sets, seed)
    assert all(sorted(found[at : at + levels]) == list(range(levels)) for at in range(0, levels * sets, levels))


@pytest.mark.parametrize("order", Order)
def test_no_level_is_no_order(order: Order) -> None:
    with pytest.raises(ValueError, match="no shot"):
        ordered(order, Stage.STEP, 0, 3, 0)


def test_pairs_take_turns() -> None:
    assert ordered(Order.IN_TURN, Stage.STEP, 2, 5, 0) == [0, 1, 0, 1, 0]


@pytest.mark.parametrize("stage", [Stage.STEP, Stage.MIX, Stage.TEST])
def test_the_seed_matters(stage: Stage) -> None:
    assert len({tuple(ordered(Order.BY_STAGE, stage, 4, 16, seed)) for seed in range(10)}) > 1
