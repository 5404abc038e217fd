"""Choose: three choices for a distance in a wind, and what would change the answer."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content

from trainer.application.views.look import ChoiceView
from trainer.tui.actions import Place
from trainer.tui.screens.look import LookScreen
from trainer.tui.widgets.folding import dashed, folded
from trainer.tui.widgets.share_bars import share_bar, stretch_lines
from trainer.tui.widgets.words import Words

_HOLD_COLUMNS = 12
EMPTY = (
    "Type how far it is and what lies around it, then Enter:\n\n"
    "  150                         10 yd all round, today's wind\n"
    "  150 front 141 back 163      how deep the green is\n"
    "  150 carry-over 138          water to carry\n"
    "  150 slope -4yd turf firm    four below you, on firm ground\n"
    "  150 wind 14mph 1h           in another wind\n"
    "  150 aim never-short         or nearest, or hold\n"
)


class ChooseScreen(LookScreen[ChoiceView]):
    """The line first: nothing is shown before a distance is typed."""

    HINT = "such as 150 front 141 back 163 wind 14mph 1h"

    @property
    def own_place(self) -> Place:
        """Choose."""
        return Place.CHOOSE

    def picture(self) -> ComposeResult:
        """A page to scroll."""
        with VerticalScroll(id="pictures", can_focus=False):
            yield Words(EMPTY, id="choices")

    def question(self) -> None:
        """A distance has to be typed; in a round it is said at once that nothing will be chosen."""
        now = self.trainer.clock()
        self.trainer.desk.ask(self, lambda practice: practice.require_no_round(now))
        self.say("")
        self.query_one("#look-head", Words).show("Choose a shot, for practice and planning")
        self.action_ask()

    def ask(self, text: str) -> None:
        """Three choices for what was typed."""
        wind = self.trainer.asked_wind
        self.look(lambda looking, held: looking.choice(held, text, wind), whole=True)

    def head_words(self, view: ChoiceView) -> str:
        """What was asked, in which wind."""
        return f"{view.rule_short}\n{view.asked}\n{view.wind_words}"

    def draw(self, view: ChoiceView) -> None:
        """Three choices, then the winds in which the first changes, then sentences."""
        columns = self.window.width - 3
        parts: list[str | tuple[str, str]] = []
        for number, option in enumerate(view.options, start=1):
            bar = share_bar(option.hold, _HOLD_COLUMNS)
            parts.append((f"{number} {option.name}\n", "bold $primary"))
            parts.append((f"  holds it {bar} {option.hold_words}\n", "bold"))
            parts += [f"  {line}\n" for each in option.lines for line in folded(each, columns - 2)]
        parts.append(("\nFirst choice by the strength of the wind:\n", "bold"))
        parts.append("\n".join(stretch_lines(view, columns)) + "\n\n")
        parts += [f"{line}\n" for line in dashed(view.sentences, columns)]
        parts.append(f"\n{view.rule}")
        self.query_one("#choices", Words).show(Content.assemble(*parts))

    def lines_of(self, view: ChoiceView) -> str:
        """As the command prints it: it has no picture."""
        return view.text

    def text_of(self, view: ChoiceView) -> str:
        """As `trainer choose` prints it."""
        return view.text
