"""The group's grid on the screen: one key a ball, on the disk at once, one wind log, sheets, and going on."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from tests.cli.program import Program
from tests.tui.helpers import START, a_profile, day_is_shown, line, running, until, words
from tests.tui.work_helpers import SIZES, done, keyed, said_in_line
from trainer.application.views.group import GroupView
from trainer.exchange.group_text import mark_of
from trainer.store.store import open_store
from trainer.tui.app import TrainerApp
from trainer.tui.screens.crowd import CrowdScreen
from trainer.tui.screens.group import GroupScreen
from trainer.tui.screens.group_setup import GroupSetupScreen
from trainer.tui.screens.squad import SquadScreen
from trainer.tui.screens.today import TodayScreen
from trainer.tui.widgets.choice import Listing

ALIASES = ("kestrel", "heron", "dunlin")
STATIONS = "7 iron, three-quarter, 120yd; 9 iron, half, 80yd"


@pytest.fixture
def store(tmp_path: Path) -> Path:
    path = tmp_path / "t.db"
    with open_store(path, write=True) as opened:
        for alias in ALIASES:
            opened.save_profile(a_profile(alias), START - timedelta(days=1))
    return path


def marks(path: Path) -> dict[str, list[str]]:
    """The keys of the balls that the store holds, by player, in the order kept."""
    with open_store(path, write=False) as opened:
        players = opened.players()
        held = {p.profile.alias: opened.shots(player_id=p.id) for p in players}
    return {alias: [mark_of(shot.entry) for shot in shots] for alias, shots in held.items()}


def view(app: TrainerApp) -> GroupView:
    assert isinstance(app.screen, GroupScreen)
    assert app.screen.view is not None
    return app.screen.view


async def setting_up(app: TrainerApp, pilot: Pilot[None]) -> None:
    """From the list of players to the lines before the grid."""
    await until(pilot, lambda: isinstance(app.screen, CrowdScreen) and bool(app.screen.query(Listing)), "the players")
    await pilot.press("down", "enter")
    await until(pilot, lambda: isinstance(app.screen, GroupSetupScreen) and bool(app.screen.query("#said")), "lines")
    await until(pilot, lambda: "one moment" not in words(app, "#said"), "what is known")


async def gridded(
    app: TrainerApp, pilot: Pilot[None], *, wind: str = "14mph 1h", balls: str = "3", stations: str = STATIONS
) -> None:
    await setting_up(app, pilot)
    for name, text in (("stations", stations), ("balls", balls), ("wind", wind)):
        line(app, f"#{name}").put(text)
    await pilot.press("enter")
    await until(pilot, lambda: isinstance(app.screen, GroupScreen) and app.screen.view is not None, "the grid")


async def entered(app: TrainerApp, pilot: Pilot[None], keys: str) -> None:
    for key in keys:
        await keyed(app, pilot, {"-": "minus"}.get(key, key))


async def test_each_key_is_a_ball_on_the_disk_and_the_hand_goes_on(store: Path) -> None:
    async with running(store) as (app, pilot):
        await gridded(app, pilot)
        await keyed(app, pilot, "5")
        assert marks(store)["kestrel"] == ["5"]
        await entered(app, pilot, "x-28")
        assert marks(store) == {"kestrel": ["5", "0", "-"], "heron": ["2", "8"], "dunlin": []}
        assert (view(app).row, view(app).column, view(app).left) == (1, 2, 4)
        assert "5 0 -" in words(app, "#grid")


async def test_undo_correction_and_another_player(store: Path) -> None:
    async with running(store) as (app, pilot):
        await gridded(app, pilot)
        await entered(app, pilot, "555")
        await entered(app, pilot, "u")
        assert marks(store)["kestrel"] == ["5", "5"]
        await pilot.press("left", "left")
        assert "[5] " in words(app, "#grid").replace("5 [5]", "[5] ") or "[5]5" in words(app, "#grid")
        await keyed(app, pilot, "9")
        assert marks(store)["kestrel"] == ["9", "5"]
        await entered(app, pilot, "1")
        await keyed(app, pilot, "j")
        await entered(app, pilot, "7")
        assert marks(store) == {"kestrel": ["9", "5", "1"], "heron": [], "dunlin": ["7"]}
        await keyed(app, pilot, "k", "k")
        await entered(app, pilot, "4")
        assert "3 balls" in words(app, "#said")
        assert marks(store)["kestrel"] == ["9", "5", "1"]
        await pilot.click("#grid", offset=(6, 1))
        await done(app, pilot)
        await entered(app, pilot, "6")
        assert marks(store)["heron"] == ["6"]


async def test_players_are_passed_as_fast_as_the_key_is_hit(store: Path) -> None:
    async with running(store) as (app, pilot):
        await gridded(app, pilot)
        for _ in range(2):
            app.post_message(events.Key("down", None))
        await done(app, pilot)
        assert view(app).row == 2


async def test_a_reading_holds_from_the_next_ball_on_and_stations_are_apart(store: Path) -> None:
    async with running(store) as (app, pilot):
        await gridded(app, pilot)
        await entered(app, pilot, "5")
        await said_in_line(app, pilot, "w", "20mph 12h")
        assert "20mph 12h" in words(app, "#look-head")
        await entered(app, pilot, "8n2")
        assert (view(app).number, view(app).kept) == (2, 1)
        with open_store(store, write=False) as opened:
            player = opened.player("kestrel")
            shots = opened.shots(player_id=player.id)
            speeds = [round(opened.reading(shot.reading_id or 0).wind.speed_mps / 0.44704) for shot in shots]
        assert [shot.cell.club for shot in shots] == ["7 iron", "7 iron", "9 iron"]
        assert speeds == [14, 20, 20]
        await said_in_line(app, pilot, "w", "some wind")
        assert view(app).wind == "20mph 12h"


async def test_a_wind_that_was_refused_waits_in_its_line(store: Path) -> None:
    async with running(store) as (app, pilot):
        await gridded(app, pilot)
        await said_in_line(app, pilot, "w", "14mph")
        assert "where does the wind come from" in words(app, "#said")
        await pilot.press("w")
        assert line(app, "#question").value == "14mph"
        await pilot.press("escape")
        await said_in_line(app, pilot, "w", "14mph 3h")
        await pilot.press("w")
        assert line(app, "#question").value == ""


async def test_what_is_copied_is_what_the_command_reads(store: Path, tmp_path: Path) -> None:
    async with running(store) as (app, pilot):
        await gridded(app, pilot)
        await entered(app, pilot, "5x-2")
        await said_in_line(app, pilot, "w", "20mph 12h")
        await entered(app, pilot, "8n2")
        await pilot.press("y")
        text = app.clipboard
        await pilot.press("escape")
        await until(pilot, lambda: not isinstance(app.screen, GroupScreen), "the way out")
    entries = tmp_path / "entries.txt"
    entries.write_text(text + "\n", encoding="utf-8")
    before = marks(store)
    again = Program(store).json("group", "record", str(entries))
    assert (again["recorded"], again["already"], again["refused"]) == (0, 6, [])
    twin = tmp_path / "twin" / "t.db"
    twin.parent.mkdir()
    with open_store(twin, write=True) as opened:
        for alias in ALIASES:
            opened.save_profile(a_profile(alias), START - timedelta(days=1))
    assert Program(twin).json("group", "record", str(entries))["recorded"] == 6
    assert marks(twin) == before


async def test_an_evening_goes_on_where_it_was(store: Path) -> None:
    async with running(store) as (app, pilot):
        await gridded(app, pilot)
        await entered(app, pilot, "5552")
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(app.screen, CrowdScreen), "the players")
    async with running(store) as (app, pilot):
        await setting_up(app, pilot)
        assert "4 balls are kept" in words(app, "#said")
        assert line(app, "#players").value == "kestrel, heron"
        line(app, "#players").put("")
        line(app, "#balls").put("3")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, GroupScreen) and app.screen.view is not None, "the grid")
        assert [len(each.marks) for each in view(app).rows] == [3, 1, 0]
        assert (view(app).row, view(app).column) == (1, 1)
        await entered(app, pilot, "4")
        assert marks(store)["heron"] == ["2", "4"]
        with open_store(store, write=False) as opened:
            sessions = [len(opened.sessions(player.id)) for player in opened.players()]
            readings = opened.readings()
        assert sessions == [1, 1, 0]
        assert len(readings) == 2


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("stations", "7 iron", "where is the target"),
        ("stations", "", "no station"),
        ("players", "kestrel, nobody", "nobody"),
        ("balls", "many", "whole number"),
        ("wind", "14mph", "where does the wind come from"),
        ("when", "yesterday", "moment"),
    ],
)
async def test_what_cannot_be_read_is_asked_back_and_the_store_is_let_go_of(
    store: Path, name: str, text: str, said: str
) -> None:
    async with running(store) as (app, pilot):
        await setting_up(app, pilot)
        line(app, "#stations").put(STATIONS)
        line(app, f"#{name}").put(text)
        await pilot.press("enter")
        await until(pilot, lambda: said in words(app, "#said"), said)
        assert line(app, f"#{name}").value == text
        with open_store(store, write=True):
            pass


async def test_sheets_are_written_for_a_tally_on_paper(store: Path, tmp_path: Path) -> None:
    async with running(store) as (app, pilot):
        await gridded(app, pilot)
        await said_in_line(app, pilot, "s", str(tmp_path / "sheets"))
        await until(pilot, lambda: "written" in words(app, "#said"), "the files")
        names = {path.name for path in (tmp_path / "sheets").iterdir()}
        assert names == {"sheets.html", "sheets.txt", "entries.txt"}
        await said_in_line(app, pilot, "s", str(tmp_path / "sheets"))
        await until(pilot, lambda: "never overwritten" in words(app, "#said"), "the refusal")
        await pilot.press("w", "escape")
        assert line(app, "#question").value == ""
        await entered(app, pilot, "5")
        assert marks(store)["kestrel"] == ["5"]


async def test_several_players_ask_whose_day_it_is(store: Path) -> None:
    async with running(store) as (app, pilot):
        await until(pilot, lambda: isinstance(app.screen, CrowdScreen) and bool(app.screen.query(Listing)), "them")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, SquadScreen), "the squad")
        await until(pilot, lambda: getattr(app.screen, "view", None) is not None, "its members")
        await pilot.press("escape", "down", "down", "down", "enter")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "the day")
        await day_is_shown(app, pilot)
        assert "heron" in words(app, "#head")


async def test_the_player_whose_turn_it_is_is_in_the_window(tmp_path: Path) -> None:
    path = tmp_path / "many.db"
    with open_store(path, write=True) as opened:
        for number in range(30):
            opened.save_profile(a_profile(f"bird {number:02d}"), START - timedelta(days=1))
    async with running(path, SIZES[0]) as (app, pilot):
        await gridded(app, pilot, balls="12")
        await keyed(app, pilot, "k")
        await entered(app, pilot, "5")
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await pilot.pause()
            grid = app.screen.query_one("#grid").region
            assert grid.height >= 10, size
            assert app.screen.query_one("#grid-keys").region.bottom <= size[1] - 1, size
            shown = words(app, "#grid").splitlines()
            assert len(shown) <= grid.height, size
            assert any(each.startswith("▸ 30 bird 29") and " 5 _" in each for each in shown), size
            assert view(app).row == 29
