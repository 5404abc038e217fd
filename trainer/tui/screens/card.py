"""Card: the pocket card as it will be printed, and saved."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import ScrollableContainer

from trainer.application.views.look import CardView
from trainer.tui.actions import Place
from trainer.tui.messages import Saved
from trainer.tui.screens.look import LookScreen
from trainer.tui.widgets.words import Words

_SIDEWAYS = 10
SAVE_HINT = "a file's name: the ending says as what (.txt, .html, .svg)"


class CardScreen(LookScreen[CardView]):
    """A preview. The line takes clubs and weather, or a file's name while it is to be saved."""

    HINT = "clubs such as 6 iron, 7 iron, 8 iron, 9 iron, and weather such as temperature 12C"

    def __init__(self) -> None:
        super().__init__()
        self.saving = False
        self._asked = ""

    @property
    def own_place(self) -> Place:
        """Card."""
        return Place.CARD

    def picture(self) -> ComposeResult:
        """The card, a page to scroll both ways."""
        with ScrollableContainer(id="pictures", can_focus=False):
            yield Words(id="card-text")

    def ask(self, text: str) -> None:
        """The card for clubs and weather, or the name of a file for the one that stands."""
        if self.saving:
            self._save(text)
            return
        self._asked = text
        self.look(lambda looking, held: looking.card(held, text), whole=True, in_a_round=True)

    def head_words(self, view: CardView) -> str:
        """What it is for; in a round, that it is all there is."""
        return view.locked or "The pocket card as it is printed: take it before the round"

    def draw(self, view: CardView) -> None:
        """The card."""
        self.query_one("#card-text", Words).show(view.text)

    def lines_of(self, view: CardView) -> str:
        """The card is lines."""
        return view.text

    def text_of(self, view: CardView) -> str:
        """As `trainer card` prints it."""
        return view.text

    # Saving

    def action_save(self) -> None:
        """Ask for a file's name."""
        if self.view is None:
            return
        if not self.saving:
            self.saving = True
            self.line.placeholder = SAVE_HINT
            self.line.put(f"card-{self.trainer.clock():%Y-%m-%d}.html")
        super().action_ask()

    def action_ask(self) -> None:
        """Type clubs and weather, and not the name of a file that was refused."""
        self._stop_saving()
        super().action_ask()

    def _save(self, name: str) -> None:
        from trainer.application.looking import save_card  # noqa: PLC0415 - heavy: loaded by now

        view = self.view
        if view is not None:
            self.trainer.desk.ask(self, lambda _: Saved(str(save_card(view, name))))

    def on_saved(self, message: Saved) -> None:
        """It is on the disk."""
        message.stop()
        self._stop_saving()
        self.say(f"saved: {message.where}")

    def action_stop_asking(self) -> None:
        """Leave the line; a file that was to be named is not written."""
        self._stop_saving()
        super().action_stop_asking()

    def _stop_saving(self) -> None:
        if self.saving:
            self.saving = False
            self.line.placeholder = self.HINT
            self.line.put(self._asked)

    def action_sideways(self) -> None:
        """To the right."""
        self.query_one("#pictures").scroll_relative(x=_SIDEWAYS, animate=False)

    def action_sideways_back(self) -> None:
        """To the left."""
        self.query_one("#pictures").scroll_relative(x=-_SIDEWAYS, animate=False)
