"""Gaps and the page of one shot: what is pointed at, still air and today, any wind, and what is copied."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import cast

import pytest

from tests.tui.helpers import keep_player, line, until, words
from tests.tui.look_helpers import answered, asked, go, keep_evenings, look, looking, printed, text
from trainer.application.looking import Held, Looking
from trainer.application.views.look import CellView, FlightsView, GapsView
from trainer.core.bag import Cell, Swing
from trainer.store.store import open_store
from trainer.tui.actions import Place
from trainer.tui.messages import Looked
from trainer.tui.screens.cell import PARTS, CellScreen
from trainer.tui.screens.compare import CompareScreen
from trainer.tui.screens.gaps import GapsScreen
from trainer.tui.screens.today import TodayScreen

WINDY = ("--wind", "14mph", "--wind-from", "1h")
SIZES = [(80, 24), (120, 40), (60, 20)]


@pytest.fixture
def store(tmp_path: Path) -> Path:
    path = tmp_path / "t.db"
    keep_evenings(path)
    return path


def gaps(screen: object) -> GapsScreen:
    assert isinstance(screen, GapsScreen)
    return screen


def view_of(screen: GapsScreen) -> GapsView:
    assert screen.view is not None
    return screen.view


async def test_gaps_open_from_the_day_nearest_shot_first(store: Path) -> None:
    async with looking(store, "gaps") as (app, pilot):
        await answered(app, pilot)
        screen = gaps(app.screen)
        middles = [row.bar.middle for row in screen.table.rows]
        assert middles == sorted(middles)
        trusts = {row.cell: row.trust for row in screen.table.rows}
        assert trusts[Cell("7 iron")] != "not hit"
        assert trusts[Cell("8 iron")] == "not hit"
        assert screen.place is Place.GAPS
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(app.screen, TodayScreen), "the day")


async def test_still_air_and_every_shot_at_one_key_each(store: Path) -> None:
    async with looking(store, "gaps") as (app, pilot):
        await asked(app, pilot, "14mph 1h")
        screen = gaps(app.screen)
        await pilot.press("j", "j", "down")
        pointed, few = screen.row, len(screen.table.rows)
        assert pointed is not None
        assert screen.index == 3
        await pilot.press("s")
        assert screen.still
        assert screen.row is not None
        assert screen.row.cell == pointed.cell
        assert screen.row.bar.middle > pointed.bar.middle, "a headwind costs carry"
        await pilot.press("a")
        assert len(screen.table.rows) > few
        assert screen.row.cell == pointed.cell
        assert "▸" in words(app, "#rows")


async def test_any_wind_changes_today_and_leaves_still_air(store: Path) -> None:
    async with looking(store, "gaps") as (app, pilot):
        await answered(app, pilot)
        screen = gaps(app.screen)
        calm = view_of(screen)
        await asked(app, pilot, "20mph 12h")
        windy = view_of(screen)
        assert [row.bar.words for row in windy.few_still.rows] == [row.bar.words for row in calm.few_still.rows]
        carries = {row.cell: row.bar.words for row in calm.few_today.rows}
        assert all(row.bar.words != carries[row.cell] for row in windy.few_today.rows)
        assert "20 mph" in words(app, "#look-head")
        await asked(app, pilot, "")
        assert view_of(screen).few_today == calm.few_today


async def test_a_wind_that_cannot_be_read_is_said_and_stays_in_the_line(store: Path) -> None:
    async with looking(store, "gaps") as (app, pilot):
        await answered(app, pilot)
        before = view_of(gaps(app.screen))
        await asked(app, pilot, "14mph")
        assert "where does the wind come from" in words(app, "#said")
        assert view_of(gaps(app.screen)) is before
        await pilot.press("t")
        assert line(app, "#question").value == "14mph"
        await pilot.press("escape")
        assert gaps(app.screen).place is Place.GAPS
        assert isinstance(app.screen, GapsScreen)


async def test_a_wind_that_was_refused_here_is_not_asked_elsewhere(store: Path) -> None:
    async with looking(store, "gaps") as (app, pilot):
        await answered(app, pilot)
        await asked(app, pilot, "12mph 3h")
        await asked(app, pilot, "14mph")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, CellScreen) and app.screen.is_mounted, "the page")
        await answered(app, pilot)
        assert isinstance(app.screen, CellScreen)
        assert app.screen.view is not None
        assert line(app, "#question").value == "12mph 3h"


async def test_what_is_copied_is_what_the_command_prints(store: Path) -> None:
    async def copied(*keys: str) -> str:
        app.copy_to_clipboard("")
        await pilot.press(*keys)
        return app.clipboard

    async with looking(store, "gaps") as (app, pilot):
        await answered(app, pilot)
        assert await copied("y") == await copied("f8") == printed(store, "gaps")
        await asked(app, pilot, "14mph 1h")
        assert await copied("y") == await copied("f8") == printed(store, "gaps", *WINDY)
        await pilot.press("a")
        assert await copied("y") == await copied("f8") == printed(store, "gaps", "--all", *WINDY)


async def test_the_wind_typed_on_the_day_is_the_tables(store: Path) -> None:
    async with looking(store, "gaps") as (app, pilot):
        await answered(app, pilot)
        await pilot.press("escape")
        line(app, "#wind").put("14mph 1h")
        await pilot.pause()
        await go(app, pilot, "gaps")
        await answered(app, pilot)
        assert text(app) == printed(store, "gaps", *WINDY)


async def test_lines_say_all_without_a_picture(store: Path) -> None:
    async with looking(store, "gaps") as (app, pilot):
        await answered(app, pilot)
        screen = gaps(app.screen)
        await pilot.press("v")
        shown = words(app, "#lines")
        assert screen.query_one("#page").display
        assert not screen.query_one("#look").display
        for row in screen.table.rows:
            assert row.words in shown
            assert row.trust in row.words
        await pilot.press("pagedown", "v")
        assert screen.query_one("#look").display


async def test_a_shot_opens_to_its_page_and_comes_back(store: Path) -> None:
    async with looking(store, "gaps") as (app, pilot):
        await answered(app, pilot)
        screen = gaps(app.screen)
        screen.chosen = Cell("7 iron")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, CellScreen) and app.screen.is_mounted, "the page")
        await answered(app, pilot)
        page = cast("CellScreen", app.screen)
        view = page.view
        assert isinstance(view, CellView)
        assert len(view.shots) == 10
        assert "133" in words(app, "#part-0")
        for number in range(1, len(PARTS)):
            await pilot.press("right")
            assert page.part == number
            assert words(app, f"#part-{number}")
        assert [page.query_one(f"#part-{number}").display for number in range(4)] == [False, False, False, True]
        await pilot.press("l", "h", "left")
        assert page.part == 2
        await pilot.press("y")
        assert app.clipboard == printed(store, "gaps", "--cell", "7 iron")
        await pilot.press("escape")
        await until(pilot, lambda: app.screen is screen, "back at the table")
        assert screen.row is not None
        assert screen.row.cell == Cell("7 iron")


async def test_a_large_window_shows_all_of_a_shot_at_once(store: Path) -> None:
    async with looking(store, "gaps", size=(120, 40)) as (app, pilot):
        await answered(app, pilot)
        gaps(app.screen).chosen = Cell("7 iron")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, CellScreen) and app.screen.is_mounted, "the page")
        await answered(app, pilot)
        regions = [app.screen.query_one(f"#part-{number}").region for number in range(4)]
        assert all(region.width > 40 and region.height > 10 for region in regions)
        assert len({(region.x, region.y) for region in regions}) == 4
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert [app.screen.query_one(f"#part-{number}").display for number in range(4)] == [True, False, False, False]


async def test_full_is_set_beside_low_and_low_beside_full(store: Path) -> None:
    async with looking(store, "gaps") as (app, pilot):
        await answered(app, pilot)
        for cell in (Cell("7 iron"), Cell("7 iron", 0.0254, Swing.THREE_QUARTER)):
            gaps(app.screen).chosen = cell
            await pilot.press("c")
            await until(pilot, lambda: isinstance(app.screen, CompareScreen) and app.screen.is_mounted, "the two")
            await answered(app, pilot)
            view = look(app).view
            assert isinstance(view, FlightsView)
            one, other = view.typed.split("; ")
            assert ("three-quarter" in one) != ("three-quarter" in other)
            assert text(app) == printed(store, "compare", one, other)
            await pilot.press("escape")
            await until(pilot, lambda: isinstance(app.screen, GapsScreen), "the table")


async def test_the_mouse_points_and_opens(store: Path) -> None:
    async with looking(store, "gaps") as (app, pilot):
        await answered(app, pilot)
        screen = gaps(app.screen)
        await pilot.click("#rows", offset=(5, 4))
        assert screen.index == 4
        await pilot.click("#rows", offset=(5, 4))
        await until(pilot, lambda: isinstance(app.screen, CellScreen), "the page")


async def test_a_click_on_the_foot_does_what_it_names(store: Path) -> None:
    async with looking(store, "gaps") as (app, pilot):
        await answered(app, pilot)
        screen = gaps(app.screen)
        foot = words(app, "#foot")
        await pilot.click("#foot", offset=(1 + foot.index("still"), 0))
        assert screen.still
        await pilot.click("#foot", offset=(1 + foot.index("wind"), 0))
        assert screen.typing


async def test_every_part_is_in_the_window(store: Path) -> None:
    async with looking(store, "gaps", size=SIZES[0]) as (app, pilot):
        await asked(app, pilot, "14mph 1h gust 20mph")
        screen = app.screen
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await pilot.pause()
            for where in ("#look-head", "#axis", "#rows", "#detail", "#foot"):
                region = screen.query_one(where).region
                assert region.height >= 1, (size, where)
                assert region.bottom <= size[1], (size, where)
            assert screen.query_one("#rows").region.height >= 8, size
            widest = max(len(drawn) for drawn in words(app, "#rows").splitlines())
            assert widest <= size[0] - 2, size
            await pilot.press("end", "j")


async def test_resizing_loses_nothing(store: Path) -> None:
    async with looking(store, "gaps") as (app, pilot):
        await answered(app, pilot)
        screen = gaps(app.screen)
        await pilot.press("j", "j", "s", "t")
        line(app, "#question").put("11mph 2h")
        await pilot.resize_terminal(50, 12)
        await pilot.pause()
        assert screen.query_one("#too-small").display
        await pilot.resize_terminal(120, 40)
        await pilot.pause()
        assert line(app, "#question").value == "11mph 2h"
        assert screen.still
        assert screen.index == 2
        assert screen.place is Place.ASKING


async def test_an_answer_to_an_older_question_is_dropped(store: Path) -> None:
    async with looking(store, "gaps") as (app, pilot):
        await answered(app, pilot)
        first = view_of(gaps(app.screen))
        await asked(app, pilot, "20mph 12h")
        newest = view_of(gaps(app.screen))
        app.screen.post_message(Looked(1, first))
        await pilot.pause()
        assert view_of(gaps(app.screen)) is newest


async def test_the_event_loop_neither_reads_nor_calculates(store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    threads: list[str] = []
    original = Looking.gaps

    def spied(self: Looking, held: Held, wind: str) -> GapsView:
        threads.append(threading.current_thread().name)
        return original(self, held, wind)

    monkeypatch.setattr(Looking, "gaps", spied)
    async with looking(store, "gaps") as (app, pilot):
        await answered(app, pilot)
    assert [name.startswith("sums") for name in threads] == [True]


async def test_in_a_round_the_table_is_not_shown(store: Path) -> None:
    from tests.tui.helpers import START
    from trainer.application.choosing.rounds import start_round

    with open_store(store, write=True) as held:
        start_round(held, None, START, {"text": "the card", "html": "<p>", "svg": "<svg>", "json": "{}"})
    async with looking(store, "gaps") as (app, pilot):
        await answered(app, pilot)
        assert "Rule 4.3a" in words(app, "#said")
        assert gaps(app.screen).view is None
        await go(app, pilot, "card")
        await answered(app, pilot)
        assert words(app, "#card-text") == "the card"
        assert "round" in words(app, "#look-head")


async def test_with_nothing_hit_the_table_still_stands(tmp_path: Path) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with looking(path, "gaps") as (app, pilot):
        await answered(app, pilot)
        assert all(row.trust == "not hit" for row in gaps(app.screen).table.rows)
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, CellScreen) and app.screen.is_mounted, "the page")
        await answered(app, pilot)
        await pilot.press("l", "l", "l")
        assert "ball" in words(app, "#part-0").lower()
