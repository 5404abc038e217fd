"""The wind over the range as seen from above: the player below, the flag above, the air in streaks across."""

from __future__ import annotations

import math

from trainer.application.views.practice import WindView
from trainer.tui.widgets.dots import Dots
from trainer.tui.widgets.folding import folded

STREAKS_FROM_BEAUFORT = (1, 4, 6)
"""Least Beaufort number for one, two and three streaks."""

_HEAD_RAD = 0.45
_HEAD_DOTS = 5.0
_APART_DOTS = 10.0


def streaks(beaufort: int) -> int:
    """How many streaks stand for a strength; at least one for a wind that blows."""
    return max(sum(beaufort >= least for least in STREAKS_FROM_BEAUFORT), 1)


def range_picture(wind: WindView, columns: int, rows: int) -> list[str]:
    """The picture as lines of text. A wind from 0 comes down from the flag, one from the right blows to the left."""
    canvas = Dots(columns, rows)
    middle, top, bottom = (canvas.width - 1) / 2, 3.0, canvas.height - 3.0
    canvas.line(middle, top + 2, middle, bottom, gap=4)
    if wind.blows:
        _draw_streaks(canvas, wind)
    lines = canvas.lines()
    centre = columns // 2
    lines[0] = _put(lines[0], centre, "⚑", columns)
    lines[-1] = _put(lines[-1], centre, "o", columns)
    return [line.rstrip() for line in lines]


def _draw_streaks(canvas: Dots, wind: WindView) -> None:
    # To where it blows: from 0 (the flag) is downwards on the canvas.
    across, down = -math.sin(wind.from_rad), math.cos(wind.from_rad)
    count = streaks(wind.beaufort)
    reach_across = canvas.width / 2 - 2 - abs(down) * _APART_DOTS * (count - 1) / 2
    reach_down = canvas.height / 2 - 3 - abs(across) * _APART_DOTS * (count - 1) / 2
    half = min(
        reach_across / abs(across) if abs(across) > 0.01 else math.inf,
        reach_down / abs(down) if abs(down) > 0.01 else math.inf,
    )
    for i in range(count):
        aside = (i - (count - 1) / 2) * _APART_DOTS
        x, y = (canvas.width - 1) / 2 - down * aside, (canvas.height - 1) / 2 + across * aside
        x1, y1 = x + across * half, y + down * half
        canvas.line(x - across * half, y - down * half, x1, y1)
        canvas.line(x - across * half + 1, y - down * half, x1 + 1, y1)
        for turn in (math.pi - _HEAD_RAD, math.pi + _HEAD_RAD):
            head_x = across * math.cos(turn) - down * math.sin(turn)
            head_y = across * math.sin(turn) + down * math.cos(turn)
            canvas.line(x1, y1, x1 + _HEAD_DOTS * head_x, y1 + _HEAD_DOTS * head_y)


def _put(line: str, column: int, mark: str, columns: int) -> str:
    padded = line.ljust(columns)
    return padded[:column] + mark + padded[column + 1 :]


def wind_lines(wind: WindView, columns: int, rows: int, *, in_full: bool) -> list[str]:
    """The picture with its words beneath, folded to `columns`; `in_full` adds what the strength looks like."""
    words = [f"{wind.speed}, Beaufort {wind.beaufort}" if wind.blows else wind.speed, wind.direction]
    if in_full or not wind.blows:
        words += [wind.gust, wind.strength]
    picture = range_picture(wind, columns, rows) if wind.known else []
    return [*picture, *(line for word in [*words, *wind.costs] if word for line in folded(word, columns))]


ARROWS = "↓↙←↖↑↗→↘"
"""Where a wind blows to, from 0 (into the face) clockwise by eighths."""


def arrow(wind: WindView) -> str:
    """The wind's direction in one character."""
    return ARROWS[round(wind.from_rad / (math.pi / 4)) % 8] if wind.blows else "○"


def short_lines(wind: WindView, columns: int) -> list[str]:
    """The wind where there is no room for a picture: an arrow, its words, and as much of what it costs as fits."""
    strength = f"{wind.speed}, Beaufort {wind.beaufort}" if wind.blows else wind.speed
    lines = [f"{arrow(wind)} {strength}, {wind.direction}" if wind.direction else f"{arrow(wind)} {strength}"]
    costs = ""
    for cost in wind.costs:
        longer = f"{costs} · {cost}" if costs else f"  {cost}"
        costs = longer if len(longer) <= columns else costs
    return [line[:columns] for line in (*lines, costs) if line]
