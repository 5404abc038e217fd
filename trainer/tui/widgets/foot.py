"""The last line of every screen: the few keys that matter here, from the registry; a click does what they do."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from textual import events
from textual.content import Content

from trainer.tui.actions import Action, Place, footer_actions
from trainer.tui.widgets.words import Words

if TYPE_CHECKING:
    from trainer.tui.screens.frame import Frame

_APART = "  "


class Foot(Words):
    """Keys and what they do, as many as the width holds."""

    DEFAULT_CSS = "Foot { dock: bottom; height: 1; padding: 0 1; background: $panel; color: $foreground; }"

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._ends: list[tuple[int, Action]] = []

    def show_place(self, place: Place) -> None:
        """Name the keys of `place`."""
        items = [(action, action.key_shown_in(place)) for action in footer_actions(place)]
        while _width(items) > self.app.size.width - 2 and len(items) > 1:
            # The last one is help, which names all the others.
            items.pop(-2)
        parts: list[str | tuple[str, str]] = []
        self._ends = []
        for number, (action, key) in enumerate(items, start=1):
            parts += [(key, "bold"), f" {action.label}{_APART}"]
            self._ends.append((_width(items[:number]), action))
        self.show(Content.assemble(*parts).rstrip())

    def on_click(self, event: events.Click) -> None:
        """Do what is named where the click was."""
        for end, action in self._ends:
            if event.x - 1 < end:
                cast("Frame", self.screen).run_named(action.name)
                return


def _width(items: list[tuple[Action, str]]) -> int:
    return sum(len(key) + 1 + len(action.label) + len(_APART) for action, key in items) - len(_APART)
