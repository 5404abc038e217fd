"""The screens under rough treatment: pasted heaps, a window that never stands still, a clock set back, a full disk.

That a closed terminal (SIGHUP) and SIGTERM end the program in good order is shown in a real one, in
`tests/end_to_end/test_terminal.py`.
"""

from __future__ import annotations

import random
from datetime import timedelta
from pathlib import Path

import pytest
from textual import events
from textual.geometry import Size

from tests.tui.helpers import START, begun, keep_player, line, running, stored_shots, typed, until, warmed_up, words
from trainer.core.errors import StoreError
from trainer.store import shots
from trainer.store.database import Database
from trainer.tui.widgets.line import LONGEST

TEN_MB = "142 6L " * 1_500_000


@pytest.fixture
def path(tmp_path: Path) -> Path:
    keep_player(tmp_path / "t.db")
    return tmp_path / "t.db"


async def test_ten_megabytes_pasted_into_the_line_record_nothing_and_stop_nothing(path: Path) -> None:
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        for text in (TEN_MB, TEN_MB.replace(" ", "\n") + "9" * LONGEST, "\x1b[2J" * 1_000_000):
            field = line(app)
            field.put("")
            field.post_message(events.Paste(text))
            await pilot.pause()
            assert len(field.value) <= LONGEST
            assert field.value.isprintable()
            field.put("")
        await pilot.press("escape")  # with the pad's keys a paste is no key
        screen.post_message(events.Paste(TEN_MB))
        await pilot.pause()
        assert screen.view.hit == 0
        await pilot.press("enter")
        await typed(screen, pilot, "7 iron: 142 6L")
    (shot,) = stored_shots(path)
    assert shot.entry.side_m is not None


async def test_a_pasted_line_is_typed_and_of_several_the_first(path: Path) -> None:
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        line(app).put("7 iron: ")
        line(app).post_message(events.Paste("14\x072 6L\r\n150\r\n"))
        await until(pilot, lambda: "6L" in line(app).value, "the paste")
        assert line(app).value == "7 iron: 14 2 6L"
        line(app).put("7 iron: ")
        line(app).post_message(events.Paste("142 6L"))
        await until(pilot, lambda: "6L" in line(app).value, "the paste")
        await typed(screen, pilot, line(app).value)
    assert len(stored_shots(path)) == 1


async def test_a_window_that_never_stands_still_loses_no_ball(path: Path) -> None:
    chance = random.Random(31)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan="first-windy-evening")
        await warmed_up(screen, pilot)
        for number in range(6):
            for _ in range(25):
                size = Size(
                    chance.choice((1, 2, 20, 39, 60, 80, 120, 300)), chance.choice((1, 2, 5, 11, 24, 40, 100))
                )
                app.post_message(events.Resize(size, size))
            await typed(screen, pilot, f"{110 + number} {number}R")
        await pilot.resize_terminal(80, 24)
        await until(pilot, lambda: "115" in app.screen.as_text(), "the last ball")  # type: ignore[attr-defined]  # a Frame
    assert len(stored_shots(path)) == 6


async def test_a_clock_set_back_between_balls_loses_none(path: Path) -> None:
    moments = [START]

    class Jumping:
        def __call__(self) -> object:
            return moments[0]

    async with running(path, clock=Jumping()) as (app, pilot):  # type: ignore[arg-type]  # it tells the time as Clock does
        screen = await begun(app, pilot, plan="first-windy-evening")
        await warmed_up(screen, pilot)
        for number, minutes in enumerate((1, 2, -90, 3, -60 * 24 * 30, 4)):
            moments[0] = START + timedelta(minutes=minutes)
            await typed(screen, pilot, f"{110 + number}")
        await typed(screen, pilot, "wind 12mph 2h")
        assert screen.view.hit == 6
    carries = [round((shot.entry.carry_m or 0.0) / 0.9144) for shot in stored_shots(path)]
    assert carries == [110, 111, 112, 113, 114, 115]


async def test_a_disk_that_is_full_is_said_on_the_screen_and_the_line_comes_back(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        await typed(screen, pilot, "7 iron: 142")

        def full(database: Database, *_: object) -> None:
            raise StoreError("the disk is full", str(database.path), "make room and try again")

        with monkeypatch.context() as patched:
            patched.setattr(shots, "add", full)
            field = line(app)
            field.put("7 iron: 150")
            await pilot.press("enter")
            await until(pilot, lambda: "disk is full" in app.screen.as_text(), "the reason")  # type: ignore[attr-defined]  # a Frame
        assert line(app).value == "7 iron: 150"
        await typed(screen, pilot, "7 iron: 150")
        assert "150" in words(app, "#shots") or "150" in app.screen.as_text()  # type: ignore[attr-defined]  # a Frame
    assert len(stored_shots(path)) == 2
