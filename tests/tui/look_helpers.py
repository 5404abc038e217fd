"""A player with a few evenings behind him, the screens that look at what they taught, and the command's own text."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from textual.pilot import Pilot

from tests.cli.program import Program
from tests.tui.helpers import START, Clock, day_is_shown, keep_player, line, put_store, running, until
from trainer.application.conditions.stated import StatedConditions
from trainer.application.session.recording import begin
from trainer.core.conditions import Wind, WindKnowledge
from trainer.core.units import to_si
from trainer.store.store import open_store
from trainer.tui.app import TrainerApp
from trainer.tui.screens.frame import Frame
from trainer.tui.screens.look import LookScreen

SHOTS = ("7 iron: 131 6R", "7 iron: 128 4L", "7 iron: 84 2L x", "7 iron, 1 in, three-quarter: 116 2L",
         "7 iron, 1 in, three-quarter: 112", "7 iron: 133 0R", "5 iron, 1 in, three-quarter: 139 8L",
         "7 iron: 126 9R", "7 iron, 1 in, three-quarter: 118 3R")  # fmt: skip
WIND = Wind(WindKnowledge.READ, to_si(10, "mph"), 0.3)
DIGITS = {"gaps": "1", "choose": "2", "compare": "3", "card": "4", "progress": "5", "plans": "6"}


def keep_evenings(path: Path) -> None:
    """A player and two evenings of nine balls, the last one a week ago."""
    put_store(path, _store_with_evenings())


@cache
def _store_with_evenings() -> bytes:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "t.db"
        keep_player(path)
        _play_evenings(path)
        return path.read_bytes()


def _play_evenings(path: Path) -> None:
    with open_store(path, write=True) as store:
        for days in (14, 7):
            when = START - timedelta(days=days)
            recorder = begin(store, None, StatedConditions(wind=WIND), when)
            for number, text in enumerate(SHOTS):
                recorder.line(text, when + timedelta(minutes=1 + number))
            store.end_session(recorder.session.id, when + timedelta(minutes=30))


@asynccontextmanager
async def looking(
    path: Path, what: str, size: tuple[int, int] = (80, 24), clock: Clock | None = None
) -> AsyncIterator[tuple[TrainerApp, Pilot[None]]]:
    """The app at one of the screens, opened as a player does."""
    async with running(path, size, clock) as (app, pilot):
        await day_is_shown(app, pilot)
        await go(app, pilot, what)
        yield app, pilot


async def go(app: TrainerApp, pilot: Pilot[None], what: str) -> None:
    """To one of the screens by F2 and its digit."""
    before = app.screen
    await pilot.press("f2", DIGITS[what])
    await until(pilot, lambda: isinstance(app.screen, LookScreen) and app.screen is not before, what)
    await until(pilot, lambda: app.screen.is_mounted and bool(app.screen.query("#said")), "its widgets")


def look(app: TrainerApp) -> LookScreen[object]:
    assert isinstance(app.screen, LookScreen)
    return app.screen


async def answered(app: TrainerApp, pilot: Pilot[None]) -> None:
    """Wait until the newest question is answered or refused."""
    screen = look(app)
    await until(pilot, lambda: screen.waiting is False, "an answer")
    await pilot.pause()


async def asked(app: TrainerApp, pilot: Pilot[None], text: str) -> None:
    """Type a question, enter it, and wait for what comes of it."""
    if not look(app).typing:
        await pilot.press("t")
    line(app, "#question").put(text)
    await pilot.press("enter")
    await answered(app, pilot)


def printed(path: Path, *words: str) -> str:
    """What the command prints over the same store on the same day."""
    result = Program(path, now=START)(*words)
    assert result.code == 0, result.err
    return result.out.rstrip("\n")


def text(app: TrainerApp) -> str:
    assert isinstance(app.screen, Frame)
    return app.screen.as_text()
