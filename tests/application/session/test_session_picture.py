"""What a running session draws and says: the carry, its balls, the block's aim and end, own calls."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.tui.helpers import a_profile
from trainer.application.conditions.stated import StatedConditions
from trainer.application.practice import Practice
from trainer.application.session.live_figures import FiguresWish, LiveFigures
from trainer.application.session.session_picture import Steps
from trainer.application.views.practice import SessionView
from trainer.application.views.session_pictures import SessionPicture
from trainer.core.units import UnitChoice
from trainer.exchange.wind_text import parse_wind
from trainer.store.store import open_store

WHEN = datetime(2026, 5, 14, 18, 30)
PLAN = "first-windy-evening"
SAYS = """
format = 1
id = "says"
title = "Says"
level = "club"
balls = 14
minutes = 30
[[block]]
drill = "warm-up"
clubs = ["9 iron"]
balls = 2
[[block]]
drill = "say it first"
clubs = ["7 iron"]
balls = 4
aim = { measure = "guess error", at_most = "5 yd" }
[[block]]
drill = "read the wind"
clubs = ["7 iron"]
balls = 3
aim = { measure = "mean error", at_most = "20 %" }
"""


class Evening:
    """A session on screen and its sums, a ball at a time."""

    def __init__(self, practice: Practice, view: SessionView) -> None:
        self.practice = practice
        self.view = view
        self.now = WHEN
        self.sums = LiveFigures()
        self.picture = self.shown()

    def say(self, text: str) -> SessionPicture:
        self.now += timedelta(seconds=30)
        self.view = self.practice.live.record(text, self.now)
        self.picture = self.shown()
        return self.picture

    def wish(self) -> FiguresWish:
        wish = self.practice.figures_wish(self.view.version, self.now)
        assert wish is not None
        return wish

    def shown(self) -> SessionPicture:
        picture = self.sums.work_out(self.wish()).picture
        assert picture is not None
        return picture


@pytest.fixture
def practice(tmp_path: Path) -> Iterator[Practice]:
    with open_store(tmp_path / "t.db", write=True) as store:
        store.save_profile(a_profile(), WHEN - timedelta(days=1))
    (tmp_path / "plans").mkdir()
    (tmp_path / "plans" / "says.toml").write_text(SAYS, encoding="utf-8")
    opened = Practice(tmp_path / "t.db")
    yield opened
    opened.close()


def drill_of(evening: Evening) -> str:
    ball = evening.view.ball
    return "" if ball is None else ball.drill


def begun(practice: Practice, plan: str) -> Evening:
    practice.begin_with(plan, StatedConditions(wind=parse_wind("14mph 1h", UnitChoice())), WHEN)
    view = practice.live.view()
    while view.ball is not None and view.ball.warm_up:
        view = practice.live.warm()
    return Evening(practice, view)


def test_the_carry_moves_with_a_ball_and_the_ball_is_a_tick(practice: Practice) -> None:
    evening = begun(practice, PLAN)
    first = evening.picture.carry
    assert first is not None
    assert first.before_ball is None
    assert first.balls == ()
    assert evening.picture.pattern is None
    short = evening.say("101 4L").carry
    assert short is not None
    assert short.before_ball is not None
    # One short ball: now lies nearer than before it, and before it is before the first.
    assert short.now.bar.middle < short.before_ball.middle
    assert short.before_ball.middle == pytest.approx(short.before_first.middle, abs=0.02)
    assert [ball.newest for ball in short.balls] == [True]
    assert short.target is not None
    assert short.balls[0].at < short.target
    pattern = evening.picture.pattern
    assert pattern is not None
    assert pattern.target is not None
    assert pattern.points[0].away < pattern.target
    assert pattern.points[0].across < pattern.line
    again = evening.say("118 3R x").carry
    assert again is not None
    assert [(ball.newest, ball.mishit) for ball in again.balls] == [(False, False), (True, True)]


def test_a_ball_taken_back_leaves_nothing_before_the_ball(practice: Practice) -> None:
    evening = begun(practice, PLAN)
    evening.say("110")
    evening.view = practice.live.undo(None, evening.now)
    carry = evening.shown().carry
    assert carry is not None
    assert carry.before_ball is None
    assert carry.balls == ()


def test_a_block_that_ends_says_once_what_it_changed(practice: Practice) -> None:
    evening = begun(practice, PLAN)
    drill = drill_of(evening)
    ends = []
    while drill_of(evening) == drill:
        ends.append(evening.say("117 2R").ended)
    assert ends[:-1] == [None] * (len(ends) - 1)
    end = ends[-1]
    assert end is not None
    assert not end.test
    assert 1 <= len(end.lines) <= 3
    assert "7 iron, 1 in, 3/4: " in end.lines[0]
    assert "→" in end.lines[0]
    assert evening.shown().ended == end
    assert evening.say("113").ended is None


def test_the_end_of_a_block_is_the_same_after_going_on(practice: Practice) -> None:
    evening = begun(practice, PLAN)
    drill = drill_of(evening)
    while drill_of(evening) == drill:
        evening.say("117 2R")
    end = evening.picture.ended
    session_id = evening.view.session_id
    practice.close()
    view = practice.resume(session_id)
    other = Evening(practice, view)
    other.now = evening.now
    assert end is not None
    assert other.picture.ended is not None
    assert other.picture.ended.key == end.key
    # Other draws, so the same to within a yard or so: the words of the shot and its verdict agree.
    assert other.picture.ended.lines[0].split(":")[0] == end.lines[0].split(":")[0]
    assert other.picture.ended.lines[0].rpartition(";")[2] == end.lines[0].rpartition(";")[2]


def test_the_aim_of_a_block_is_the_plans_and_counts_its_balls(practice: Practice) -> None:
    evening = begun(practice, "says")
    assert evening.picture.aim == "Aim of say it first: guess error at most 5 yd"
    assert "say the carry before each ball" in evening.picture.reached[0]
    for _ in range(2):
        evening.say("say 140")
        evening.say("141")
    assert "2 balls so far" in evening.picture.reached[0]
    assert "cannot tell yet" in evening.picture.reached[0]


def test_a_carry_is_asked_for_before_each_ball_and_told_after(practice: Practice) -> None:
    evening = begun(practice, "says")
    assert evening.view.asks == "say"
    evening.say("say 140")
    assert evening.view.asks == ""
    evening.say("134 2L")
    assert "you said 140 yd: it went 6 yd shorter" in evening.view.said
    assert evening.view.shots[0].marks == "you said 140"
    assert evening.picture.calls == ("1: you said 140 yd: it went 6 yd shorter",)
    assert evening.view.asks == "say"
    # The ball is taken back: what was said of it waits for the next.
    evening.view = practice.live.undo(None, evening.now)
    assert evening.view.asks == ""


def test_the_wind_is_hidden_until_it_is_guessed_and_then_read(practice: Practice) -> None:
    evening = begun(practice, "says")
    for _ in range(4):
        evening.say("say 140")
        evening.say("140")
    assert evening.view.ball is not None
    assert evening.view.ball.drill == "read the wind"
    assert evening.view.asks == "guess"
    assert not evening.view.wind.known
    assert evening.view.wind.costs == ()
    assert "14" not in evening.view.wind.speed
    evening.say("guess 10mph 12h")
    assert evening.view.asks == "wind"
    assert evening.view.wind.known
    evening.say("wind 14mph 1h")
    assert "you guessed 10 mph from 12h: 4 mph too little, 30° off" in evening.view.said
    assert evening.view.asks == ""
    evening.say("131")
    assert evening.view.asks == "guess"
    assert not evening.view.wind.known


def test_nothing_of_a_balls_end_is_told_in_a_test(practice: Practice) -> None:
    evening = begun(practice, PLAN)
    evening.view = practice.live.five_left()
    evening.say("112 3R")
    assert evening.view.testing
    assert evening.view.shots[0].hidden
    assert evening.view.heard == ""
    assert "112" not in evening.view.said
    for change in (practice.live.toggle_mishit, practice.live.undo):
        assert "112" not in change(None, evening.now).said
    evening.say("112 3R")
    for _ in range(4):
        evening.say("111 1L")
    assert evening.view.finished
    assert not any(row.hidden for row in evening.view.shots)
    assert "111" in evening.view.said
    assert evening.picture.ended is not None


def test_steps_forget_the_ball_before_where_nobody_looked(practice: Practice) -> None:
    evening = begun(practice, PLAN)
    wish = evening.wish()
    known = evening.sums._now
    assert known is not None
    steps = Steps()
    steps.take(wish.session_id, wish.history, wish.evening, known, known)
    assert steps.before_ball is None
    for text in ("110", "112"):
        practice.live.record(text, evening.now)
    two = evening.wish()
    steps.take(two.session_id, two.history, two.evening, known, known)
    assert steps.before_ball is None
    practice.live.record("114", evening.now)
    three = evening.wish()
    steps.take(three.session_id, three.history, three.evening, known, known)
    assert steps.before_ball is known
