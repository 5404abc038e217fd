"""One shot: its last balls, where they came down, what is known of it, and its flight beside its counterpart."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Grid

from trainer.application.views.look import CellView
from trainer.core.bag import Cell
from trainer.tui.actions import Place
from trainer.tui.screens.frame import TALL_ROWS, WIDE_COLUMNS
from trainer.tui.screens.look import WindScreen
from trainer.tui.widgets.flight_plot import flight_lines, key_line
from trainer.tui.widgets.folding import folded
from trainer.tui.widgets.humps import estimate_lines
from trainer.tui.widgets.pattern_plot import pattern_lines
from trainer.tui.widgets.rows import Rows

PARTS = ("last balls", "pattern", "estimate", "full and low")
NO_PATTERN = "No ball of this shot was seen with a carry and a side."
NO_BALL = "No ball of this shot yet."


class CellScreen(WindScreen[CellView]):
    """Four parts: one at a time, or all of them where the window is wide and tall."""

    def __init__(self, cell: Cell) -> None:
        super().__init__()
        self.cell = cell
        self.part = 0
        self._first_ball = 0

    @property
    def own_place(self) -> Place:
        """One shot."""
        return Place.CELL

    @property
    def shows_all(self) -> bool:
        """Whether all four parts have room."""
        columns, rows = self.window
        return columns >= WIDE_COLUMNS and rows >= TALL_ROWS

    def picture(self) -> ComposeResult:
        """The names of the parts, and the parts."""
        yield Rows(id="parts")
        with Grid(id="cell-parts"):
            for number in range(len(PARTS)):
                yield Rows(id=f"part-{number}", classes="part")

    def ask_in(self, wind: str) -> None:
        """The shot in a wind."""
        cell = self.cell
        self.look(lambda looking, held: looking.cell(held, cell, wind))

    def head_words(self, view: CellView) -> str:
        """The shot and what is known of it."""
        return "\n".join([view.name, *view.summary])

    def draw(self, view: CellView) -> None:
        """The part that is looked at, or all."""
        grid = self.query_one("#cell-parts", Grid)
        across, down = (2, 2) if self.shows_all else (1, 1)
        grid.styles.grid_size_columns, grid.styles.grid_size_rows = across, down
        columns = (self.window.width - 2) // across - (2 if self.shows_all else 0)
        rows = max(grid.size.height // down, 3)
        names = [f"[{name}]" if i == self.part else f" {name} " for i, name in enumerate(PARTS)]
        parts = self.query_one("#parts", Rows)
        parts.display = not self.shows_all
        parts.show(" ".join(names))
        for number in range(len(PARTS)):
            words = self.query_one(f"#part-{number}", Rows)
            words.display = self.shows_all or number == self.part
            if words.display:
                title = [PARTS[number].capitalize()] if self.shows_all else []
                lines = [*title, *self._part(view, number, columns, rows - len(title) - 1)]
                words.show("\n".join(line[:columns] for line in lines))

    def _part(self, view: CellView, number: int, columns: int, rows: int) -> list[str]:
        if number == 0:
            if not view.shots:
                return [NO_BALL]
            first = min(self._first_ball, max(len(view.shots) - rows + 1, 0))
            return [view.shots_head, *view.shots[first : first + rows - 1]]
        if number == 1:
            if view.pattern is None:
                return [NO_PATTERN]
            said = [line for each in view.pattern.sentences for line in folded(each, columns)]
            return [*pattern_lines(view.pattern, columns, rows - len(said) - 1), *said]
        if number == 2:
            said = [line for each in view.estimate.sentences for line in folded(each, columns)]
            return [*estimate_lines(view.estimate, columns, rows - len(said)), *said]
        return [key_line(view.flights), *flight_lines(view.flights, columns, rows - 1)]

    def lines_of(self, view: CellView) -> str:
        """Everything in words."""
        return view.text

    def text_of(self, view: CellView) -> str:
        """As `trainer gaps --cell` prints it."""
        return view.text

    def action_next_part(self) -> None:
        """The next part."""
        self._turn(1)

    def action_last_part(self) -> None:
        """The part before."""
        self._turn(-1)

    def _turn(self, step: int) -> None:
        self.part = (self.part + step) % len(PARTS)
        self.redraw()

    def on_rows_clicked(self, message: Rows.Clicked) -> None:
        """The next part with the mouse."""
        self._turn(1)

    def on_rows_turned(self, message: Rows.Turned) -> None:
        """Older and newer balls with the wheel."""
        self.scroll_page(message.step)

    def scroll_page(self, rows: int) -> None:
        """Older balls are further down."""
        if self.as_lines or self.view is None:
            super().scroll_page(rows)
            return
        self._first_ball = min(max(self._first_ball + rows, 0), max(len(self.view.shots) - 1, 0))
        self.redraw()

    def action_against(self) -> None:
        """All that is compared of the two flights."""
        from trainer.tui.screens.compare import CompareScreen  # noqa: PLC0415 - opened from here only

        self.go_to(CompareScreen(self.cell))
