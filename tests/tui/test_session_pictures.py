"""The pictures beside the next ball, the end of a block, tests without feedback, and what is said first."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.tui.helpers import begun, keep_player, line, pressed, running, typed, until, warmed_up, words
from trainer.tui.screens.session import SessionScreen
from trainer.tui.screens.session_pictures import CARRY, DRILL, PARTS, PATTERN, STRIP
from trainer.tui.widgets.pattern_plot import TARGET

PLAN = "first-windy-evening"
SAYS = """
format = 1
id = "says"
title = "Says"
level = "club"
balls = 8
minutes = 30
[[block]]
drill = "warm-up"
clubs = ["9 iron"]
balls = 2
[[block]]
drill = "say it first"
clubs = ["7 iron"]
balls = 2
[[block]]
drill = "read the wind"
clubs = ["7 iron"]
balls = 2
"""


def drill_of(screen: SessionScreen) -> str:
    ball = screen.view.ball
    return "" if ball is None else ball.drill


async def figured(screen: SessionScreen, pilot: Pilot[None]) -> None:
    """Wait until the figures of what stands are there, and drawn."""
    await until(
        pilot, lambda: screen.figures is not None and screen.figures.version == screen.view.version, "figures"
    )
    await pilot.pause()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    keep_player(tmp_path / "t.db")
    (tmp_path / "plans").mkdir()
    (tmp_path / "plans" / "says.toml").write_text(SAYS, encoding="utf-8")
    return tmp_path / "t.db"


@pytest.mark.parametrize("size", [(60, 20), (80, 24)])
async def test_one_key_turns_from_the_strip_to_each_picture_and_back(path: Path, size: tuple[int, int]) -> None:
    async with running(path, size) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        await typed(screen, pilot, "112 3L")
        await figured(screen, pilot)
        assert screen.query_one("#strip").display
        assert not screen.query_one("#panel").display
        shown = []
        for part in (CARRY, PATTERN, DRILL):
            await pilot.press("ctrl+g")
            await pilot.pause()
            assert screen.entering.part == part
            assert f"[{PARTS[part]}]" in words(app, "#panel")
            assert not screen.query_one("#strip").display
            shown.append(words(app, "#panel"))
            assert all(len(row) <= size[0] - 2 for row in shown[-1].splitlines())
        assert "●" in shown[0]
        assert "┃" in shown[0]
        assert TARGET in shown[1]
        assert "mean error" in shown[2]
        await pilot.press("escape", "v")
        assert screen.entering.part == STRIP
        assert screen.query_one("#strip").display


async def test_with_room_strip_pictures_and_shots_stand_together(path: Path) -> None:
    async with running(path, (120, 40)) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        await typed(screen, pilot, "112 3L")
        await figured(screen, pilot)
        await until(pilot, lambda: screen.query_one("#shots").size.height >= 3, "room for shots")
        assert "╞" in words(app, "#strip")
        assert "before the ball" in words(app, "#panel")
        assert TARGET in words(app, "#panel")
        assert "112 3L" in words(app, "#shots")


async def test_the_picture_moves_with_the_next_ball(path: Path) -> None:
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        await pilot.press("ctrl+g")
        await typed(screen, pilot, "105")
        await figured(screen, pilot)
        before = words(app, "#panel")
        await typed(screen, pilot, "126")
        await figured(screen, pilot)
        await until(pilot, lambda: words(app, "#panel") != before, "another picture")


async def test_the_end_of_a_block_is_said_until_the_next_key(path: Path) -> None:
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        drill = drill_of(screen)
        while drill_of(screen) == drill:
            assert words(app, "#ended") == ""
            await typed(screen, pilot, "117 2R")
        await until(pilot, lambda: "→" in words(app, "#ended"), "what it changed")
        assert "7 iron, 1 in, 3/4" in words(app, "#ended")
        await pilot.press("escape")
        assert words(app, "#ended") == ""
        await figured(screen, pilot)
        assert words(app, "#ended") == ""


async def test_a_test_shows_no_result_in_any_picture_until_it_is_over(path: Path) -> None:
    async with running(path, (120, 40)) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        await typed(screen, pilot, "five")
        await typed(screen, pilot, "112 3R")
        await figured(screen, pilot)
        for _ in PARTS:
            await pilot.press("ctrl+g")
            await pilot.pause()
            text = screen.as_text()
            assert "112" not in text.replace("112 yd", "").replace("–112", "").replace("112–", "")
            assert "3R" not in text
            assert "┃" not in text
            assert "so far" not in text
        for _ in range(4):
            await typed(screen, pilot, "111 4L")
        await figured(screen, pilot)
        await until(pilot, lambda: "112 3R" in words(app, "#shots"), "the results")
        await until(pilot, lambda: "→" in words(app, "#ended"), "what the test changed")
        await pilot.press("v", "v")
        await until(pilot, lambda: "● last ball" in words(app, "#panel"), "the pattern")


async def test_what_is_said_first_begins_the_line_and_stands_beside_what_came(path: Path) -> None:
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan="says")
        await warmed_up(screen, pilot)
        assert line(app).value == "say "
        assert "Say it first" in words(app, "#ask")
        await pressed(screen, pilot, "1", "4", "0", "enter")
        assert line(app).value == ""
        assert words(app, "#ask") == ""
        await typed(screen, pilot, "134 2L")
        assert "you said 140 yd: it went 6 yd shorter" in words(app, "#heard")
        assert line(app).value == "say "
        await typed(screen, pilot, "skip tired")
        assert screen.view.ball is not None
        assert screen.view.ball.drill == "read the wind"
        assert line(app).value == "guess "


async def test_the_winds_picture_is_hidden_while_it_is_to_be_guessed(path: Path) -> None:
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan="says")
        await warmed_up(screen, pilot)
        for _ in range(2):
            await typed(screen, pilot, "skip tired")
        assert "14 mph" not in screen.as_text()
        assert "⚑" not in words(app, "#wind")
        await typed(screen, pilot, "guess 10mph 12h")
        assert "14 mph" in words(app, "#wind")
        assert line(app).value == "wind "
        await typed(screen, pilot, "wind 16mph 1h")
        assert "you guessed 10 mph from 12h: 6 mph too little, 30° off" in words(app, "#heard")
        assert line(app).value == ""


async def test_a_key_begins_a_call_in_any_drill(path: Path) -> None:
    async with running(path) as (app, pilot):
        await begun(app, pilot, plan=PLAN)
        await pilot.press("escape", "a")
        assert line(app).value == "say "
        line(app).put("")
        await pilot.press("escape", "b")
        assert line(app).value == "guess "


async def test_a_picture_keeps_what_is_typed_and_fits_a_new_size(path: Path) -> None:
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        await typed(screen, pilot, "112 3L")
        await figured(screen, pilot)
        line(app).put("118 2")
        await pilot.press("ctrl+g")
        for size in ((60, 20), (120, 40), (80, 24)):
            await pilot.resize_terminal(*size)
            await pilot.pause()
            assert line(app).value == "118 2"
            assert screen.entering.part == CARRY
            assert max(map(len, words(app, "#panel").splitlines())) <= size[0] - 2
            assert "●" in words(app, "#panel")
