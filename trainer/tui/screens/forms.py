"""What the screens of a few typed lines have in common: going from line to line, and what is asked or said."""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widget import Widget

from trainer.tui.actions import action_for
from trainer.tui.messages import Refused
from trainer.tui.screens.frame import Frame
from trainer.tui.widgets.words import Words


def labelled(label: str, widget: Widget) -> ComposeResult:
    """A row of the form: its label and its line."""
    with Horizontal(classes="row"):
        yield Words(label, classes="label")
        yield widget


class FormScreen(Frame):
    """Typed lines above what is asked or said. Letters are text; the keys of the registry are those that a line has
    no use for."""

    def on_key(self, event: events.Key) -> None:
        """Keys that a line has no use for."""
        action = action_for(event.key, self.place)
        if action is None or event.key not in action.line_keys:
            return
        owner = self if hasattr(self, f"action_{action.name}") else self.app
        getattr(owner, f"action_{action.name}")()
        event.stop()
        event.prevent_default()

    def say(self, text: str, *, wrong: bool = False) -> None:
        """Say something under the lines."""
        said = self.query_one("#said", Words)
        said.set_class(wrong, "wrong")
        said.show(text)

    def on_refused(self, message: Refused) -> None:
        """Nothing was done; what was typed stands."""
        self.say(message.why, wrong=True)

    def action_next_field(self) -> None:
        """The next line."""
        self.focus_next()

    def action_last_field(self) -> None:
        """The line before."""
        self.focus_previous()

    def action_back(self) -> None:
        """Out, with nothing done."""
        self.trainer.pop_screen()
