"""A session kept change by change: what the view says is what the store holds, now and after going on with it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.tui.helpers import a_profile
from trainer.application.conditions import StatedConditions
from trainer.application.live import FINISH_BALLS, WIND_CHECK_EVERY
from trainer.application.practice import Practice
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
