"""What the screens that look at what is known have in common: a head, a picture or lines, one line to ask with.

A question goes to the threads and its answer comes back as one frozen view; one to an older question is dropped.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar, Generic, TypeVar, cast

from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll

from trainer.tui.actions import Place
from trainer.tui.messages import Looked, Refused
from trainer.tui.screens.frame import Frame
from trainer.tui.widgets.folding import refolded
from trainer.tui.widgets.line import Line
from trainer.tui.widgets.words import Words

if TYPE_CHECKING:
    from trainer.application.looking import Held, Looking

View = TypeVar("View")
WORKING = "working it out …"


class LookScreen(Frame, Generic[View]):
    """One view of what is known; `view` is None until the first answer."""

    AUTO_FOCUS: ClassVar[str | None] = ""  # nothing: letters are keys until the line is asked for
    HINT = ""
    """What the empty line asks for; a screen without one has no line."""

    def __init__(self) -> None:
        super().__init__()
        self.view: View | None = None
        self.typing = False
        self.as_lines = False
        self.waiting = False
        self._number = 0

    # What a screen says of itself

    @property
    def own_place(self) -> Place:
        """Where the player is while nothing is typed."""
        raise NotImplementedError

    def picture(self) -> ComposeResult:
        """The widgets of the picture."""
        raise NotImplementedError

    def draw(self, view: View) -> None:
        """Draw the picture for the window as it is."""
        raise NotImplementedError

    def head_words(self, view: View) -> str:
        """The line at the top."""
        raise NotImplementedError

    def lines_of(self, view: View) -> str:
        """The same as lines of words and numbers."""
        raise NotImplementedError

    def text_of(self, view: View) -> str:
        """What is copied: as the command prints it."""
        raise NotImplementedError

    def ask(self, text: str) -> None:
        """Ask what was typed."""
        raise NotImplementedError

    def question(self) -> None:
        """Ask what is to be shown first."""
        self.ask("")

    # What they share

    @property
    def place(self) -> Place:
        """The screen's own place, or the line."""
        return Place.ASKING if self.typing else self.own_place

    @property
    def line(self) -> Line:
        """The line that a question is typed into."""
        return self.query_one("#question", Line)

    @property
    def typed_into(self) -> Line | None:
        """The line, while a question is typed."""
        return self.line if self.typing else None

    def body(self) -> ComposeResult:
        """Head, picture or lines, the line, and what is asked or said."""
        yield Words(id="look-head", classes="strong")
        with Vertical(id="look"):
            yield from self.picture()
        with VerticalScroll(id="page", can_focus=False):
            yield Words(id="lines")
        yield Line(hint=self.HINT, id="question")
        yield Words(WORKING, id="said", classes="asked")

    def on_mount(self) -> None:
        """Ask at once."""
        self._show_mode()
        self.question()

    def look(
        self, question: Callable[[Looking, Held], View], *, whole: bool = False, in_a_round: bool = False
    ) -> None:
        """Have `question` answered; only the newest answer is shown."""
        self._number += 1
        number = self._number
        self.waiting = True
        self.say(WORKING)
        self.trainer.desk.look(
            self,
            lambda looking, held: Looked(number, question(looking, held)),
            whole=whole,
            in_a_round=in_a_round,
        )

    def on_looked(self, message: Looked) -> None:
        """An answer."""
        message.stop()
        if message.number == self._number:
            self.waiting = False
            self.say("")
            self.take(cast("View", message.view))

    def take(self, view: View) -> None:
        """Show a view."""
        self.view = view
        self.redraw()
        # What is said has come or gone: the picture has more rows then, or fewer.
        self.soon(self.redraw)

    def on_refused(self, message: Refused) -> None:
        """It cannot be answered; what stands stays, and what was typed waits in its line."""
        self.waiting = False
        self.say(message.why, wrong=True)

    def say(self, text: str, *, wrong: bool = False) -> None:
        """Say something under the picture."""
        said = self.query_one("#said", Words)
        said.set_class(wrong, "wrong")
        said.display = bool(text)
        said.show(text)

    def redraw(self) -> None:
        """Head, and picture or lines."""
        self.query_one("#look").display = not self.as_lines
        self.query_one("#page").display = self.as_lines
        if self.view is None:
            return
        self.query_one("#look-head", Words).show(self.head_words(self.view))
        if self.as_lines:
            self.query_one("#lines", Words).show(refolded(self.lines_of(self.view), self.window.width - 3))
        else:
            self.draw(self.view)

    def as_text(self) -> str:
        """What the command prints; before the first answer what stands here."""
        return super().as_text() if self.view is None else self.text_of(self.view)

    # The line

    def _show_mode(self) -> None:
        self.line.display = self.typing
        self.refresh_foot()
        # What is left for the picture is known once the line has come or gone.
        self.soon(self.redraw)

    def action_ask(self) -> None:
        """Type a question."""
        self.typing = True
        self.line.display = True
        self.set_focus(self.line)
        self._show_mode()

    def action_answer(self) -> None:
        """Ask what stands in the line."""
        self.stop_typing()
        self.ask(self.line.value.strip())

    def action_stop_asking(self) -> None:
        """Leave the line as it is."""
        self.stop_typing()

    def stop_typing(self) -> None:
        """Letters are keys again."""
        self.typing = False
        self.set_focus(None)
        self._show_mode()

    # Keys that every such screen has

    def action_back(self) -> None:
        """Out of the line, else back to where the player came from."""
        if self.typing:
            self.action_stop_asking()
        else:
            self.leave()

    def action_lines(self) -> None:
        """Lines instead of the picture, and the other way about."""
        self.as_lines = not self.as_lines
        self.redraw()

    def action_down(self) -> None:
        """Down."""
        self.scroll_page(1)

    def action_up(self) -> None:
        """Up."""
        self.scroll_page(-1)

    def action_page_down(self) -> None:
        """A page down."""
        self.scroll_page(self.page_rows())

    def action_page_up(self) -> None:
        """A page up."""
        self.scroll_page(-self.page_rows())

    def page_rows(self) -> int:
        """Rows of a page, but for two that stay."""
        return max(self.query_one("#page" if self.as_lines else "#look").size.height - 2, 1)

    def scroll_page(self, rows: int) -> None:
        """Move the lines, or the picture where it is a page."""
        where = "#page" if self.as_lines or not self.query("#pictures") else "#pictures"
        self.query_one(where).scroll_relative(y=rows, animate=False)


class WindScreen(LookScreen[View]):
    """A screen that is asked with a wind. It holds on the other screens too, unless it is refused."""

    HINT = "a wind such as 14mph 1h gust 20mph, or calm; empty for the wind of today"

    def __init__(self) -> None:
        super().__init__()
        self._good_wind = self._wind = ""

    def ask_in(self, wind: str) -> None:
        """Ask what is to be shown in a wind."""
        raise NotImplementedError

    def question(self) -> None:
        """In the wind that was last asked for."""
        self._good_wind = self.trainer.asked_wind
        self.line.put(self._good_wind)
        self.ask(self._good_wind)

    def ask(self, text: str) -> None:
        """The same in the wind that was typed."""
        self._wind = self.trainer.asked_wind = text
        self.ask_in(text)

    def take(self, view: View) -> None:
        """Show a view: its wind could be read."""
        self._good_wind = self._wind
        super().take(view)

    def on_refused(self, message: Refused) -> None:
        """No other screen asks for what was refused here."""
        self.trainer.asked_wind = self._good_wind
        super().on_refused(message)
