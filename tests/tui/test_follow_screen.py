"""A growing table followed beside the session: its rows become the agenda's balls, each confirmed by a key."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.tui.helpers import (
    Clock,
    begun,
    keep_player,
    line,
    running,
    session,
    stored_shots,
    typed,
    until,
    warmed_up,
    words,
)
from tests.tui.work_helpers import SIZES, done, keyed, picked
from trainer.application.views.table import FollowView
from trainer.core.conditions import Seen
from trainer.store.records import Source
from trainer.store.store import open_store
from trainer.tui.app import TrainerApp
from trainer.tui.screens import following
from trainer.tui.screens.following import FollowScreen
from trainer.tui.screens.pick import PickScreen
from trainer.tui.screens.session import SessionScreen

PLAN = "club-down-ladder-night"


@pytest.fixture(autouse=True)
def _looks_often(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(following, "EVERY_S", 0.05)


@pytest.fixture
def table(tmp_path: Path) -> Path:
    path = tmp_path / "growing.csv"
    path.write_text("Club,Carry (yd)\n", encoding="utf-8")
    keep_player(tmp_path / "t.db")
    return path


def add(table: Path, *rows: str) -> None:
    with table.open("a", encoding="utf-8") as file:
        file.writelines(f"{row}\n" for row in rows)


def view(app: TrainerApp) -> FollowView:
    assert isinstance(app.screen, FollowScreen)
    assert app.screen.view is not None
    return app.screen.view


async def follow(app: TrainerApp, pilot: Pilot[None], table: Path) -> None:
    """By its word in the session's line."""
    screen = session(app)
    line(app).put("follow")
    await pilot.press("enter")
    await until(pilot, lambda: app.screen is not screen and app.screen.is_mounted, "the list or the table")
    if isinstance(app.screen, PickScreen):
        await picked(app, pilot, table)
    await done(app, pilot)
    assert isinstance(app.screen, FollowScreen)


async def a_row(app: TrainerApp, pilot: Pilot[None], table: Path, row: str) -> None:
    add(table, row)
    await until(pilot, lambda: bool(view(app).row), f"the row {row}")


async def test_a_row_becomes_the_ball_that_waits_when_it_is_confirmed(table: Path, tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    async with running(path, clock=Clock()) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        ball = screen.view.ball
        assert ball is not None
        await follow(app, pilot, table)
        await a_row(app, pilot, table, f"{ball.club},104")
        assert view(app).ball == f"ball {ball.number}"
        assert not stored_shots(path)
        await keyed(app, pilot, "enter")
        (shot,) = stored_shots(path)
        assert (shot.agenda_number, shot.source, shot.seen) == (ball.number, Source.TABLE, Seen.DEVICE)
        assert shot.cell.club == ball.club
        await pilot.press("escape")
        assert app.screen is screen
        await until(pilot, lambda: screen.view.hit == 1, "the session to know")
        assert screen.view.ball is not None
        assert screen.view.ball.number > ball.number


async def test_a_doubtful_row_is_kept_as_it_says_or_as_the_ball_or_left_out(table: Path, tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        ball = screen.view.ball
        assert ball is not None
        await follow(app, pilot, table)
        await a_row(app, pilot, table, "driver,204")
        assert view(app).doubt
        await keyed(app, pilot, "n")
        assert not stored_shots(path)
        await a_row(app, pilot, table, "driver,205")
        await keyed(app, pilot, "enter")
        await a_row(app, pilot, table, "driver,106")
        await keyed(app, pilot, "b")
        as_said, as_ball = stored_shots(path)
        assert (as_said.cell.club, as_said.agenda_number) == ("driver", None)
        assert (as_ball.cell.club, as_ball.agenda_number) == (ball.club, ball.number)
        add(table, "banana,104")
        await until(pilot, lambda: view(app).left == 2, "the row that is no shot")
        assert "banana" in words(app, "#table-page")


async def test_rows_without_doubt_are_kept_unasked_where_that_is_wished(table: Path, tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan=PLAN)
        await warmed_up(screen, pilot)
        ball = screen.view.ball
        assert ball is not None
        await follow(app, pilot, table)
        await keyed(app, pilot, "a")
        add(table, f"{ball.club},101", "driver,200", f"{ball.club},102")
        await until(pilot, lambda: bool(view(app).doubt), "the doubtful one")
        assert len(stored_shots(path)) == 1
        await keyed(app, pilot, "n")
        await until(pilot, lambda: len(stored_shots(path)) == 2 or bool(view(app).row), "the last one")


async def test_going_on_later_takes_no_row_twice(table: Path, tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        await follow(app, pilot, table)
        await a_row(app, pilot, table, "7 iron,141")
        await keyed(app, pilot, "enter")
        await pilot.press("escape")
        await until(pilot, lambda: screen.view.hit == 1, "the session to know")
        await typed(screen, pilot, "7 iron: 150")
        add(table, "7 iron,142")
        # The file that was followed before needs no picking.
        await follow(app, pilot, table)
        await until(pilot, lambda: bool(view(app).row), "the new row")
        assert "142" in view(app).row
        await keyed(app, pilot, "enter")
        assert [round((shot.entry.carry_m or 0) / 0.9144) for shot in stored_shots(path)] == [141, 150, 142]
        with open_store(path, write=False) as store:
            assert len(store.imports(store.player().id)) == 1
        await pilot.press("o")
        await until(pilot, lambda: isinstance(app.screen, PickScreen), "the files to pick from")
        await pilot.press("escape")
        await until(pilot, lambda: app.screen is screen, "the session")


async def test_a_question_of_its_columns_is_answered_by_a_key(table: Path, tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    table.write_text("Club,Carry (yd),Side (yd)\n", encoding="utf-8")
    async with running(path) as (app, pilot):
        await begun(app, pilot)
        await follow(app, pilot, table)
        add(table, "7 iron,141,3")
        await until(pilot, lambda: view(app).question is not None, "the question")
        await keyed(app, pilot, "2")
        await until(pilot, lambda: bool(view(app).row), "the row")
        await keyed(app, pilot, "enter")
        assert (stored_shots(path)[0].entry.side_m or 0) < 0


async def test_a_question_to_be_typed_can_be_left_and_come_back_to(table: Path, tmp_path: Path) -> None:
    table.write_text("Time,Club,Carry (yd)\n", encoding="utf-8")
    async with running(tmp_path / "t.db") as (app, pilot):
        await begun(app, pilot)
        await follow(app, pilot, table)
        add(table, "18:40:00,7 iron,141")
        await until(pilot, lambda: view(app).question is not None, "the question")
        await until(pilot, lambda: isinstance(app.screen, FollowScreen) and app.screen.typing, "its line")
        await pilot.press("escape", "t")
        line(app, "#question").put("2026-05-14")
        await keyed(app, pilot, "enter")
        await until(pilot, lambda: bool(view(app).row), "the row")


async def test_the_row_that_waits_is_in_the_window(table: Path, tmp_path: Path) -> None:
    async with running(tmp_path / "t.db", SIZES[0]) as (app, pilot):
        await begun(app, pilot)
        await follow(app, pilot, table)
        await a_row(app, pilot, table, "7 iron,141")
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await pilot.pause()
            page = app.screen.query_one("#pictures").region
            assert page.height >= 6, size
            assert page.bottom < size[1], size
            assert view(app).row in words(app, "#table-page").replace("\n", " "), size
        await pilot.press("escape")
        assert isinstance(app.screen, SessionScreen)
