"""Sharing balls out: never more than there are, nothing dropped unsaid."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.errors import InputError
from trainer.core.schedule.budget import balls_within, share, share_out, warm_up_balls

wanted_balls = st.lists(st.integers(1, 60), min_size=1, max_size=10).map(tuple)


@given(wanted_balls, st.integers(0, 200))
def test_share_gives_all_and_at_least_one_each(weights: tuple[int, ...], spare: int) -> None:
    total = len(weights) + spare
    counts = share(weights, total)
    assert sum(counts) == total
    assert min(counts) >= 1


@given(wanted_balls)
def test_share_of_the_same_total_changes_little(weights: tuple[int, ...]) -> None:
    # one ball each is given first, so a share may differ from its weight, but a larger weight never gets fewer
    counts = share(weights, sum(weights))
    pairs = sorted(zip(weights, counts, strict=True))
    for (light, few), (heavy, many) in pairwise(pairs):
        assert light == heavy or many >= few


def test_share_refuses_fewer_balls_than_blocks() -> None:
    with pytest.raises(ValueError, match="fewer"):
        share((1, 1, 1), 2)


@given(wanted_balls, st.integers(1, 200), st.booleans())
def test_budget_holds_and_every_cut_is_said(wanted: tuple[int, ...], budget: int, own_warm_up: bool) -> None:
    sharing = share_out(wanted, budget, first_is_warm_up=own_warm_up)
    assert len(sharing.counts) == len(wanted)
    assert sharing.warm_up + sum(sharing.counts) <= budget
    assert all(0 <= count <= want for count, want in zip(sharing.counts, wanted, strict=True)) or sharing.notes
    assert sharing.counts == wanted or sharing.notes
    if own_warm_up:
        assert sharing.warm_up == 0


@pytest.mark.parametrize(("balls", "warm_up"), [(45, 12), (60, 15), (90, 15), (20, 5), (1, 1)])
def test_warm_up(balls: int, warm_up: int) -> None:
    assert warm_up_balls(balls) == warm_up


def test_a_full_plan_gives_the_warm_up_from_its_first_block() -> None:
    sharing = share_out((20, 25), 45, first_is_warm_up=False)
    assert (sharing.warm_up, sharing.counts) == (12, (8, 25))


def test_a_small_first_block_is_not_emptied() -> None:
    sharing = share_out((4, 41), 45, first_is_warm_up=False)
    assert sharing.warm_up + sum(sharing.counts) == 45
    assert min(sharing.counts) >= 1


@pytest.mark.parametrize(
    ("balls", "minutes", "seconds", "room"), [(45, 50.0, 30.0, 45), (60, 20.0, 30.0, 40), (60, 20.0, 40.0, 30)]
)
def test_both_budgets_bind(balls: int, minutes: float, seconds: float, room: int) -> None:
    assert balls_within(balls, minutes, seconds) == room


@pytest.mark.parametrize(
    ("balls", "minutes", "seconds"),
    [(0, 10.0, 30.0), (10, 0.0, 30.0), (10, 0.2, 30.0), (10, 10.0, 24.0), (10, 10.0, 41.0), (10, float("nan"), 30.0)],
)
def test_no_session(balls: int, minutes: float, seconds: float) -> None:
    with pytest.raises(InputError):
        balls_within(balls, minutes, seconds)
