"""The first start, the day, leaving and coming back: nothing is lost, whatever ends the program."""

from __future__ import annotations

from pathlib import Path

from tests.tui.helpers import (
    START,
    Clock,
    a_profile,
    begun,
    day_is_shown,
    keep_player,
    line,
    pressed,
    running,
    session,
    settled,
    stored_sessions,
    stored_shots,
    typed,
    until,
    warmed_up,
    words,
)
from trainer.core.conditions import Ball, WindKnowledge
from trainer.core.errors import StoreError
from trainer.core.profile import CarryBasis, Hand
from trainer.store.store import open_store
from trainer.tui.screens.first_run import FirstRunScreen
from trainer.tui.screens.session import SessionScreen
from trainer.tui.screens.today import GO_ON
from trainer.tui.screens.tour import TourScreen
from trainer.tui.widgets.choice import Choice, Listing

PLAN = "first-windy-evening"


async def test_three_answers_make_a_player_and_lead_to_the_first_ball(tmp_path: Path) -> None:
    path = tmp_path / "new" / "t.db"
    async with running(path) as (app, pilot):
        await until(pilot, lambda: isinstance(app.screen, FirstRunScreen) and bool(app.screen.query("#carry")))
        await pilot.press("enter")
        await until(pilot, lambda: "one known carry is needed" in words(app, "#said"))
        app.screen.query_one("#unit", Choice).choose("m")
        app.screen.query_one("#how", Choice).choose("paced")
        app.screen.query_one("#hand", Choice).choose("left")
        line(app, "#carry").put("138")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, TourScreen), "the tour")
        await pilot.press("escape")
        screen = await begun(app, pilot, wind="6m/s 1h", plan=PLAN)
        await warmed_up(screen, pilot)
        await typed(screen, pilot, "95 4L")
    with open_store(path, write=False) as store:
        profile = store.player().profile
        assert profile.known_carry.carry_m == 138
        assert profile.known_carry.basis is CarryBasis.MEASURED
        assert profile.hand is Hand.LEFT
        assert profile.units.distance == "m"
        assert store.shots()[0].entry.carry_m == 95


async def test_a_carry_that_no_club_makes_is_asked_again(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    async with running(path) as (app, pilot):
        await until(pilot, lambda: isinstance(app.screen, FirstRunScreen) and bool(app.screen.query("#carry")))
        line(app, "#carry").put("340")
        await pilot.press("enter")
        await until(pilot, lambda: "does not carry" in words(app, "#said"))
        assert isinstance(app.screen, FirstRunScreen)


async def test_the_day_checks_while_it_is_typed_and_shows_the_wind(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        assert app.screen.focused is line(app, "#wind")
        line(app, "#wind").put("14mph")
        await until(pilot, lambda: "where does the wind come from" in words(app, "#wind-check"))
        assert words(app, "#picture") == ""
        line(app, "#wind").put("14mph 1h gust 12mph")
        await until(pilot, lambda: "which of the two is the mean" in words(app, "#wind-check"))
        line(app, "#wind").put("14mph 1h")
        await until(pilot, lambda: "Beaufort 5" in words(app, "#picture"))
        await until(pilot, lambda: "full 7 iron" in words(app, "#picture"), "what it costs")
        assert "short" in words(app, "#picture").splitlines()[-1]
        line(app, "#air").put("90C")
        await until(pilot, lambda: "out of range" in words(app, "#air-check"))
        await pilot.press("enter")
        assert "out of range" in words(app, "#asked")
        assert not stored_sessions(path)


async def test_no_wind_is_asked_for_once(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        await pilot.press("enter")
        assert "Wind not read" in words(app, "#asked")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, SessionScreen))
        with open_store(path, write=False) as store:
            (reading,) = store.readings()
        assert reading.wind.knowledge is WindKnowledge.UNKNOWN


async def test_the_plan_is_chosen_by_arrows_or_letters(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        plans = app.screen.query_one(Listing)
        plans.focus()
        first = plans.value
        await pilot.press("j", "down")
        assert plans.index == 2
        await pilot.press("k", "k")
        assert plans.value == first


async def test_leaving_and_coming_back_goes_on_exactly_there(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        app.screen.query_one("#ball", Choice).choose("range")
        screen = await begun(app, pilot, wind="14mph 1h", plan=PLAN)
        await warmed_up(screen, pilot)
        await typed(screen, pilot, "131 4L")
        await typed(screen, pilot, "128")
        await typed(screen, pilot, "wind 11mph 2h")
        await typed(screen, pilot, "skip tired")
        await settled(app, pilot)
        left = screen.view
        assert left.ball is not None
        assert left.ball.called
        await pilot.press("ctrl+q")
    later = Clock(START.replace(hour=19))
    async with running(path, clock=later) as (app, pilot):
        await day_is_shown(app, pilot)
        plans = app.screen.query_one(Listing)
        assert plans.value == GO_ON
        await until(pilot, lambda: plans.has_focus, "the list takes the keys")
        assert "2 recorded" in plans.plain
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, SessionScreen) and session(app).view.version >= 2)
        back = session(app).view
        assert (back.session_id, back.ball, back.left, back.shots) == (
            left.session_id,
            left.ball,
            left.left,
            left.shots,
        )
        assert back.wind == left.wind
        await settled(app, pilot)
        assert session(app).view.ball == left.ball
        await typed(session(app), pilot, "125")
    shots = stored_shots(path)
    assert [shot.ball for shot in shots] == [Ball.RANGE] * 3
    assert len(stored_sessions(path)) == 1


async def test_beginning_anew_ends_the_open_session(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        await begun(app, pilot)
    async with running(path) as (app, pilot):
        await begun(app, pilot, wind="9mph 6h")
    first, second = stored_sessions(path)
    assert first.ended_at is not None
    assert second.ended_at is None


async def test_an_old_open_session_is_another_evening(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        await begun(app, pilot)
    async with running(path, clock=Clock(START.replace(day=16))) as (app, pilot):
        await day_is_shown(app, pilot)
        assert app.screen.query_one(Listing).value != GO_ON
        assert line(app, "#wind").value == ""


async def test_what_is_typed_before_the_day_is_read_keeps_the_keys(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        await begun(app, pilot, wind="14mph 1h")
    async with running(path) as (app, pilot):
        line(app, "#wind").put("4mph")
        await day_is_shown(app, pilot)
        assert app.screen.focused is line(app, "#wind")


async def test_todays_reading_stands_in_the_field_again(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, wind="14mph 40deg gust 19mph")
        await typed(screen, pilot, "7 iron: 140")
        line(app).put("end")
        await pilot.press("enter")
        await day_is_shown(app, pilot)
        assert line(app, "#wind").value == "14mph 40deg gust 19mph"


async def test_a_store_that_another_program_writes_to_is_said_and_nothing_is_lost(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        line(app, "#wind").put("14mph 1h")
        with open_store(path, write=True):
            await pilot.press("enter")
            await until(pilot, lambda: "another program" in words(app, "#asked").lower(), "the refusal")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, SessionScreen), "the session")


async def test_a_store_that_cannot_be_read_ends_the_program_with_its_reason(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    path.write_text("this is no store", encoding="utf-8")
    async with running(path) as (app, pilot):
        await until(pilot, lambda: app.problem is not None)
    assert isinstance(app.problem, StoreError)


async def test_the_alias_is_shown_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path, a_profile("[bold]Marram[/]"))
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        assert "[bold]Marram[/]" in words(app, "#head")


async def test_the_whole_plan_to_its_end(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan="junior-short-session")
        while screen.view.ball is not None and screen.view.ball.warm_up:
            await typed(screen, pilot, "")
        await pilot.press("escape")
        await pressed(screen, pilot, "f")
        while not screen.view.finished:
            await pressed(screen, pilot, "5")
        assert screen.view.left == 0
        await pilot.press("e")
        await day_is_shown(app, pilot)
    assert stored_sessions(path)[0].ended_at is not None
