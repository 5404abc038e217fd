"""What the session's screen knows that the store does not yet: what is being entered, marked, timed or chosen."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.application.views.practice import SessionView, ShotRow
from trainer.exchange.typed_line import NOT_A_BALL
from trainer.tui.actions import Place

MARKS = ("", "gust", "lull")
LEAST_HANG_S, MOST_HANG_S = 0.5, 12.0
"""Seconds that a ball may be in the air; what is shorter or longer was no flight."""


@dataclass(slots=True)
class Entering:
    """The half-entered ball and the mode of the keys.

    `mark` is for the ball to come, `hang` a token for it. `chosen` is a place among the last shots, `correcting` the
    one in the line. `sent` is the line on its way to the store, `sent_mark` the mark that goes with it: they come
    back if it is refused. `thunder_shown` is True while the wait after thunder stands before all else. `part` is what
    of the shot is looked at, `block_seen` the end of a block that was looked at.
    """

    typing: bool = True
    asking_wind: bool = False
    mark: str = ""
    hang: str = ""
    tapped_at: float | None = None
    chosen: int | None = None
    correcting: ShotRow | None = None
    sent: str = ""
    sent_mark: str = ""
    end_asked: bool = False
    part: int = 0
    block_seen: tuple[int, int] | None = None
    thunder_shown: bool = False

    def place(self, view: SessionView) -> Place:
        """Which keys count now."""
        if self.asking_wind:
            return Place.WIND
        if self.typing:
            return Place.LINE
        return Place.DONE if view.finished else Place.PAD

    def settle(self, view: SessionView) -> None:
        """A change is in the store: what was sent has arrived."""
        if self.sent and self.correcting is not None:
            self.drop_correction()
        self.sent, self.sent_mark, self.end_asked = "", "", False
        if self.chosen is not None and self.chosen >= len(view.shots):
            self.chosen = None

    def next_mark(self) -> None:
        """Gust, lull, neither."""
        self.mark = MARKS[(MARKS.index(self.mark) + 1) % len(MARKS)]

    def tap(self, moment: float) -> str:
        """The strike, or the landing: then the time is kept for the ball to come. Gives what is wrong with it."""
        if self.tapped_at is None:
            self.tapped_at, self.hang = moment, ""
            return ""
        seconds, self.tapped_at = moment - self.tapped_at, None
        if not LEAST_HANG_S <= seconds <= MOST_HANG_S:
            return f"{seconds:.1f} s is no flight: tap at the strike and at the landing"
        self.hang = f"hang={seconds:.1f}"
        return ""

    def ball_line(self, text: str) -> tuple[str, str]:
        """The line of a ball with its hang time, and its mark; both are used up. Other lines leave them alone."""
        if text.lower().split(maxsplit=1)[0] in NOT_A_BALL:
            return text, ""
        if self.hang and "hang=" not in text.lower():
            text = f"{text} {self.hang}"
        mark, self.mark, self.hang = self.mark, "", ""
        self.sent_mark = mark
        return text, mark

    def refused(self) -> str:
        """Nothing was kept: gives the line that was sent, and its ball is the next again, with its mark."""
        self.mark = self.mark or self.sent_mark
        sent, self.sent, self.sent_mark = self.sent, "", ""
        return sent

    def older(self, view: SessionView) -> None:
        """Choose an older shot."""
        last = len(view.shots) - 1
        self.chosen = None if last < 0 else min(0 if self.chosen is None else self.chosen + 1, last)

    def newer(self) -> None:
        """Choose a newer shot, at last none."""
        self.chosen = self.chosen - 1 if self.chosen else None

    def drop_correction(self) -> None:
        """Leave the shot as it was."""
        self.correcting = self.chosen = None

    def chosen_id(self, view: SessionView) -> int | None:
        """The chosen shot's id in the store."""
        return None if self.chosen is None else view.shots[self.chosen].id
