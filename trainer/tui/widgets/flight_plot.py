"""Two flights on one canvas of dots: the first one solid, the second one dotted."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from trainer.application.views.look import FlightsView, Path, Tick
from trainer.tui.widgets.axis_line import axis_line, column
from trainer.tui.widgets.dots import Dots

_LABEL = 7
_DOTTED = 3


def flight_lines(flights: FlightsView, columns: int, rows: int) -> list[str]:
    """From the side: height up, distance to the right."""
    return _picture(flights.side, flights.heights, flights.along, columns, rows)


def drift_lines(flights: FlightsView, columns: int, rows: int) -> list[str]:
    """From above: left of the line is up, distance to the right."""
    return _picture(flights.above, flights.across, flights.along, columns, rows)


def key_line(flights: FlightsView) -> str:
    """Which line is which."""
    return f"──── {flights.names[0]}   ∙∙∙∙ {flights.names[1]}"


def _picture(paths: Sequence[Path], up: Sequence[Tick], along: Sequence[Tick], columns: int, rows: int) -> list[str]:
    width, height = max(columns - _LABEL, 10), max(rows - 1, 2)
    canvas = Dots(width, height)
    for path, dotted in zip(paths, (False, True), strict=True):
        points = [(x * (canvas.width - 1), (1.0 - y) * (canvas.height - 1)) for x, y in path]
        if dotted:
            for x, y in points[::_DOTTED]:
                canvas.dot(x, y)
                canvas.dot(x + 1, y)
        else:
            for (x0, y0), (x1, y1) in itertools.pairwise(points):
                canvas.line(x0, y0, x1, y1)
    labels = {height - 1 - column(tick.at, height): tick.word for tick in up}
    drawn = [f"{labels.get(i, ''):>{_LABEL - 1}} {line.rstrip()}" for i, line in enumerate(canvas.lines())]
    return [*drawn, " " * _LABEL + axis_line(along, width)]
