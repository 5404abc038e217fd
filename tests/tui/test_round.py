"""A round from the day: while it is on the card is all there is."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.helpers import day_is_shown, keep_player, line, running, until, words
from tests.tui.look_helpers import go, look
from trainer.tui.screens.card import CardScreen
from trainer.tui.screens.today import TodayScreen


@pytest.fixture
def path(tmp_path: Path) -> Path:
    keep_player(tmp_path / "t.db")
    return tmp_path / "t.db"


async def test_a_round_takes_two_presses_and_leaves_only_the_card(path: Path) -> None:
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        await pilot.press("f3")
        assert "F3 again begins a round" in words(app, "#asked")
        await pilot.press("f3")
        await until(pilot, lambda: "in a round" in words(app, "#asked"), "the round")
        for what in ("gaps", "choose", "compare", "progress"):
            await go(app, pilot, what)
            await until(pilot, lambda: "in a round" in words(app, "#said"), "the refusal")
            assert look(app).view is None
            await pilot.press("escape", "escape")
            await until(pilot, lambda: isinstance(app.screen, TodayScreen), "the day")
        await go(app, pilot, "card")
        await until(pilot, lambda: look(app).view is not None, "the card")
        assert isinstance(app.screen, CardScreen)
        assert "in a round" in words(app, "#look-head")


async def test_in_a_round_no_session_begins_and_no_cost_is_told(path: Path) -> None:
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        await pilot.press("f3", "f3")
        await until(pilot, lambda: "in a round" in words(app, "#asked"), "the round")
        line(app, "#wind").put("14mph 1h")
        await pilot.pause(0.5)
        assert "short" not in words(app, "#picture")
        await pilot.press("enter")
        await until(pilot, lambda: "only the card" in words(app, "#asked"), "the refusal")
        assert isinstance(app.screen, TodayScreen)


async def test_what_the_wind_costs_goes_with_a_round_and_comes_back_after_it(path: Path) -> None:
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        line(app, "#wind").put("14mph 1h")
        await until(pilot, lambda: "short" in words(app, "#picture"), "the cost")
        await pilot.press("f3", "f3")
        await until(pilot, lambda: "in a round" in words(app, "#asked"), "the round")
        assert "short" not in words(app, "#picture")
        await pilot.press("f3", "f3")
        await until(pilot, lambda: "in a round" not in words(app, "#asked"), "its end")
        await until(pilot, lambda: "short" in words(app, "#picture"), "the cost again")


async def test_a_round_ends_after_two_presses_and_typing_calls_it_off(path: Path) -> None:
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        await pilot.press("f3")
        await pilot.press("9")
        await pilot.press("f3")
        assert "F3 again begins a round" in words(app, "#asked")
        await pilot.press("f3")
        await until(pilot, lambda: "in a round" in words(app, "#asked"), "the round")
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        assert "in a round" in words(app, "#asked")
        await pilot.press("f3")
        assert "F3 again ends the round" in words(app, "#asked")
        await pilot.press("f3")
        await until(
            pilot, lambda: "in a round" not in words(app, "#asked") and "F3" not in words(app, "#asked"), "its end"
        )
        await go(app, pilot, "gaps")
        await until(pilot, lambda: look(app).view is not None, "the table")
