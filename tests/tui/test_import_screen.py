"""Import on the screen: a file picked, its questions answered by keys, its rows looked at, kept, taken back."""

from __future__ import annotations

from pathlib import Path
from threading import Event

import pytest
from textual.pilot import Pilot

from tests.cli.program import Program
from tests.tui.helpers import (
    PATIENCE_S,
    START,
    day_is_shown,
    keep_player,
    line,
    running,
    settled,
    stored_shots,
    until,
    words,
)
from tests.tui.work_helpers import (
    SIZES,
    done,
    go_to,
    import_view,
    importing,
    keyed,
    picked,
    row,
    said_in_line,
    working,
    write_table,
)
from trainer.application.files import importing as reading
from trainer.application.views.table import TableStep
from trainer.core.conditions import WindKnowledge
from trainer.core.units import to_si
from trainer.store.store import open_store
from trainer.tui.actions import Place
from trainer.tui.app import TrainerApp
from trainer.tui.screens.pick import PickScreen
from trainer.tui.screens.plans import PlansScreen
from trainer.tui.screens.today import TodayScreen
from trainer.tui.widgets.choice import Choice

MIXED = (row(30, 140, 6), row(31, 139, -4, "banana"), row(32, 9999), row(33, 151, 2, "6 iron"))


@pytest.fixture
def store(tmp_path: Path) -> Path:
    path = tmp_path / "t.db"
    keep_player(path)
    return path


@pytest.fixture
def table(tmp_path: Path) -> Path:
    return write_table(tmp_path / "evening.csv", *MIXED)


async def test_a_question_is_answered_by_its_digit_and_the_rows_are_looked_at_first(store: Path, table: Path) -> None:
    async with running(store) as (app, pilot):
        await day_is_shown(app, pilot)
        screen = await importing(app, pilot, table)
        assert screen.place is Place.ANSWER
        question = import_view(app).question
        assert question is not None
        assert [choice for choice, _ in question.choices] == ["right", "left"]
        await keyed(app, pilot, "9")
        assert import_view(app).step is TableStep.ASKING
        await keyed(app, pilot, "2")
        await until(pilot, lambda: import_view(app).step is TableStep.LOOKED_AT, "the rows")
        shown = words(app, "#table-page")
        assert "row 3" in shown
        assert "banana" in shown
        assert "row 4" in shown
        assert "6 yd left" in shown
        assert not stored_shots(store)
        await keyed(app, pilot, "enter")
        assert import_view(app).step is TableStep.KEPT
        assert [shot.entry.side_m for shot in stored_shots(store)] == [to_si(-6, "yd"), to_si(-2, "yd")]


async def test_what_is_copied_is_what_the_command_prints(store: Path, table: Path, tmp_path: Path) -> None:
    twin = tmp_path / "twin" / "t.db"
    twin.parent.mkdir()
    keep_player(twin)
    command = Program(twin, now=START)
    side = ("--side-positive", "right")
    async with running(store) as (app, pilot):
        await day_is_shown(app, pilot)
        await importing(app, pilot, table)
        assert working(app).as_text() == command("import", str(table), "--dry-run").out.rstrip("\n")
        await keyed(app, pilot, "1")
        await until(pilot, lambda: import_view(app).step is TableStep.LOOKED_AT, "the rows")
        assert working(app).as_text() == command("import", str(table), "--dry-run", *side).out.rstrip("\n")
        await keyed(app, pilot, "enter")
        kept = command("import", str(table), "--accept", *side).out.rstrip("\n")
        assert working(app).as_text() == kept
        await pilot.press("y")
        assert app.clipboard == kept


async def test_going_back_asks_the_last_question_again(store: Path, table: Path) -> None:
    async with running(store) as (app, pilot):
        await day_is_shown(app, pilot)
        await importing(app, pilot, table)
        await keyed(app, pilot, "2")
        await until(pilot, lambda: import_view(app).step is TableStep.LOOKED_AT, "the rows")
        await keyed(app, pilot, "escape")
        assert import_view(app).step is TableStep.ASKING
        await keyed(app, pilot, "j", "k", "enter")
        await until(pilot, lambda: import_view(app).step is TableStep.LOOKED_AT, "the rows")
        assert "6 yd right" in words(app, "#table-page")
        await keyed(app, pilot, "escape")
        await pilot.press("escape")
        assert isinstance(app.screen, PickScreen)
        await pilot.press("escape")
        assert isinstance(app.screen, TodayScreen)
        assert not stored_shots(store)


async def test_the_day_knows_of_an_import_whichever_way_it_is_left(store: Path, table: Path) -> None:
    async with running(store) as (app, pilot):
        await day_is_shown(app, pilot)
        before = words(app, "#head")
        await importing(app, pilot, table)
        await keyed(app, pilot, "1")
        await until(pilot, lambda: import_view(app).step is TableStep.LOOKED_AT, "the rows")
        await keyed(app, pilot, "enter")
        await pilot.press("f2", "6")
        await until(pilot, lambda: isinstance(app.screen, PlansScreen) and app.screen.is_mounted, "the plans")
        await settled(app, pilot)
        await pilot.press("escape")
        assert isinstance(app.screen, TodayScreen)
        assert words(app, "#head").partition("·")[2] != before.partition("·")[2]


async def test_an_import_is_taken_back_whole_and_a_kept_file_is_known_again(store: Path, table: Path) -> None:
    async with running(store) as (app, pilot):
        await day_is_shown(app, pilot)
        await importing(app, pilot, table)
        await keyed(app, pilot, "1")
        await until(pilot, lambda: import_view(app).step is TableStep.LOOKED_AT, "the rows")
        await keyed(app, pilot, "enter")
        await pilot.press("escape")
        await importing(app, pilot, table)
        assert import_view(app).step is TableStep.HELD
        await keyed(app, pilot, "enter")
        assert len(stored_shots(store)) == 2
        await pilot.press("escape")
        write_table(table, *MIXED, row(34, 144))
        await importing(app, pilot, table)
        # The columns were confirmed once: the next file of the shape asks nothing.
        await until(pilot, lambda: import_view(app).step is TableStep.LOOKED_AT, "the rows")
        await keyed(app, pilot, "enter")
        assert len(stored_shots(store)) == 3
        await keyed(app, pilot, "u")
        assert import_view(app).step is TableStep.TAKEN_BACK
        assert len(stored_shots(store)) == 2


async def test_what_is_remembered_of_a_shape_can_be_asked_again(store: Path, table: Path) -> None:
    assert (
        Program(store, now=START)("import", str(table), "--accept", "--side-positive", "left", "--remember").code == 0
    )
    write_table(table, row(40, 144, 3))
    async with running(store) as (app, pilot):
        await day_is_shown(app, pilot)
        await importing(app, pilot, table)
        await until(pilot, lambda: import_view(app).step is TableStep.LOOKED_AT, "the rows")
        assert "3 yd left" in words(app, "#table-page")
        await keyed(app, pilot, "r")
        assert import_view(app).question is not None
        await keyed(app, pilot, "1")
        await until(pilot, lambda: import_view(app).step is TableStep.LOOKED_AT, "the rows")
        assert "3 yd right" in words(app, "#table-page")


async def test_a_word_is_typed_where_there_are_no_answers(store: Path, tmp_path: Path) -> None:
    table = write_table(tmp_path / "clock.csv", "18:30,7 iron,140", "18:31,7 iron,141", head="Time,Club,Carry (yd)")
    async with running(store) as (app, pilot):
        await day_is_shown(app, pilot)
        screen = await importing(app, pilot, table)
        assert screen.place is Place.ASKING
        line(app, "#question").put("someday")
        await keyed(app, pilot, "enter")
        assert "no day" in words(app, "#said")
        await said_in_line(app, pilot, "t", "2026-05-13")
        await until(pilot, lambda: import_view(app).step is TableStep.LOOKED_AT, "the rows")
        assert "13 May 18:30" in words(app, "#table-page")


async def test_the_weather_of_a_table_goes_with_its_shots(store: Path, table: Path) -> None:
    async with running(store) as (app, pilot):
        await day_is_shown(app, pilot)
        await importing(app, pilot, table)
        await keyed(app, pilot, "1")
        await until(pilot, lambda: import_view(app).step is TableStep.LOOKED_AT, "the rows")
        await said_in_line(app, pilot, "t", "14mph")
        assert "where does the wind come from" in words(app, "#said")
        await said_in_line(app, pilot, "t", "14mph 1h ball range")
        await until(pilot, lambda: import_view(app).weather != "", "the weather")
        await until(pilot, lambda: import_view(app).step is TableStep.LOOKED_AT, "the rows anew")
        await keyed(app, pilot, "enter")
    (reading_id,) = {shot.reading_id for shot in stored_shots(store)}
    assert reading_id is not None
    with open_store(store, write=False) as opened:
        wind = opened.reading(reading_id).wind
    assert wind.knowledge is WindKnowledge.READ
    assert wind.speed_mps == pytest.approx(to_si(14, "mph"))
    assert {shot.ball.value for shot in stored_shots(store)} == {"range"}


async def test_long_work_is_called_off_with_nothing_kept(
    store: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The work is held where a tenth of it is done, until the key to stop it was hit."""
    gate, step = Event(), reading.Work.step

    def held_step(work: reading.Work, done: int, rows: int) -> None:
        step(work, done, rows)
        if done == 60:
            gate.wait(PATIENCE_S)

    monkeypatch.setattr(reading, "TELL_EVERY", 20)
    monkeypatch.setattr(reading.Work, "step", held_step)
    rows = [f"2026-04-01T{8 + i // 60:02d}:{i % 60:02d}:00,7 iron,{120 + i % 37}" for i in range(600)]
    table = write_table(tmp_path / "long.csv", *rows, head="Time,Club,Carry (yd)")

    async def stopped(app: TrainerApp, pilot: Pilot[None]) -> None:
        await until(pilot, lambda: "of 600" in words(app, "#said"), "progress")
        await pilot.press("x")
        gate.set()
        await done(app, pilot)
        assert "stopped" in words(app, "#said")

    async with running(store) as (app, pilot):
        await day_is_shown(app, pilot)
        await go_to(app, pilot, "7", PickScreen)
        await picked(app, pilot, table)
        await stopped(app, pilot)
        assert import_view(app).step is TableStep.READY
        await keyed(app, pilot, "enter")
        assert import_view(app).step is TableStep.LOOKED_AT
        gate.clear()
        await pilot.press("enter")
        await stopped(app, pilot)
        assert import_view(app).step is TableStep.LOOKED_AT
        assert not stored_shots(store)
        await keyed(app, pilot, "enter")
        assert len(stored_shots(store)) == 600


async def test_the_day_beneath_knows_of_it_and_keeps_what_was_chosen(store: Path, table: Path) -> None:
    async with running(store) as (app, pilot):
        await day_is_shown(app, pilot)
        app.screen.query_one("#ball", Choice).choose("range")
        await importing(app, pilot, table)
        await keyed(app, pilot, "1")
        await until(pilot, lambda: import_view(app).step is TableStep.LOOKED_AT, "the rows")
        await keyed(app, pilot, "enter")
        await pilot.press("escape", "escape")
        assert isinstance(app.screen, TodayScreen)
        await until(pilot, lambda: "2 shots in 1 session" in words(app, "#head"), "the new count")
        assert app.screen.query_one("#ball", Choice).value == "range"


async def test_a_file_that_is_no_table_is_refused_in_a_line(store: Path, tmp_path: Path) -> None:
    nothing = tmp_path / "empty.csv"
    nothing.write_text("", encoding="utf-8")
    async with running(store) as (app, pilot):
        await day_is_shown(app, pilot)
        await importing(app, pilot, nothing)
        assert "empty" in words(app, "#said")
        await pilot.press("escape")
        assert isinstance(app.screen, PickScreen)


async def test_a_hostile_cell_is_shown_as_it_is(store: Path, tmp_path: Path) -> None:
    table = write_table(tmp_path / "evil.csv", row(30, 140, 2, "[bold]7 iron[/] [/nothing]"), row(31, 141, 2))
    async with running(store) as (app, pilot):
        await day_is_shown(app, pilot)
        await importing(app, pilot, table)
        await keyed(app, pilot, "1")
        await until(pilot, lambda: import_view(app).step is TableStep.LOOKED_AT, "the rows")
        assert "[bold]7 iron[/]" in words(app, "#table-page")


@pytest.mark.parametrize("size", SIZES)
async def test_question_and_rows_are_in_the_window_at_every_size(
    store: Path, table: Path, size: tuple[int, int]
) -> None:
    async with running(store, size) as (app, pilot):
        await day_is_shown(app, pilot)
        await importing(app, pilot, table)
        answers = app.screen.query_one("#answers")
        assert answers.region.height >= 2
        assert answers.region.bottom < size[1]
        await pilot.resize_terminal(50, 12)
        await pilot.pause()
        assert app.screen.query_one("#too-small").display
        await pilot.resize_terminal(*size)
        await pilot.pause()
        await pilot.click("#answers", offset=(4, 1))
        await done(app, pilot)
        await until(pilot, lambda: import_view(app).step is TableStep.LOOKED_AT, "the rows")
        assert "6 yd left" in words(app, "#table-page")
        assert app.screen.query_one("#table-page").region.y < size[1] - 5


async def test_no_color_draws_import(store: Path, table: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with running(store) as (app, pilot):
        assert app.no_color
        await day_is_shown(app, pilot)
        await importing(app, pilot, table)
        await pilot.press("j")
        assert words(app, "#answers").splitlines()[1].startswith("▸")
        await keyed(app, pilot, "enter")
        await until(pilot, lambda: import_view(app).step is TableStep.LOOKED_AT, "the rows")
