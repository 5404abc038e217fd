"""How likely each carry is, as hills of block characters over their range, and the balls it rests on."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.application.views.look import EstimateView, Hump
from trainer.tui.widgets.axis_line import axis_line, column

_EIGHTHS = " ▁▂▃▄▅▆▇█"


def hump_lines(heights: Sequence[float], columns: int, rows: int) -> list[str]:
    """A hill `rows` high, from the top."""
    last = len(heights) - 1
    eighths = [round(8 * rows * heights[round(place / max(columns - 1, 1) * last)]) for place in range(columns)]
    return [
        "".join(_EIGHTHS[min(max(height - 8 * below, 0), 8)] for height in eighths).rstrip()
        for below in range(rows - 1, -1, -1)
    ]


def range_line(hump: Hump, columns: int) -> str:
    """`╞══●══╡` with its words where there is room behind."""
    drawn = [" "] * columns
    low, middle, high = (column(place, columns) for place in (hump.bar.low, hump.bar.middle, hump.bar.high))
    for place in range(low, high + 1):
        drawn[place] = "═"
    drawn[low], drawn[high], drawn[middle] = "╞", "╡", "●"
    words = f"{hump.name} {hump.bar.words}"
    line = "".join(drawn).rstrip()
    if len(line) + 2 + len(words) <= columns:
        return f"{line}  {words}"
    return words + line[len(words) :] if low > len(words) else line


def estimate_lines(estimate: EstimateView, columns: int, rows: int) -> list[str]:
    """Today's hill above the still-air one on the same axis, the balls as ticks under it."""
    tall = max((rows - 5) // 2, 1)
    balls = [" "] * columns
    for ball in estimate.balls:
        balls[column(ball, columns)] = "╵"
    return [
        *hump_lines(estimate.today.heights, columns, tall),
        range_line(estimate.today, columns),
        *hump_lines(estimate.still.heights, columns, tall),
        range_line(estimate.still, columns),
        "".join(balls).rstrip(),
        axis_line(estimate.ticks, columns),
    ]
