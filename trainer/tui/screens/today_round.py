"""A round begun or ended from the day: meanwhile only the card made before it is shown. Each takes a second press."""

from __future__ import annotations

from trainer.application.views.practice import TodayView
from trainer.tui.messages import RoundCard, TodayShown
from trainer.tui.screens.frame import Frame

BEGIN_ASKED = "F3 again begins a round: the card is made now, and nothing else is shown until it ends (Rule 4.3a)."
END_ASKED = "F3 again ends the round: everything is shown again."
MAKING = "making the card …"


class TodayRound(Frame):
    """The day's part that knows of rounds."""

    def __init__(self) -> None:
        super().__init__()
        self._view: TodayView | None = None
        self._round_asked = False

    def _ask(self, text: str) -> None:
        raise NotImplementedError

    def action_round(self) -> None:
        """Begin a round, or end the one that is on; asks once."""
        if self._view is None:
            return
        now, in_round = self.trainer.clock(), bool(self._view.in_round)
        if not self._round_asked:
            self._round_asked = True
            self._ask(END_ASKED if in_round else BEGIN_ASKED)
            return
        self._round_asked = False
        if in_round:
            self.trainer.desk.ask(self, lambda practice: TodayShown(practice.end_round(now)))
            return
        self._ask(MAKING)
        self.trainer.desk.look(self, lambda looking, held: RoundCard(looking.round_card(held)), whole=True)

    def on_round_card(self, message: RoundCard) -> None:
        """The card is made: the round begins with it."""
        message.stop()
        now = self.trainer.clock()
        self.trainer.desk.ask(self, lambda practice: TodayShown(practice.start_round(message.card, now)))
