"""Agendas for a player of whom something is known: limits hold, balls go where they tell, the frame is there."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.schedule.bags import BAG, carry_m
from tests.core.schedule.beliefs import BACK, CALM, CELLS, OUT, beliefs, player
from tests.core.schedule.test_agenda import LADDER, STEPS, blocks, known_conditions, stated
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import CALM_WIND, Air, Conditions, Surface
from trainer.core.estimate.evidence import Floats
from trainer.core.profile import AgeBand, RangeFlag
from trainer.core.schedule.agenda import Agenda, AgendaBall, build_agenda
from trainer.core.schedule.ages import JUNIOR_MIX_SHARE, JUNIOR_MOST_GRIP_M, MOST_BALLS
from trainer.core.schedule.block import Block
from trainer.core.schedule.drills import DRILLS
from trainer.core.schedule.information import Beliefs, Outlook, choose_balls
from trainer.core.schedule.knowledge import Knowledge
from trainer.core.schedule.progress import PastShot
from trainer.core.schedule.stages import Stage
from trainer.core.schedule.telling import LOOK_AGAIN_SHOTS
from trainer.core.units import UnitChoice

TODAY = date(2026, 5, 14)
LOW = Cell("7 iron", 0.0254, Swing.THREE_QUARTER)
ROUND = Block("gapping round", ("8 iron", "7 iron", "6 iron"), 33)
IN_WIND = beliefs(player(slopes=(-0.1,)))


def known(
    about: Beliefs | None = IN_WIND,
    past: tuple[PastShot, ...] = (),
    age: AgeBand = AgeBand.ADULT,
    goal_m: float = 3.0,
) -> Knowledge:
    return Knowledge(TODAY, about, past, age, goal_m)


def agenda(
    *wanted: Block,
    conditions: Conditions = stated(5.0),  # noqa: B008 - frozen
    balls: int = 45,
    minutes: float = 60.0,
    seed: int = 1,
    knowledge: Knowledge | None = None,
) -> Agenda:
    return build_agenda(
        wanted,
        BAG,
        balls=balls,
        minutes=minutes,
        conditions=conditions,
        rng=np.random.default_rng(seed),
        expected_carry_m=carry_m,
        knowledge=knowledge or known(),
    )


def working(found: Agenda) -> list[AgendaBall]:
    return [ball for ball in found.balls if ball.stage is not Stage.WARM_UP]


def past(cell: Cell, days_ago: int, balls: int, low: bool | None = None) -> tuple[PastShot, ...]:
    day = TODAY - timedelta(days=days_ago)
    return tuple(PastShot(day, cell, 0.05 + 0.01 * (ball % 3), low) for ball in range(balls))


SEEN_LOW = (*past(LOW, 30, 3, low=True), *past(replace(LOW, swing=Swing.HALF), 30, 3, low=True))
histories = st.lists(
    st.builds(
        PastShot,
        day=st.integers(0, 90).map(lambda days: TODAY - timedelta(days=days)),
        cell=st.sampled_from(CELLS),
        error=st.one_of(st.none(), st.floats(-0.4, 0.4)),
        low=st.sampled_from([None, True, False]),
    ),
    max_size=60,
).map(lambda shots: tuple(sorted(shots, key=lambda shot: shot.day)))


@settings(max_examples=80, deadline=None)
@given(
    st.lists(blocks, min_size=1, max_size=4), known_conditions, st.integers(1, 90), st.integers(1, 60), histories,
    st.sampled_from(AgeBand), st.integers(0, 2**32 - 1),
)  # fmt: skip
def test_laws(
    wanted: list[Block], conditions: Conditions, balls: int, minutes: int, shots: tuple[PastShot, ...], age: AgeBand,
    seed: int,
) -> None:  # fmt: skip
    def built() -> Agenda:
        knowledge = known(past=shots, age=age)
        return agenda(*wanted, conditions=conditions, balls=balls, minutes=minutes, seed=seed, knowledge=knowledge)

    found = built()
    assert found == built()
    assert 1 <= len(found.balls) <= min(balls, MOST_BALLS.get(age, balls))
    assert len(found.balls) * 30 <= minutes * 60
    assert [ball.number for ball in found.balls] == list(range(1, len(found.balls) + 1))
    for ball in found.balls:
        assert ball.reason.strip().endswith(".")
        assert ball.cue.strip()
        need = DRILLS[ball.drill].wind
        assert need is None or need.unmet(conditions.wind, UnitChoice()) == ""
        assert ball.called is None or ball.called.low80_m < ball.called.low50_m < ball.called.high80_m
        assert (ball.flight_checked is None) == (ball.cell.swing is Swing.FULL or ball.stage is Stage.WARM_UP)
    if age.is_junior:
        mixed = sum(ball.stage in {Stage.MIX, Stage.TEST} for ball in found.balls)
        assert mixed <= JUNIOR_MIX_SHARE * len(found.balls) + 1e-9
        assert all(ball.cell.grip_down_m <= JUNIOR_MOST_GRIP_M for ball in found.balls)


def test_a_gapping_round_hits_what_tells_most() -> None:
    found = agenda(ROUND, knowledge=known(past=SEEN_LOW))
    round_ = [ball for ball in found.balls if ball.drill == "gapping round"]
    others = [ball.cell for ball in working(found) if ball.drill != "gapping round"]
    wanted = np.array(
        [CELLS.index(cell) for cell in dict.fromkeys(cell for cell in CELLS if cell.club in ROUND.clubs)]
    )
    allowed = np.isin(np.arange(len(CELLS)), wanted)
    chosen = choose_balls(
        IN_WIND, wanted, len(round_), goal_half_width_m=3.0, allowed=allowed, most_a_cell=6,
        already=tuple(CELLS.index(cell) for cell in others),
    )  # fmt: skip
    assert Counter(ball.cell for ball in round_) == Counter(CELLS[choice.cell] for choice in chosen)
    assert all("±" in ball.reason for ball in round_)
    assert len({ball.cell for ball in round_}) > 5
    first = slice(LOOK_AGAIN_SHOTS)
    assert Counter(ball.cell for ball in round_[first]) == Counter(CELLS[choice.cell] for choice in chosen[first])


def test_where_all_is_known_skill_and_transfer_take_over_and_it_is_said() -> None:
    sure = beliefs(replace(player(), covariance=player().covariance * 1e-4))
    found = agenda(ROUND, knowledge=known(sure, SEEN_LOW))
    assert "gapping round" not in {ball.drill for ball in found.balls}
    assert "landing box" in {ball.drill for ball in found.balls}
    assert any("nothing more" in note for note in found.notes)


def test_a_wind_to_feel_only_is_not_measured_in() -> None:
    found = agenda(ROUND, conditions=stated(4.0, gust_mps=8.0), knowledge=known(past=SEEN_LOW))
    assert "gapping round" not in {ball.drill for ball in found.balls}
    assert any("measure" in note for note in found.notes)


def test_the_flag_along_whose_line_a_ball_tells_more_is_aimed_at() -> None:
    flags = (RangeFlag("red", 128.0), RangeFlag("back", 128.0, 3.14))
    one = player(slopes=(-0.15, 0.10))
    confounded = replace(
        one, shot_rows=one.shot_rows * np.where(np.arange(len(one.mean)) == len(one.mean) - 4, 2.0, 1.0)
    )
    block = Block("turf line check", ("8 iron",), 12, swings=(Swing.FULL,), flags=flags)
    found = agenda(block, knowledge=known(beliefs(confounded, directions=(OUT, BACK)), SEEN_LOW))
    used = {ball.flag for ball in found.balls if ball.drill == "turf line check"}
    assert used == {"red", "back"}


def test_a_chosen_ball_along_another_line_names_a_flag_on_it_however_far() -> None:
    flags = (RangeFlag("red", 128.0), RangeFlag("back", 300.0, 3.14))
    one = beliefs(player(slopes=(-0.15, 0.10)), directions=(OUT, BACK))
    found = agenda(replace(ROUND, flags=flags), knowledge=known(one, SEEN_LOW, goal_m=1.0))
    round_ = [ball for ball in found.balls if ball.drill == "gapping round"]
    assert "back" in {ball.flag for ball in round_}
    for ball in round_:
        assert ball.called is not None
        line = 1 if ball.flag == "back" else 0
        expected_m = one.stock_m * np.exp(one.shot_mean[line])
        assert ball.called.median_m == pytest.approx(expected_m[CELLS.index(ball.cell)])
        assert ball.target_m == pytest.approx(ball.called.median_m)


def test_a_calm_day_is_named_where_it_tells_more() -> None:
    one = beliefs(player(slopes=(-0.2, 0.0), wind_sd=0.4), directions=(OUT, CALM))
    assert any("calm" in note for note in agenda(ROUND, knowledge=known(one, SEEN_LOW)).notes)
    windless = beliefs(player(slopes=(-0.02, 0.0), wind_sd=0.05), directions=(OUT, CALM))
    assert not any("calm" in note for note in agenda(ROUND, knowledge=known(windless, SEEN_LOW)).notes)


def test_the_low_flight_comes_first_until_it_is_seen_low() -> None:
    first = working(agenda(LADDER, STEPS))
    assert first[0].drill == "low window"
    assert {ball.flight_checked for ball in first if ball.cell.swing is not Swing.FULL} == {False}
    later = working(agenda(LADDER, STEPS, knowledge=known(past=SEEN_LOW)))
    assert "low window" not in {ball.drill for ball in later}
    assert {ball.flight_checked for ball in later if ball.cell.swing is not Swing.FULL} == {True}


def test_a_plan_s_own_block_that_teaches_it_goes_first() -> None:
    own = Block("full-then-low pairs", ("8 iron", "6 iron"), 12, target=Cell("8 iron"))
    found = working(agenda(LADDER, own))
    assert found[0].drill == "full-then-low pairs"
    assert "low window" not in {ball.drill for ball in found}


def test_the_frame_probe_overdue_widest_and_finish() -> None:
    learned, left_alone = LOW, Cell("9 iron")
    shots = (*past(left_alone, 60, 5), *past(learned, 10, 30), *SEEN_LOW)
    found = working(agenda(LADDER, STEPS, balls=60, knowledge=known(past=tuple(sorted(shots, key=lambda s: s.day)))))
    assert (found[0].drill, found[0].cell) == ("cold first six", learned)
    assert any(ball.cell == left_alone and "due" in ball.reason for ball in found)
    assert any("least sure" in ball.reason for ball in found)
    assert found[-1].stage is Stage.TEST
    assert {ball.cell for ball in found if ball.stage is Stage.TEST and ball.drill == "mixed targets"} <= {
        ball.cell for ball in found if ball.stage is not Stage.TEST
    }


@pytest.mark.parametrize("age", [AgeBand.UNDER_11, AgeBand.ADULT])
def test_a_plan_whose_only_ladder_has_no_rung_still_finishes_with_the_shots_hit(age: AgeBand) -> None:
    found = agenda(replace(LADDER, target=300.0), balls=20, knowledge=known(age=age))
    assert found.swaps
    hit = working(found)
    assert {ball.cell for ball in hit if ball.drill == "mixed targets"} <= {ball.cell for ball in hit}
    assert len(found.balls) == 20


def test_the_plan_keeps_more_than_half_and_its_sets_stay_whole() -> None:
    found = agenda(LADDER, STEPS, knowledge=known(past=SEEN_LOW))
    steps = Counter(ball.cell for ball in found.balls if ball.drill == "grip-down steps")
    assert len(set(steps.values())) == 1
    own = sum(ball.drill in {"club-down ladder", "grip-down steps"} for ball in found.balls)
    assert own > 0.5 * len(working(found))


@pytest.mark.parametrize("stage", [Stage.SETTLE, Stage.MIX])
def test_a_measuring_block_without_a_stage_takes_its_shots_own(stage: Stage) -> None:
    block = Block("knockdown baseline", ("7 iron",), 12, cells=(LOW,))
    errors = past(LOW, 10, 24 if stage is Stage.MIX else 6)
    found = agenda(block, knowledge=known(past=(*SEEN_LOW, *errors)))
    of_block = [ball for ball in found.balls if ball.drill == "knockdown baseline" and "known" in ball.reason]
    assert {ball.stage for ball in of_block} == {stage}


def test_cold_takes_balls_off_and_wind_chill_counts() -> None:
    mild, chilly = Air(temperature_k=283.0), Air(temperature_k=281.5)
    assert len(agenda(STEPS, LADDER, conditions=Conditions(CALM_WIND, mild)).balls) == 45
    assert len(agenda(STEPS, LADDER, conditions=Conditions(CALM_WIND, chilly)).balls) == 45
    in_wind = replace(stated(8.0), air=chilly)
    assert len(agenda(STEPS, LADDER, conditions=in_wind).balls) == 36
    bitter = replace(stated(8.0), air=Air(temperature_k=275.0))
    assert len(agenda(STEPS, LADDER, conditions=bitter).balls) == 22


def test_hard_ground_has_at_most_24_low_shots() -> None:
    on_mat = replace(stated(5.0), surface=Surface.MAT)
    found = agenda(replace(STEPS, balls=40), balls=60, conditions=on_mat)
    assert sum(ball.cell.swing is not Swing.FULL for ball in found.balls) == 24
    assert found.balls[-1].stage is Stage.TEST


def test_rests_come_after_every_fifteen_balls_but_the_last() -> None:
    assert [ball.number for ball in agenda(LADDER, STEPS).balls if ball.rest_after] == [15, 30]


def test_called_ranges_are_those_of_the_beliefs() -> None:
    for ball in working(agenda(LADDER, STEPS)):
        at = CELLS.index(ball.cell)
        sd = float(np.sqrt(IN_WIND.shot_var[0, at] + IN_WIND.ball_var[0, at]))
        assert ball.called is not None
        # 80 % of a log-normal lies within exp(± 1.2816 sd) of its median (scipy.stats.norm.ppf(0.9)).
        assert np.log(ball.called.high80_m / ball.called.low80_m) == pytest.approx(2 * 1.2815515655 * sd)


@pytest.mark.parametrize(("age", "stage"), [(AgeBand.ADULT, Stage.STEP), (AgeBand.FROM_14, Stage.SETTLE)])
def test_a_junior_stays_longer_in_a_stage(age: AgeBand, stage: Stage) -> None:
    block = Block("knockdown baseline", ("7 iron",), 12, cells=(LOW,))
    found = agenda(block, knowledge=known(past=past(LOW, 10, 12, low=True), age=age))
    own = [ball for ball in found.balls if ball.drill == "knockdown baseline" and "known" in ball.reason]
    assert {ball.stage for ball in own} == {stage}


def half_widths_m(about: Beliefs, cells: list[Cell], hit: list[AgendaBall], goal_m: float) -> Floats:
    outlook = Outlook(about, np.array([CELLS.index(cell) for cell in cells]), goal_m)
    for ball in hit:
        outlook.hit(CELLS.index(ball.cell))
    return outlook.half_width_m


def test_a_finish_is_not_waited_for_where_the_round_reaches_the_goal_itself() -> None:
    known_wind = beliefs(player(wind_sd=0.02, sd=0.02))
    cells = [cell for cell in CELLS if cell.club in ROUND.clubs]
    found = working(agenda(ROUND, knowledge=known(known_wind, SEEN_LOW, goal_m=5.0)))
    told = [place for place, ball in enumerate(found) if ball.drill == "gapping round"]
    assert 3 < len(told) < 25
    assert half_widths_m(known_wind, cells, found[: told[-1]], 5.0).max() > 5.0
    assert half_widths_m(known_wind, cells, found[: told[-1] + 1], 5.0).max() <= 5.0 + 1e-3
    after = [ball.drill for ball in found[told[-1] + 1 :]]
    assert after[0] == "landing box"
    assert after[-1] == "mixed targets"


def test_skill_balls_go_to_the_least_sure_shots_oftener() -> None:
    sure = player(wind_sd=0.01, sd=0.01)
    variances = np.diag(sure.covariance).copy()
    unsure = 1 + len(BAG.clubs) + CELLS.index(Cell("7 iron"))
    variances[unsure] = 0.06**2
    about = beliefs(replace(sure, covariance=np.diag(variances)))
    found = agenda(ROUND, knowledge=known(about, SEEN_LOW, goal_m=20.0))
    box = Counter(ball.cell for ball in found.balls if ball.drill == "landing box")
    assert box.total() > 20
    assert box.most_common(1)[0][0] == Cell("7 iron")


def test_balls_beside_the_plan_go_where_they_tell_of_the_plan_s_shots() -> None:
    flags = (RangeFlag("red", 128.0), RangeFlag("back", 300.0, 3.14))
    one = beliefs(player(slopes=(-0.15, 0.15), wind_sd=0.5), directions=(OUT, BACK))
    shots = (*SEEN_LOW, *past(LOW, 10, 9), *past(Cell("8 iron"), 10, 8), *past(Cell("6 iron"), 10, 8))
    found = working(agenda(replace(ROUND, flags=flags), knowledge=known(one, shots, goal_m=1.0)))
    beside = [ball for ball in found if ball.drill in {"cold first six", "mixed targets", "knockdown baseline"}]
    assert "back" in {ball.flag for ball in beside}
    other = (*SEEN_LOW, *past(Cell("sand wedge"), 60, 5))
    alone = agenda(ROUND, knowledge=known(past=other))
    assert any(ball.cell == Cell("sand wedge") for ball in alone.balls)
    assert not any("sand wedge" in ball.reason for ball in alone.balls if ball.drill == "gapping round")


def test_a_cold_probe_asks_for_several_shots_that_were_practised_alike() -> None:
    practised = [Cell("8 iron"), Cell("7 iron"), Cell("6 iron"), Cell("5 iron")]
    shots = (*SEEN_LOW, *(shot for cell in practised for shot in past(cell, 10, 8)))
    probe = [
        ball.cell for ball in working(agenda(ROUND, knowledge=known(past=shots))) if ball.drill == "cold first six"
    ]
    assert len(probe) == len(set(probe)) == 4
    assert set(probe) <= set(practised)
    alone = (*SEEN_LOW, *past(Cell("8 iron"), 10, 20))
    found = working(agenda(ROUND, knowledge=known(past=alone)))
    assert [ball.cell for ball in found[:3]] == [Cell("8 iron")] * 3
    assert [ball.drill for ball in found].count("cold first six") == 3
