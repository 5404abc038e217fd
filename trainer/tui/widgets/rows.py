"""Rows that a mouse can point at and turn through; what they show is drawn by their screen."""

from __future__ import annotations

from textual import events
from textual.message import Message

from trainer.tui.widgets.words import Words


class Rows(Words):
    """Text whose lines can be clicked on; the wheel moves by a row."""

    class Clicked(Message):
        """Line `line` of what is shown was clicked on."""

        def __init__(self, line: int) -> None:
            super().__init__()
            self.line = line

    class Turned(Message):
        """The wheel was turned: 1 is down."""

        def __init__(self, step: int) -> None:
            super().__init__()
            self.step = step

    def on_click(self, event: events.Click) -> None:
        """Tell the line."""
        event.stop()
        self.post_message(self.Clicked(event.y))

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """A row down."""
        event.stop()
        self.post_message(self.Turned(1))

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """A row up."""
        event.stop()
        self.post_message(self.Turned(-1))
