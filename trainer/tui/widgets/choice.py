"""One answer of a few, and one plan of many: both by arrows, j and k, without a mouse, and without colour."""

from __future__ import annotations

from collections.abc import Sequence

from textual import events
from textual.content import Content
from textual.message import Message

from trainer.tui.widgets.words import Words

Option = tuple[str, str]
"""A value and what is shown for it."""


class Choice(Words, can_focus=True):
    """A row of answers; left and right choose, the chosen one stands in brackets."""

    DEFAULT_CSS = "Choice { height: 1; } Choice:focus { background: $panel; }"

    class Changed(Message):
        """Another answer was chosen."""

        def __init__(self, choice: Choice) -> None:
            super().__init__()
            self.choice = choice

    def __init__(self, options: Sequence[Option], value: str, *, id: str) -> None:
        super().__init__(id=id)
        self._options = tuple(options)
        self.value = value

    def on_mount(self) -> None:
        """Draw the first time."""
        self._draw()

    def choose(self, value: str) -> None:
        """Let `value` be the answer."""
        if value != self.value:
            self.value = value
            self.post_message(self.Changed(self))
        self._draw()

    def _draw(self) -> None:
        parts: list[str | tuple[str, str]] = []
        for value, shown in self._options:
            parts.append((f"[{shown}]", "bold reverse") if value == self.value else f" {shown} ")
            parts.append(" ")
        self.show(Content.assemble(*parts))

    def take_key(self, event: events.Key) -> bool:
        """Choose with the arrows, h and l, or the space bar; False for every other key."""
        step = {"left": -1, "h": -1, "right": 1, "l": 1, "space": 1}.get(event.key)
        if step is None:
            return False
        values = [value for value, _ in self._options]
        self.choose(values[(values.index(self.value) + step) % len(values)])
        return True

    def on_click(self, event: events.Click) -> None:
        """Choose what was clicked on."""
        column = 0
        for value, shown in self._options:
            column += len(shown) + 3
            if event.x < column:
                self.choose(value)
                return


class Listing(Words, can_focus=True):
    """Rows to choose one from; the chosen one has a pointer before it."""

    DEFAULT_CSS = "Listing { height: 1fr; }"

    class Chosen(Message):
        """Another row was chosen."""

        def __init__(self, value: str) -> None:
            super().__init__()
            self.value = value

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._options: tuple[Option, ...] = ()
        self.index = 0

    @property
    def value(self) -> str | None:
        """The chosen row's value, None while there is none."""
        return self._options[self.index][0] if self._options else None

    def offer(self, options: Sequence[Option]) -> None:
        """Show other rows, the first one chosen."""
        self._options, self.index = tuple(options), 0
        self.draw()

    def draw(self) -> None:
        """Draw as many rows as there is room for, the chosen one among them."""
        room = max(self.size.height, 1)
        first = min(max(self.index - room + 1, 0), max(len(self._options) - room, 0))
        parts: list[str | tuple[str, str]] = []
        for position, (_, shown) in enumerate(self._options[first : first + room], first):
            chosen = position == self.index
            text = f"{'▸' if chosen else ' '} {shown}\n"
            parts.append((text, "bold reverse" if self.has_focus else "bold") if chosen else text)
        self.show(Content.assemble(*parts))

    def move(self, step: int) -> bool:
        """Choose the row `step` further; False at the end."""
        wanted = self.index + step
        if not 0 <= wanted < len(self._options):
            return False
        self.index = wanted
        self.draw()
        self.post_message(self.Chosen(self._options[wanted][0]))
        return True

    def point_at(self, value: str) -> None:
        """Choose the row of `value`, if there is one."""
        values = [each for each, _ in self._options]
        if value in values:
            self.move(values.index(value) - self.index)

    def on_resize(self) -> None:
        """Draw for the new height."""
        self.draw()

    def on_focus(self) -> None:
        """Show that keys go here."""
        self.draw()

    def on_blur(self) -> None:
        """Show that they do not."""
        self.draw()

    def take_key(self, event: events.Key) -> bool:
        """Move with arrows, j and k; False for every other key, and past the end, where the screen moves on."""
        step = {"down": 1, "j": 1, "up": -1, "k": -1}.get(event.key)
        return step is not None and self.move(step)

    def on_click(self, event: events.Click) -> None:
        """Choose the row that was clicked on."""
        room = max(self.size.height, 1)
        first = min(max(self.index - room + 1, 0), max(len(self._options) - room, 0))
        self.move(first + event.y - self.index)
