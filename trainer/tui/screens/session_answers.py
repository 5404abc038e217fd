"""What the threads say to the session's screen, and what it does with it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from trainer.application.session.said_first import GUESS, READ, SAY
from trainer.application.session.thunder import wait_words
from trainer.application.session.typed_check import check_line
from trainer.application.views.practice import SessionView
from trainer.tui.messages import (
    BallCalled,
    FiguresShown,
    Refused,
    RestFailed,
    RestShown,
    SessionShown,
    TodayShown,
)
from trainer.tui.screens.session_drawing import line_hint
from trainer.tui.screens.session_face import SessionFace


class SessionAnswers(SessionFace):
    """A session's face that takes the answers of the store and of the sums."""

    def on_session_shown(self, message: SessionShown) -> None:
        """A change is in the store."""
        if message.view.version >= self.view.version:
            self._take(message.view)

    def on_rest_shown(self, message: RestShown) -> None:
        """The rest was planned anew: no answer to what was entered, so that stays as it is."""
        if message.view.version >= self.view.version:
            self.view = message.view
            self._line.placeholder = line_hint(self.view)
            if self.view.said:
                self._say(self.view.said)
            self._show_mode()

    def on_rest_failed(self, message: RestFailed) -> None:
        """The balls to come stay as they were."""
        self._say(f"the balls to come stay as planned: {message.why}", wrong=True)

    def on_ball_called(self, message: BallCalled) -> None:
        """Where the next ball is called to land, as it stands in the store."""
        ball = self.view.ball
        if ball is not None and ball.number == message.number:
            self.view = replace(self.view, ball=replace(ball, called=message.words))
            self.redraw()

    def on_figures_shown(self, message: FiguresShown) -> None:
        """Figures were worked out; those of an older state are dropped."""
        if message.view.version == self.view.version:
            self.figures = message.view
            self._draw_figures()

    def on_today_shown(self, message: TodayShown) -> None:
        """The session was ended."""
        message.stop()
        self.trainer.show_today(message.view)

    def on_refused(self, message: Refused) -> None:
        """Nothing was kept: what was typed stands in the line again."""
        sent = self.entering.refused()
        self._draw_ask()
        if sent and not self._line.value:
            self._line.put(sent)
        elif sent:
            self._say(f"not kept: {sent}: {message.why}", wrong=True)
            return
        seen_below = check_line(self._line.value, self.view.profile).words == message.why
        self._say("not kept, see below" if seen_below else f"not kept: {message.why}", wrong=True)

    def _take(self, view: SessionView) -> None:
        self.view = view
        self.entering.settle(view)
        self._ask_first(view)
        if (not self._line.value or view.asks) and self.entering.correcting is None:
            if view.ask_wind:
                self._ask_wind()
            elif view.finished:
                self._stop_typing()
        self._say(view.said)
        self._line.placeholder = line_hint(view)
        self._show_mode()
        self._wait_for_thunder()

    def _ask_first(self, view: SessionView) -> None:
        """Begin the line with what the ball asks to be said first; a beginning that was left alone goes again."""
        if self._line.value.strip() in (SAY, GUESS, READ):
            self._line.put("")
        if view.asks and self.entering.typing and not self._line.value and self.entering.correcting is None:
            self._line.put(f"{view.asks} ")

    def _wait_for_thunder(self) -> None:
        """Nothing goes on while the wait after thunder runs."""
        heard_at = self.view.thunder_at
        if heard_at is None or self.entering.thunder_shown or not wait_words(heard_at, self.trainer.clock()):
            return
        self.entering.thunder_shown = True
        self._show_thunder(heard_at)

    def _show_thunder(self, heard_at: datetime) -> None:
        raise NotImplementedError

    def _stop_typing(self) -> None:
        self.entering.typing = False
        self.set_focus(None)

    def _ask_wind(self) -> None:
        self.entering.asking_wind = True
        self.set_focus(None)
