"""An evening that changes, on the screen: another wind, the player's own ball, thunder, where a ball is called."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.cli.program import Program
from tests.tui.helpers import (
    Clock,
    a_profile,
    begun,
    day_is_shown,
    keep_player,
    line,
    pressed,
    running,
    settled,
    stored_sessions,
    stored_shots,
    typed,
    until,
    warmed_up,
    words,
)
from trainer.application.session.thunder import may_go_on_at
from trainer.store.records import BallState, NewBall
from trainer.store.store import open_store
from trainer.tui.app import TrainerApp
from trainer.tui.screens.session import SessionScreen
from trainer.tui.screens.skip import RestScreen
from trainer.tui.screens.thunder import ThunderScreen

PLAN = "club-down-ladder-night"


def agenda(path: Path) -> list[tuple[int, str, object, float | None, str, str, str, BallState]]:
    """The balls of the only session with all that is to be the same on every way to it."""
    with open_store(path, write=False) as store:
        (one,) = store.sessions(store.player().id)
        balls = [(record, record.ball) for record in store.agenda(one.id)]
    return [
        (b.number, b.drill, b.cell, b.target_m, b.stage, b.reason, b.override, record.state) for record, b in balls
    ]


def next_stored(path: Path) -> NewBall:
    with open_store(path, write=False) as store:
        ball = store.next_ball(stored_sessions(path)[-1].id)
    assert ball is not None
    return ball.ball


async def test_another_wind_plans_the_rest_anew_and_says_what_changed(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        left = screen.view.left
        await typed(screen, pilot, "101")
        await typed(screen, pilot, "wind calm")
        await until(pilot, lambda: "swapped" in words(app, "#heard"), "what changed")
        assert len(screen.view.said.splitlines()) <= 2
        assert screen.view.left == left - 1
        assert screen.view.ball is not None
        assert screen.view.ball.drill != "club-down ladder"
        assert next_stored(path).drill == screen.view.ball.drill


FEW = ("101", "wind calm", "instead 9 iron, half: knee hurts", "80", "skip too far")
MANY = ("101", "wind 9mph 5h", "103", "instead 9 iron, half: knee hurts", "80", "skip too far", "wind calm", "99")


@pytest.mark.parametrize("lines", [FEW, pytest.param(MANY, marks=pytest.mark.proof)], ids=["few", "many"])
async def test_typed_lines_and_the_screen_come_to_the_same_balls(tmp_path: Path, lines: tuple[str, ...]) -> None:
    shown, headless = tmp_path / "shown" / "t.db", tmp_path / "headless" / "t.db"
    for path in (shown, headless):
        path.parent.mkdir()
        keep_player(path)
    async with running(shown) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        for text in lines:
            await typed(screen, pilot, text)
            await settled(app, pilot)
    options = ("--plan", PLAN, "--wind", "14mph", "--wind-from", "1h", "--when", "2026-05-14T18:31")
    Program(headless).lines(*lines, options=options)
    assert agenda(shown) == agenda(headless)


async def test_a_line_on_its_way_is_not_lost_when_the_rest_is_planned_anew(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        await typed(screen, pilot, "101")
        await typed(screen, pilot, "wind calm")
        line(app).put("10")
        await until(pilot, lambda: "swapped" in words(app, "#heard"), "what changed")
        assert line(app).value == "10"
        await pressed(screen, pilot, "5", "enter")
        assert len(stored_shots(path)) == 2


async def test_one_key_begins_the_players_own_ball(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        await pilot.press("escape", "i")
        await pilot.pause()
        assert line(app).value == "instead "
        await typed(screen, pilot, "instead 9 iron, half: knee hurts")
        await settled(app, pilot)
        ball = screen.view.ball
        assert ball is not None
        assert (ball.club, ball.swing.split()[0]) == ("9 iron", "half")
        assert ball.distance
        stored = next_stored(path)
        assert (stored.override, stored.cell.club) == ("knee hurts", "9 iron")
        assert stored.target_m is not None
        assert "knee hurts" in ball.reason


async def test_a_refused_change_stays_in_the_line(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        await settled(app, pilot)
        before = next_stored(path)
        line(app).put("instead 9 iron")
        await pilot.press("enter")
        await until(pilot, lambda: "not kept" in words(app, "#heard"))
        assert line(app).value == "instead 9 iron"
        assert next_stored(path) == before


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
async def test_where_a_ball_is_called_to_land_stands_there_before_it_is_hit(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path, size=size) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        await until(pilot, lambda: "8 in 10" in words(app, "#ball"), "the call")
        await settled(app, pilot)
        assert not stored_shots(path)
        stored = next_stored(path)
        assert stored.called_80_m is not None
        low, high = (round(end_m / 0.9144) for end_m in stored.called_80_m)
        assert f"{low}–{high} yd" in words(app, "#ball")
        await typed(screen, pilot, "101")
        (shot,) = stored_shots(path)
        assert (shot.called_50_m, shot.called_80_m) == (stored.called_50_m, stored.called_80_m)


async def thundered(path: Path, clock: Clock, app: TrainerApp, pilot: Pilot[None]) -> SessionScreen:
    screen = await begun(app, pilot, plan=PLAN)
    await warmed_up(screen, pilot)
    await pilot.press("escape", "l")
    await until(pilot, lambda: isinstance(app.screen, ThunderScreen), "the wait")
    return screen


async def test_thunder_stops_the_session_until_half_an_hour_after_the_last(tmp_path: Path) -> None:
    path, clock = tmp_path / "t.db", Clock()
    keep_player(path)
    async with running(path, clock=clock) as (app, pilot):
        screen = await thundered(path, clock, app, pilot)
        heard_at = screen.view.thunder_at
        assert heard_at is not None
        said = words(app, "#thunder")
        assert f"{may_go_on_at(heard_at):%H:%M}" in said
        assert "facility" in said
        assert "Local rules" in said
        await pilot.press("5", "enter", "escape")
        await pilot.pause()
        assert isinstance(app.screen, ThunderScreen)
        assert not stored_shots(path)
        clock.now = heard_at + timedelta(minutes=25)
        await pilot.press("l")
        await until(pilot, lambda: screen.view.thunder_at != heard_at, "the second thunder")
        await until(pilot, lambda: isinstance(app.screen, ThunderScreen), "the wait anew")
        second = screen.view.thunder_at
        assert second is not None
        clock.now = heard_at + timedelta(minutes=31)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, ThunderScreen)
        clock.now = second + timedelta(minutes=30)
        await pilot.press("enter")
        await until(pilot, lambda: app.screen is screen, "on again")
        await pressed(screen, pilot, "5")
        assert len(stored_shots(path)) == 1


async def test_the_wait_goes_on_after_leaving_and_ends_by_the_clock(tmp_path: Path) -> None:
    path, clock = tmp_path / "t.db", Clock()
    keep_player(path)
    async with running(path, clock=clock) as (app, pilot):
        await thundered(path, clock, app, pilot)
        await pilot.press("ctrl+q")
    for later, waits in ((clock.now + timedelta(minutes=20), True), (clock.now + timedelta(minutes=31), False)):
        async with running(path, clock=Clock(later)) as (app, pilot):
            await back_in_the_session(app, pilot)
            await settled(app, pilot)
            assert isinstance(app.screen, ThunderScreen) is waits
            await pilot.press("ctrl+q")


async def back_in_the_session(app: TrainerApp, pilot: Pilot[None]) -> None:
    await day_is_shown(app, pilot)
    await pilot.press("enter")
    await until(
        pilot,
        lambda: any(isinstance(screen, SessionScreen) and screen.view.version >= 2 for screen in app.screen_stack),
        "the session",
    )


async def test_what_was_no_thunder_is_taken_back(tmp_path: Path) -> None:
    path, clock = tmp_path / "t.db", Clock()
    keep_player(path)
    async with running(path, clock=clock) as (app, pilot):
        screen = await thundered(path, clock, app, pilot)
        await pilot.press("n")
        await until(pilot, lambda: app.screen is screen and screen.view.thunder_at is None, "on again")
        await settled(app, pilot)
        assert app.screen is screen


async def test_after_a_rest_digits_are_keys_again(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        await pilot.press("escape", "p")
        await until(pilot, lambda: isinstance(app.screen, RestScreen), "the rest")
        version = screen.view.version
        await pilot.press("enter")
        await until(pilot, lambda: app.screen is screen and screen.view.version > version, "on again")
        await pressed(screen, pilot, "5")
        assert len(stored_shots(path)) == 1


async def test_the_day_says_which_plan_is_due(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path, a_profile())
    Program(path).lines("101", options=("--plan", "low-shot-weeks-1", "--when", "2026-05-02T18:00"))
    async with running(path, size=(60, 20), clock=Clock(datetime(2026, 5, 14, 18, 0))) as (app, pilot):
        await day_is_shown(app, pilot)
        label = words(app, "#plan-label")
        assert "overdue since 09 May" in label
        assert app.screen.query_one("#plan-label").display
