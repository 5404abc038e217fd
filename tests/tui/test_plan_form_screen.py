"""A plan's form: looked at as it is typed, its file beside it, saved among the player's own; shipped ones stay."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.tui.helpers import day_is_shown, keep_player, line, running, settled, until, words
from tests.tui.look_helpers import go
from tests.tui.work_helpers import SIZES
from trainer.plan.collection import check_file, read_library, shipped_folder
from trainer.plan.reading import load_plan
from trainer.tui.app import TrainerApp
from trainer.tui.screens.plan_form import PlanFormScreen
from trainer.tui.screens.plans import PlansScreen
from trainer.tui.screens.today import TodayScreen

SHIPPED = "first-windy-evening"


@pytest.fixture
def store(tmp_path: Path) -> Path:
    path = tmp_path / "t.db"
    keep_player(path)
    return path


def form(app: TrainerApp) -> PlanFormScreen:
    assert isinstance(app.screen, PlanFormScreen)
    return app.screen


async def opened(app: TrainerApp, pilot: Pilot[None], key: str) -> PlanFormScreen:
    await day_is_shown(app, pilot)
    await go(app, pilot, "plans")
    await until(pilot, lambda: isinstance(app.screen, PlansScreen) and app.screen.view is not None, "the plans")
    await pilot.press(key)
    await until(pilot, lambda: isinstance(app.screen, PlanFormScreen) and app.screen.form is not None, "the form")
    screen = form(app)
    await until(pilot, lambda: screen.view is not None, "its file")
    return screen


async def put(app: TrainerApp, pilot: Pilot[None], where: str, text: str) -> None:
    screen = form(app)
    line(app, where).focus()
    before = screen.asked
    line(app, where).put(text)
    await until(pilot, lambda: screen.asked > before, "a look")
    await until(pilot, lambda: screen.answered == screen.asked, "its answer")
    await pilot.pause()


async def saved(app: TrainerApp, pilot: Pilot[None]) -> None:
    await pilot.press("f6")
    await until(pilot, lambda: "saved:" in words(app, "#said"), "the file")


async def test_a_shipped_plan_is_copied_and_stays(store: Path) -> None:
    before = (shipped_folder() / f"{SHIPPED}.toml").read_bytes()
    own = store.parent / "plans" / f"{SHIPPED}.toml"
    async with running(store) as (app, pilot):
        screen = await opened(app, pilot, "e")
        assert load_plan(shipped_folder() / f"{SHIPPED}.toml").title == line(app, "#plan-title").value
        await put(app, pilot, "#plan-title", "My windy evening")
        await saved(app, pilot)
        assert screen.view is not None
        assert own.read_text(encoding="utf-8").rstrip("\n") == screen.as_text()
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(app.screen, PlansScreen), "the plans")
        await until(pilot, lambda: "My windy evening" in words(app, "#plans-list"), "its new title")
        await pilot.press("escape")
        assert isinstance(app.screen, TodayScreen)
        await until(pilot, lambda: "My windy evening" in words(app, "#plans"), "the day to offer it")
    assert (shipped_folder() / f"{SHIPPED}.toml").read_bytes() == before
    assert load_plan(own).block == load_plan(shipped_folder() / f"{SHIPPED}.toml").block
    assert load_plan(own).levels == load_plan(shipped_folder() / f"{SHIPPED}.toml").levels
    assert read_library([own.parent]).plans[SHIPPED].title == "My windy evening"


async def test_an_own_plan_is_changed_and_the_file_before_is_kept(store: Path) -> None:
    folder = store.parent / "plans"
    async with running(store) as (app, pilot):
        screen = await opened(app, pilot, "n")
        await put(app, pilot, "#plan-id", "gusty-night")
        await put(app, pilot, "#plan-title", "Gusty night")
        await saved(app, pilot)
        first = (folder / "gusty-night.toml").read_text(encoding="utf-8")
        await put(app, pilot, "#plan-minutes", "55")
        assert screen.has_unsaved
        await saved(app, pilot)
        assert not screen.has_unsaved
    assert check_file(folder / "gusty-night.toml") == ()
    assert load_plan(folder / "gusty-night.toml").minutes == 55
    assert (folder / "gusty-night.toml.before-1").read_text(encoding="utf-8") == first
    assert len(read_library([folder]).errors) == 0


WRONG = (
    ("#plan-balls", "many", "balls", "whole number"),
    ("#plan-balls", "2", "block", "the blocks hold"),
    ("#plan-id", "My Plan", "id", "not an id"),
    ("#plan-level", "pro", "level", "'club'"),
    ("#plan-wind", "a breeze", "wind", "no bound"),
    ("#plan-wind", "along at least 90 mph", "wind", "m/s"),
    ("#plan-due", "soon", "due", "a day"),
    ("#plan-extends", "nothing", "extends", "no plan"),
)
"""A field, what is typed there, what the problem is with, and a part of what is said."""


async def test_what_is_wrong_is_said_at_its_field_and_nothing_is_saved(store: Path) -> None:
    async with running(store) as (app, pilot):
        screen = await opened(app, pilot, "e")
        for where, text, key, said in WRONG:
            assert screen.view is not None
            assert not screen.view.problems, "the one before was put right"
            right = line(app, where).value
            await put(app, pilot, where, text)
            problem = next(each for each in screen.view.problems if each.key == key)
            assert said in problem.words
            assert "?" in words(app, "#said")
            await pilot.press("f6")
            await settled(app, pilot)
            assert not (store.parent / "plans").exists()
            assert line(app, where).value == text
            await put(app, pilot, where, right)


async def test_a_block_is_changed_added_and_taken_out(store: Path) -> None:
    async with running(store) as (app, pilot):
        screen = await opened(app, pilot, "e")
        await pilot.press("pagedown")
        assert line(app, "#block-drill").value == "club-down ladder"
        await put(app, pilot, "#block-aim", "median error at most 6 % over 3 sessions")
        await put(app, pilot, "#block-clubs", "8 iron")
        assert screen.problem_at(0, "clubs") is not None
        await put(app, pilot, "#block-clubs", "8 iron, 7 iron")
        assert screen.view is not None
        assert screen.view.problems == ()
        await pilot.press("f4")
        assert (screen.block, len(screen.draft.blocks)) == (1, 3)
        await pilot.press("f5")
        assert (screen.block, len(screen.draft.blocks)) == (1, 2)
        await pilot.press("pageup", "pageup")
        assert screen.block is None
        await saved(app, pilot)
    first = load_plan(store.parent / "plans" / f"{SHIPPED}.toml").block[0]
    assert first.clubs == ("8 iron", "7 iron")
    assert first.aim is not None
    assert (first.aim.at_most, first.aim.over_sessions) == ("6 %", 3)


async def test_it_is_held_against_the_players_own_estimates(store: Path) -> None:
    async with running(store) as (app, pilot):
        screen = await opened(app, pilot, "e")
        assert screen.view is not None
        assert screen.view.suits
        await pilot.press("pagedown")
        await put(app, pilot, "#block-clubs", "8 iron, 1 iron")
        assert screen.view.problems == ()
        assert not screen.view.suits
        assert "1 iron" in words(app, "#said")
        await put(app, pilot, "#block-clubs", "8 iron, 7 iron, 6 iron")
        await put(app, pilot, "#block-target", "240 yd")
        assert not screen.view.suits


async def test_one_key_goes_through_the_answers_of_a_field(store: Path) -> None:
    async with running(store) as (app, pilot):
        await opened(app, pilot, "e")
        line(app, "#plan-level").focus()
        await pilot.press("f3")
        assert line(app, "#plan-level").value == "low-handicap"
        await pilot.press("pagedown")
        line(app, "#block-swing").focus()
        await pilot.press("f3", "f3")
        assert line(app, "#block-swing").value == "full, three-quarter"
        line(app, "#block-stage").put("te")
        line(app, "#block-stage").focus()
        await pilot.press("f3")
        assert line(app, "#block-stage").value == "test"


async def test_leaving_unsaved_is_asked_about_once(store: Path) -> None:
    async with running(store) as (app, pilot):
        screen = await opened(app, pilot, "e")
        await put(app, pilot, "#plan-title", "Another")
        await pilot.press("escape")
        assert app.screen is screen
        await pilot.press("escape")
        assert isinstance(app.screen, PlansScreen)
        assert not (store.parent / "plans").exists()


async def test_what_changes_after_saving_is_asked_about_anew(store: Path) -> None:
    async with running(store) as (app, pilot):
        screen = await opened(app, pilot, "e")
        await put(app, pilot, "#plan-title", "Another")
        await pilot.press("escape")
        await saved(app, pilot)
        await pilot.press("f4")
        assert screen.has_unsaved
        await pilot.press("escape")
        assert app.screen is screen


async def test_form_and_file_fit_every_size_and_resizing_loses_nothing(store: Path) -> None:
    async with running(store, SIZES[0]) as (app, pilot):
        screen = await opened(app, pilot, "e")
        await pilot.press("pagedown")
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await pilot.pause()
            for where in ("#block-drill", "#block-note", "#said"):
                region = screen.query_one(where).region
                assert region.height >= 1, (size, where)
                assert region.bottom <= size[1] - 1, (size, where)
            toml = screen.query_one("#toml")
            assert toml.display == (size[0] >= 76), size
            if not toml.display:
                await pilot.press("f7")
                await pilot.pause()
                assert toml.display
                assert toml.region.height >= 8
                assert "▸" in words(app, "#toml")
                await pilot.press("f7")
                await pilot.pause()
            assert line(app, "#block-note").region.height == 1, size
        await put(app, pilot, "#block-note", "half typed")
        await pilot.resize_terminal(50, 12)
        await pilot.pause()
        await pilot.resize_terminal(120, 40)
        await pilot.pause()
        assert line(app, "#block-note").value == "half typed"
        assert screen.block == 0
