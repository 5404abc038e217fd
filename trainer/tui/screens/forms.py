"""What the screens of a few typed lines have in common: going from line to line, and what is asked or said."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widget import Widget

from trainer.tui.messages import Refused
from trainer.tui.screens.frame import Frame
from trainer.tui.widgets.words import Words

if TYPE_CHECKING:
    from trainer.tui.desk import Job


def labelled(label: str, widget: Widget) -> ComposeResult:
    """A row of the form: its label and its line."""
    with Horizontal(classes="row"):
        yield Words(label, classes="label")
        yield widget


class FormScreen(Frame):
    """Typed lines above what is asked or said."""

    def __init__(self) -> None:
        super().__init__()
        self._sent = False

    def send(self, job: Job) -> None:
        """Have done what the form says, once: a second Enter before the answer is no second wish."""
        if not self._sent:
            self._sent = True
            self.trainer.desk.ask(self, job)

    def say(self, text: str, *, wrong: bool = False) -> None:
        """Say something under the lines."""
        said = self.query_one("#said", Words)
        said.set_class(wrong, "wrong")
        said.show(text)

    def on_refused(self, message: Refused) -> None:
        """Nothing was done; what was typed stands."""
        self._sent = False
        self.say(message.why, wrong=True)

    def action_back(self) -> None:
        """Out, with nothing done."""
        self.leave()
