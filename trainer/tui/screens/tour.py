"""The first-run tour: four steps, left at any of them, shown once after the first start."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Vertical

from trainer.tui.screens.standing import Overlay
from trainer.tui.widgets.rows import Rows

STEPS = (
    (
        "The day",
        "Type the wind as you feel it: 14mph 1h is from one o'clock, your target at twelve. Choose a plan below it. "
        "Enter begins.",
    ),
    (
        "The session",
        "One line a ball: 142 6L is 142 of carry, six left. Or Esc, then one key a ball, as on a number pad. "
        "Every ball is on the disk at once; leave whenever you like.",
    ),
    (
        "What it taught",
        "F2 looks at it: gaps, three choices for a distance, full against low, the card for your pocket, progress, "
        "plans. Still air is for any day, today for this wind.",
    ),
    (
        "Help",
        "F1 says every key of where you are. F8 copies what you see as text, F10 changes the colours, Ctrl+P finds "
        "anything by its name.",
    ),
)


class TourScreen(Overlay[None]):
    """One step at a time."""

    CSS = """
    TourScreen { align: center middle; background: $background 60%; }
    TourScreen > Vertical { width: 58; height: auto; background: $surface; border: round $primary; padding: 0 2; }
    """
    KEYS: ClassVar[Mapping[str, str]] = {
        **dict.fromkeys(("enter", "space", "right", "l", "down", "j"), "next_step"),
        **dict.fromkeys(("left", "h", "up", "k"), "last_step"),
        **dict.fromkeys(("escape", "q"), "close"),
    }

    def __init__(self) -> None:
        super().__init__()
        self.step = 0

    def compose(self) -> ComposeResult:
        """The step."""
        with Vertical():
            yield Rows(id="step")

    def on_mount(self) -> None:
        """The first step."""
        self._draw()

    def _draw(self) -> None:
        title, words = STEPS[self.step]
        last = self.step == len(STEPS) - 1
        keys = "Enter to the day" if last else "Enter goes on · Esc skips the rest"
        self.query_one("#step", Rows).show(f"{self.step + 1} of {len(STEPS)} · {title}\n\n{words}\n\n{keys}")

    def action_next_step(self) -> None:
        """The next step; behind the last is the day."""
        if self.step + 1 < len(STEPS):
            self.step += 1
            self._draw()
        else:
            self.close()

    def action_last_step(self) -> None:
        """The step before."""
        self.step = max(self.step - 1, 0)
        self._draw()

    def on_rows_clicked(self, message: Rows.Clicked) -> None:
        """A click goes on."""
        self.action_next_step()
