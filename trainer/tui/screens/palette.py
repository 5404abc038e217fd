"""Find something to do by its name: what is typed narrows the list, Enter does what is pointed at."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical

from trainer.tui.actions import Action
from trainer.tui.screens.standing import Overlay
from trainer.tui.widgets.choice import Listing
from trainer.tui.widgets.folding import cut
from trainer.tui.widgets.line import Line

_COLUMNS = 66


class PaletteScreen(Overlay[str]):
    """Closed with the name of an action, or with none."""

    CSS = """
    PaletteScreen { align: center top; background: $background 60%; }
    PaletteScreen > Vertical {
        width: 72; max-width: 100%; height: 80%; background: $surface; border: round $primary; padding: 0 1;
    }
    """
    KEYS: ClassVar[Mapping[str, str]] = {
        **dict.fromkeys(("escape", "ctrl+p"), "close"),
        "enter": "choose",
        "down": "down",
        "up": "up",
    }

    def __init__(self, actions: Sequence[Action]) -> None:
        super().__init__()
        self._actions = actions

    def compose(self) -> ComposeResult:
        """The line and the list."""
        with Vertical():
            yield Line(hint="What do you want to do?", id="wanted")
            yield Listing(id="found")

    def on_mount(self) -> None:
        """Everything, before anything is typed."""
        self.set_focus(self.query_one("#wanted", Line))
        self._offer()

    def take_key(self, event: events.Key) -> bool:
        """A letter narrows the list."""
        if self.query_one("#wanted", Line).take_key(event):
            self._offer()
            return True
        return super().take_key(event)

    def _offer(self) -> None:
        """The actions that every word typed is in; first those whose own name begins with it."""
        typed = self.query_one("#wanted", Line).value.lower()
        fitting = [each for each in self._actions if all(word in _words(each) for word in typed.split())]
        fitting.sort(key=lambda each: not each.label.startswith(typed))
        self.query_one(Listing).offer([(each.name, cut(f"{each.label}: {each.help}", _COLUMNS)) for each in fitting])

    def action_down(self) -> None:
        """The next one."""
        self.query_one(Listing).move(1)

    def action_up(self) -> None:
        """The one before."""
        self.query_one(Listing).move(-1)

    def action_choose(self) -> None:
        """Do what is pointed at."""
        self.close(self.query_one(Listing).value)


def _words(action: Action) -> str:
    return f"{action.label} {action.help}".lower()
