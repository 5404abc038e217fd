"""The one line that is typed into."""

from __future__ import annotations

from textual import events
from textual.message import Message
from textual.widgets import Input

from trainer.application.views.practice import harmless

LONGEST = 200


class Line(Input):
    """A text field without a box."""

    def __init__(self, value: str = "", *, hint: str = "", id: str | None = None) -> None:
        super().__init__(value, placeholder=hint, max_length=LONGEST, compact=True, id=id, select_on_focus=False)
        self.cursor_blink = False

    def put(self, text: str) -> None:
        """Let `text` stand in the line, the cursor behind it."""
        self.value = text
        self.cursor_position = len(text)

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


class ShotLine(Line):
    """The session's line. It empties itself at Enter, so that what is typed next cannot mix with what was entered.

    A space in the empty line is a tap, since no shot begins with one.
    """

    class Entered(Message):
        """The line was entered."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    class Tapped(Message):
        """The space bar was hit in the empty line, at `moment` of the monotonic clock."""

        def __init__(self, moment: float) -> None:
            super().__init__()
            self.moment = moment

    async def _on_key(self, event: events.Key) -> None:
        if event.key == "enter":
            event.stop()
            event.prevent_default()
            self.enter()
        elif event.key == "backspace":
            # By Textual's own binding it would come behind the letter typed after it.
            event.stop()
            event.prevent_default()
            self.action_delete_left()
        elif event.key == "space" and not self.value:
            event.stop()
            event.prevent_default()
            self.post_message(self.Tapped(event.time))
        else:
            await super()._on_key(event)

    def enter(self) -> None:
        """Give away what stands in the line."""
        text, self.value = self.value, ""
        self.post_message(self.Entered(text))
