"""Progress: what stayed and what carries over, apart from practice; often the answer is: no clear change."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll

from trainer.application.views.look import ProgressView
from trainer.tui.actions import Place
from trainer.tui.screens.look import LookScreen
from trainer.tui.widgets.folding import refolded
from trainer.tui.widgets.share_bars import progress_lines
from trainer.tui.widgets.words import Words


class ProgressScreen(LookScreen[ProgressView]):
    """Pictures of the errors, then everything in words."""

    @property
    def own_place(self) -> Place:
        """Progress."""
        return Place.PROGRESS

    def picture(self) -> ComposeResult:
        """A page to scroll."""
        with VerticalScroll(id="pictures", can_focus=False):
            yield Words(id="kinds")
            yield Words(id="told")

    def ask(self, text: str) -> None:
        """There is one question."""
        self.look(lambda looking, held: looking.progress(held), whole=True)

    def head_words(self, view: ProgressView) -> str:
        """What the bars are."""
        return "Progress: how far off the target, in % of its distance; bars hold 19 in 20"

    def draw(self, view: ProgressView) -> None:
        """Bars, then words."""
        columns = self.window.width - 3
        self.query_one("#kinds", Words).show("\n".join(progress_lines(view, columns)) + "\n")
        self.query_one("#told", Words).show(refolded(view.text, columns))

    def lines_of(self, view: ProgressView) -> str:
        """Everything in words."""
        return view.text

    def text_of(self, view: ProgressView) -> str:
        """As `trainer progress` prints it."""
        return view.text
