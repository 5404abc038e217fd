"""The wait after thunder: it cannot be shortened, only begun anew, or taken back where it was none."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import ModalScreen

from trainer.application.session.thunder import may_go_on_at, wait_words
from trainer.tui.widgets.words import Words

LOOK_EVERY_S = 5.0
HEARD_AGAIN, NO_THUNDER, WAITED = "heard again", "no thunder", "waited"
_KEYS = (
    "l  thunder again: the wait begins anew\n"
    "n  it was no thunder: take it back\n"
    "Ctrl+Q  leave; the wait goes on, every ball is kept"
)


class ThunderScreen(ModalScreen[str]):
    """Stop. Says from when it may go on; Enter goes on then, and not before."""

    CSS = """
    ThunderScreen { align: center middle; background: $background 60%; }
    ThunderScreen > Vertical { width: 58; height: auto; background: $surface; border: round $error; padding: 0 2; }
    """
    BINDINGS = [  # noqa: RUF012 - Textual's own name
        Binding("l,ctrl+t", "again", show=False),
        Binding("n", "none", show=False),
        Binding("enter,escape,space", "go_on", show=False),
        Binding("ctrl+q,ctrl+c", "app.leave", show=False),
    ]

    def __init__(self, heard_at: datetime, clock: Callable[[], datetime]) -> None:
        super().__init__()
        self._heard_at = heard_at
        self._clock = clock

    @property
    def waits(self) -> bool:
        """Whether the wait still runs."""
        return bool(wait_words(self._heard_at, self._clock()))

    def compose(self) -> ComposeResult:
        """The sentence and the keys."""
        with Vertical():
            yield Words(id="thunder")

    def on_mount(self) -> None:
        """Keep the minutes true."""
        self._draw()
        self.set_interval(LOOK_EVERY_S, self._draw)

    def _draw(self) -> None:
        words = wait_words(self._heard_at, self._clock())
        over = f"30 minutes since thunder at {self._heard_at:%H:%M}. If the staff open again, Enter goes on."
        self.query_one("#thunder", Words).show(f"{words or over}\n\n{_KEYS}")

    def action_again(self) -> None:
        """Thunder once more."""
        self.dismiss(HEARD_AGAIN)

    def action_none(self) -> None:
        """It was none."""
        self.dismiss(NO_THUNDER)

    def action_go_on(self) -> None:
        """On again, when the wait is over."""
        if self.waits:
            earliest = may_go_on_at(self._heard_at)
            self.notify(f"Not before {earliest:%H:%M}.", timeout=3)
        else:
            self.dismiss(WAITED)
