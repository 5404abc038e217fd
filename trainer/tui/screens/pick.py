"""Picking a file or a folder: typed with completion, or from the list of what lies there."""

from __future__ import annotations

from typing import cast

from textual import events
from textual.app import ComposeResult
from textual.widgets import Input

from trainer.application.views.table import FileRow, FolderView
from trainer.tui.actions import Place
from trainer.tui.messages import Looked
from trainer.tui.screens.frame import Frame
from trainer.tui.widgets.line import Line
from trainer.tui.widgets.rows import Rows
from trainer.tui.widgets.words import Words


class PickScreen(Frame):
    """One line and what fits it."""

    def __init__(self, title: str, *, folders_only: bool = False) -> None:
        super().__init__()
        self._title, self._folders_only = title, folders_only
        self._number = 0
        self._listed = ""
        self._pick_when_listed = False
        self.view: FolderView | None = None
        self.index = 0

    def picked(self, typed: str) -> None:
        """Go on with what was picked."""
        raise NotImplementedError

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
        self.set_focus(self.query_one("#path", Line))
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
        self._number += 1
        number, typed, folders_only = self._number, self.typed, self._folders_only

        def look() -> Looked:
            from trainer.application.files.file_picking import list_folder  # noqa: PLC0415 - in its thread

            return Looked(number, (typed, list_folder(typed, folders_only=folders_only)))

        self.trainer.desk.work(self, look)

    def on_looked(self, message: Looked) -> None:
        """What lies there."""
        message.stop()
        if message.number != self._number:
            return
        self._listed, self.view = cast("tuple[str, FolderView]", message.view)
        self.index = min(self.index, max(len(self.view.rows) - 1, 0))
        self.redraw()
        if self._pick_when_listed:
            self.action_pick()

    @property
    def is_listed(self) -> bool:
        """Whether what is shown is of the path as it stands, and not of one that was typed over since."""
        return self.view is not None and self._listed == self.typed

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
        width = max(self.window.width - 32, 12)
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

    def take_key(self, event: events.Key) -> bool:
        """Whatever is hit after Enter takes it back, where it waits for the list."""
        self._pick_when_listed = False
        return super().take_key(event)

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
        if self.view is not None and self.is_listed and self.view.completed != self.typed:
            self.query_one("#path", Line).put(self.view.completed)

    def action_pick(self) -> None:
        """Take what is pointed at, or go into the folder; where the path is not looked at yet, as soon as it is."""
        self._pick_when_listed = not self.is_listed
        if self._pick_when_listed:
            return
        row = self.row
        if row is None:
            self.query_one("#said", Words).show("nothing here fits the path: type on, or Esc")
        elif row.is_folder:
            self.query_one("#path", Line).put(row.typed)
        else:
            self.picked(row.typed)

    def action_back(self) -> None:
        """Nothing is picked."""
        self.leave()

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
        super().__init__("Import a shot table: comma, semicolon or tab, with a header")

    def picked(self, typed: str) -> None:
        """Its import, in front of the list: going back leads to the list again."""
        from trainer.tui.screens.importing import ImportScreen  # noqa: PLC0415 - opened from here only

        self.go_to(ImportScreen(typed))
