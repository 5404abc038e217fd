"""A player, an app over a store of his, and waiting for what the threads post."""

from __future__ import annotations

import asyncio
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from textual import events
from textual.pilot import Pilot

from tests.tui.quick_textual import paint, quick_textual
from trainer.application.practice import Practice
from trainer.application.setup.proposed_bag import propose_bag
from trainer.core.profile import CarryBasis, KnownCarry, Profile, RangeFlag
from trainer.core.units import to_si
from trainer.store.records import SessionRecord, ShotRecord
from trainer.store.store import open_store
from trainer.tui.app import TrainerApp
from trainer.tui.messages import SessionShown
from trainer.tui.screens.frame import Frame
from trainer.tui.screens.session import SessionScreen
from trainer.tui.widgets.choice import Listing
from trainer.tui.widgets.line import Line
from trainer.tui.widgets.words import Words

START = datetime(2026, 5, 14, 18, 30)
PATIENCE_S = 30.0


class Clock:
    """A clock that goes on by ten seconds each time it is read."""

    def __init__(self, start: datetime = START) -> None:
        self.now = start

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=10)
        return self.now


def a_profile(alias: str = "Tester") -> Profile:
    known = KnownCarry("7 iron", to_si(150, "yd"), CarryBasis.MEASURED)
    flags = (RangeFlag("red", to_si(110, "yd"), 0.0), RangeFlag("blue", to_si(140, "yd"), to_si(60, "deg")))
    return Profile(alias, propose_bag(known), known, flags=flags)


def keep_player(path: Path, profile: Profile | None = None) -> None:
    if profile is None and not path.exists():
        put_store(path, _store_with_player())
        return
    with open_store(path, write=True) as store:
        store.save_profile(profile or a_profile(), START - timedelta(days=1))


def put_store(path: Path, content: bytes) -> None:
    """A new store that holds what another did; to make one from nothing takes a tenth of a second."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    path.touch(mode=0o600, exist_ok=False)
    path.write_bytes(content)


@cache
def _store_with_player() -> bytes:
    with TemporaryDirectory() as folder:
        keep_player(Path(folder) / "t.db", a_profile())
        return (Path(folder) / "t.db").read_bytes()


def stored_shots(path: Path) -> tuple[ShotRecord, ...]:
    with open_store(path, write=False) as store:
        return store.shots()


def stored_sessions(path: Path) -> tuple[SessionRecord, ...]:
    with open_store(path, write=False) as store:
        return store.sessions(store.player().id)


@asynccontextmanager
async def running(
    path: Path, size: tuple[int, int] = (80, 24), clock: Clock | None = None
) -> AsyncIterator[tuple[TrainerApp, Pilot[None]]]:
    app = TrainerApp(path, clock=clock or Clock(), environ={})
    with quick_textual():
        async with app.run_test(size=size) as pilot:
            yield app, pilot
            paint(app.screen)


async def until(pilot: Pilot[None], condition: Callable[[], bool], what: str = "") -> None:
    deadline = time.monotonic() + PATIENCE_S
    while not condition():
        if time.monotonic() > deadline:
            shown = pilot.app.screen.as_text() if isinstance(pilot.app.screen, Frame) else ""
            raise AssertionError(f"it never came: {what}\n{shown}")
        await asyncio.sleep(0.004)


def words(app: TrainerApp, where: str) -> str:
    return app.screen.query_one(where, Words).plain


def line(app: TrainerApp, where: str = "#line") -> Line:
    return app.screen.query_one(where, Line)


async def day_is_shown(app: TrainerApp, pilot: Pilot[None]) -> None:
    await until(
        pilot, lambda: bool(app.screen.query("#plans")) and app.screen.query_one(Listing).value is not None, "plans"
    )


def session(app: TrainerApp) -> SessionScreen:
    assert isinstance(app.screen, SessionScreen)
    return app.screen


async def begun(app: TrainerApp, pilot: Pilot[None], wind: str = "14mph 1h", plan: str = "") -> SessionScreen:
    """A session begun with the day's fields filled, free practice unless a plan is named, its view settled."""
    await day_is_shown(app, pilot)
    line(app, "#wind").put(wind)
    plans = app.screen.query_one(Listing)
    while plans.value != plan:
        assert plans.move(1)
    await pilot.press("enter")
    await until(pilot, lambda: isinstance(app.screen, SessionScreen) and app.screen.is_mounted, "the session")
    await until(pilot, lambda: session(app).view.version >= 2, "its first view")
    return session(app)


async def warmed_up(screen: SessionScreen, pilot: Pilot[None]) -> None:
    """Behind the warm-up: the store's thread is told of all its balls at once, the screen of the last."""

    def warm(practice: Practice) -> SessionShown:
        view = practice.live.warm()
        while view.ball is not None and view.ball.warm_up:
            view = practice.live.warm()
        return SessionShown(view)

    if screen.view.ball is not None and screen.view.ball.warm_up:
        before = screen.view.version
        screen.trainer.desk.ask(screen, warm)
        await until(pilot, lambda: screen.view.version > before, "the first ball behind the warm-up")


async def typed(screen: SessionScreen, pilot: Pilot[None], text: str) -> None:
    """Type a line, enter it, and wait until the store has answered."""
    before = screen.view.version
    screen.query_one("#line", Line).put(text)
    screen.action_keep()
    await until(pilot, lambda: screen.view.version > before, f"an answer to {text}")


async def pressed(screen: SessionScreen, pilot: Pilot[None], *keys: str) -> None:
    """Press keys, the last of which changes the store, and wait for its answer."""
    before = screen.view.version
    for key in keys:
        character = key if len(key) == 1 else {"space": " ", "enter": "\r"}.get(key)
        pilot.app.post_message(events.Key(key, character))
    await until(pilot, lambda: screen.view.version > before, f"an answer to {keys}")


async def settled(app: TrainerApp, pilot: Pilot[None]) -> None:
    """Wait until both threads have done all that follows from what was entered: figures, calls, a new rest."""
    for _ in range(4):
        for thread in (app.desk._keeper, app.desk._sums):
            await asyncio.wrap_future(thread.submit(lambda: None))
    await pilot.pause()
