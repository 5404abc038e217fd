"""The wait after thunder: it cannot be shortened, only begun anew, or taken back where it was none."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Vertical

from trainer.application.session.thunder import may_go_on_at, wait_words
from trainer.tui.screens.standing import Overlay
from trainer.tui.widgets.words import Words

LOOK_EVERY_S = 5.0
HEARD_AGAIN, NO_THUNDER, WAITED = "heard again", "no thunder", "waited"
_KEYS = (
    "l  thunder again: the wait begins anew\n"
    "n  it was no thunder: take it back\n"
    "Ctrl+Q  leave; the wait goes on, every ball is kept"
)


class ThunderScreen(Overlay[str]):
    """Stop. Says from when it may go on; Enter goes on then, and not before."""

    CSS = """
    ThunderScreen { align: center middle; background: $background 60%; }
    ThunderScreen > Vertical { width: 58; height: auto; background: $surface; border: round $error; padding: 0 2; }
    """
    KEYS: ClassVar[Mapping[str, str]] = {
        **dict.fromkeys(("l", "ctrl+t"), "again"),
        "n": "none",
        **dict.fromkeys(("enter", "escape", "space"), "go_on"),
    }

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
        self.close(HEARD_AGAIN)

    def action_none(self) -> None:
        """It was none."""
        self.close(NO_THUNDER)

    def action_go_on(self) -> None:
        """On again, when the wait is over."""
        if self.waits:
            earliest = may_go_on_at(self._heard_at)
            self.notify(f"Not before {earliest:%H:%M}.", timeout=3)
        else:
            self.close(WAITED)
