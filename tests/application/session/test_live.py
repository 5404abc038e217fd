"""A session kept change by change: what the view says is what the store holds, now and after going on with it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.tui.helpers import a_profile
from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.snapshot import todays_conditions
from trainer.application.practice import Practice
from trainer.application.session.live import FINISH_BALLS, WIND_CHECK_EVERY
from trainer.application.session.live_figures import LiveFigures
from trainer.application.session.replanning import plan_rest
from trainer.application.session.typed_check import check_line
from trainer.core.conditions import Ball, ReadingMethod, Seen, Surface
from trainer.core.errors import InputError
from trainer.core.units import UnitChoice, to_si
from trainer.exchange.wind_text import parse_wind
from trainer.store.records import BallState
from trainer.store.store import open_store

WHEN = datetime(2026, 5, 14, 18, 30)
LATER = WHEN + timedelta(minutes=20)
PLAN = "first-windy-evening"


def wind(text: str = "14mph 1h") -> StatedConditions:
    return StatedConditions(wind=parse_wind(text, UnitChoice()))


@pytest.fixture
def practice(tmp_path: Path) -> Iterator[Practice]:
    with open_store(tmp_path / "t.db", write=True) as store:
        store.save_profile(a_profile(), WHEN - timedelta(days=1))
    opened = Practice(tmp_path / "t.db")
    yield opened
    opened.close()


def warm(practice: Practice) -> None:
    view = practice.live.view()
    while view.ball is not None and view.ball.warm_up:
        view = practice.live.warm()


def test_the_warm_up_is_hit_shot_by_shot_and_not_recorded(practice: Practice) -> None:
    view = practice.begin_with(PLAN, wind(), WHEN)
    cells = []
    while view.ball is not None and view.ball.warm_up:
        cells.append((view.ball.club, view.ball.swing))
        left = view.left
        view = practice.live.warm()
        assert view.left < left
    assert len(cells) == len(set(cells))
    assert view.hit == view.skipped == 0
    with pytest.raises(InputError):
        practice.live.warm()


def test_going_on_shows_the_same_as_before(practice: Practice) -> None:
    stated = StatedConditions(
        wind=wind().wind, ball=Ball.RANGE, surface=Surface.MAT, seen=Seen.LASER, temperature_k=to_si(9, "C")
    )
    practice.begin_with(PLAN, stated, WHEN)
    warm(practice)
    for text in ("101 3L", "99", "z4", "wind 10mph 3h", "104 x"):
        practice.live.record(text, WHEN)
    practice.live.correct(practice.live.view().shots[1].id, "z6", WHEN)
    practice.live.skip("tired")
    before = practice.live.view()
    session_id = before.session_id
    practice.close()
    after = practice.resume(session_id)
    for name in ("ball", "balls", "left", "hit", "skipped", "shots", "wind", "title", "started_at"):
        assert getattr(after, name) == getattr(before, name), name
    practice.live.record("102", LATER)
    with open_store(practice.path, write=False) as store:
        last = store.shots()[-1]
    assert (last.ball, last.surface, last.seen) == (Ball.RANGE, Surface.MAT, Seen.LASER)
    assert last.reading_id is not None


def test_only_the_players_own_session_can_be_gone_on_with(practice: Practice) -> None:
    with open_store(practice.path, write=True) as store:
        store.save_profile(a_profile("Other"), WHEN)
    mine = Practice(practice.path, "Tester")
    session_id = mine.begin_with(None, wind(), WHEN).session_id
    mine.close()
    other = Practice(practice.path, "Other")
    with pytest.raises(InputError):
        other.resume(session_id)
    other.close()


def test_a_wind_typed_again_before_a_ball_corrects_the_reading(practice: Practice) -> None:
    practice.begin_with(None, wind("14mph 7h"), WHEN)
    view = practice.live.record("wind 14mph 1h", WHEN)
    assert view.wind.direction.startswith("into")
    practice.live.record("7 iron: 140", WHEN)
    practice.live.record("wind 9mph 6h", WHEN)
    with open_store(practice.path, write=False) as store:
        readings = store.readings()
        assert len(readings) == 2
        assert len(store.reading_revisions(readings[0].id)) == 1


def test_the_wind_is_to_be_looked_at_every_six_balls_of_one_reading(practice: Practice) -> None:
    practice.begin_with(None, wind(), WHEN)
    asked = [practice.live.record(f"7 iron: {140 + n}", WHEN).ask_wind for n in range(2 * WIND_CHECK_EVERY)]
    assert [n + 1 for n, due in enumerate(asked) if due] == [WIND_CHECK_EVERY, 2 * WIND_CHECK_EVERY]
    assert not practice.live.same_wind().ask_wind
    practice.live.record("wind 12mph 1h", WHEN)
    assert not practice.live.record("7 iron: 140", WHEN).ask_wind


@pytest.mark.parametrize(("more", "mph"), [(True, 18), (False, 10)])
def test_more_and_less_are_readings_by_feel_from_the_same_side(practice: Practice, more: bool, mph: int) -> None:
    practice.begin_with(None, wind("14mph 40deg gust 25mph"), WHEN)
    practice.live.change_wind(more=more, at=WHEN)
    with open_store(practice.path, write=False) as store:
        first, second = store.readings()
    assert second.wind.speed_mps == pytest.approx(to_si(mph, "mph"))
    assert second.wind.from_rad == first.wind.from_rad
    assert second.wind.method is ReadingMethod.FELT
    assert second.wind.gust_mps == first.wind.gust_mps


def test_a_calm_has_no_more_or_less(practice: Practice) -> None:
    practice.begin_with(None, wind("calm"), WHEN)
    with pytest.raises(InputError):
        practice.live.change_wind(more=True, at=WHEN)


def test_five_left_keeps_five_for_a_test_and_says_why_the_others_went(practice: Practice) -> None:
    practice.begin_with(PLAN, wind(), WHEN)
    warm(practice)
    practice.live.record("101", WHEN)
    view = practice.live.five_left()
    assert view.left == FINISH_BALLS
    with open_store(practice.path, write=False) as store:
        agenda = store.agenda(view.session_id)
    waiting = [ball for ball in agenda if ball.state is BallState.WAITING]
    assert all(ball.ball.stage == "test" for ball in waiting)
    dropped = [ball for ball in agenda if ball.skip_reason == "five balls left"]
    assert len(dropped) + len(waiting) + 1 == len([ball for ball in agenda if "warm-up" not in ball.skip_reason])
    again = practice.live.five_left()
    assert again.left == FINISH_BALLS


def test_a_mishit_mark_goes_on_and_off_but_never_leaves_a_ball_unsaid(practice: Practice) -> None:
    practice.begin_with(None, wind(), WHEN)
    practice.live.record("7 iron: 142", WHEN)
    assert practice.live.toggle_mishit(None, WHEN).shots[0].words == "142 x"
    with open_store(practice.path, write=False) as store:
        assert store.shots()[0].entry.mishit
    practice.live.toggle_mishit(None, WHEN)
    practice.live.record("7 iron: x", WHEN)
    with pytest.raises(InputError):
        practice.live.toggle_mishit(None, WHEN)


def test_a_skip_needs_a_reason_and_control_characters_do_not_get_in(practice: Practice) -> None:
    practice.begin_with(PLAN, wind(), WHEN)
    warm(practice)
    with pytest.raises(InputError):
        practice.live.skip("   ")
    practice.live.skip("too\x1b[31m windy\x07")
    with open_store(practice.path, write=False) as store:
        reasons = [ball.skip_reason for ball in store.agenda(1) if "windy" in ball.skip_reason]
    assert len(reasons) == 1
    assert reasons[0].isprintable()


def test_a_shot_of_another_session_is_not_touched(practice: Practice) -> None:
    practice.begin_with(None, wind(), WHEN)
    old = practice.live.record("7 iron: 140", WHEN).shots[0].id
    practice.begin_with(None, wind(), LATER)
    practice.live.record("7 iron: 150", LATER)
    with pytest.raises(InputError):
        practice.live.undo(old, LATER)
    with pytest.raises(InputError):
        practice.live.correct(old, "120", LATER)


def test_a_flag_moved_in_the_session_is_aimed_at_where_it_is_now(practice: Practice) -> None:
    practice.begin_with(None, wind(), WHEN)
    practice.live.record("flag green 120yd 10deg", WHEN)
    practice.live.record("7 iron: green-5", WHEN)
    with open_store(practice.path, write=False) as store:
        shot = store.shots()[0]
    assert shot.entry.carry_m == pytest.approx(to_si(115, "yd"))
    assert shot.target_bearing_rad == pytest.approx(to_si(10, "deg"))


def test_nothing_runs_before_it_is_begun(practice: Practice) -> None:
    with pytest.raises(InputError):
        practice.live.view()
    assert practice.figures_wish(1, WHEN) is None


def test_another_shot_by_the_players_wish_shows_at_once_and_gets_its_target(practice: Practice) -> None:
    practice.begin_with(PLAN, wind(), WHEN)
    warm(practice)
    view = practice.live.record("instead 9 iron, half: knee hurts", WHEN)
    assert view.ball is not None
    assert (view.ball.club, view.ball.distance) == ("9 iron", "")
    assert "knee hurts" in view.said
    wish = practice.rest_wish(WHEN)
    assert wish is not None
    after = practice.keep_rest(plan_rest(wish))
    assert after is not None
    assert after.ball is not None
    assert after.ball.club == "9 iron"
    assert 50 < float(after.ball.distance) < 120
    assert practice.rest_wish(WHEN) is None


def test_a_call_is_kept_with_its_ball_and_stands_after_going_on(practice: Practice) -> None:
    practice.begin_with(PLAN, wind(), WHEN)
    warm(practice)
    version, session_id = practice.live.version, practice.live.session_id
    wish = practice.figures_wish(version, WHEN)
    assert wish is not None
    called = LiveFigures().work_out(wish).called
    assert called is not None
    assert practice.keep_call(session_id, version - 1, called) is None
    kept = practice.keep_call(session_id, version, called)
    assert kept is not None
    ball = practice.live.view().ball
    assert ball is not None
    assert kept == (ball.number, ball.called)
    assert "8 in 10" in ball.called
    practice.close()
    back = practice.resume(session_id)
    assert back.ball == ball
    practice.live.record("101", LATER)
    with open_store(practice.path, write=False) as store:
        (shot,) = store.shots()
        hit = next(each.ball for each in store.agenda(session_id) if each.number == ball.number)
    assert shot.called_80_m == (called.low80_m, called.high80_m) == hit.called_80_m
    assert shot.called_50_m == (called.low50_m, called.high50_m) == hit.called_50_m


def test_another_wind_takes_the_call_away(practice: Practice) -> None:
    view = practice.begin_with(PLAN, wind(), WHEN)
    warm(practice)
    wish = practice.figures_wish(practice.live.version, WHEN)
    assert wish is not None
    called = LiveFigures().work_out(wish).called
    assert called is not None
    practice.keep_call(view.session_id, practice.live.version, called)
    after = practice.live.record("wind 10mph 12h", WHEN)
    assert after.ball is not None
    assert after.ball.called == ""


def test_thunder_is_kept_through_going_on_and_each_one_begins_the_wait_anew(practice: Practice) -> None:
    practice.begin_with(None, wind(), WHEN)
    assert practice.live.view().thunder_at is None
    assert practice.live.hear_thunder(WHEN).thunder_at == WHEN
    practice.live.record("thunder", LATER)
    session_id = practice.live.session_id
    practice.close()
    assert practice.resume(session_id).thunder_at == LATER
    assert practice.live.take_thunder_back().thunder_at == WHEN
    assert practice.live.take_thunder_back().thunder_at is None
    with pytest.raises(InputError):
        practice.live.take_thunder_back()


def test_what_is_due_stands_on_the_day(practice: Practice) -> None:
    today = practice.today(WHEN)
    assert today is not None
    assert today.due == ""
    practice.begin_with("low-shot-weeks-1", wind(), WHEN)
    warm(practice)
    practice.live.record("101", WHEN)
    later = practice.finish(WHEN + timedelta(days=9))
    assert later is not None
    assert "overdue" in later.due
    assert "(2 of 3)" in later.due
    row = next(plan for plan in later.plans if plan.id == "low-shot-weeks-2")
    assert "overdue since 21 May" in row.detail


def test_a_wind_past_the_limits_is_answered_by_what_it_calls_for(practice: Practice) -> None:
    practice.begin_with(None, wind(), WHEN)
    assert "facility" not in practice.live.record("7 iron: 140", WHEN).said
    assert "facility" not in practice.live.record("wind 14mph 1h", WHEN).said
    assert "no session" in practice.live.record("wind 20mph 1h gust 40mph", WHEN).said


def test_a_session_that_runs_past_midnight_keeps_its_wind(practice: Practice) -> None:
    late = WHEN.replace(hour=23, minute=50)
    session_id = practice.begin_with(None, wind(), late).session_id
    practice.live.record("7 iron: 140", late)
    practice.close()
    after_midnight = late + timedelta(minutes=30)
    view = practice.resume(session_id, after_midnight)
    wish = practice.figures_wish(view.version, after_midnight)
    assert wish is not None
    conditions, reading = todays_conditions(wish.history, wish.stated, wish.as_of)
    assert conditions.wind == wind().wind
    assert reading is not None


def test_the_next_ball_is_called_as_it_will_be_seen(practice: Practice) -> None:
    view = practice.begin_with(PLAN, replace(wind(), seen=Seen.LASER), WHEN)
    wish = practice.figures_wish(view.version, WHEN)
    assert wish is not None
    assert wish.ball is not None
    assert wish.ball.seen is Seen.LASER


def test_a_guess_is_not_held_against_a_wind_that_is_not_known(practice: Practice) -> None:
    practice.begin_with(None, wind(), WHEN)
    practice.live.record("7 iron: 140", WHEN)
    practice.live.record("guess 10mph 3h", WHEN)
    assert "too much" not in practice.live.record("wind unknown", WHEN).said


@pytest.mark.parametrize("text", ["wind calm", "wind unknown"])
def test_a_wind_that_does_not_blow_is_told_without_the_word_twice(practice: Practice, text: str) -> None:
    practice.begin_with(None, wind(), WHEN)
    kept = practice.live.record(text, WHEN).said
    for said in (kept, check_line(text, a_profile()).words):
        assert said.count("wind") == 1
