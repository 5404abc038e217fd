"""Where to look: every screen with its digit and what it is for, in one line."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, cast

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.screen import Screen

from trainer.tui.screens.standing import Overlay
from trainer.tui.widgets.rows import Rows


@dataclass(frozen=True, slots=True)
class Destination:
    """A screen: the digit that opens it, its name, what it is for, and where its class is."""

    digit: str
    name: str
    purpose: str
    module: str
    screen: str

    def made(self) -> Screen[Any]:
        """The screen itself; its module is loaded when it is first wanted."""
        module = importlib.import_module(f"trainer.tui.screens.{self.module}")
        return cast("Screen[Any]", getattr(module, self.screen)())


DESTINATIONS = (
    Destination("1", "Gaps", "how far each shot carries", "gaps", "GapsScreen"),
    Destination("2", "Choose", "three shots for a distance and wind", "choose", "ChooseScreen"),
    Destination("3", "Full and low", "two shots side by side", "compare", "CompareScreen"),
    Destination("4", "Card", "the card for your pocket", "card", "CardScreen"),
    Destination("5", "Progress", "what stayed, what carries over", "progress", "ProgressScreen"),
    Destination("6", "Plans", "a plan's balls and their reasons", "plans", "PlansScreen"),
    Destination("7", "Import", "shots from a table, looked at first", "pick", "ImportPickScreen"),
    Destination("8", "Group", "many players, one recorder", "group_setup", "GroupSetupScreen"),
    Destination("9", "Squad", "plans out, results in, who is due", "squad", "SquadScreen"),
)
"""Every screen that can be looked at from the day."""


def destination_lines() -> list[str]:
    """A line each: digit, name, what it is for."""
    return [f"{each.digit}  {each.name:13}{each.purpose}" for each in DESTINATIONS]


class WhereScreen(Overlay[None]):
    """One digit goes there."""

    CSS = """
    WhereScreen { align: center middle; background: $background 60%; }
    WhereScreen > Vertical { width: 58; height: auto; background: $surface; border: round $primary; padding: 0 1; }
    """
    KEYS: ClassVar[Mapping[str, str]] = {
        **dict.fromkeys(("escape", "q", "f2"), "close"),
        **dict.fromkeys(("j", "down"), "down"),
        **dict.fromkeys(("k", "up"), "up"),
        "enter": "go",
    }

    def __init__(self) -> None:
        super().__init__()
        self._index = 0

    def compose(self) -> ComposeResult:
        """The lines."""
        with Vertical():
            yield Rows(id="where")

    def on_mount(self) -> None:
        """Draw the first time."""
        self._draw()

    def _draw(self) -> None:
        lines = [f"{'▸' if i == self._index else ' '} {line}" for i, line in enumerate(destination_lines())]
        self.query_one("#where", Rows).show("\n".join(["Look at …", *lines, "Esc goes back."]))

    def take_key(self, event: events.Key) -> bool:
        """A digit goes there."""
        wanted = next((each for each in DESTINATIONS if each.digit == event.key), None)
        if wanted is None:
            return super().take_key(event)
        self._go(wanted)
        return True

    def on_rows_clicked(self, message: Rows.Clicked) -> None:
        """A click goes there."""
        if 1 <= message.line <= len(DESTINATIONS):
            self._go(DESTINATIONS[message.line - 1])

    def _go(self, wanted: Destination) -> None:
        if self.is_active:
            self.trainer.to_the_day()
            self.trainer.push_screen(wanted.made())

    def _point(self, step: int) -> None:
        self._index = (self._index + step) % len(DESTINATIONS)
        self._draw()

    def action_down(self) -> None:
        """Point at the next one."""
        self._point(1)

    def action_up(self) -> None:
        """Point at the one before."""
        self._point(-1)

    def action_go(self) -> None:
        """Go where it points."""
        self._go(DESTINATIONS[self._index])
