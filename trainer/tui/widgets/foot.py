"""The last line of every screen: the few keys that matter here, from the registry."""

from __future__ import annotations

from textual.content import Content

from trainer.tui.actions import Place, footer_items
from trainer.tui.widgets.words import Words

_APART = "  "


class Foot(Words):
    """Keys and what they do, as many as the width holds."""

    DEFAULT_CSS = "Foot { dock: bottom; height: 1; padding: 0 1; background: $panel; color: $foreground; }"

    def show_place(self, place: Place) -> None:
        """Name the keys of `place`."""
        items = footer_items(place)
        while _width(items) > self.app.size.width - 2 and len(items) > 1:
            # The last one is help, which names all the others.
            items.pop(-2)
        parts: list[str | tuple[str, str]] = []
        for key, label in items:
            parts += [(key, "bold"), f" {label}{_APART}"]
        self.show(Content.assemble(*parts).rstrip())


def _width(items: list[tuple[str, str]]) -> int:
    return sum(len(key) + 1 + len(label) + len(_APART) for key, label in items) - len(_APART)
