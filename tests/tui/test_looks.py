"""What the screens look like, line by line, where no sum has a part in it; contrast of the themes; what tui imports.

To make the pictures anew after a wanted change: TRAINER_NEW_GOLDEN=1 python -m pytest tests/tui/test_looks.py
"""

from __future__ import annotations

import ast
import os
from pathlib import Path

import pytest
from textual.color import Color
from textual.theme import Theme

from tests.tui.helpers import Clock, begun, keep_player, line, running, until
from trainer.tui.app import TrainerApp
from trainer.tui.screens.first_run import FirstRunScreen
from trainer.tui.theme import THEMES
from trainer.tui.widgets.big_text import HEIGHT, big_lines, big_width, can_draw
from trainer.tui.widgets.dots import Dots

GOLDEN = Path(__file__).parent / "golden"
TUI = Path(__file__).parents[2] / "trainer" / "tui"
READABLE = 4.5
"""Least contrast of text (WCAG 2.2, success criterion 1.4.3)."""


def shown(app: TrainerApp) -> str:
    """The screen as it is painted: nothing public gives that as text."""
    strips = app.screen._compositor.render_strips()
    return "\n".join(strip.text.rstrip() for strip in strips) + "\n"


def assert_looks_like(text: str, name: str) -> None:
    path = GOLDEN / f"{name}.txt"
    if os.environ.get("TRAINER_NEW_GOLDEN"):
        path.write_text(text, encoding="utf-8")
    assert text == path.read_text(encoding="utf-8")


async def test_the_first_start_looks_as_it_did(tmp_path: Path) -> None:
    async with running(tmp_path / "t.db") as (app, pilot):
        await until(pilot, lambda: isinstance(app.screen, FirstRunScreen) and bool(app.screen.query("#carry")))
        await until(pilot, lambda: app.screen.focused is not None, "the carry takes the keys")
        await pilot.press("1", "5", "0")
        await pilot.pause()
        assert_looks_like(shown(app), "first-start-80x24")


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (60, 20)])
async def test_free_practice_looks_as_it_did(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "t.db"
    keep_player(path)
    async with running(path, size=size, clock=Clock()) as (app, pilot):
        screen = await begun(app, pilot, wind="calm")
        await until(pilot, lambda: screen.figures is not None)
        line(app).put("7 iron: 142 6L")
        await pilot.pause()
        assert_looks_like(shown(app), f"free-practice-{size[0]}x{size[1]}")


def luminance(color: Color) -> float:
    """Relative luminance (WCAG 2.2)."""
    parts = [value / 255 for value in (color.r, color.g, color.b)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_every_text_of_a_theme_can_be_read(theme: Theme) -> None:
    for ground in (theme.background, theme.surface, theme.panel):
        for ink in (theme.foreground, theme.primary, theme.secondary, theme.success, theme.warning, theme.error):
            assert ground is not None
            assert ink is not None
            light, dark = sorted((luminance(Color.parse(ground)), luminance(Color.parse(ink))), reverse=True)
            assert (light + 0.05) / (dark + 0.05) >= READABLE, (ground, ink)


def test_every_club_and_repeat_back_can_be_drawn_large() -> None:
    for text in ("7 iron   150", "pitching wedge", "3 hybrid", "short left", "pin-high straight", "142  6 left", "x"):
        assert can_draw(text)
        lines = big_lines(text)
        assert len(lines) == HEIGHT
        assert max(map(len, lines)) == big_width(text)
    assert not can_draw("Bändel")


def test_a_canvas_keeps_to_its_size() -> None:
    canvas = Dots(4, 2)
    canvas.line(-20, -20, 40, 40)
    canvas.dot(0, 0)
    lines = canvas.lines()
    assert [len(line) for line in lines] == [4, 4]
    assert lines[0][0] != " "


def imported(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module)
    return names


@pytest.mark.parametrize("path", sorted(TUI.rglob("*.py")), ids=lambda path: path.stem)
def test_screens_neither_store_nor_calculate(path: Path) -> None:
    for name in imported(path):
        assert name.split(".")[0] not in {"numpy", "sqlite3", "pydantic"}, name
        assert not name.startswith(("trainer.cli", "trainer.store", "trainer.plan")), name
