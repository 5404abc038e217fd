"""The screens that have something done: reached as a player does, and waited for."""

from __future__ import annotations

from pathlib import Path

from textual.pilot import Pilot

from tests.tui.helpers import line, until
from trainer.application.views.squad import MemberPage, SquadPage
from trainer.application.views.table import ImportView
from trainer.tui.app import TrainerApp
from trainer.tui.screens.frame import Frame
from trainer.tui.screens.importing import ImportScreen
from trainer.tui.screens.pick import PickScreen
from trainer.tui.screens.work import WorkScreen

HEAD = "Time,Club,Carry (yd),Side (yd)"
SIZES = [(80, 24), (120, 40), (60, 20)]


def row(minute: int, carry: float, side: float = 0.0, club: str = "7 iron") -> str:
    """A row of a shot table on the day of the tests."""
    return f"2026-05-14T18:{minute:02d}:00,{club},{carry},{side}"


def write_table(path: Path, *rows: str, head: str = HEAD) -> Path:
    path.write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    return path


async def go_to(app: TrainerApp, pilot: Pilot[None], digit: str, kind: type[Frame]) -> None:
    """To a screen by F2 and its digit."""
    await pilot.press("f2", digit)
    await until(pilot, lambda: isinstance(app.screen, kind) and app.screen.is_mounted, kind.__name__)


def working(app: TrainerApp) -> WorkScreen[object]:
    assert isinstance(app.screen, WorkScreen)
    return app.screen


async def done(app: TrainerApp, pilot: Pilot[None]) -> None:
    """Wait until what was asked for is done, or refused."""
    await pilot.pause()
    await until(pilot, lambda: isinstance(app.screen, WorkScreen) and not app.screen.waiting, "an answer")
    await pilot.pause()


async def keyed(app: TrainerApp, pilot: Pilot[None], *keys: str) -> None:
    """Press keys and wait for what comes of them."""
    await pilot.press(*keys)
    await done(app, pilot)


async def said_in_line(app: TrainerApp, pilot: Pilot[None], key: str, text: str) -> None:
    """Ask for the line by a key, type, enter, and wait."""
    await pilot.press(key)
    line(app, "#question").put(text)
    await keyed(app, pilot, "enter")


async def picked(app: TrainerApp, pilot: Pilot[None], path: Path) -> None:
    """Pick a file by its whole path."""
    screen = app.screen
    assert isinstance(screen, PickScreen)
    line(app, "#path").put(str(path))
    await until(pilot, lambda: screen.row is not None and screen.row.typed == str(path), "the file in the list")
    await pilot.press("enter")
    await until(pilot, lambda: app.screen is not screen and app.screen.is_mounted, "the screen behind the list")


async def importing(app: TrainerApp, pilot: Pilot[None], path: Path) -> ImportScreen:
    """The import of a file, as far as its first question or its rows."""
    if not isinstance(app.screen, PickScreen):
        await go_to(app, pilot, "7", PickScreen)
    await picked(app, pilot, path)
    screen = app.screen
    assert isinstance(screen, ImportScreen)
    await done(app, pilot)
    return screen


def import_view(app: TrainerApp) -> ImportView:
    view = working(app).view
    assert isinstance(view, ImportView)
    return view


def squad_page(app: TrainerApp) -> SquadPage:
    view = working(app).view
    assert isinstance(view, SquadPage)
    return view


def member_page(app: TrainerApp) -> MemberPage:
    view = working(app).view
    assert isinstance(view, MemberPage)
    return view
