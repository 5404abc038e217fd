"""Planning anew in mid session: as many balls, numbered on, swaps undone when the wind suits, overrides kept."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.schedule.bags import BAG, carry_m
from tests.core.schedule.beliefs import beliefs, player
from tests.core.schedule.test_agenda import LADDER, NEEDS_WIND, STEPS, stated
from tests.core.schedule.test_knowing_agenda import ROUND, SEEN_LOW, agenda, known
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import CALM_WIND, Conditions, Surface
from trainer.core.errors import InputError
from trainer.core.profile import AgeBand
from trainer.core.schedule.agenda import Agenda
from trainer.core.schedule.fitting import NOTHING_DONE, Done
from trainer.core.schedule.knowledge import Knowledge
from trainer.core.schedule.prompts import DEFAULT_LIMITS
from trainer.core.schedule.replan import Override, Replanned, replan
from trainer.core.schedule.stages import Stage

WINDY = stated(5.0)
CALM = Conditions(CALM_WIND)


def again(
    before: Agenda,
    hit: int,
    conditions: Conditions = WINDY,
    *overrides: Override,
    knowledge: Knowledge | None = None,
    shorter: float = 1.0,
    done: Done = NOTHING_DONE,
) -> Replanned:
    return replan(
        before,
        hit,
        BAG,
        conditions=conditions,
        rng=np.random.default_rng(5),
        expected_carry_m=lambda cell: shorter * carry_m(cell),
        knowledge=knowledge or known(past=SEEN_LOW),
        overrides=overrides,
        done=done,
    )


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 45), st.sampled_from([WINDY, CALM, stated(9.0, 170.0)]))
def test_the_rest_is_as_long_and_numbered_on(hit: int, conditions: Conditions) -> None:
    before = agenda(LADDER, STEPS)
    rest = again(before, hit, conditions).agenda.balls
    assert [ball.number for ball in rest] == list(range(hit + 1, len(before.balls) + 1))
    assert all(ball.reason.endswith(".") for ball in rest)
    assert again(before, hit, conditions) == again(before, hit, conditions)


def test_a_wind_that_drops_swaps_and_one_that_comes_swaps_back() -> None:
    gated = replace(LADDER, gate=NEEDS_WIND)
    before = agenda(STEPS, gated, knowledge=known(past=SEEN_LOW))
    calm = again(before, 14, CALM)
    assert any("swapped" in change for change in calm.changes)
    assert "club-down ladder" not in {ball.drill for ball in calm.agenda.balls}
    back = again(calm.agenda, 16, WINDY)
    assert any("back" in change for change in back.changes)
    assert "club-down ladder" in {ball.drill for ball in back.agenda.balls}


def test_shorter_carries_move_the_targets_and_say_so() -> None:
    changed = again(agenda(STEPS, knowledge=known(past=SEEN_LOW)), 15, shorter=0.9)
    assert any("aim for" in change for change in changed.changes)


def test_what_is_known_by_now_gets_no_more_balls() -> None:
    before = agenda(ROUND, knowledge=known(past=SEEN_LOW))
    sure = beliefs(replace(player(), covariance=player().covariance * 1e-4))
    changed = again(before, 20, knowledge=known(sure, SEEN_LOW))
    assert "gapping round" not in {ball.drill for ball in changed.agenda.balls}
    assert any("more" in change for change in changed.changes)


def test_nothing_changed_is_said() -> None:
    before = agenda(STEPS, knowledge=known(past=SEEN_LOW))
    assert again(before, len(before.balls)).changes == ("nothing changes",)


def test_an_override_keeps_its_place_and_reason_through_further_changes() -> None:
    before = agenda(LADDER, STEPS)
    own = Override(30, Cell("5 iron"), "my playing partner asked")
    once = again(before, 20, WINDY, own).agenda
    twice = again(once, 25, CALM).agenda
    for found in (once, twice):
        (ball,) = [ball for ball in found.balls if ball.number == 30]
        assert ball.cell == Cell("5 iron")
        assert ball.target_m == pytest.approx(carry_m(Cell("5 iron")))
        assert "my playing partner asked" in ball.reason
    assert any("my playing partner asked" in note for note in once.notes)


def test_a_ball_may_be_left_out() -> None:
    found = again(agenda(LADDER, STEPS), 20, WINDY, Override(30, None, "sore wrist")).agenda
    assert 30 not in {ball.number for ball in found.balls}
    assert any("sore wrist" in note for note in found.notes)


def test_low_shots_hit_before_count_on_hard_ground() -> None:
    before = agenda(LADDER, STEPS, conditions=replace(WINDY, surface=Surface.MAT), knowledge=known(past=SEEN_LOW))
    most = DEFAULT_LIMITS.hard_ground_low_balls
    on_mat = replace(WINDY, surface=Surface.MAT)
    for low in (0, 10, most, most + 5):
        rest = again(before, 15, on_mat, done=Done(balls=3, low=low)).agenda.balls
        left = sum(ball.cell.swing is not Swing.FULL for ball in rest)
        assert left == 0 if low >= most else low + left <= most


def test_a_juniors_finish_stays_a_finish_near_the_end() -> None:
    young = known(past=SEEN_LOW, age=AgeBand.FROM_14)
    before = agenda(STEPS, knowledge=young)
    hit = max(ball.number for ball in before.balls if ball.stage is not Stage.TEST)
    assert hit < len(before.balls)
    working = sum(ball.stage is not Stage.WARM_UP for ball in before.balls[:hit])
    mixed = sum(ball.stage in {Stage.MIX, Stage.TEST} for ball in before.balls[:hit])
    rest = again(before, hit, knowledge=young, done=Done(working, mixed)).agenda.balls
    assert {ball.stage for ball in rest} == {Stage.TEST}
    alone = again(before, hit, knowledge=young, done=Done(balls=working, mixed=working)).agenda.balls
    assert Stage.TEST not in {ball.stage for ball in alone}


def test_another_stage_is_said() -> None:
    before = agenda(replace(STEPS, balls=30), knowledge=known(past=SEEN_LOW, age=AgeBand.FROM_16))
    finish = [ball for ball in before.balls if ball.stage is Stage.TEST]
    changed = again(
        before,
        finish[0].number - 1,
        knowledge=known(past=SEEN_LOW, age=AgeBand.FROM_16),
        done=Done(balls=10, mixed=10),
    )
    assert any("goes on in short runs" in change for change in changed.changes)


def test_a_gusty_wind_is_said_first_and_only_when_it_is_new() -> None:
    before = agenda(STEPS, knowledge=known(past=SEEN_LOW))
    gusty = stated(5.0, gust_mps=12.0)
    first = again(before, 15, gusty)
    assert "facility" in first.changes[0]
    assert not any("facility" in change for change in again(first.agenda, 16, gusty).changes)


def test_each_kind_of_change_is_one_sentence() -> None:
    before = agenda(LADDER, replace(ROUND, balls=20), STEPS, knowledge=known(past=SEEN_LOW))
    changes = again(before, 13, CALM, shorter=0.8).changes
    assert sum("aim for" in change for change in changes) == 1
    assert sum(" more " in change or " fewer " in change for change in changes) <= 1


@pytest.mark.parametrize("wrong", [Override(30, Cell("5 iron"), "  "), Override(3, Cell("5 iron"), "late")])
def test_refusals(wrong: Override) -> None:
    with pytest.raises(InputError):
        again(agenda(LADDER, STEPS), 20, WINDY, wrong)


def test_a_warm_up_that_is_not_done_goes_on() -> None:
    before = agenda(LADDER, STEPS)
    rest = again(before, 5).agenda.balls
    assert [ball.cell for ball in rest if ball.stage is Stage.WARM_UP] == [
        ball.cell for ball in before.balls[5:] if ball.stage is Stage.WARM_UP
    ]
