"""The first-run tour: four steps, left at any of them, shown once after the first start."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import ModalScreen

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


class TourScreen(ModalScreen[None]):
    """One step at a time."""

    CSS = """
    TourScreen { align: center middle; background: $background 60%; }
    TourScreen > Vertical { width: 58; height: auto; background: $surface; border: round $primary; padding: 0 2; }
    """
    BINDINGS = [  # noqa: RUF012 - Textual's own name
        Binding("enter,space,right,l,down,j", "step(1)", show=False),
        Binding("left,h,up,k", "step(-1)", show=False),
        Binding("escape,q", "dismiss(None)", show=False),
        Binding("ctrl+q,ctrl+c", "app.leave", show=False),
    ]

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

    def action_step(self, step: int) -> None:
        """The next step, or the one before; behind the last is the day."""
        if self.step + step >= len(STEPS):
            self.dismiss(None)
            return
        self.step = max(self.step + step, 0)
        self._draw()

    def on_rows_clicked(self, message: Rows.Clicked) -> None:
        """A click goes on."""
        self.action_step(1)
