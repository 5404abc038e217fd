"""Group: players down, balls across, one key a ball, each on the disk before the next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import events
from textual.app import ComposeResult

from trainer.application.views.group import GroupView
from trainer.tui.actions import Place
from trainer.tui.messages import Saved, TodayShown
from trainer.tui.screens.work import WorkScreen
from trainer.tui.widgets.grid_lines import grid_content, grid_rows
from trainer.tui.widgets.pad import PAD, ZONE_KEYS
from trainer.tui.widgets.rows import Rows
from trainer.tui.widgets.words import Words

if TYPE_CHECKING:
    from trainer.application.group.desk import GroupDesk
    from trainer.application.practice import Practice

WIND_HINT = "the wind as read now, such as 14mph 1h gust 20mph"
SHEETS_HINT = "a new folder for the sheets"


class GroupScreen(WorkScreen[GroupView]):
    """The grid of one station. `column` is the ball that a key corrects, None where it enters the next one.

    `_group` belongs to the store's thread.
    """

    HINT = WIND_HINT

    def __init__(self, group: GroupDesk, view: GroupView) -> None:
        super().__init__()
        self._group, self._begun_with = group, view
        self.column: int | None = None
        self.writing_sheets = False
        self._ended = False

    @property
    def own_place(self) -> Place:
        """Group."""
        return Place.GROUP

    def picture(self) -> ComposeResult:
        """The grid, and the keys as they lie."""
        yield Rows(id="grid", classes="table")
        yield Words("\n".join(PAD), id="grid-keys")

    def question(self) -> None:
        """It was begun already."""
        self.say("")
        self.take(self._begun_with)

    def take(self, view: GroupView) -> None:
        """Show the grid; what was corrected or entered lets the next ball be entered."""
        self.column = None
        super().take(view)
        self.say(view.said)

    def say(self, text: str, *, wrong: bool = False) -> None:
        """Say it in a row that is always there: the grid must not move under the eyes."""
        super().say(text, wrong=wrong)
        self.query_one("#said").display = True

    # What is shown

    def head_words(self, view: GroupView) -> str:
        """The station, how many balls are to come, the wind."""
        which = f" {view.number} of {view.stations}" if view.stations > 1 else ""
        return f"Station{which}: {view.station}\n{view.kept} balls kept, {view.left} to come · wind {view.wind}"

    def draw(self, view: GroupView) -> None:
        """As many players as there is room for."""
        grid = self.query_one("#grid", Rows)
        columns = self.window.width - 2
        grid.show(grid_content(view, self.column, columns, max(grid.size.height, 1)))

    def text_of(self, view: GroupView) -> str:
        """The evening as `trainer group record` reads it."""
        return view.text

    # Keys

    def take_key(self, event: events.Key) -> bool:
        """A key of the number pad enters a ball, or corrects the one pointed at."""
        key = (event.character or "").lower()
        if self.place is Place.GROUP and key in ZONE_KEYS:
            self._enter(key)
            return True
        return super().take_key(event)

    def _enter(self, key: str) -> None:
        view = self.view
        if view is None:
            return
        if self.column is None:
            self.do(lambda _: self._group.enter(key), quietly=True)
        else:
            row, column, now = view.row, self.column, self.trainer.clock()
            self.do(lambda _: self._group.correct(row, column, key, now), quietly=True)

    def action_zone(self) -> None:
        """A click on the foot says what the keys are."""
        self.say("press a key of the number pad")

    def action_player_down(self) -> None:
        """The next player."""
        self._go(1)

    def action_player_up(self) -> None:
        """The player before."""
        self._go(-1)

    def scroll_page(self, rows: int) -> None:
        """From player to player."""
        self._go(rows)

    def _go(self, step: int) -> None:
        self.do(lambda _: self._group.step(step), quietly=True)

    def action_ball_left(self) -> None:
        """An older ball: a key then corrects it."""
        if self.view is not None and self.view.rows[self.view.row].marks:
            last = len(self.view.rows[self.view.row].marks)
            self.column = max((last if self.column is None else self.column) - 1, 0)
            self.say(f"a key corrects ball {self.column + 1}; → goes back to the next ball")
            self.redraw()

    def action_ball_right(self) -> None:
        """A newer ball, at last the next one."""
        if self.view is not None and self.column is not None:
            column = self.column + 1
            self.column = column if column < len(self.view.rows[self.view.row].marks) else None
            self.say("" if self.column is None else f"a key corrects ball {self.column + 1}")
            self.redraw()

    def action_next_station(self) -> None:
        """The next station."""
        self.do(lambda _: self._group.turn(1), quietly=True)

    def action_last_station(self) -> None:
        """The station before."""
        self.do(lambda _: self._group.turn(-1), quietly=True)

    def action_undo(self) -> None:
        """Take the last ball of this station back."""
        now = self.trainer.clock()
        self.do(lambda _: self._group.undo(now), quietly=True)

    def on_rows_clicked(self, message: Rows.Clicked) -> None:
        """Point at a player with the mouse."""
        if self.view is not None:
            first, shown = grid_rows(self.view, max(self.query_one("#grid").size.height, 1))
            if message.line < len(shown):
                row = first + message.line
                self.do(lambda _: self._group.go_to(row), quietly=True)

    def on_rows_turned(self, message: Rows.Turned) -> None:
        """Move with the wheel."""
        self._go(message.step)

    # The line: a wind, or a folder for the sheets

    def ask(self, text: str) -> None:
        """Keep a reading, or write the sheets."""
        if self.writing_sheets:
            self._stop_writing()
            self.trainer.desk.ask(self, lambda _: Saved(", ".join(self._group.write_sheets(text))))
        else:
            now = self.trainer.clock()
            self.send(text, lambda _: self._group.read_wind(text, now))

    def action_sheets(self) -> None:
        """Ask for a folder."""
        self.writing_sheets = True
        self.line.placeholder = SHEETS_HINT
        self.line.put(f"group-{self.trainer.clock():%Y-%m-%d}")
        self.action_ask()

    def on_saved(self, message: Saved) -> None:
        """The sheets lie there."""
        message.stop()
        self.say(f"written: {message.where}")

    def action_stop_asking(self) -> None:
        """Leave the line; nothing is written."""
        self._stop_writing()
        super().action_stop_asking()

    def _stop_writing(self) -> None:
        if self.writing_sheets:
            self.writing_sheets = False
            self.line.placeholder = WIND_HINT
            self.line.put("")

    def action_back(self) -> None:
        """Out: every player's session is ended, and the day is read anew."""
        if self.typing:
            self.action_stop_asking()
        elif not self._ended:
            self._ended = True
            now, has_player = self.trainer.clock(), self.trainer.has_player

            def end(practice: Practice) -> TodayShown | None:
                self._group.end()
                return TodayShown(practice.today(now)) if has_player else None

            self.trainer.desk.ask(self.trainer.day, end)
            self.leave()
