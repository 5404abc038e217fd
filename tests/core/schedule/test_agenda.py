"""Agendas: budget and gate hold, every ball has a reason, the seed decides, swaps and cuts are said."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.schedule.bags import BAG, carry_m
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import (
    CALM_WIND,
    UNKNOWN_WIND,
    Air,
    Conditions,
    Surface,
    Wind,
    WindKnowledge,
)
from trainer.core.errors import InputError
from trainer.core.profile import RangeFlag
from trainer.core.schedule.agenda import Agenda, build_agenda
from trainer.core.schedule.block import RUNG_TOLERANCE, Block
from trainer.core.schedule.drills import DRILLS
from trainer.core.schedule.stages import Stage
from trainer.core.schedule.wind_gate import WindFrom, WindGate
from trainer.core.units import UnitChoice

UNITS = UnitChoice()
CLUBS = tuple(club.name for club in BAG.clubs)
LADDER = Block("club-down ladder", ("8 iron", "7 iron", "6 iron"), 15, target=Cell("8 iron"))
STEPS = Block("grip-down steps", ("7 iron",), 18, swings=(Swing.THREE_QUARTER,))
NEEDS_WIND = WindGate(along_at_least_mps=2.7)


def stated(speed_mps: float, from_deg: float = 0.0, gust_mps: float | None = None) -> Conditions:
    return Conditions(Wind(WindKnowledge.STATED, speed_mps, math.radians(from_deg), gust_mps=gust_mps))


def agenda(
    *blocks: Block,
    conditions: Conditions = stated(5.0),  # noqa: B008 - frozen
    balls: int = 45,
    minutes: float = 50.0,
    seed: int = 1,
    seconds_per_ball: float = 30.0,
) -> Agenda:
    return build_agenda(
        blocks,
        BAG,
        balls=balls,
        minutes=minutes,
        conditions=conditions,
        rng=np.random.default_rng(seed),
        expected_carry_m=carry_m,
        seconds_per_ball=seconds_per_ball,
    )


gates = st.builds(
    WindGate,
    along_at_least_mps=st.sampled_from([0.0, 3.0, 6.0]),
    across_at_least_mps=st.sampled_from([0.0, 3.0, 6.0]),
    speed_at_most_mps=st.sampled_from([2.0, 8.0, 40.0]),
    quarter=st.sampled_from([None, *WindFrom]),
)
blocks = st.builds(
    Block,
    drill=st.sampled_from(sorted(DRILLS)),
    clubs=st.lists(st.sampled_from(CLUBS), min_size=1, max_size=4, unique=True).map(tuple),
    balls=st.integers(1, 30),
    stage=st.sampled_from([None, Stage.SETTLE, Stage.STEP, Stage.MIX, Stage.TEST]),
    target=st.one_of(st.none(), st.floats(60.0, 160.0), st.sampled_from(CLUBS).map(Cell)),
    gate=st.one_of(st.none(), gates),
)
known_conditions = st.one_of(
    st.just(Conditions(CALM_WIND)), st.builds(stated, st.floats(0.0, 15.0), st.floats(0.0, 359.0))
)
all_conditions = st.one_of(st.just(Conditions(UNKNOWN_WIND)), known_conditions)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(blocks, min_size=1, max_size=5),
    all_conditions,
    st.integers(1, 90),
    st.integers(1, 60),
    st.floats(25.0, 40.0),
    st.integers(0, 2**32 - 1),
)
def test_laws(
    wanted: list[Block], conditions: Conditions, balls: int, minutes: int, seconds_per_ball: float, seed: int
) -> None:
    def built() -> Agenda:
        return agenda(
            *wanted,
            conditions=conditions,
            balls=balls,
            minutes=minutes,
            seed=seed,
            seconds_per_ball=seconds_per_ball,
        )

    found = built()
    assert found == built()
    assert 1 <= len(found.balls) <= balls
    assert len(found.balls) * seconds_per_ball <= minutes * 60
    assert [ball.number for ball in found.balls] == list(range(1, len(found.balls) + 1))
    for ball in found.balls:
        assert ball.reason.strip().endswith(".")
        assert ball.cue.strip()
        assert (ball.drill == "warm-up") is (ball.stage is Stage.WARM_UP)
        assert ball.target_m is None if ball.stage is Stage.WARM_UP else (ball.target_m or 0) > 0
        BAG.club(ball.cell.club)
    assert all(swap.why and swap.what and swap.instead in DRILLS for swap in found.swaps)


@settings(max_examples=150, deadline=None)
@given(st.lists(blocks, min_size=1, max_size=5), known_conditions, st.integers(0, 2**32 - 1))
def test_no_drill_is_hit_in_a_wind_that_does_not_suit_it(
    wanted: list[Block], conditions: Conditions, seed: int
) -> None:
    found = agenda(*wanted, conditions=conditions, balls=200, minutes=200, seed=seed)
    for ball in found.balls:
        own_need = DRILLS[ball.drill].wind
        assert own_need is None or own_need.unmet(conditions.wind, UNITS) == ""
    work = [block for block in wanted if block.drill != "warm-up"]
    unsuited = [block for block in work if block.gate and block.gate.unmet(conditions.wind, UNITS)]
    assert len(found.swaps) >= len(unsuited)


@given(all_conditions, st.integers(0, 2**32 - 1))
def test_rungs_are_within_tolerance_and_never_ask_for_more_than_the_swing_has(
    conditions: Conditions, seed: int
) -> None:
    for ball in agenda(replace(LADDER, target=110.0), conditions=conditions, seed=seed).balls:
        if ball.drill == "club-down ladder":
            assert ball.target_m == 110.0
            assert abs(carry_m(ball.cell) - 110.0) <= RUNG_TOLERANCE * 110.0


def test_each_rung_is_the_nearest_of_its_club() -> None:
    rungs = {ball.cell for ball in agenda(LADDER).balls if ball.drill == "club-down ladder"}
    target_m = carry_m(Cell("8 iron"))
    for club in LADDER.clubs:
        mine = [cell for cell in BAG.cells() if cell.club == club]
        assert min(mine, key=lambda cell: abs(carry_m(cell) - target_m)) in rungs
    assert Cell("8 iron") in rungs
    assert len(rungs) == 3


def test_a_rung_that_cannot_reach_is_left_out_and_said() -> None:
    found = agenda(replace(LADDER, clubs=("6 iron", "5 iron", "sand wedge"), target=140.0))
    assert {ball.cell.club for ball in found.balls if ball.drill == "club-down ladder"} == {"6 iron", "5 iron"}
    assert any("sand wedge" in note and "harder" in note for note in found.notes)


def test_a_ladder_without_two_rungs_is_swapped() -> None:
    found = agenda(replace(LADDER, target=200.0))
    assert "club-down ladder" not in {ball.drill for ball in found.balls}
    assert [swap.drill for swap in found.swaps] == ["club-down ladder"]


def test_a_block_the_wind_does_not_suit_is_swapped_with_the_same_clubs_and_said() -> None:
    found = agenda(replace(LADDER, gate=NEEDS_WIND), STEPS, conditions=Conditions(CALM_WIND))
    (swap,) = found.swaps
    assert swap.drill == "club-down ladder"
    assert swap.instead not in {"club-down ladder", "grip-down steps"}
    instead = [ball for ball in found.balls if ball.drill == swap.instead]
    assert len(instead) == LADDER.balls
    assert {ball.cell.club for ball in instead} == set(LADDER.clubs)
    assert all(swap.why in ball.reason and "club-down ladder" in ball.reason for ball in instead)
    assert any(swap.instead in note for note in found.notes)


def test_too_much_wind_is_met_with_work_that_needs_no_numbers() -> None:
    calm_only = replace(STEPS, gate=WindGate(speed_at_most_mps=3.0))
    (swap,) = agenda(calm_only, conditions=stated(9.0)).swaps
    assert DRILLS[swap.instead].use.value == "skill"


def test_an_unknown_wind_keeps_the_block_and_says_so() -> None:
    found = agenda(replace(LADDER, gate=NEEDS_WIND), conditions=Conditions(UNKNOWN_WIND))
    assert not found.swaps
    assert "club-down ladder" in {ball.drill for ball in found.balls}
    assert any("not known" in note for note in found.notes)


def test_a_flag_to_the_side_turns_the_wind() -> None:
    block = replace(LADDER, gate=NEEDS_WIND, flag=RangeFlag("far right", 128.0, math.radians(90)))
    across = agenda(block, conditions=stated(5.0, 0.0))
    along = agenda(block, conditions=stated(5.0, 90.0))
    assert across.swaps
    assert not along.swaps
    assert {ball.flag for ball in along.balls if ball.drill == "club-down ladder"} == {"far right"}


def test_the_nearest_flag_is_taken_if_one_is_near() -> None:
    flags = (RangeFlag("near", 50.0), RangeFlag("middle", carry_m(Cell("7 iron")) + 3), RangeFlag("far", 200.0))
    near = agenda(Block("turf line check", ("7 iron",), 6, swings=(Swing.FULL,), flags=flags))
    none = agenda(Block("turf line check", ("7 iron",), 6, swings=(Swing.HALF,), flags=flags[:1]))
    assert {ball.flag for ball in near.balls if ball.stage is not Stage.WARM_UP} == {"middle"}
    assert {ball.flag for ball in none.balls} == {None}


def test_the_warm_up_goes_from_a_wedge_and_short_swings_upward() -> None:
    warm_up = [ball for ball in agenda(LADDER, STEPS).balls if ball.stage is Stage.WARM_UP]
    lofts = [BAG.club(ball.cell.club).loft_deg for ball in warm_up]
    carries = [carry_m(ball.cell) for ball in warm_up]
    assert len(warm_up) == 12
    assert warm_up[0].cell == Cell("pitching wedge", 0.0, Swing.HALF)
    assert lofts == sorted(lofts, reverse=True)
    assert carries == sorted(carries)


def test_a_plan_with_its_own_warm_up_gets_no_second_one() -> None:
    found = agenda(Block("warm-up", ("sand wedge", "9 iron"), 8), STEPS)
    assert Counter(ball.drill for ball in found.balls) == {"warm-up": 8, "grip-down steps": 18}


def test_a_small_budget_cuts_all_blocks_and_says_so() -> None:
    found = agenda(LADDER, STEPS, balls=20)
    counts = Counter(ball.drill for ball in found.balls)
    assert counts["club-down ladder"] >= 3
    assert counts["grip-down steps"] >= 3
    assert found.notes


def test_test_blocks_say_that_results_wait() -> None:
    assert any("no result" in note for note in agenda(replace(STEPS, stage=Stage.TEST)).notes)


@pytest.mark.parametrize(
    ("conditions", "words"),
    [
        (stated(11.5), "feel"),
        (stated(4.0, gust_mps=7.0), "feel"),
        (stated(9.0, gust_mps=11.2), "facility"),
        (stated(12.0, gust_mps=14.4), "trees"),
        (stated(14.0, gust_mps=17.0), "no session"),
        (Conditions(CALM_WIND, Air(temperature_k=280.0)), "cold"),
        (Conditions(CALM_WIND, Air(temperature_k=275.0)), "indoors"),
    ],
)
def test_prompts(conditions: Conditions, words: str) -> None:
    assert any(words in note for note in agenda(STEPS, conditions=conditions).notes)


def test_no_prompt_in_a_gentle_wind() -> None:
    notes = agenda(STEPS, conditions=stated(4.0, gust_mps=6.0)).notes
    assert not [note for note in notes if "feel" in note or "facility" in note or "cold" in note]


def test_many_low_shots_from_a_mat_are_cautioned() -> None:
    many = replace(STEPS, balls=33)
    on_mat = replace(stated(5.0), surface=Surface.MAT)
    assert any("24" in note for note in agenda(many, conditions=on_mat).notes)
    assert not any("24" in note for note in agenda(many).notes)


def test_hard_ground_takes_its_low_shots_and_not_one_more() -> None:
    on_mat = replace(stated(5.0), surface=Surface.MAT)

    def low_shots(asked: int, conditions: Conditions) -> int:
        hit = agenda(replace(STEPS, balls=asked), conditions=conditions, balls=60, minutes=60).balls
        return sum(ball.cell.swing is not Swing.FULL for ball in hit)

    free = [low_shots(asked, stated(5.0)) for asked in range(8, 25)]
    assert {23, 24, 25} <= set(free)
    assert [low_shots(asked, on_mat) for asked in range(8, 25)] == [min(low, 24) for low in free]


@pytest.mark.parametrize("bad", [float("nan"), 0.0, -5.0, float("inf")])
def test_a_carry_that_is_no_distance_is_refused(bad: float) -> None:
    with pytest.raises(InputError):
        build_agenda(
            (STEPS,),
            BAG,
            balls=45,
            minutes=50,
            conditions=stated(5.0),
            rng=np.random.default_rng(0),
            expected_carry_m=lambda _: bad,
        )


def test_refusals() -> None:
    with pytest.raises(InputError):
        agenda()
    with pytest.raises(InputError, match="2 wood"):
        agenda(replace(STEPS, clubs=("2 wood",)))
    with pytest.raises(InputError, match="drill"):
        agenda(replace(STEPS, drill="juggling"))
