"""Text that is drawn for the room it has: its screen is told when that becomes more, or less."""

from __future__ import annotations

from textual import events
from textual.message import Message

from trainer.tui.widgets.words import Words


class Room(Words):
    """Words whose screen draws them for their size."""

    class Resized(Message):
        """There is more room, or less."""

    def on_resize(self) -> None:
        """Tell the screen."""
        self.post_message(self.Resized())


class Panel(Room):
    """Pictures that a click turns."""

    class Clicked(Message):
        """It was clicked on."""

    def on_click(self, event: events.Click) -> None:
        """Tell the screen."""
        event.stop()
        self.post_message(self.Clicked())
