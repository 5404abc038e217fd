"""What import, group, squad and a plan's form look like, line by line, where no sum has a part in it.

To make the pictures anew after a wanted change: TRAINER_NEW_GOLDEN=1 python -m pytest tests/tui/test_work_looks.py
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.squad_programs import made
from tests.tui.helpers import day_is_shown, keep_player, running, until
from tests.tui.test_group_screen import entered, gridded
from tests.tui.test_group_screen import store as store  # noqa: PLC0414 - a fixture
from tests.tui.test_looks import assert_looks_like, shown
from tests.tui.test_plan_form_screen import opened
from tests.tui.test_squad_screen import a_clock
from tests.tui.test_squad_screen import shown as squad_shown
from tests.tui.work_helpers import import_view, importing, keyed, row, write_table
from trainer.application.views.table import TableStep
from trainer.tui.theme import NOON

BOTH = [(80, 24), (120, 40)]


@pytest.mark.parametrize("size", BOTH)
async def test_import_looks_as_it_did(tmp_path: Path, size: tuple[int, int]) -> None:
    keep_player(tmp_path / "t.db")
    table = write_table(tmp_path / "evening.csv", row(30, 140, 6), row(31, 139, -4, "banana"), row(33, 151, 2))
    async with running(tmp_path / "t.db", size) as (app, pilot):
        await day_is_shown(app, pilot)
        await importing(app, pilot, table)
        assert_looks_like(shown(app), f"import-question-{size[0]}x{size[1]}")
        await keyed(app, pilot, "2")
        await until(pilot, lambda: import_view(app).step is TableStep.LOOKED_AT, "the rows")
        await pilot.pause()
        assert_looks_like(shown(app), f"import-rows-{size[0]}x{size[1]}")


@pytest.mark.parametrize("size", BOTH)
async def test_the_grid_looks_as_it_did(store: Path, size: tuple[int, int]) -> None:
    async with running(store, size) as (app, pilot):
        await gridded(app, pilot, balls="12")
        await entered(app, pilot, "5x-28")
        assert_looks_like(shown(app), f"group-{size[0]}x{size[1]}")


async def test_the_grid_looks_the_same_in_light(store: Path) -> None:
    async with running(store) as (app, pilot):
        app.theme = NOON.name
        await gridded(app, pilot, balls="12")
        await entered(app, pilot, "5x-28")
        assert_looks_like(shown(app), "group-80x24")


@pytest.mark.parametrize("size", BOTH[1:])
async def test_a_plans_form_looks_as_it_did(tmp_path: Path, size: tuple[int, int]) -> None:
    keep_player(tmp_path / "t.db")
    async with running(tmp_path / "t.db", size) as (app, pilot):
        await opened(app, pilot, "e")
        await pilot.press("pagedown")
        await pilot.pause()
        assert_looks_like(shown(app), f"plan-form-{size[0]}x{size[1]}")


@pytest.mark.parametrize("size", BOTH)
async def test_the_squad_looks_as_it_did(tmp_path: Path, size: tuple[int, int]) -> None:
    squad = made(tmp_path)
    for alias, band in (("auk", "adult"), ("wren", "adult")):
        squad.coach.json("squad", "add", alias, "--age-band", band)
    async with running(squad.coach.store, size, clock=a_clock()) as (app, pilot):
        await squad_shown(app, pilot)
        assert_looks_like(shown(app), f"squad-{size[0]}x{size[1]}")


async def test_no_color_draws_the_grid_as_it_is(store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with running(store) as (app, pilot):
        assert app.no_color
        await gridded(app, pilot, balls="12")
        await entered(app, pilot, "5x-28")
        assert_looks_like(shown(app), "group-80x24")
