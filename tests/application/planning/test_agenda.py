"""From a store to an agenda: what past shots and readings make of a plan, and planning anew with tonight's balls."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from trainer.application.conditions.stated import StatedConditions
from trainer.application.demo.playing import Golfer
from trainer.application.estimates.learning import learn
from trainer.application.evidence.history import read_history
from trainer.application.planning.agenda import (
    PlannedSession,
    Unhit,
    Wish,
    plan_session,
    problems_for_player,
    replan_session,
)
from trainer.application.planning.past_shots import past_shots
from trainer.application.planning.power import provable
from trainer.application.session.recording import Recorder, begin
from trainer.application.setup.proposed_bag import propose_bag
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import CALM_WIND, REFERENCE_AIR, UNKNOWN_WIND, Seen, Wind, WindKnowledge
from trainer.core.errors import InputError
from trainer.core.profile import AgeBand, CarryBasis, KnownCarry, Profile, RangeFlag
from trainer.core.schedule.fitting import NOTHING_DONE
from trainer.core.schedule.replan import Override
from trainer.core.schedule.stages import Stage
from trainer.core.units import to_si
from trainer.exchange.cell_text import print_cell
from trainer.plan.collection import find_plan
from trainer.store.store import Store, open_store

KNOWN = KnownCarry("7 iron", to_si(150, "yd"), CarryBasis.MEASURED)
FLAGS = (RangeFlag("red", to_si(130, "yd")), RangeFlag("far", to_si(130, "yd"), math.radians(40)))
PROFILE = Profile("kim", propose_bag(KNOWN), KNOWN, seen=Seen.LASER, flags=FLAGS)
LOW = Cell("7 iron", 0.0254, Swing.THREE_QUARTER)
BEGIN = datetime(2026, 4, 1, 18, 0)
LATER = BEGIN + timedelta(days=9)
INTO = Wind(WindKnowledge.STATED, 5.5)
IN_WIND = StatedConditions(wind=INTO)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "store.db", write=True) as opened:
        opened.save_profile(PROFILE, BEGIN)
        yield opened


def practise(store: Store, cell: Cell, balls: int, tag: str = "", when: datetime = BEGIN) -> Recorder:
    rng = np.random.default_rng(3)
    golfer = Golfer(PROFILE, mishit_share=0.0)
    recorder = begin(store, "kim", StatedConditions(wind=Wind(WindKnowledge.READ, 5.0)), when)
    for _ in range(balls):
        typed = golfer.strike(cell, INTO, REFERENCE_AIR, 0.0, rng)
        recorder.line(f"{print_cell(cell, PROFILE.units)}: {typed} {tag}", when)
    return recorder


def plan(store: Store, stated: StatedConditions = IN_WIND, when: datetime = LATER, **wish: object) -> PlannedSession:
    return plan_session(read_history(store, "kim", when), Wish(seed=3, **wish), stated, when)  # type: ignore[arg-type]  # any wish


def test_a_first_evening_begins_with_the_low_flight_and_calls_every_ball(store: Store) -> None:
    planned = plan(store)
    hit = [ball for ball in planned.agenda.balls if ball.stage is not Stage.WARM_UP]
    assert hit[0].drill == "low window"
    assert all(ball.called is not None for ball in hit)
    assert hit[-1].stage is Stage.TEST
    assert planned == plan(store)
    assert planned.can_prove


def test_a_vouched_low_shot_is_checked_from_then_on(store: Store) -> None:
    practise(store, LOW, 12, "#low-checked")
    agenda = plan(store).agenda
    assert "low window" not in {ball.drill for ball in agenda.balls}
    assert {ball.flight_checked for ball in agenda.balls if ball.cell == LOW} == {True}
    first = next(ball for ball in agenda.balls if ball.stage is not Stage.WARM_UP)
    assert (first.drill, first.cell) == ("cold first six", LOW)


@pytest.mark.parametrize(
    ("typed", "low"),
    [
        ("120 #under", True),
        ("120 #over", False),
        ("120 #not-low #low-checked", False),
        ("120 ^35", True),
        ("120 ^110", False),
        ("120 hang=3.5", True),
        ("120 launch=12", True),
        ("120 launch=22", False),
        ("120 ^35 launch=22", None),
        ("120", None),
        ("120 ^35 x", None),
    ],
)
def test_what_shows_a_low_flight(store: Store, typed: str, low: bool | None) -> None:
    recorder = begin(store, "kim", IN_WIND, BEGIN)
    recorder.line(f"{print_cell(LOW, PROFILE.units)}: {typed}", BEGIN)
    (shot,) = past_shots(read_history(store, "kim"))
    assert shot.low is low


def test_a_called_range_narrows_as_balls_are_hit(store: Store) -> None:
    def width_m() -> float:
        ball = next(ball for ball in plan(store).agenda.balls if ball.cell == LOW)
        assert ball.called is not None
        return ball.called.high80_m - ball.called.low80_m

    before = width_m()
    practise(store, LOW, 12, "#low-checked")
    assert width_m() < before


def test_the_gapping_round_leaves_alone_what_was_hit_much(store: Store) -> None:
    for days in range(2):
        practise(store, Cell("6 iron"), 12, when=BEGIN + timedelta(days=days))
    hit = [ball.cell for ball in plan(store, plan_id="gapping-round").agenda.balls if ball.drill == "gapping round"]
    assert hit
    assert hit.count(Cell("6 iron")) < hit.count(Cell("5 iron")) + hit.count(Cell("5 iron", 0.0254))


def test_planning_anew_takes_tonight_s_wind_and_balls(store: Store) -> None:
    planned = plan(
        store, plan_id="club-down-ladder-night", stated=StatedConditions(wind=Wind(WindKnowledge.READ, 6.0))
    )
    practise(store, LOW, 6, when=LATER)
    history = read_history(store, "kim", LATER + timedelta(hours=1))
    own = Override(40, Cell("9 iron"), "my wrist is tired")
    calm = StatedConditions(wind=CALM_WIND)
    unhit = Unhit(planned.agenda, 20, planned.seed, planned.age_band, NOTHING_DONE)
    again = replan_session(unhit, history, calm, LATER + timedelta(hours=1), [own])
    assert [ball.number for ball in again.agenda.balls] == list(range(21, len(planned.agenda.balls) + 1))
    assert any("swapped" in change for change in again.changes)
    assert next(ball for ball in again.agenda.balls if ball.number == 40).cell == Cell("9 iron")
    with pytest.raises(InputError):
        replan_session(unhit, history, calm, LATER, [replace(own, reason="")])


@pytest.mark.parametrize(("band", "most"), [(AgeBand.UNDER_11, 30), (AgeBand.FROM_14, 50), (AgeBand.FROM_16, 65)])
def test_the_players_own_age_band_sets_the_limits_of_any_plan(store: Store, band: AgeBand, most: int) -> None:
    # Budgets by age: common practice, no source.
    store.save_profile(replace(PROFILE, age_band=band), BEGIN)
    planned = plan(store, plan_id="gapping-round", balls=100, minutes=60)
    assert planned.age_band is band
    assert len(planned.agenda.balls) <= most
    assert max(ball.cell.grip_down_m for ball in planned.agenda.balls) <= 0.0255
    assert any("zones" in note for note in planned.agenda.notes)


def test_an_adult_with_a_juniors_plan_is_an_adult(store: Store) -> None:
    assert plan(store, plan_id="junior-wind-games").age_band is AgeBand.FROM_11
    store.save_profile(replace(PROFILE, age_band=AgeBand.ADULT), BEGIN)
    planned = plan(store, plan_id="junior-wind-games")
    assert planned.age_band is AgeBand.ADULT
    assert not any("zones" in note for note in planned.agenda.notes)


def test_a_rung_out_of_reach_is_named_by_his_own_estimates(store: Store) -> None:
    ladder = find_plan("club-down-ladder-night")
    far = ladder.model_copy(
        update={"block": tuple(block.model_copy(update={"target": "165 yd"}) for block in ladder.block)}
    )
    history = read_history(store, "kim")
    assert not problems_for_player(ladder, history, StatedConditions(), LATER)
    problems = problems_for_player(far, history, IN_WIND, LATER)
    assert any("block 1" in problem and "harder" in problem for problem in problems)


def test_a_junior_level_keeps_juniors_limits(store: Store) -> None:
    planned = plan(store, level="junior")
    assert planned.plan.level == "junior"
    assert len(planned.agenda.balls) <= 40
    assert max(ball.cell.grip_down_m for ball in planned.agenda.balls) <= 0.0255
    assert any("zones" in note for note in planned.agenda.notes)
    with pytest.raises(InputError):
        plan(store, level="tour")


def test_an_unread_wind_gives_no_advice_on_wind(store: Store) -> None:
    planned = plan(store, stated=StatedConditions())
    assert not planned.wind_is_known
    assert not any("calm day" in note or "stays ±" in note for note in planned.agenda.notes)


def test_a_wind_stated_as_unknown_is_as_unsure_as_one_that_nobody_stated(store: Store) -> None:
    def widths_m(stated: StatedConditions) -> list[float]:
        balls = plan(store, stated).agenda.balls
        return [ball.called.high80_m - ball.called.low80_m for ball in balls if ball.called is not None]

    assert widths_m(StatedConditions(wind=UNKNOWN_WIND)) == pytest.approx(widths_m(StatedConditions()), rel=0.01)


def test_a_grip_that_costs_no_carry_in_this_wind_is_no_question_to_prove(store: Store) -> None:
    planned = plan(store, plan_id="club-down-ladder-night")
    known = learn(read_history(store, "kim", LATER), LATER)
    cells = [ball.cell for ball in planned.agenda.balls if ball.stage is not Stage.WARM_UP]
    low = next(cell for cell in cells if cell.grip_down_m and cell.swing is not Swing.FULL)
    higher_rad = np.zeros(len(known.bench.cells))
    higher_rad[known.bench.index[low]] = math.radians(14)
    shifted = replace(known, bench=known.bench.shifted(higher_rad, np.zeros(len(higher_rad))))
    behind = replace(planned.conditions, wind=Wind(WindKnowledge.READ, 14.0, math.pi))
    agenda = replace(planned.agenda, balls=tuple(ball for ball in planned.agenda.balls if ball.cell == low))
    assert not any("of grip" in said for said in provable(shifted, agenda, behind, PROFILE.units))
    assert any("of grip" in said for said in provable(known, agenda, behind, PROFILE.units))
