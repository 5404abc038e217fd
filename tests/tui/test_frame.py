"""What holds for every screen: keys, foot, palette and help from one registry; copying; sizes; themes; NO_COLOR."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.tui.helpers import Clock, begun, day_is_shown, keep_player, line, running, typed, until, warmed_up, words
from trainer.tui.actions import (
    ACTIONS,
    KEY_WORDS,
    MOST_IN_FOOTER,
    Place,
    actions_in,
    by_word,
    footer_items,
    help_lines,
)
from trainer.tui.app import TrainerApp
from trainer.tui.screens.card import CardScreen
from trainer.tui.screens.cell import CellScreen
from trainer.tui.screens.choose import ChooseScreen
from trainer.tui.screens.compare import CompareScreen
from trainer.tui.screens.crowd import CrowdScreen
from trainer.tui.screens.first_run import FirstRunScreen
from trainer.tui.screens.following import FollowScreen
from trainer.tui.screens.frame import Frame
from trainer.tui.screens.gaps import GapsScreen
from trainer.tui.screens.group import GroupScreen
from trainer.tui.screens.group_setup import GroupSetupScreen
from trainer.tui.screens.help import HelpScreen
from trainer.tui.screens.importing import ImportScreen
from trainer.tui.screens.look import LookScreen
from trainer.tui.screens.pick import PickScreen
from trainer.tui.screens.plan_form import PlanFormScreen
from trainer.tui.screens.plans import PlanScreen, PlansScreen
from trainer.tui.screens.progress import ProgressScreen
from trainer.tui.screens.session import SessionScreen
from trainer.tui.screens.squad import CollectScreen, SquadScreen
from trainer.tui.screens.squad_assign import AssignScreen
from trainer.tui.screens.squad_member import MemberScreen
from trainer.tui.screens.tables import TableScreen
from trainer.tui.screens.today import TodayScreen
from trainer.tui.screens.where import DESTINATIONS
from trainer.tui.theme import EVENING, HARBOUR, NOON, THEMES, first_theme

SIZES = [(80, 24), (120, 40), (60, 20)]
TAKEN = {"ctrl+b", "ctrl+s", "ctrl+a", "ctrl+enter", "f11", "f12", "ctrl+z", "ctrl+up", "ctrl+down"}
"""By tmux (its prefix), terminals (flow control) and macOS (windows and spaces)."""


def test_no_key_is_one_that_others_take() -> None:
    keys = {key for action in ACTIONS for key in (*action.keys, *action.line_keys)}
    assert not keys & TAKEN
    assert not [key for key in keys if key.startswith(("alt+", "super+", "meta+"))]


@pytest.mark.parametrize("place", list(Place))
def test_no_key_does_two_things_in_one_place(place: Place) -> None:
    held = [key for action in ACTIONS if place in action.places for key in (*action.keys, *action.line_keys)]
    assert len(held) == len(set(held)), place


@pytest.mark.parametrize("place", list(Place))
def test_the_foot_names_few_keys_and_each_has_one(place: Place) -> None:
    items = footer_items(place)
    assert 1 <= len(items) <= MOST_IN_FOOTER
    assert all(key and label for key, label in items)


def test_every_word_is_one_actions_own_and_no_shot() -> None:
    words_held = [action.word for action in ACTIONS if action.word]
    assert len(words_held) == len(set(words_held))
    assert not set(words_held) & {"x", "short", "pin", "long", "left", "straight", "right", "wind", "flag"}
    assert by_word("skip too  windy") is not None
    assert by_word("142 6L") is None


def test_help_says_every_action_of_a_place() -> None:
    text = "\n".join(help_lines(Place.PAD, 200))
    for action in ACTIONS:
        assert (action.help in text) == (Place.PAD in action.places)
    assert KEY_WORDS["escape"] == "Esc"


SCREENS: dict[Place, type[Frame]] = {
    Place.FIRST_RUN: FirstRunScreen,
    Place.TODAY: TodayScreen,
    Place.LINE: SessionScreen,
    Place.PAD: SessionScreen,
    Place.WIND: SessionScreen,
    Place.DONE: SessionScreen,
    Place.GAPS: GapsScreen,
    Place.CELL: CellScreen,
    Place.CHOOSE: ChooseScreen,
    Place.COMPARE: CompareScreen,
    Place.CARD: CardScreen,
    Place.PROGRESS: ProgressScreen,
    Place.PLANS: PlansScreen,
    Place.PLAN: PlanScreen,
    Place.ASKING: LookScreen,
    Place.CROWD: CrowdScreen,
    Place.PICK: PickScreen,
    Place.ANSWER: TableScreen,
    Place.IMPORT: ImportScreen,
    Place.FOLLOW: FollowScreen,
    Place.GROUP_SETUP: GroupSetupScreen,
    Place.GROUP: GroupScreen,
    Place.SQUAD: SquadScreen,
    Place.MEMBER: MemberScreen,
    Place.ASSIGN: AssignScreen,
    Place.RESULT: CollectScreen,
    Place.PLAN_FORM: PlanFormScreen,
}


@pytest.mark.parametrize("place", [place for place in Place if place is not Place.FIRST_RUN])
def test_help_names_what_f2_looks_at_only_where_it_does(place: Place) -> None:
    looks = any(action.name == "look" for action in actions_in(place))
    assert any(DESTINATIONS[0].purpose in each for each in HelpScreen(place).lines(80)) == looks


def test_help_writes_every_key_as_the_foot_does() -> None:
    text = "\n".join(each for place in Place for each in help_lines(place, 200))
    assert "ctrl+" not in text
    assert "shift+" not in text
    assert "backspace" not in text


@pytest.mark.parametrize("place", list(Place))
def test_every_action_of_a_screen_can_be_done_there(place: Place) -> None:
    for action in ACTIONS:
        if place in action.places:
            owners: list[type[object]] = [SCREENS[place], TrainerApp]
            assert any(hasattr(owner, f"action_{action.name}") for owner in owners), action.name


async def test_help_and_palette_open_and_close(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        await pilot.press("f1")
        assert [type(each) for each in app.screen_stack[-2:]] == [SessionScreen, HelpScreen]
        await pilot.press("escape")
        assert len(app.screen_stack) == 2
        await pilot.press("ctrl+p")
        assert all(label in words(app, "#found") for label in ("mishit:", "gust:", "skip:"))
        await pilot.press(*"gust")
        assert words(app, "#found").startswith("▸ gust:")
        await pilot.press("enter")
        await until(pilot, lambda: app.screen is screen and screen.entering.mark == "gust", "the palette's action")
        await pilot.press("ctrl+p", *"colours", "enter")
        await until(pilot, lambda: app.screen is screen and app.theme != EVENING.name, "an action of the program")


async def test_copying_gives_what_stands_on_the_screen(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        await typed(screen, pilot, "7 iron: 142 6L")
        line(app).put("7 iron: 150")
        await pilot.press("f8")
        assert "142 6L" in app.clipboard
        assert "> 7 iron: 150" in app.clipboard
        assert "14 mph from 1h" in app.clipboard
        line(app).put("")
        await pilot.press("y")
        assert line(app).value == "y"
        line(app).put("")
        await pilot.press("escape")
        app.copy_to_clipboard("")
        await pilot.press("y")
        assert "142 6L" in app.clipboard


async def test_what_matters_is_in_the_window_at_every_size(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path, size=SIZES[0]) as (app, pilot):
        screen = await begun(app, pilot, plan="first-windy-evening")
        await warmed_up(screen, pilot)
        for text in ("101", "99 3R", "104 2L"):
            await typed(screen, pilot, text)
        await until(pilot, lambda: screen.figures is not None and screen.figures.version == screen.view.version)
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await pilot.pause()
            height = size[1]
            assert not screen.query_one("#too-small").display, size
            for where in ("#head", "#ball", "#strip", "#heard", "#line", "#shots", "#foot"):
                region = screen.query_one(where).region
                assert region.height >= 1, (size, where)
                assert region.bottom <= height, (size, where)
            assert "14 mph from 1h" in screen.as_text()
            assert "104 2L" in words(app, "#shots")
            await pilot.press("escape")
            await pilot.pause()
            assert screen.query_one("#pad").region.bottom <= height - 1, size
            screen.action_type()


async def test_the_day_fits_every_size(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path, size=SIZES[0]) as (app, pilot):
        await day_is_shown(app, pilot)
        line(app, "#wind").put("14mph 1h")
        await until(pilot, lambda: "full 7 iron" in words(app, "#picture"))
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await pilot.pause()
            assert "full 7 iron" in words(app, "#picture"), size
            assert not app.screen.query_one("#too-small").display, size
            places = [
                app.screen.query_one(where).region for where in ("#wind", "#air", "#ball", "#surface", "#plans")
            ]
            assert [place.y for place in places] == sorted({place.y for place in places}), size
            assert places[-1].height >= 4, size
            assert app.screen.query_one("#asked").region.bottom <= size[1] - 1, size
            assert places[0].x == places[2].x, size


async def test_resizing_loses_nothing_and_a_tiny_window_says_so(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        await typed(screen, pilot, "7 iron: 142 6L")
        await pilot.press(*"15")
        await pilot.resize_terminal(50, 12)
        await pilot.pause()
        assert screen.query_one("#too-small").display
        assert not screen.query_one("#body").display
        assert "60 × 20" in words(app, "#too-small")
        await pilot.resize_terminal(120, 40)
        await pilot.pause()
        assert screen.query_one("#body").display
        assert line(app).value == "15"
        assert "142 6L" in words(app, "#shots")


async def test_the_themes_are_ours_and_change(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        assert app.theme == EVENING.name
        seen = []
        for _ in THEMES:
            seen.append(app.theme)
            await pilot.press("f10")
        assert seen == [theme.name for theme in THEMES]
        assert app.theme == EVENING.name


def test_a_light_terminal_gets_the_light_theme() -> None:
    assert first_theme({"COLORFGBG": "0;15"}) == NOON.name
    assert first_theme({"COLORFGBG": "15;0"}) == EVENING.name
    assert first_theme({"TRAINER_THEME": "colour-blind"}) == HARBOUR.name
    assert first_theme({"TRAINER_THEME": "light", "COLORFGBG": "15;0"}) == NOON.name
    assert first_theme({"TRAINER_THEME": "nonsense"}) == EVENING.name


async def test_no_color_draws_every_state(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    monkeypatch.setenv("NO_COLOR", "1")
    app = TrainerApp(path, clock=Clock(), environ={})
    assert app.no_color
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begun(app, pilot, plan="first-windy-evening")
        await warmed_up(screen, pilot)
        await typed(screen, pilot, "101")
        await pilot.press("up")
        assert "▸" in words(app, "#shots")
        await pilot.press("f1", "escape", "f6", "escape", "f7", "escape", "escape")
        assert isinstance(app.screen, SessionScreen)
        assert isinstance(app.screen, Frame)


def test_the_first_paint_loads_nothing_heavy() -> None:
    script = (
        "import sys, trainer.tui.app, trainer.tui.screens.session, trainer.tui.screens.first_run\nprint(*sys.modules)"
    )
    environ = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
    result = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, env=environ)
    assert not set(result.stdout.split()) & {"numpy", "pydantic", "sqlite3", "tomllib"}
