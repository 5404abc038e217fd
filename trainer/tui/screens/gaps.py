"""Gaps: how far each shot carries, as bars on one axis, in still air or in any wind."""

from __future__ import annotations

from textual.app import ComposeResult

from trainer.application.views.look import GapRow, GapsView, GapTable
from trainer.core.bag import Cell
from trainer.tui.actions import Place
from trainer.tui.screens.look import WindScreen
from trainer.tui.widgets.folding import dashed
from trainer.tui.widgets.gap_bars import entries, gap_bars, head_line, window
from trainer.tui.widgets.rows import Rows
from trainer.tui.widgets.words import Words


class GapsScreen(WindScreen[GapsView]):
    """The gapping table. One of its shots is pointed at; still air or today, few or every shot."""

    def __init__(self) -> None:
        super().__init__()
        self.still = False
        self.every = False
        self.chosen: Cell | None = None

    @property
    def own_place(self) -> Place:
        """Gaps."""
        return Place.GAPS

    def picture(self) -> ComposeResult:
        """Axis, bars, what is pointed at, and in a tall window what is still not known."""
        yield Words(id="axis")
        yield Rows(id="rows")
        yield Words(id="detail", classes="quiet")
        yield Words(id="notes", classes="quiet")

    def ask_in(self, wind: str) -> None:
        """The table in a wind."""
        self.look(lambda looking, held: looking.gaps(held, wind))

    def take(self, view: GapsView) -> None:
        """A new table; the shot that was pointed at still is."""
        self.still = False if self.view is not None and view.wind != self.view.wind else self.still
        super().take(view)

    # What is shown

    @property
    def table(self) -> GapTable:
        """The one of the four tables that is looked at."""
        assert self.view is not None
        return self.view.table(still=self.still, every=self.every)

    @property
    def index(self) -> int:
        """Where the shot that is pointed at stands."""
        cells = [row.cell for row in self.table.rows]
        return cells.index(self.chosen) if self.chosen in cells else 0

    @property
    def row(self) -> GapRow | None:
        """The shot that is pointed at; None before the first answer."""
        return None if self.view is None else self.table.rows[self.index]

    def head_words(self, view: GapsView) -> str:
        """Which of the two carries, and the wind of today."""
        mode = " today  [still air]" if self.still else "[today]  still air "
        return f"Carry, {view.unit}, 8 in 10 within the bar   {mode}\n{view.wind_words}"

    def draw(self, view: GapsView) -> None:
        """Bars and what they say."""
        columns = self.window.width - 2
        rows = self.query_one("#rows", Rows)
        self.query_one("#axis", Words).show(head_line(self.table, columns))
        rows.show(gap_bars(self.table, self.index, columns, max(rows.size.height, 1)))
        row = self.table.rows[self.index]
        self.query_one("#detail", Words).show("\n".join(row.detail))
        notes = dashed((*self.table.spacing, *view.advice), columns)
        self.query_one("#notes", Words).show("\n".join(notes))

    def lines_of(self, view: GapsView) -> str:
        """A line a shot, gaps and overlaps, and what is not known."""
        rows = [row.words for row in self.table.rows]
        return "\n".join([*rows, "", *(f"- {said}" for said in (*self.table.spacing, *view.advice))])

    def text_of(self, view: GapsView) -> str:
        """As `trainer gaps` prints it."""
        return view.text_every if self.every else view.text_few

    # Keys

    def _move(self, step: int) -> None:
        if self.view is None:
            return
        if self.as_lines:
            self.scroll_page(step)
            return
        rows = self.table.rows
        self.chosen = rows[min(max(self.index + step, 0), len(rows) - 1)].cell
        self.redraw()

    def action_down(self) -> None:
        """The next longer shot."""
        self._move(1)

    def action_up(self) -> None:
        """The next shorter one."""
        self._move(-1)

    def action_page_down(self) -> None:
        """A page of longer ones."""
        self._move(self.page_rows())

    def action_page_up(self) -> None:
        """A page of shorter ones."""
        self._move(-self.page_rows())

    def on_rows_clicked(self, message: Rows.Clicked) -> None:
        """Point at a shot with the mouse; once more opens it."""
        if self.view is None:
            return
        lines = entries(self.table.rows)
        at = window(lines, self.index, max(self.query_one("#rows").size.height, 1)) + message.line
        if at >= len(lines):
            return
        cell = self.table.rows[lines[at][0]].cell
        if cell == self.table.rows[self.index].cell:
            self.action_open()
        else:
            self.chosen = cell
            self.redraw()

    def on_rows_turned(self, message: Rows.Turned) -> None:
        """Move with the wheel."""
        self._move(message.step)

    def action_still(self) -> None:
        """Still air, or today."""
        if self.view is not None:
            self.chosen = self.table.rows[self.index].cell
            self.still = not self.still
            self.redraw()

    def action_every(self) -> None:
        """Every shot, or those that matter."""
        if self.view is not None:
            self.chosen = self.table.rows[self.index].cell
            self.every = not self.every
            self.redraw()

    def action_open(self) -> None:
        """The page of the shot that is pointed at."""
        from trainer.tui.screens.cell import CellScreen  # noqa: PLC0415 - opened from here only

        if self.row is not None:
            self.go_to(CellScreen(self.row.cell))

    def action_against(self) -> None:
        """The shot beside its counterpart."""
        from trainer.tui.screens.compare import CompareScreen  # noqa: PLC0415 - as above

        if self.row is not None:
            self.go_to(CompareScreen(self.row.cell))
