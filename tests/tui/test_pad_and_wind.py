"""One key a ball, and a look at the wind every six balls."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.helpers import (
    begun,
    keep_player,
    line,
    pressed,
    running,
    stored_shots,
    typed,
    until,
    warmed_up,
    words,
)
from trainer.core.conditions import ReadingMethod
from trainer.core.shot import Depth, Width
from trainer.store.store import open_store
from trainer.tui.actions import Place
from trainer.tui.widgets.big_text import big_lines

PLAN = "first-windy-evening"


async def test_every_digit_is_a_place_on_the_ground(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        await pilot.press("escape")
        assert screen.place is Place.PAD
        assert not line(app).display
        for key in "7530x-":
            await pressed(screen, pilot, key)
        entries = [shot.entry for shot in stored_shots(path)]
        assert [(entry.depth, entry.width) for entry in entries[:3]] == [
            (Depth.LONG, Width.LEFT),
            (Depth.PIN, Width.STRAIGHT),
            (Depth.SHORT, Width.RIGHT),
        ]
        assert entries[3].mishit
        assert entries[4].mishit
        assert entries[5].unseen


async def test_the_repeat_back_is_large(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        await pilot.press("escape")
        await pressed(screen, pilot, "7")
        assert words(app, "#heard").splitlines()[:3] == [
            *big_lines("LONG LEFT")[:2],
            big_lines("LONG LEFT")[2] + "   u takes it back",
        ]
        # A click on the pad's key says what the keys are, not the ball again.
        await pilot.click("#foot", offset=(1 + words(app, "#foot").index("landed"), 0))
        assert "number pad" in words(app, "#heard")
        await pressed(screen, pilot, "u")
        assert not stored_shots(path)


async def test_tab_goes_back_to_typing_and_letters_are_text_there(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        await pilot.press("f2")
        await pilot.press("tab")
        assert screen.place is Place.LINE
        await pilot.press("u", "e", "7")
        assert line(app).value == "ue7"
        assert not stored_shots(path)


@pytest.mark.parametrize(
    ("key", "speeds"), [("enter", [14]), ("plus", [14, 18]), ("minus", [14, 10]), ("escape", [14])]
)
async def test_after_six_balls_one_key_answers_for_the_wind(tmp_path: Path, key: str, speeds: list[int]) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        for carry in range(140, 146):
            assert screen.place is Place.LINE
            await typed(screen, pilot, f"7 iron: {carry}")
        assert screen.place is Place.WIND
        await pilot.press(key)
        await until(pilot, lambda: screen.place is Place.LINE)
        await typed(screen, pilot, "7 iron: 150")
        with open_store(path, write=False) as store:
            readings = store.readings(screen.view.session_id)
        assert [round(reading.wind.speed_mps / 0.44704) for reading in readings] == speeds
        assert [reading.wind.from_rad for reading in readings] == [readings[0].wind.from_rad] * len(readings)
        assert all(reading.wind.method is ReadingMethod.FELT for reading in readings[1:])
        shots = stored_shots(path)
        assert shots[5].reading_id == readings[0].id
        assert shots[6].reading_id == readings[-1].id


async def test_a_digit_passes_the_wind_over_and_is_not_lost(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        for carry in range(140, 146):
            await typed(screen, pilot, f"7 iron: {carry}")
        await pilot.press("1", "5", "1")
        assert screen.place is Place.LINE
        assert line(app).value == "151"


async def test_read_again_begins_the_line(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        await pilot.press("f7")
        assert screen.place is Place.WIND
        await pilot.press("r")
        assert line(app).value == "wind "
        await typed(screen, pilot, "wind 9mph 3h")
        assert "across, from the right" in words(app, "#wind")
        assert screen.view.wind.beaufort == 4
