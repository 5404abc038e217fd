"""A running session planned anew through the store: when, whole, with the player's own balls, within its limits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from tests.tui.helpers import a_profile
from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.snapshot import todays_conditions
from trainer.application.planning.agenda import Wish
from trainer.application.planning.agenda_basis import read_basis
from trainer.application.session.live import LiveSession
from trainer.application.session.recording import Recorder, begin, resume
from trainer.application.session.replanning import (
    THE_PLAN_STANDS,
    changes_in_short,
    keep_rest,
    plan_anew,
    plan_rest,
    rest_wish,
)
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import Surface
from trainer.core.errors import InputError
from trainer.core.profile import AgeBand
from trainer.core.schedule.ages import JUNIOR_MIX_SHARE, JUNIOR_MOST_GRIP_M, MOST_BALLS
from trainer.core.schedule.drills import drill_named
from trainer.core.schedule.prompts import DEFAULT_LIMITS
from trainer.core.schedule.telling import LOOK_AGAIN_SHOTS
from trainer.core.units import UnitChoice
from trainer.exchange.wind_text import parse_wind
from trainer.store.records import AgendaBallRecord, BallState, NewBall
from trainer.store.store import Store, open_store

WHEN = datetime(2026, 5, 14, 18, 30)
LADDER = "club-down-ladder-night"
SEED = 7


def wind(text: str = "14mph 1h") -> StatedConditions:
    return StatedConditions(wind=parse_wind(text, UnitChoice()))


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "t.db", write=True) as opened:
        opened.save_profile(a_profile(), WHEN - timedelta(days=1))
        yield opened


def begun(
    store: Store, plan: str = LADDER, stated: StatedConditions | None = None, balls: int | None = None
) -> Recorder:
    return begin(store, None, stated or wind(), WHEN, Wish(plan, seed=SEED, balls=balls))


def waiting(store: Store, recorder: Recorder) -> list[NewBall]:
    return [each.ball for each in store.agenda(recorder.session.id) if each.state is BallState.WAITING]


def done(store: Store, recorder: Recorder) -> list[AgendaBallRecord]:
    return [each for each in store.agenda(recorder.session.id) if each.state is not BallState.WAITING]


def hit_to_the_end_of_a_block(store: Store, recorder: Recorder, typed: str = "") -> None:
    """Balls, each as `typed` or near its target, until another block is next."""
    recorder.next_ball()
    block = waiting(store, recorder)[0].block
    while (rest := waiting(store, recorder)) and rest[0].block == block:
        recorder.line(typed or f"{round((rest[0].target_m or 100.0) / 0.9144) - 9}", WHEN)


def test_nothing_is_due_while_wind_and_knowledge_are_as_planned(store: Store) -> None:
    recorder = begun(store)
    assert rest_wish(store, recorder, WHEN) is None
    recorder.line("101", WHEN)
    assert rest_wish(store, recorder, WHEN) is None


def test_a_new_reading_plans_the_rest_anew_and_says_what_changed(store: Store) -> None:
    recorder = begun(store)
    recorder.line("101", WHEN)
    before, hit = waiting(store, recorder), done(store, recorder)
    recorder.line("wind calm", WHEN)
    changes = plan_anew(store, recorder, WHEN)
    after = waiting(store, recorder)
    assert any("swapped" in change for change in changes)
    assert done(store, recorder) == hit
    assert [ball.number for ball in after] == [ball.number for ball in before]
    assert "club-down ladder" not in {ball.drill for ball in after}
    assert plan_anew(store, recorder, WHEN) == ()


def test_a_wind_that_turns_back_brings_the_block_back(store: Store) -> None:
    recorder = begun(store)
    for text in ("101", "wind calm"):
        recorder.line(text, WHEN)
    plan_anew(store, recorder, WHEN)
    recorder.line("wind 14mph 1h", WHEN)
    assert any("is back" in change for change in plan_anew(store, recorder, WHEN))
    assert "club-down ladder" in {ball.drill for ball in waiting(store, recorder)}


def test_what_a_block_taught_plans_the_rest_anew_at_its_end_and_not_before(store: Store) -> None:
    recorder = begun(store)
    recorder.next_ball()
    block = waiting(store, recorder)[0].block
    while waiting(store, recorder)[0].block == block:
        assert rest_wish(store, recorder, WHEN) is None
        recorder.line("80", WHEN)
    changes = plan_anew(store, recorder, WHEN)
    assert any("aim for" in change for change in changes)


def test_a_block_that_chooses_chooses_anew_after_ten_balls(store: Store) -> None:
    recorder = begun(store, "gapping-round")
    while recorder.next_ball() and waiting(store, recorder)[0].drill != "gapping round":
        recorder.line("80", WHEN)
    plan_anew(store, recorder, WHEN)
    block = waiting(store, recorder)[0].block
    for _ in range(LOOK_AGAIN_SHOTS):
        assert rest_wish(store, recorder, WHEN) is None
        recorder.line("80", WHEN)
    assert waiting(store, recorder)[0].block == block
    assert rest_wish(store, recorder, WHEN) is not None
    assert any("aim for" in change for change in plan_anew(store, recorder, WHEN))
    assert rest_wish(store, recorder, WHEN) is None


def test_a_skipped_block_taught_nothing(store: Store) -> None:
    recorder = begun(store)
    recorder.next_ball()
    block = waiting(store, recorder)[0].block
    while waiting(store, recorder)[0].block == block:
        recorder.line("skip too far", WHEN)
    assert rest_wish(store, recorder, WHEN) is None


def test_a_wind_that_changes_nothing_leaves_every_ball_as_it_was(store: Store) -> None:
    recorder = begun(store)
    recorder.line("101", WHEN)
    before = waiting(store, recorder)
    recorder.line("wind 14.2mph 1h", WHEN)
    # What was only stated beforehand is read now: the same wind, less sure. The balls may but need not change.
    first = plan_anew(store, recorder, WHEN)
    planned = waiting(store, recorder)
    recorder.line("wind 14.3mph 1h", WHEN)
    changes = plan_anew(store, recorder, WHEN)
    if changes == THE_PLAN_STANDS:
        assert waiting(store, recorder) == planned
    assert first
    assert len(before) == len(waiting(store, recorder))


def test_the_sums_need_no_store_and_come_to_the_same(store: Store, tmp_path: Path) -> None:
    recorder = begun(store)
    recorder.line("101", WHEN)
    recorder.line("wind calm", WHEN)
    wish = rest_wish(store, recorder, WHEN)
    assert wish is not None
    first, second = plan_rest(wish), plan_rest(wish)
    assert (first.balls, first.changes, first.basis) == (second.balls, second.changes, second.basis)


def test_a_rest_that_comes_too_late_is_not_kept(store: Store) -> None:
    recorder = begun(store)
    recorder.line("101", WHEN)
    recorder.line("wind calm", WHEN)
    wish = rest_wish(store, recorder, WHEN)
    assert wish is not None
    rest = plan_rest(wish)
    recorder.line("101", WHEN)
    before = store.agenda(recorder.session.id)
    assert not keep_rest(store, rest)
    assert store.agenda(recorder.session.id) == before
    assert rest_wish(store, recorder, WHEN) is not None


def test_after_a_fall_before_the_new_rest_was_kept_the_same_rest_is_planned(store: Store, tmp_path: Path) -> None:
    recorder = begun(store)
    hit_to_the_end_of_a_block(store, recorder, "80")
    wish = rest_wish(store, recorder, WHEN)
    assert wish is not None
    expected = plan_rest(wish)
    # The program falls here: the old rest is whole in the store, and what is due is still due.
    again = resume(store, None, recorder.session.id)
    old = waiting(store, recorder)
    assert old == list(expected.waited)
    assert plan_anew(store, again, WHEN) == expected.changes
    assert waiting(store, recorder) == list(expected.balls)


def test_the_players_own_ball_gets_its_target_and_survives(store: Store) -> None:
    recorder = begun(store)
    recorder.line("101", WHEN)
    number = waiting(store, recorder)[0].number
    others = waiting(store, recorder)[1:]
    kept = recorder.line("instead 9 iron, 1 in, half: knee hurts", WHEN)
    assert kept.ball is not None
    assert kept.ball.ball.override == "knee hurts"
    assert plan_anew(store, recorder, WHEN) == ()
    own = waiting(store, recorder)[0]
    assert (own.number, own.cell, own.override) == (number, Cell("9 iron", 0.0254, Swing.HALF), "knee hurts")
    assert own.target_m is not None
    assert 40 < own.target_m < 110
    assert "knee hurts" in own.reason
    assert waiting(store, recorder)[1:] == others
    recorder.line("wind calm", WHEN)
    plan_anew(store, recorder, WHEN)
    calm = waiting(store, recorder)[0]
    assert (calm.cell, calm.override, calm.number) == (own.cell, "knee hurts", number)
    assert plan_anew(store, resume(store, None, recorder.session.id), WHEN) == ()


def test_a_ball_taken_back_in_the_middle_keeps_its_number(store: Store) -> None:
    recorder = begun(store)
    first = recorder.line("101", WHEN).shot
    recorder.line("102", WHEN)
    assert first is not None
    store.undo_shot(first.id, WHEN)
    numbers = [ball.number for ball in waiting(store, recorder)]
    assert numbers[1] - numbers[0] == 2
    recorder.line("wind 10mph 6h", WHEN)
    assert plan_anew(store, recorder, WHEN)
    assert [ball.number for ball in waiting(store, recorder)] == numbers


@pytest.mark.parametrize("text", ["instead 7 iron: why", "skip why"])
def test_without_a_ball_to_come_nothing_can_be_changed(store: Store, text: str) -> None:
    recorder = begin(store, None, wind(), WHEN)
    with pytest.raises(InputError, match="no ball waits"):
        recorder.line(text, WHEN)
    assert rest_wish(store, recorder, WHEN) is None


def test_a_ball_is_changed_to_one_of_the_bag_that_is_another(store: Store) -> None:
    recorder = begun(store)
    with pytest.raises(InputError):
        recorder.line("instead 1 wood: fun", WHEN)
    ball = waiting(store, recorder)[0]
    assert ball.stage == "warm-up"  # what is refused passes no ball over
    recorder.line("101", WHEN)
    cell = waiting(store, recorder)[0].cell
    text = f"{cell.club}, {cell.grip_down_m} m, {cell.swing}"
    with pytest.raises(InputError, match="already"):
        recorder.line(f"instead {text}: fun", WHEN)


def test_a_junior_does_not_choose_more_than_an_inch(store: Store) -> None:
    store.save_profile(replace(a_profile(), age_band=AgeBand.FROM_11), WHEN)
    recorder = begun(store)
    with pytest.raises(InputError, match="inch"):
        recorder.line("instead 7 iron, 2 in: I want to", WHEN)


def test_five_balls_left_stay_the_five_that_were_kept(store: Store) -> None:
    recorder = begun(store)
    recorder.line("101", WHEN)
    live = LiveSession(store, recorder, lambda _: ())
    live.five_left()
    five = waiting(store, recorder)
    recorder.line("wind calm", WHEN)
    assert plan_anew(store, recorder, WHEN) == ()
    assert waiting(store, recorder) == five


def test_a_gale_stops_the_session_and_no_sum_is_needed(store: Store) -> None:
    recorder = begun(store)
    recorder.line("101", WHEN)
    before = waiting(store, recorder)
    recorder.line("wind 40mph 12h gust 50mph", WHEN)
    changes = plan_anew(store, recorder, WHEN)
    assert "no session" in changes[0]
    assert "facility" in changes[0]
    assert waiting(store, recorder) == before
    assert plan_anew(store, recorder, WHEN) == ()


def test_what_changed_is_said_in_two_lines() -> None:
    assert changes_in_short(()) == ""
    assert changes_in_short(["a"]) == "a"
    assert changes_in_short(["a", "b", "c", "d"]).splitlines() == ["a", "b; and 2 more"]


events = st.lists(
    st.sampled_from(
        ("block", "wind calm", "wind 9mph 12h", "wind 14mph 6h", "wind 8mph 3h", "instead 9 iron: knee", "skip tired")
    ),
    min_size=1,
    max_size=4,
)


def played(folder: Path, name: str, lines: list[str], stated: StatedConditions, band: AgeBand | None) -> None:
    """Play `lines` and hold every limit after each of them."""
    with open_store(folder / name, write=True) as store:
        store.save_profile(replace(a_profile(), age_band=band), WHEN - timedelta(days=1))
        recorder = begun(store, "grip-down-gapping", stated, 40)
        basis = read_basis(store.agenda_basis(recorder.session.id) or "")
        assert basis is not None
        budget = len(store.agenda(recorder.session.id))
        for text in lines:
            if not waiting(store, recorder):
                break
            if text == "block":
                hit_to_the_end_of_a_block(store, recorder)
                plan_anew(store, recorder, WHEN)
                continue
            if text.startswith("wind") and not recorder.shots_in_this_wind:
                recorder.line("101", WHEN)  # between two winds from opposite sides lies a ball
            ball = recorder.next_ball()
            if text.startswith("instead") and (ball is None or ball.ball.cell == Cell("9 iron")):
                continue
            if text.startswith("wind") or ball is not None:
                recorder.line(text, WHEN)
            plan_anew(store, recorder, WHEN)
            hold_limits(store, recorder, budget, band)


def hold_limits(store: Store, recorder: Recorder, budget: int, band: AgeBand | None) -> None:
    agenda = store.agenda(recorder.session.id)
    assert len(agenda) <= budget
    assert all(each.ball.reason for each in agenda)
    assert recorder.reading is not None
    blowing = recorder.reading.wind
    for ball in waiting(store, recorder):
        gate = drill_named(ball.drill).wind
        flag = 0.0 if ball.flag is None else recorder.profile.flag(ball.flag).bearing_rad
        assert gate is None or not gate.unmet(blowing.turned(flag), UnitChoice()), (ball.drill, blowing)
    low = sum(each.ball.cell.swing is not Swing.FULL for each in agenda if each.state is not BallState.SKIPPED)
    warmed = [each for each in done(store, recorder) if each.ball.stage == "warm-up"]
    low += sum(each.ball.cell.swing is not Swing.FULL for each in warmed)
    if recorder.stated.surface is Surface.MAT:
        assert low <= DEFAULT_LIMITS.hard_ground_low_balls
    if band is not None and band.is_junior:
        assert len(agenda) <= MOST_BALLS[band]
        own = [each for each in agenda if not each.ball.override]
        assert max(each.ball.cell.grip_down_m for each in own) <= JUNIOR_MOST_GRIP_M
        mixed = sum(each.ball.stage in ("mix", "test") for each in agenda)
        assert mixed <= JUNIOR_MIX_SHARE * len(agenda)


EVENING = settings(
    deadline=None,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),  # an evening takes seconds: a failure is shown as it came
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
any_evening = given(
    events,
    st.sampled_from((Surface.GRASS, Surface.MAT)),
    st.sampled_from((None, AgeBand.FROM_11, AgeBand.FROM_16)),
)


def play_and_check(tmp_path: Path, lines: list[str], surface: Surface, band: AgeBand | None) -> None:
    """An evening in a store of its own; `played` holds it to its limits after every line."""
    name = f"{len(list(tmp_path.iterdir()))}.db"
    played(tmp_path, name, lines, replace(wind(), surface=surface), band)


@settings(EVENING, max_examples=2)
@any_evening
def test_budget_gates_and_limits_hold_however_the_evening_goes(
    tmp_path: Path, lines: list[str], surface: Surface, band: AgeBand | None
) -> None:
    play_and_check(tmp_path, lines, surface, band)


@pytest.mark.proof
@settings(EVENING, max_examples=60)
@any_evening
def test_they_hold_on_sixty_evenings(
    tmp_path: Path, lines: list[str], surface: Surface, band: AgeBand | None
) -> None:
    play_and_check(tmp_path, lines, surface, band)


def test_the_rest_is_planned_in_the_sessions_own_wind_on_the_day_after_too(store: Store) -> None:
    recorder = begun(store)
    for text in ("101", "wind 9mph 12h"):
        recorder.line(text, WHEN)
    wish = rest_wish(store, recorder, WHEN + timedelta(hours=14))
    assert wish is not None
    conditions, reading = todays_conditions(wish.history, wish.stated, wish.as_of)
    assert conditions.wind == wish.wind == wind("9mph 12h").wind
    assert reading == recorder.reading
