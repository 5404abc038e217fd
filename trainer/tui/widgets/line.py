"""The one line that is typed into."""

from __future__ import annotations

from textual import events
from textual.widgets import Input

from trainer.application.views.practice import harmless

LONGEST = 200
_EDITING = {
    "backspace": "delete_left",
    "delete": "delete_right",
    "left": "cursor_left",
    "right": "cursor_right",
    "home": "home",
    "end": "end",
}
"""Keys of a line and Textual's actions for them."""


class Line(Input):
    """A text field without a box."""

    def __init__(self, value: str = "", *, hint: str = "", id: str | None = None) -> None:
        super().__init__(value, placeholder=hint, max_length=LONGEST, compact=True, id=id, select_on_focus=False)
        self.cursor_blink = False

    def put(self, text: str) -> None:
        """Let `text` stand in the line, the cursor behind it."""
        self.value = text
        self.cursor_position = len(text)

    def take_key(self, event: events.Key) -> bool:
        """A letter, or a key that moves in the line or takes from it; False for every other key.

        Textual would do them later: each would come behind what is typed after it.
        """
        if event.is_printable and event.character is not None:
            self.replace(event.character, *self.selection)
        elif event.key in _EDITING:
            getattr(self, f"action_{_EDITING[event.key]}")()
        else:
            return False
        return True

    def _on_paste(self, event: events.Paste) -> None:
        """Take the first line of a paste, without what could steer the terminal; say what was not taken."""
        event.stop()
        event.prevent_default()
        first, _, more = event.text[: LONGEST * 2].lstrip("\r\n").replace("\r", "\n").partition("\n")
        if len(self.value) + len(first) > LONGEST:
            self.notify(f"Pasted more than {LONGEST} characters: nothing of it is taken.", timeout=4)
            return
        self.replace(harmless(first), *self.selection)
        if more.strip():
            self.notify("Pasted several lines: only the first is taken.", timeout=4)
