"""Picking a file: typed with completion, or from the list."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.tui.helpers import day_is_shown, keep_player, line, running, until, words
from tests.tui.work_helpers import go_to, write_table
from trainer.tui.screens.importing import ImportScreen
from trainer.tui.screens.pick import PickScreen


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    keep_player(tmp_path / "t.db")
    files = tmp_path / "files"
    (files / "older").mkdir(parents=True)
    for age, name in enumerate(("evening-b.csv", "evening-a.csv", "other.tsv", "notes.md", ".hidden.csv")):
        path = write_table(files / name, "2026-05-14T18:30:00,7 iron,140,2")
        os.utime(path, (1_700_000_000 - age, 1_700_000_000 - age))
    write_table(files / "older" / "last.csv", "2026-05-07T18:30:00,7 iron,140,2")
    monkeypatch.chdir(files)
    return files


def rows(screen: PickScreen) -> list[str]:
    return [] if screen.view is None else [each.typed for each in screen.view.rows]


async def test_typing_narrows_the_list_and_tab_completes(folder: Path) -> None:
    async with running(folder.parent / "t.db") as (app, pilot):
        await day_is_shown(app, pilot)
        await go_to(app, pilot, "7", PickScreen)
        screen = app.screen
        assert isinstance(screen, PickScreen)
        await until(pilot, lambda: rows(screen) == ["evening-b.csv", "evening-a.csv", "other.tsv", "older/"], "all")
        await pilot.press("e")
        await until(pilot, lambda: rows(screen) == ["evening-b.csv", "evening-a.csv"], "two")
        await pilot.press("tab")
        assert line(app, "#path").value == "evening-"
        await pilot.press("x")
        await until(pilot, lambda: rows(screen) == [], "none")
        assert "evening-x" in words(app, "#said")
        await pilot.press("enter")
        assert app.screen is screen


async def test_a_folder_is_gone_into_and_a_file_opened(folder: Path) -> None:
    async with running(folder.parent / "t.db") as (app, pilot):
        await day_is_shown(app, pilot)
        await go_to(app, pilot, "7", PickScreen)
        screen = app.screen
        assert isinstance(screen, PickScreen)
        await until(pilot, lambda: len(rows(screen)) == 4, "all")
        await pilot.press("down", "down", "down", "enter")
        await until(pilot, lambda: rows(screen) == ["older/last.csv"], "the folder")
        await pilot.click("#pick-rows", offset=(4, 0))
        await until(pilot, lambda: isinstance(app.screen, ImportScreen), "the import")
        await until(pilot, lambda: getattr(app.screen, "view", None) is not None, "its view")
        (folder / "older" / "new.csv").write_text("x", encoding="utf-8")
        await pilot.press("escape")
        await until(pilot, lambda: "older/new.csv" in rows(screen), "the new file")


async def test_a_file_of_another_ending_is_found_when_typed_in_full(folder: Path) -> None:
    async with running(folder.parent / "t.db") as (app, pilot):
        await day_is_shown(app, pilot)
        await go_to(app, pilot, "7", PickScreen)
        screen = app.screen
        assert isinstance(screen, PickScreen)
        line(app, "#path").put("notes.md")
        await until(pilot, lambda: rows(screen) == ["notes.md"], "it")
        line(app, "#path").put("nowhere/")
        await until(pilot, lambda: "cannot be read" in words(app, "#said"), "the reason")
        line(app, "#path").put(".h")
        await until(pilot, lambda: rows(screen) == [".hidden.csv"], "it")
