"""What the screens have in common that have something done in the store's thread: a frozen view after each change."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

from trainer.tui.messages import Looked, Progressed, Refused
from trainer.tui.screens.look import LookScreen
from trainer.tui.widgets.share_bars import share_bar

if TYPE_CHECKING:
    from trainer.application.practice import Practice

View = TypeVar("View")
_BAR_COLUMNS = 24


class WorkScreen(LookScreen[View]):
    """A view, and keys that change what it shows. `sent` is a line on its way to the store; it comes back refused."""

    def __init__(self) -> None:
        super().__init__()
        self.sent = ""

    def send(self, text: str, job: Callable[[Practice], View]) -> None:
        """As `do`, for what was typed: the line is empty for the next, unless this one is refused."""
        self.line.put("")
        self.sent = text
        self.do(job)

    def take(self, view: View) -> None:
        """Show a view: what was sent has arrived."""
        self.sent = ""
        super().take(view)

    def on_refused(self, message: Refused) -> None:
        """Nothing was kept: what was typed waits in its line."""
        sent, self.sent = self.sent, ""
        if not self.line.value:
            self.line.put(sent)
        super().on_refused(message)

    def do(self, job: Callable[[Practice], View], *, quietly: bool = False) -> None:
        """Have `job` done; its view is shown unless something newer was asked. `quietly` says nothing meanwhile."""
        self._number += 1
        number = self._number
        self.waiting = True
        if not quietly:
            self.say("one moment …")
        self.trainer.desk.ask(self, lambda practice: Looked(number, job(practice)))

    def on_progressed(self, message: Progressed) -> None:
        """How far long work is."""
        message.stop()
        if self.waiting:
            bar = share_bar(message.done / max(message.whole, 1), _BAR_COLUMNS)
            self.say(f"{message.what} {bar} {message.done:,} of {message.whole:,}   x stops it")

    def lines_of(self, view: View) -> str:
        """What is copied is lines."""
        return self.text_of(view)
