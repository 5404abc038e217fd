"""What the looking screens look like, from views made by hand; their widgets' laws; no colour, the light theme."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.color import Color
from textual.pilot import Pilot

from tests.tui import look_examples
from tests.tui.helpers import Clock, day_is_shown, keep_player, words
from tests.tui.quick_textual import sheets_kept
from tests.tui.test_looks import assert_looks_like, shown
from trainer.application.views.look import Bar, Hole, Tick
from trainer.core.bag import Cell
from trainer.tui.app import TrainerApp
from trainer.tui.desk import Desk
from trainer.tui.screens.cell import CellScreen
from trainer.tui.screens.choose import ChooseScreen
from trainer.tui.screens.compare import CompareScreen
from trainer.tui.screens.gaps import GapsScreen
from trainer.tui.screens.look import LookScreen
from trainer.tui.screens.progress import ProgressScreen
from trainer.tui.theme import HARBOUR, NOON
from trainer.tui.widgets.axis_line import axis_line, column
from trainer.tui.widgets.flight_plot import drift_lines, flight_lines
from trainer.tui.widgets.gap_bars import SHAPES, bar_text, entries, gap_bars, hole_text, window
from trainer.tui.widgets.humps import estimate_lines, hump_lines
from trainer.tui.widgets.pattern_plot import pattern_lines
from trainer.tui.widgets.share_bars import progress_lines, share_bar, stretch_lines

SHARES = st.floats(0.0, 1.0)
Made = tuple[Callable[[], LookScreen[Any]], object]


def screens() -> dict[str, Made]:
    return {
        "gaps": (GapsScreen, look_examples.gaps_view()),
        "cell": (lambda: CellScreen(Cell("7 iron")), look_examples.cell_view()),
        "choose": (ChooseScreen, look_examples.choice_view()),
        "compare": (CompareScreen, look_examples.flights_view()),
        "progress": (ProgressScreen, look_examples.progress_view()),
    }


SHOWN = ("gaps", "cell", "choose", "compare", "progress")


async def show(app: TrainerApp, pilot: Pilot[None], what: str) -> None:
    """Put a screen in front, with a view made by hand."""
    make, view = screens()[what]
    screen = make()
    await app.push_screen(screen)
    screen.stop_typing()
    screen.say("")
    screen.take(view)
    await pilot.pause()
    await pilot.pause()


@asynccontextmanager
async def showing(
    path: Path, what: str, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch, theme: str = ""
) -> AsyncIterator[tuple[TrainerApp, Pilot[None]]]:
    """A screen with a view made by hand; no question of its own is answered."""
    monkeypatch.setattr(Desk, "look", lambda *_, **__: None)
    keep_player(path)
    app = TrainerApp(path, clock=Clock(), environ={"TRAINER_THEME": theme})
    with sheets_kept():
        async with app.run_test(size=size) as pilot:
            await day_is_shown(app, pilot)
            await show(app, pilot, what)
            yield app, pilot


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_it_looks_as_it_did(tmp_path: Path, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch) -> None:
    async with showing(tmp_path / "t.db", SHOWN[0], size, monkeypatch) as (app, pilot):
        assert_looks_like(shown(app), f"{SHOWN[0]}-{size[0]}x{size[1]}")
        for what in SHOWN[1:]:
            await show(app, pilot, what)
            assert_looks_like(shown(app), f"{what}-{size[0]}x{size[1]}")


@pytest.mark.parametrize("theme", [NOON.name, HARBOUR.name])
async def test_another_theme_changes_colours_and_nothing_else(
    tmp_path: Path, theme: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with showing(tmp_path / "t.db", "gaps", (80, 24), monkeypatch, theme) as (app, _):
        assert app.theme == theme
        assert_looks_like(shown(app), "gaps-80x24")


async def test_no_color_loses_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with showing(tmp_path / "t.db", SHOWN[0], (80, 24), monkeypatch) as (app, pilot):
        assert app.no_color
        assert_looks_like(shown(app), f"{SHOWN[0]}-80x24")
        for what in SHOWN[1:]:
            await show(app, pilot, what)
            assert_looks_like(shown(app), f"{what}-80x24")


async def test_the_parts_of_a_shot_have_their_pictures(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async with showing(tmp_path / "t.db", "cell", (80, 24), monkeypatch) as (app, pilot):
        seen = [words(app, "#part-0")]
        for part in range(1, 4):
            await pilot.press("right")
            await pilot.pause()
            seen.append(words(app, f"#part-{part}"))
        assert "●" in seen[1] or "2" in seen[1]
        assert "█" in seen[2]
        assert any("⠀" < letter <= "⣿" for letter in seen[3])


def test_every_trust_has_a_shape_of_its_own() -> None:
    bar = Bar(0.2, 0.5, 0.8, "")
    drawn = {bar_text(bar, trust, 30) for trust in SHAPES}
    assert len(drawn) == len(SHAPES)
    assert len({shape[1] for shape in SHAPES.values()}) == len(SHAPES)


@given(SHARES, SHARES, SHARES, st.integers(10, 200), st.sampled_from(sorted(SHAPES)))
def test_a_bar_fills_its_axis_and_marks_its_middle(a: float, b: float, c: float, columns: int, trust: str) -> None:
    low, middle, high = sorted((a, b, c))
    text = bar_text(Bar(low, middle, high, ""), trust, columns)
    assert len(text) == columns
    assert text[column(middle, columns)] == SHAPES[trust][1]
    assert not text[: column(low, columns)].strip()
    assert not text[column(high, columns) + 1 :].strip()


@given(SHARES, SHARES, st.integers(24, 200))
def test_a_gap_says_its_words(a: float, b: float, columns: int) -> None:
    low, high = sorted((a, b))
    text = hole_text(Hole(low, high, "18 yd gap"), columns)
    assert len(text) == columns
    assert "18 yd gap" in text


@given(st.lists(st.tuples(SHARES, st.integers(0, 400)), max_size=12), st.integers(10, 150))
def test_numbers_on_an_axis_never_touch(places: list[tuple[float, int]], columns: int) -> None:
    ticks = [Tick(at, str(number)) for at, number in sorted(places)]
    line = axis_line(ticks, columns)
    assert len(line) <= columns
    assert set(line.split()) <= {tick.word for tick in ticks}


@given(st.integers(1, 60), st.integers(0, 59), st.integers(1, 40))
def test_the_row_pointed_at_is_always_shown(count: int, chosen: int, rows: int) -> None:
    chosen = min(chosen, count - 1)
    lines = entries(look_examples.gap_table(count).rows)
    first = window(lines, chosen, rows)
    assert (chosen, None) in lines[first : first + rows]


def test_gaps_stand_between_their_shots_and_twins_share_a_letter() -> None:
    lines = gap_bars(look_examples.gap_table(), 0, 78, 20).plain.splitlines()
    assert "18 yd gap" in lines[2]
    assert [line.split()[-1] for line in lines if "=" in line] == ["=A", "=A"]
    assert all(len(line) <= 78 for line in lines)


@given(st.lists(SHARES, min_size=2, max_size=200), st.integers(2, 150), st.integers(1, 8))
def test_a_hill_fits_its_rows(heights: list[float], columns: int, rows: int) -> None:
    lines = hump_lines(heights, columns, rows)
    assert len(lines) == rows
    assert all(len(line) <= columns for line in lines)


@pytest.mark.parametrize(("columns", "rows"), [(58, 9), (78, 16), (118, 30)])
def test_plots_keep_to_their_room(columns: int, rows: int) -> None:
    view, flights = look_examples.cell_view(), look_examples.flights_view()
    assert view.pattern is not None
    for lines in (
        pattern_lines(view.pattern, columns, rows),
        estimate_lines(view.estimate, columns, rows),
        flight_lines(flights, columns, rows),
        drift_lines(flights, columns, rows),
    ):
        assert all(len(line) <= columns for line in lines)
        assert len(lines) <= rows + 1
    for lines in (
        stretch_lines(look_examples.choice_view(), columns),
        progress_lines(look_examples.progress_view(), columns),
    ):
        assert all(len(line) <= columns for line in lines)


def test_balls_that_fell_together_are_counted_and_a_mishit_is_marked() -> None:
    pattern = look_examples.cell_view().pattern
    assert pattern is not None
    picture = "\n".join(pattern_lines(pattern, 60, 14)[:-1])
    assert "2" in picture
    assert "x" in picture
    assert "∘" in picture


def test_a_share_fills_its_part() -> None:
    assert share_bar(0.0, 10) == "▐░░░░░░░░░░▌"
    assert share_bar(1.0, 10) == "▐██████████▌"
    assert share_bar(0.5, 10, expected=1.0) == "▐█████░░░░│▌"


DICHROMACY = {
    "protan": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "deutan": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881)),
    "tritan": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602), (0.004733, 0.691367, 0.303900)),
}
"""Linear RGB as dichromats see it: Machado, Oliveira and Fernandes 2009, IEEE TVCG 15, severity 1.0 (from memory)."""

TOLD_APART = 15.0
"""Least distance in CIELAB between colours with different meanings; 2.3 is just noticeable."""


def lab(color: Color, matrix: tuple[tuple[float, ...], ...]) -> tuple[float, float, float]:
    """CIELAB (D65) of a colour as seen through `matrix`."""
    parts = [value / 255 for value in (color.r, color.g, color.b)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    r, g, b = (min(max(sum(m * v for m, v in zip(row, linear, strict=True)), 0.0), 1.0) for row in matrix)
    x = (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.95047
    y = 0.2126 * r + 0.7152 * g + 0.0722 * b
    z = (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.08883
    fx, fy, fz = (v ** (1 / 3) if v > 0.008856 else 7.787 * v + 16 / 116 for v in (x, y, z))
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


@pytest.mark.parametrize("eyes", sorted(DICHROMACY))
def test_colour_blind_eyes_tell_the_harbours_meanings_apart(eyes: str) -> None:
    meanings = (HARBOUR.success, HARBOUR.warning, HARBOUR.error, HARBOUR.foreground)
    seen = [lab(Color.parse(str(ink)), DICHROMACY[eyes]) for ink in meanings]
    for i, one in enumerate(seen):
        for other in seen[i + 1 :]:
            distance = sum((a - b) ** 2 for a, b in zip(one, other, strict=True)) ** 0.5
            assert distance >= TOLD_APART, (eyes, meanings[i], distance)
