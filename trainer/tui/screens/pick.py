"""Picking a file or a folder: typed with completion, or from the list of what lies there."""

from __future__ import annotations

from collections.abc import Callable

from textual import events
from textual.app import ComposeResult
from textual.widgets import Input

from trainer.application.views.table import FileRow, FolderView
from trainer.tui.actions import Place, action_for
from trainer.tui.messages import Looked
from trainer.tui.screens.frame import Frame
from trainer.tui.widgets.line import Line
from trainer.tui.widgets.rows import Rows
from trainer.tui.widgets.words import Words


class PickScreen(Frame):
    """One line and what fits it. What is picked is given to `picked`, which goes on from there."""

    def __init__(self, title: str, picked: Callable[[str], None], *, folders_only: bool = False) -> None:
        super().__init__()
        self._title, self._picked, self._folders_only = title, picked, folders_only
        self._number = 0
        self.view: FolderView | None = None
        self.index = 0

    @property
    def place(self) -> Place:
        """Picking a file."""
        return Place.PICK

    def body(self) -> ComposeResult:
        """What for, the line, the folder, its rows."""
        yield Words(self._title, classes="strong", id="pick-title")
        yield Line(hint="a path, such as ~/Downloads/", id="path")
        yield Words(id="pick-folder", classes="quiet")
        yield Rows(id="pick-rows", classes="table")
        yield Words(id="said", classes="asked")

    def on_mount(self) -> None:
        """What lies here."""
        self.query_one("#path", Line).focus()
        self._list()

    def on_screen_resume(self) -> None:
        """A file may have come meanwhile."""
        self._list()

    @property
    def typed(self) -> str:
        """The path as it stands."""
        return self.query_one("#path", Line).value

    def on_input_changed(self, event: Input.Changed) -> None:
        """What fits the path now."""
        event.stop()
        self.index = 0
        self._list()

    def _list(self) -> None:
        if not self.query("#path"):
            return
        self._number += 1
        number, typed, folders_only = self._number, self.typed, self._folders_only

        def look() -> Looked:
            from trainer.application.files.file_picking import list_folder  # noqa: PLC0415 - in its thread

            return Looked(number, list_folder(typed, folders_only=folders_only))

        self.trainer.desk.work(self, look)

    def on_looked(self, message: Looked) -> None:
        """What lies there."""
        message.stop()
        if message.number != self._number or not isinstance(message.view, FolderView):
            return
        self.view = message.view
        self.index = min(self.index, max(len(self.view.rows) - 1, 0))
        self.redraw()

    @property
    def row(self) -> FileRow | None:
        """What is pointed at."""
        return self.view.rows[self.index] if self.view is not None and self.view.rows else None

    def redraw(self) -> None:
        """The rows around the one pointed at."""
        if self.view is None:
            return
        self.query_one("#pick-folder", Words).show(self.view.folder)
        rows = self.query_one("#pick-rows", Rows)
        width = max(self.app.size.width - 32, 12)
        lines = [
            f"{'▸' if i == self.index else ' '} {row.name[:width]:{width}}  {row.detail}"
            for i, row in enumerate(self.view.rows)
        ]
        first = self._first(rows.size.height)
        rows.show("\n".join(lines[first : first + max(rows.size.height, 1)]))
        self.query_one("#said", Words).show(self.view.said or self._what_enter_does())

    def _what_enter_does(self) -> str:
        if self.row is None:
            return ""
        return f"Enter {'goes into' if self.row.is_folder else 'takes'} {self.row.name}"

    def _first(self, height: int) -> int:
        return max(self.index - max(height, 1) + 1, 0)

    # Keys

    def on_key(self, event: events.Key) -> None:
        """Keys that a line has no use for."""
        action = action_for(event.key, self.place)
        if action is None or event.key not in action.line_keys or event.key == "enter":
            return
        owner = self if hasattr(self, f"action_{action.name}") else self.app
        getattr(owner, f"action_{action.name}")()
        event.stop()
        event.prevent_default()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter in the line."""
        event.stop()
        self.action_pick()

    def action_down(self) -> None:
        """The row below."""
        self._move(1)

    def action_up(self) -> None:
        """The row above."""
        self._move(-1)

    def _move(self, step: int) -> None:
        if self.view is not None and self.view.rows:
            self.index = min(max(self.index + step, 0), len(self.view.rows) - 1)
            self.redraw()

    def action_complete(self) -> None:
        """As far as there is no doubt; with one row left that is it."""
        if self.view is not None and self.view.completed != self.typed:
            self.query_one("#path", Line).put(self.view.completed)

    def action_pick(self) -> None:
        """Take what is pointed at, or go into the folder."""
        row = self.row
        if row is None:
            self.query_one("#said", Words).show("nothing here fits the path: type on, or Esc")
        elif row.is_folder:
            self.query_one("#path", Line).put(row.typed)
        else:
            self._picked(row.typed)

    def action_back(self) -> None:
        """Nothing is picked."""
        self.trainer.pop_screen()

    def on_rows_clicked(self, message: Rows.Clicked) -> None:
        """Point at a row with the mouse; once more takes it."""
        at = self._first(self.query_one("#pick-rows").size.height) + message.line
        if self.view is None or at >= len(self.view.rows):
            return
        if at == self.index:
            self.action_pick()
        else:
            self.index = at
            self.redraw()

    def on_rows_turned(self, message: Rows.Turned) -> None:
        """Move with the wheel."""
        self._move(message.step)


class ImportPickScreen(PickScreen):
    """The way into an import: the table first."""

    def __init__(self) -> None:
        super().__init__("Import a shot table: comma, semicolon or tab, with a header", self._open)

    def _open(self, typed: str) -> None:
        from trainer.tui.screens.importing import ImportScreen  # noqa: PLC0415 - opened from here only

        self.trainer.push_screen(ImportScreen(typed))
