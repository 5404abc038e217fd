"""Why a ball is left out: one key, or own words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical

from trainer.tui.screens.standing import Overlay
from trainer.tui.widgets.words import Words

REASONS = {
    "1": "the target is not free",
    "2": "the wind does not suit it",
    "3": "too hard today",
    "4": "tired",
    "5": "it hurts",
}


class SkipScreen(Overlay[str]):
    """Five reasons, one key each."""

    CSS = """
    SkipScreen { align: center middle; background: $background 60%; }
    SkipScreen > Vertical { width: 56; height: auto; background: $surface; border: round $primary; padding: 0 2; }
    """
    KEYS: ClassVar[Mapping[str, str]] = dict.fromkeys(("escape", "q"), "close")

    def compose(self) -> ComposeResult:
        """The question."""
        rows = "\n".join(f"  {key}  {reason}" for key, reason in REASONS.items())
        with Vertical():
            yield Words(f"Skip this ball: why?\n\n{rows}\n\nIn your own words: type skip and why. Esc goes back.")

    def take_key(self, event: events.Key) -> bool:
        """One key is the answer; without one no ball is skipped."""
        if event.character not in REASONS:
            return super().take_key(event)
        self.close(REASONS[event.character])
        return True


class RestScreen(Overlay[None]):
    """A rest: nothing moves until the player does."""

    CSS = """
    RestScreen { align: center middle; background: $background 60%; }
    RestScreen > Vertical { width: 56; height: auto; background: $surface; border: round $primary; padding: 0 2; }
    """
    KEYS: ClassVar[Mapping[str, str]] = dict.fromkeys(("enter", "escape", "space", "p"), "close")

    def compose(self) -> ComposeResult:
        """The sentence."""
        with Vertical():
            yield Words(
                "Rest. Every ball is kept.\n\nTwo or three minutes, hands warm.\n"
                "Pain, not tiredness, means stop for today.\n\nEnter goes on."
            )
