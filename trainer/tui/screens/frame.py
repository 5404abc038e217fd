"""What every screen is built on: the foot, copying as text, and a sentence where the window is too small."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.geometry import Size
from textual.widget import Widget
from textual.widgets import Input

from trainer.tui.actions import Place, action_for
from trainer.tui.messages import Broken
from trainer.tui.screens.standing import Standing
from trainer.tui.widgets.choice import Choice, Listing
from trainer.tui.widgets.foot import Foot
from trainer.tui.widgets.line import Line
from trainer.tui.widgets.words import Words

LEAST_COLUMNS, LEAST_ROWS = 60, 20
COMPACT_COLUMNS, COMPACT_ROWS = 76, 24
TALL_ROWS, WIDE_COLUMNS = 30, 100


class Frame(Standing[None]):
    """A screen with a body, a foot, and the same way out and about as every other."""

    AUTO_FOCUS: ClassVar[str | None] = None

    @property
    def place(self) -> Place:
        """Where the player is: it chooses keys, foot and help."""
        raise NotImplementedError

    def body(self) -> ComposeResult:
        """The widgets of the screen itself."""
        raise NotImplementedError

    def compose(self) -> ComposeResult:
        """The body, the sentence for a small window, the foot."""
        # Said before there is a widget, the window's size costs no second look for every widget's style.
        self.update_classes(self._fit(), update=False)
        with Vertical(id="body"):
            yield from self.body()
        yield Words(id="too-small")
        yield Foot(id="foot")

    @property
    def window(self) -> Size:
        """The room to draw for: the window's, or the least that shows the body where the window is smaller."""
        columns, rows = self.app.size
        return Size(max(columns, LEAST_COLUMNS), max(rows, LEAST_ROWS))

    @property
    def is_compact(self) -> bool:
        """Whether there is too little room for two columns or a tall picture."""
        columns, rows = self.window
        return columns < COMPACT_COLUMNS or rows < COMPACT_ROWS

    @property
    def typed_into(self) -> Line | None:
        """The line that letters go into, None where they are keys."""
        return self.focused if isinstance(self.focused, Line) else None

    def take_key(self, event: events.Key) -> bool:
        """A key is for what has the focus, else the registry says what it does where the player is."""
        line = self.typed_into
        focused = line or self.focused
        if isinstance(focused, Line | Choice | Listing) and focused.take_key(event):
            return True
        action = action_for(event.key, self.place, typing=line is not None)
        if action is not None:
            self.run_named(action.name)
        return action is not None

    def on_resize(self) -> None:
        """Fit the window: nothing that was typed or kept is touched."""
        columns, rows = self.app.size
        self.update_classes(self._fit())
        self.query_one("#too-small", Words).show(
            f"The window is {columns} × {rows}. Make it at least {LEAST_COLUMNS} × {LEAST_ROWS}: "
            "all that was recorded is kept, and the screen comes back."
        )
        self.refresh_foot()
        self.redraw()

    def _fit(self) -> dict[str, bool]:
        """The style sheets' words for how the window is, and whether each holds."""
        columns, rows = self.app.size
        return {
            "small": columns < LEAST_COLUMNS or rows < LEAST_ROWS,
            "compact": self.is_compact,
            "tall": rows >= TALL_ROWS,
            "wide": columns >= WIDE_COLUMNS,
        }

    def redraw(self) -> None:
        """Draw anew what depends on the window's size."""

    def refresh_foot(self) -> None:
        """Name the keys of where the player is now."""
        self.query_one(Foot).show_place(self.place)

    def on_broken(self, message: Broken) -> None:
        """A defect in a thread is a defect here."""
        raise message.error

    def action_next_field(self) -> None:
        """The next line, or answer, of a screen that has several."""
        self.focus_next()

    def action_last_field(self) -> None:
        """The one before."""
        self.focus_previous()

    def as_text(self) -> str:
        """The screen as plain text, from top to bottom."""
        return "\n".join(line.rstrip() for widget in self.query("#body *") for line in _lines_of(widget)).strip()


def _lines_of(widget: Widget) -> list[str]:
    if not widget.display or any(not each.display for each in widget.ancestors if isinstance(each, Widget)):
        return []
    if isinstance(widget, Words):
        return widget.plain.splitlines()
    if isinstance(widget, Input) and widget.value:
        return [f"> {widget.value}"]
    return []
