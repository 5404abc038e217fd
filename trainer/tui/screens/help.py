"""What can be done here, from the registry."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll

from trainer.tui.actions import SESSION, Place, actions_in, help_lines
from trainer.tui.screens.standing import Overlay
from trainer.tui.screens.where import destination_lines
from trainer.tui.widgets.words import Words

_TYPED = """
What can be typed for a ball, in any order:
  142        carry                 142/151    carry and where it stopped
  6L  6R     left, right           red-5      five short of the red flag
  short pin long, left straight right, or z1 to z9 as on a number pad
  x          mishit                -          hit, not seen
  ^22        peak height           hang=5.3   seconds in the air        #tag
Another shot than the one asked for:  7 iron, 1 in, three-quarter: 142 6L
A new wind:  wind 14mph 1h gust 20mph     A flag:  flag red 150yd 10deg
"""


class HelpScreen(Overlay[None]):
    """Keys, words and the typed shot on one page."""

    CSS = """
    HelpScreen { align: center middle; background: $background 60%; }
    #help { width: 90%; max-width: 100; height: 90%; background: $surface; border: round $primary; padding: 0 2; }
    """
    KEYS: ClassVar[Mapping[str, str]] = {
        **dict.fromkeys(("escape", "enter", "q", "question_mark", "f1"), "close"),
        **dict.fromkeys(("j", "down"), "down"),
        **dict.fromkeys(("k", "up"), "up"),
    }

    def __init__(self, place: Place) -> None:
        super().__init__()
        self._place = place

    def compose(self) -> ComposeResult:
        """The page."""
        columns = min(round(self.app.size.width * 0.9), 100) - 8
        with VerticalScroll(id="help"):
            yield Words("\n".join(self.lines(columns)))

    def lines(self, columns: int) -> list[str]:
        """The page in lines of at most `columns`."""
        lines = [f"What can be done here ({self._place}); Esc goes back", "", *help_lines(self._place, columns)]
        if self._place in (*SESSION, Place.WIND):
            lines.append(_TYPED)
        elif self._place is not Place.FIRST_RUN and any(each.name == "look" for each in actions_in(self._place)):
            lines += ["", "F2 looks at:", *(f"  {line}" for line in destination_lines())]
        return lines

    def action_down(self) -> None:
        """A line down."""
        self.query_one("#help").scroll_relative(y=1, animate=False)

    def action_up(self) -> None:
        """A line up."""
        self.query_one("#help").scroll_relative(y=-1, animate=False)
