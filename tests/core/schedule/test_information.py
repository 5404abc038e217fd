"""What a ball tells, against sums written out in full: exact updates of the effects, a search over every sequence."""

from __future__ import annotations

from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.schedule.beliefs import BACK, CALM, CELLS, OUT, Player, beliefs, player
from trainer.core.constants import Z80
from trainer.core.errors import InputError
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.schedule.information import (
    Outlook,
    beliefs_from_draws,
    beliefs_from_gaussian,
    choose_balls,
    excess_left_m2,
    floor_half_width_m,
)

FEW = CELLS[:9]
WANTED: Ints = np.array([0, 4, 7])
ONE = player(FEW)


def days_known(one: Player) -> Floats:
    """The covariance of the effects once the days are known, by deleting them and putting zeros in their place."""
    known = one.covariance.copy()
    known[list(one.days)] = 0.0
    known[:, list(one.days)] = 0.0
    return known


def after(one: Player, covariance: Floats, shots: list[int], mishits: float = 0.1) -> Floats:
    """The effects' covariance after balls, by adding precisions: no rank-one step."""
    rows = one.shot_rows.reshape(-1, len(one.mean))
    live = np.diag(covariance) > 0
    precision = np.linalg.inv(covariance[np.ix_(live, live)])
    for shot in shots:
        row = rows[shot][live]
        precision += np.outer(row, row) * (1 - mishits) / one.noise**2
    found = np.zeros_like(covariance)
    found[np.ix_(live, live)] = np.linalg.inv(precision)
    return found


def variances_m2(one: Player, covariance: Floats, wanted: Ints) -> Floats:
    scale = beliefs(one, FEW).still_carry_m[wanted]
    rows = one.still_rows[wanted]
    return np.asarray(scale**2 * np.einsum("tp,pq,tq->t", rows, covariance, rows))


@settings(max_examples=30, deadline=None)
@given(st.lists(st.integers(0, len(FEW) - 1), max_size=8))
def test_the_outlook_after_any_balls_is_the_exact_posterior(shots: list[int]) -> None:
    outlook = Outlook(beliefs(ONE, FEW), WANTED)
    for shot in shots:
        outlook.hit(shot)
    exact = variances_m2(ONE, after(ONE, days_known(ONE), shots), WANTED)
    assert outlook.half_width_m == pytest.approx(Z80 * np.sqrt(exact), rel=1e-8)


@settings(max_examples=20, deadline=None)
@given(st.lists(st.integers(0, len(FEW) - 1), max_size=4), st.sampled_from([3.0, 6.0, 7.0, 8.0, 9.0]))
def test_gains_are_the_falls_above_the_goal(shots: list[int], goal_m: float) -> None:
    outlook = Outlook(beliefs(ONE, FEW), WANTED, goal_m)
    for shot in shots:
        outlook.hit(shot)
    now = variances_m2(ONE, after(ONE, days_known(ONE), shots), WANTED)
    enough = (goal_m / Z80) ** 2
    for shot, gain in enumerate(outlook.gains_m2()):
        then = variances_m2(ONE, after(ONE, days_known(ONE), [*shots, shot]), WANTED)
        fall = np.minimum(now - then, np.maximum(now - enough, 0.0)).sum()
        assert gain == pytest.approx(fall, rel=1e-7, abs=1e-9)


def test_the_first_ball_is_the_best_of_all_and_three_are_near_the_best_three() -> None:
    one = beliefs(ONE, FEW)
    chosen = choose_balls(one, WANTED, 3, goal_half_width_m=0.1)
    start = variances_m2(ONE, days_known(ONE), WANTED).sum()

    def fall(shots: list[int]) -> float:
        return float(start - variances_m2(ONE, after(ONE, days_known(ONE), shots), WANTED).sum())

    mine = [choice.cell for choice in chosen]
    assert fall(mine[:1]) == pytest.approx(max(fall([shot]) for shot in range(len(FEW))))
    # A greedy choice is within 1 − 1/e of the best for submodular gains (Nemhauser, Wolsey & Fisher 1978).
    assert fall(mine) >= 0.63 * max(fall(list(shots)) for shots in product(range(len(FEW)), repeat=3))


def test_choosing_ends_at_the_goal_and_not_before() -> None:
    one = beliefs(player(FEW, wind_sd=0.01), FEW)
    chosen = choose_balls(one, WANTED, 500, goal_half_width_m=5.0)
    outlook = Outlook(one, WANTED, 5.0)
    for choice in chosen[:-1]:
        outlook.hit(choice.cell)
    assert np.any(outlook.half_width_m > 5.0)
    outlook.hit(chosen[-1].cell)
    assert np.all(outlook.half_width_m <= 5.0 + 1e-3)
    assert len(chosen) < 500


def test_limits_are_kept() -> None:
    one = beliefs(ONE, FEW)
    allowed = np.arange(len(FEW)) < 3
    chosen = choose_balls(one, WANTED, 12, goal_half_width_m=0.5, allowed=allowed, most_a_cell=2)
    assert {choice.cell for choice in chosen} <= {0, 1, 2}
    assert max(sum(choice.cell == cell for choice in chosen) for cell in range(3)) == 2
    assert choose_balls(one, WANTED, 12, allowed=np.zeros(len(FEW), dtype=bool)) == ()
    assert choose_balls(one, np.array([], dtype=np.int64), 12) == ()


def test_a_direction_that_is_not_offered_is_never_hit() -> None:
    one = beliefs(player(FEW, (-0.1, 0.0)), FEW, (OUT, CALM))
    assert {choice.direction for choice in choose_balls(one, WANTED, 20, goal_half_width_m=0.5)} == {0}


def test_both_directions_are_used_where_the_wind_is_what_hides() -> None:
    one = beliefs(player(FEW, (-0.15, 0.10)), FEW, (OUT, BACK))
    chosen = choose_balls(one, WANTED, 20, goal_half_width_m=0.5)
    assert {choice.direction for choice in chosen} == {0, 1}


def test_a_calm_day_tells_more_where_the_wind_hides_and_not_where_it_is_known() -> None:
    def left(wind_sd: float) -> tuple[float, float]:
        one = beliefs(player(FEW, (-0.15, 0.0), wind_sd), FEW, (OUT, CALM))
        return excess_left_m2(one, WANTED, 10, 0, 0.5), excess_left_m2(one, WANTED, 10, 1, 0.5)

    here, calm = left(0.3)
    assert calm < 0.8 * here


def test_the_floor_is_what_very_many_balls_leave_with_the_day_in() -> None:
    one = beliefs(ONE, FEW)
    many = [shot for shot in range(len(FEW)) for _ in range(1000)]
    exact = variances_m2(ONE, after(ONE, ONE.covariance, many, mishits=0.0), WANTED)
    assert floor_half_width_m(one, WANTED) == pytest.approx(Z80 * np.sqrt(exact), rel=1e-6)
    assert np.all(floor_half_width_m(one, WANTED) < one.still_half_width_m[WANTED])


def test_more_balls_never_narrow_less() -> None:
    one = beliefs(ONE, FEW)
    chosen = choose_balls(one, WANTED, 10, goal_half_width_m=0.5)
    outlook = Outlook(one, WANTED)
    widths = [outlook.half_width_m]
    for choice in chosen:
        outlook.hit(choice.direction * len(FEW) + choice.cell)
        widths.append(outlook.half_width_m)
    assert len(widths) == 11
    assert all(np.all(then <= now + 1e-12) for now, then in pairwise(widths))


def test_draws_and_gaussian_agree() -> None:
    """200,000 draws of the same Gaussian: s.d.s within 1 %, the days' part taken out by both."""
    exact = beliefs(ONE, FEW)
    rng = np.random.default_rng(4)
    effects = ONE.mean + rng.standard_normal((200_000, len(ONE.mean))) * np.sqrt(np.diag(ONE.covariance))
    drawn = beliefs_from_draws(
        FEW,
        (OUT,),
        stock_m=exact.stock_m,
        still=effects @ ONE.still_rows.T,
        shots=np.einsum("np,wcp->nwc", effects, ONE.shot_rows),
        days=effects[:, list(ONE.days)],
        ball_var=exact.ball_var,
        mishit_share=exact.mishit_share,
    )
    assert np.sqrt(np.diag(drawn.covariance)) == pytest.approx(np.sqrt(np.diag(exact.covariance)), rel=0.01)
    assert drawn.still_half_width_m == pytest.approx(exact.still_half_width_m, rel=0.01)
    assert drawn.shot_var == pytest.approx(exact.shot_var, rel=0.02)
    assert drawn.shot_mean == pytest.approx(exact.shot_mean, abs=1e-3)
    mine, theirs = (Outlook(one, WANTED, 0.5).gains_m2() for one in (exact, drawn))
    assert theirs == pytest.approx(mine, rel=0.05)


def test_weights_count() -> None:
    rng = np.random.default_rng(1)
    still, shots, days = rng.normal(size=(400, 9)), rng.normal(size=(400, 1, 9)), rng.normal(size=(400, 1))

    def made(keep: np.ndarray[tuple[int], np.dtype[np.bool_]], weights: Floats | None) -> Floats:
        return beliefs_from_draws(
            FEW, (OUT,), stock_m=np.ones(9), still=still[keep], shots=shots[keep], days=days[keep],
            ball_var=np.ones((1, 9)), mishit_share=0.0, weights=weights,
        ).covariance  # fmt: skip

    first = np.arange(400) < 150
    assert made(np.ones(400, dtype=bool), first.astype(float)) == pytest.approx(made(first, None))


@pytest.mark.parametrize("bad", [np.nan, np.inf])
def test_what_is_no_number_is_refused(bad: float) -> None:
    one = player(FEW)
    mean = one.mean.copy()
    mean[0] = bad
    with pytest.raises(InputError):
        beliefs_from_gaussian(
            FEW, (OUT,), stock_m=np.ones(9), mean=mean, covariance=one.covariance, days=np.array(one.days),
            still_rows=one.still_rows, shot_rows=one.shot_rows, ball_var=np.ones((1, 9)), mishit_share=0.1,
        )  # fmt: skip


def test_a_cell_nobody_knows_is_refused() -> None:
    with pytest.raises(InputError):
        beliefs(ONE, FEW).position(CELLS[-1])


@pytest.mark.parametrize("goal_m", [5.0, 7.0])
def test_past_the_goal_the_widest_is_narrowed_further(goal_m: float) -> None:
    one = beliefs(player(FEW, wind_sd=0.01), FEW)
    to_goal = choose_balls(one, WANTED, 300, goal_half_width_m=goal_m)
    on = choose_balls(one, WANTED, len(to_goal) + 12, goal_half_width_m=goal_m, past_goal=True)
    assert on[: len(to_goal)] == to_goal
    assert len(on) == len(to_goal) + 12
    widest = []
    for chosen in (to_goal, on):
        outlook = Outlook(one, WANTED, goal_m)
        for choice in chosen:
            outlook.hit(choice.cell)
        widest.append(float(outlook.half_width_m.max()))
    assert widest[1] < 0.99 * widest[0]
