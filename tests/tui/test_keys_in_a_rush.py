"""Keys that come faster than screens come and go: none is lost, none counts on a screen that has gone."""

from __future__ import annotations

import asyncio
import random
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from tests.tui.helpers import (
    begun,
    day_is_shown,
    keep_player,
    line,
    running,
    session,
    settled,
    stored_sessions,
    stored_shots,
    until,
)
from tests.tui.look_helpers import keep_evenings
from trainer.core.errors import InputError
from trainer.core.shot import Depth
from trainer.tui.app import TrainerApp
from trainer.tui.messages import Looked, Refused
from trainer.tui.screens.choose import ChooseScreen
from trainer.tui.screens.first_run import FirstRunScreen
from trainer.tui.screens.gaps import GapsScreen
from trainer.tui.screens.group import GroupScreen
from trainer.tui.screens.group_setup import GroupSetupScreen
from trainer.tui.screens.pick import ImportPickScreen
from trainer.tui.screens.session import SessionScreen
from trainer.tui.screens.skip import SkipScreen
from trainer.tui.screens.thunder import ThunderScreen
from trainer.tui.screens.where import DESTINATIONS

_CHARACTERS = {"space": " ", "enter": "\r", "equals_sign": "=", "slash": "/", "minus": "-"}


def rush(app: TrainerApp, *keys: str) -> None:
    """Hit keys at once: none waits for what the one before it does."""
    for key in keys:
        app.post_message(events.Key(key, key if len(key) == 1 else _CHARACTERS.get(key)))


async def quiet(app: TrainerApp, pilot: Pilot[None]) -> None:
    """Wait until all keys have done what they do, and every answer has come."""
    await pilot.pause()
    await settled(app, pilot)
    await pilot.pause()


async def test_every_screen_can_be_opened_and_left_without_a_pause(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        for each in DESTINATIONS:
            rush(app, "f2", each.digit, "escape", "escape", "escape")
            await quiet(app, pilot)
            assert app.screen_stack == [app.day], each.name


async def test_a_screen_that_is_left_before_it_stood_asks_nothing(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        for each in DESTINATIONS:
            screen = each.made()
            app.push_screen(screen)
            app.pop_screen()
            await quiet(app, pilot)
            assert not screen.children
            assert app.screen_stack == [app.day]


async def test_escapes_close_what_is_in_front_one_after_the_other(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        rush(app, "f2", "1", "f2", "escape")
        await quiet(app, pilot)
        assert [type(screen) for screen in app.screen_stack[1:]] == [GapsScreen]
        rush(app, "f2", "escape", "escape", "escape")
        await quiet(app, pilot)
        assert app.screen_stack == [app.day]


async def test_what_is_typed_before_its_line_stands_is_in_it(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        rush(app, "f2", "2", *"150")
        await until(pilot, lambda: isinstance(app.screen, ChooseScreen) and app.screen.stands, "choose")
        await quiet(app, pilot)
        assert line(app, "#question").value == "150"
        rush(app, "f2", "7", "slash", *"tmp")
        await until(pilot, lambda: isinstance(app.screen, ImportPickScreen) and app.screen.stands, "the list")
        await quiet(app, pilot)
        assert line(app, "#path").value == "/tmp"


async def test_an_answer_to_a_screen_that_has_gone_is_dropped(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        await pilot.press("f2", "1")
        screen = app.screen
        assert isinstance(screen, GapsScreen)
        screen.leave()
        screen.leave()
        screen.post_message(Looked(screen._number, None))
        screen.post_message(Refused(InputError("late", "here", "do nothing")))
        screen.soon(screen.redraw)
        await quiet(app, pilot)
        assert app.screen_stack == [app.day]


async def test_a_session_that_was_asked_for_comes_to_the_front(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        line(app, "#wind").put("14mph 1h")
        rush(app, "enter", "f2", "5", "f1")
        await until(pilot, lambda: isinstance(app.screen, SessionScreen), "the session")
        assert len(app.screen_stack) == 2


async def test_help_in_front_does_not_stay_when_the_session_ends(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        await begun(app, pilot)
        rush(app, *"end", "enter", "f1")
        await until(pilot, lambda: app.screen is app.day, "the day")
        assert stored_sessions(path)[0].ended_at is not None


async def test_one_key_answers_the_question_and_the_next_is_a_ball(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot, plan="first-windy-evening")
        while screen.view.ball is not None and screen.view.ball.warm_up:
            rush(app, "enter")
            await quiet(app, pilot)
        rush(app, "escape", "s", "1", "8")
        await quiet(app, pilot)
        assert not any(isinstance(each, SkipScreen) for each in app.screen_stack)
        assert [shot.entry.depth for shot in stored_shots(path)] == [Depth.LONG]


async def test_a_form_is_sent_once(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    async with running(path) as (app, pilot):
        await until(pilot, lambda: isinstance(app.screen, FirstRunScreen) and app.screen.stands, "the first start")
        rush(app, *"150", "enter", "enter")
        await until(pilot, lambda: app.day.has_player, "the day")
        await quiet(app, pilot)
        await pilot.press("escape")
        assert app.screen is app.day
        await pilot.press("f2", "8")
        await until(pilot, lambda: isinstance(app.screen, GroupSetupScreen) and app.screen.stands, "the setup")
        await quiet(app, pilot)
        line(app, "#stations").put("7 iron, 150yd")
        line(app, "#balls").put("3")
        rush(app, "enter", "enter", "f1")
        await until(pilot, lambda: isinstance(app.screen, GroupScreen) and app.screen.stands, "the grid")
        await quiet(app, pilot)
        rush(app, "5")
        await quiet(app, pilot)
        rush(app, "escape")
        await quiet(app, pilot)
        assert app.screen is app.day
    assert len(stored_sessions(path)) == 1


async def test_a_window_that_holds_nothing_stops_nothing(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_evenings(path)
    async with running(path, size=(3, 2)) as (app, pilot):
        await day_is_shown(app, pilot)
        for digit in "13569":
            rush(app, "f2", digit, *"150", "enter")
            await quiet(app, pilot)
            assert app.screen is not app.day, digit
            assert not app.screen.query_one("#body").display
            rush(app, "escape", "escape")
            await quiet(app, pilot)
        assert app.screen is app.day


# At random: nothing here may raise, and no screen may be in front that no key opened

_SIZES = ((80, 24), (120, 40), (60, 20), (50, 15), (3, 2))
_ABOUT = (
    *((f"f2 {digit}").split() for digit in "123456789"),
    ["escape"],
    ["escape", "escape"],
    ["l"],
    ["enter"],
    ["j", "enter"],
    ["f1"],
    ["question_mark"],
    ["v"],
    ["t"],
    ["n"],
    ["e"],
    ["f2", "5", "escape"],
    ["ctrl+p"],
)
_SESSION = (*([*text, "enter"] for text in ("99", "140", "skip late", "wind 9mph 6h")), ["escape"], ["f2"],
            ["f5"], ["u"], ["7"], ["5"], ["0"], ["f6", "1"], ["s", "escape"], ["s", "2"], ["f1"], ["f7"],
            ["equals_sign"], ["m"], ["t"], ["tab"], ["up", "enter"], ["enter"], ["g"], ["f9"], ["v"], ["ctrl+g"],
            ["p", "enter"], ["a"], ["i", "escape"], ["e"], ["ctrl+t"], ["n"], ["e", "e"], ["ctrl+p", "escape"],
            ["x"], ["r"], ["w"], ["k"], ["f2", "5"])  # fmt: skip


async def hammered(
    app: TrainerApp, pilot: Pilot[None], seed: int, bursts: int, choices: tuple[list[str], ...]
) -> None:
    rng = random.Random(seed)
    for _ in range(bursts):
        for key in rng.choice(choices):
            rush(app, key)
            await asyncio.sleep(rng.choice((0.0, 0.0, 0.0, 0.01, 0.05)))
        if rng.random() < 0.2:
            await pilot.resize_terminal(*rng.choice(_SIZES))
        await asyncio.sleep(rng.choice((0.0, 0.0, 0.01, 0.05, 0.15)))
    if not any(isinstance(screen, ThunderScreen) for screen in app.screen_stack):
        await out(app, pilot)


async def out(app: TrainerApp, pilot: Pilot[None]) -> None:
    """Escape after Escape leads to the day, or to a session; whatever was opened in front."""
    await quiet(app, pilot)
    for _ in range(12):
        rush(app, "escape")
        await quiet(app, pilot)
    assert len(app.screen_stack) == 1 or isinstance(app.screen, SessionScreen)


async def looked_about(path: Path, seed: int, bursts: int) -> None:
    keep_player(path)
    async with running(path) as (app, pilot):
        await day_is_shown(app, pilot)
        await hammered(app, pilot, seed, bursts, _ABOUT)


async def played(path: Path, seed: int, bursts: int) -> None:
    """In a rush, and the last ball typed at leisure is in the store."""
    keep_player(path)
    async with running(path) as (app, pilot):
        await begun(app, pilot, plan=("", "first-windy-evening", "junior-short-session")[seed % 3])
        await hammered(app, pilot, seed, bursts, _SESSION)
        if isinstance(app.screen, SessionScreen):
            shots = session(app).view.shots
            await settled(app, pilot)
            assert len([shot for shot in stored_shots(path) if not shot.undone]) >= len(shots)


async def test_a_rush_about_the_screens(tmp_path: Path) -> None:
    await looked_about(tmp_path / "t.db", seed=1, bursts=8)


async def test_a_rush_in_a_session(tmp_path: Path) -> None:
    await played(tmp_path / "t.db", seed=1, bursts=12)


@pytest.mark.proof
@pytest.mark.parametrize("seed", range(2, 102))
async def test_many_rushes(tmp_path: Path, seed: int) -> None:
    await looked_about(tmp_path / "about.db", seed, bursts=25)
    await played(tmp_path / "session.db", seed, bursts=40)
