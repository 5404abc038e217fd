"""Why a ball is left out: one key, or own words."""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import ModalScreen

from trainer.tui.widgets.words import Words

REASONS = {
    "1": "the target is not free",
    "2": "the wind does not suit it",
    "3": "too hard today",
    "4": "tired",
    "5": "it hurts",
}


class SkipScreen(ModalScreen[str | None]):
    """Five reasons, one key each."""

    CSS = """
    SkipScreen { align: center middle; background: $background 60%; }
    SkipScreen > Vertical { width: 56; height: auto; background: $surface; border: round $primary; padding: 0 2; }
    """
    BINDINGS = [  # noqa: RUF012 - Textual's own name
        Binding("escape,q", "back", show=False),
        Binding("ctrl+q,ctrl+c", "app.leave", show=False),
    ]

    def compose(self) -> ComposeResult:
        """The question."""
        rows = "\n".join(f"  {key}  {reason}" for key, reason in REASONS.items())
        with Vertical():
            yield Words(f"Skip this ball: why?\n\n{rows}\n\nIn your own words: type skip and why. Esc goes back.")

    def on_key(self, event: events.Key) -> None:
        """One key is the answer."""
        if event.character in REASONS:
            event.stop()
            self.dismiss(REASONS[event.character])

    def action_back(self) -> None:
        """No ball is skipped."""
        self.dismiss(None)


class RestScreen(ModalScreen[None]):
    """A rest: nothing moves until the player does."""

    CSS = """
    RestScreen { align: center middle; background: $background 60%; }
    RestScreen > Vertical { width: 56; height: auto; background: $surface; border: round $primary; padding: 0 2; }
    """
    BINDINGS = [  # noqa: RUF012 - Textual's own name
        Binding("enter,escape,space,p", "dismiss", show=False),
        Binding("ctrl+q,ctrl+c", "app.leave", show=False),
    ]

    def compose(self) -> ComposeResult:
        """The sentence."""
        with Vertical():
            yield Words(
                "Rest. Every ball is kept.\n\nTwo or three minutes, hands warm.\n"
                "Pain, not tiredness, means stop for today.\n\nEnter goes on."
            )
