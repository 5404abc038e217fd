"""Compare: two shots side by side in one wind, with their flights."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import VerticalScroll

from trainer.application.views.look import FlightsView
from trainer.core.bag import Cell
from trainer.tui.actions import Place
from trainer.tui.screens.frame import TALL_ROWS
from trainer.tui.screens.look import LookScreen
from trainer.tui.widgets.flight_plot import drift_lines, flight_lines, key_line
from trainer.tui.widgets.words import Words

_SIDE_ROWS, _SIDE_ROWS_TALL, _ABOVE_ROWS = 8, 12, 7
_LABEL = 20


class CompareScreen(LookScreen[FlightsView]):
    """Two shots; without any named, a mid iron and the low shot that does its job."""

    HINT = "two shots, such as 7 iron; 5 iron, 1 in, three-quarter wind 14mph 1h"

    def __init__(self, cell: Cell | None = None) -> None:
        super().__init__()
        self._cell = cell

    @property
    def own_place(self) -> Place:
        """Compare."""
        return Place.COMPARE

    def picture(self) -> ComposeResult:
        """The pictures and the table, a page to scroll."""
        with VerticalScroll(id="pictures", can_focus=False):
            yield Words(id="flights", classes="plot")

    def question(self) -> None:
        """The shot it was opened with, beside its counterpart."""
        cell, wind = self._cell, self.trainer.asked_wind
        self.look(lambda looking, held: looking.beside(held, cell, wind))

    def ask(self, text: str) -> None:
        """Two shots; with none typed, those it was opened with."""
        wind = self.trainer.asked_wind
        if text:
            self.look(lambda looking, held: looking.pair(held, text, wind))
        else:
            self.question()

    def take(self, view: FlightsView) -> None:
        """The two as they would be typed wait in the line."""
        if not self.line.value:
            self.line.put(view.typed)
        super().take(view)

    def head_words(self, view: FlightsView) -> str:
        """The wind."""
        return f"Two shots in {view.wind_words}"

    def draw(self, view: FlightsView) -> None:
        """The flights above, the table below; in a tall window the flights from above too."""
        columns, rows = self.window.width - 3, self.window.height
        tall = rows >= TALL_ROWS
        lines = [
            key_line(view),
            *flight_lines(view, columns, _SIDE_ROWS_TALL if tall else _SIDE_ROWS),
            *(["", "from above, the target line in the middle:"] if tall else []),
            *(drift_lines(view, columns, _ABOVE_ROWS) if tall else []),
            "",
            *table_lines((("", *view.names), *view.rows[1:]), columns),
            *(["", "from above, the target line in the middle:"] if not tall else []),
            *(drift_lines(view, columns, _ABOVE_ROWS) if not tall else []),
            "",
            "Heights and drift are drawn larger than distances.",
        ]
        self.query_one("#flights", Words).show("\n".join(lines))

    def lines_of(self, view: FlightsView) -> str:
        """A line for each thing compared, both shots in it."""
        (_, one, other), *rest = view.rows
        return "\n".join([f"{name}: {one} {mine}; {other} {its}" for name, mine, its in rest])

    def text_of(self, view: FlightsView) -> str:
        """As `trainer compare` prints it."""
        return view.text


def table_lines(rows: Sequence[tuple[str, str, str]], columns: int) -> list[str]:
    """What is compared and the words of either shot, in three columns."""
    width = (columns - _LABEL - 2) // 2
    return [f"{name:{_LABEL}}{one:>{width}.{width}}  {other:>{width}.{width}}" for name, one, other in rows]
