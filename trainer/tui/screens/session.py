"""The session: the next ball, where it went, and what that says."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING

from textual import events
from textual.widgets import Input

from trainer.application.session.said_first import GUESS, READ, SAY
from trainer.application.session.typed_check import check_line
from trainer.application.views.practice import Check, SessionView
from trainer.tui.actions import Place, by_word
from trainer.tui.messages import SessionShown, TodayShown
from trainer.tui.screens.session_answers import SessionAnswers
from trainer.tui.screens.skip import RestScreen, SkipScreen
from trainer.tui.screens.thunder import HEARD_AGAIN, NO_THUNDER, ThunderScreen
from trainer.tui.widgets.pad import ZONE_KEYS
from trainer.tui.widgets.words import Words

if TYPE_CHECKING:
    from trainer.application.session.live import LiveSession

_BEGIN_A_SHOT = ("/", "^", "#", ".")


class SessionScreen(SessionAnswers):
    """The keys and the words of a session; its looks are `SessionFace`, what it is told `SessionAnswers`."""

    def on_mount(self) -> None:
        """Take the keys, and ask for the figures."""
        self.set_focus(self._line)
        self._take(self.view)
        self._do(lambda live: live.view())

    # Typing

    def on_input_changed(self, event: Input.Changed) -> None:
        """Repeat back what is typed, or say what is wrong with it."""
        if event.value.strip() not in (SAY, GUESS, READ):
            self.block_seen()
        named = by_word(event.value)
        found = Check(True, f"Enter: {named[0].help}") if named else check_line(event.value, self.view.profile)
        check = self.query_one("#check", Words)
        check.set_class(not found.good, "wrong")
        check.show(found.words if found.good else f"? {found.words}")

    def action_keep(self) -> None:
        """Keep what stands in the line, or do what its word says. The line is empty at once for the next ball."""
        text, shot = self._line.value.strip(), self.entering.correcting
        self._line.put("")
        if named := by_word(text):
            self._do_word(named[0].name, named[1])
        elif not text:
            self._enter_nothing()
        elif shot is not None:
            now = self.trainer.clock()
            self._send(text, lambda live: live.correct(shot.id, text, now))
        else:
            self._record(text)

    def _do_word(self, name: str, rest: str) -> None:
        if name == "skip" and rest:
            self._do(lambda live: live.skip(rest))
        else:
            self.run_named(name)

    def _enter_nothing(self) -> None:
        if self.entering.chosen is not None:
            self.action_correct()
        else:
            self._warm()

    def _warm(self) -> None:
        if self.view.ball is not None and self.view.ball.warm_up:
            self._do(lambda live: live.warm())

    def _record(self, text: str) -> None:
        now = self.trainer.clock()
        text, mark = self.entering.ball_line(text)
        self._send(text, lambda live: live.record_marked(text, now, mark))

    def _send(self, text: str, change: Callable[[LiveSession], SessionView]) -> None:
        self.entering.sent = text
        self._do(change)

    def _do(self, change: Callable[[LiveSession], SessionView]) -> None:
        self.trainer.desk.ask(self, lambda practice: SessionShown(change(practice.live)))

    # One key a ball

    def take_key(self, event: events.Key) -> bool:
        """A key of the number pad is a ball, the space bar a tap: no shot begins with a space.

        Every other key is in the registry.
        """
        self.block_seen()
        character = (event.character or "").lower()
        if self.place is Place.WIND and character.isdigit():
            self.action_later()
        tapping = self.place is Place.PAD or (self.place is Place.LINE and not self._line.value)
        if tapping and event.key == "space":
            self._tap(event.time)
        elif self.place is Place.PAD and character in ZONE_KEYS and self.view.ball is not None:
            self.entering.chosen = None
            self._record(ZONE_KEYS[character])
        else:
            return super().take_key(event)
        return True

    def action_tap(self) -> None:
        """A click on the foot says what the key is: a click is no moment to measure by."""
        self._say("tap the space bar at the strike and at the landing")

    def action_zone(self) -> None:
        """A click on the foot says what the keys are."""
        self._say("press a key of the number pad")

    def _tap(self, moment: float) -> None:
        if wrong := self.entering.tap(moment):
            self._say(wrong, wrong=True)
        self._draw_ask()

    def action_pad(self) -> None:
        """Leave the line: a correction is dropped, what was half typed stays for later."""
        if self.entering.correcting is not None:
            self.entering.drop_correction()
            self._line.put("")
        else:
            self._say("")
            self._stop_typing()
        self._show_mode()

    def action_type(self) -> None:
        """Back to the line."""
        self.entering.typing = self._line.display = True
        self.set_focus(self._line)
        self._show_mode()

    # The wind

    def action_wind(self) -> None:
        """Look at the wind now."""
        self._ask_wind()
        self._show_mode()

    def action_later(self) -> None:
        """Not now: the keys are as they were."""
        self.entering.asking_wind = False
        if self.entering.typing:
            self.set_focus(self._line)
        self._show_mode()

    def action_same(self) -> None:
        """The wind is the same."""
        self.action_later()
        self._do(lambda live: live.same_wind())

    def action_more(self) -> None:
        """There is more of it."""
        self._change_wind(more=True)

    def action_less(self) -> None:
        """There is less of it."""
        self._change_wind(more=False)

    def _change_wind(self, *, more: bool) -> None:
        now = self.trainer.clock()
        self.action_later()
        self._do(lambda live: live.change_wind(more=more, at=now))

    def action_read(self) -> None:
        """Read it again: the line begins with the word."""
        self.action_later()
        self.action_type()
        self._line.put("wind ")

    # The rest of the registry

    def action_gust(self) -> None:
        """Gust, lull, neither: for the chosen shot, else for the ball to be entered."""
        shot_id, now = self.entering.chosen_id(self.view), self.trainer.clock()
        if shot_id is not None:
            self._do(lambda live: live.next_mark(shot_id, now))
            return
        self.entering.next_mark()
        self._draw_ask()

    def action_mishit(self) -> None:
        """The chosen or the last shot."""
        shot_id, now = self.entering.chosen_id(self.view), self.trainer.clock()
        self._do(lambda live: live.toggle_mishit(shot_id, now))

    def action_undo(self) -> None:
        """Take the chosen or the last shot back."""
        shot_id, now = self.entering.chosen_id(self.view), self.trainer.clock()
        self.entering.drop_correction()
        self._do(lambda live: live.undo(shot_id, now))

    def action_skip(self) -> None:
        """Ask why, then skip."""

        def answered(reason: str | None) -> None:
            if reason is not None:
                self._do(lambda live: live.skip(reason))

        self.go_to(SkipScreen(), answered)

    def action_instead(self) -> None:
        """Another shot in place of this ball: the line begins with the word."""
        self.action_type()
        self._line.put("instead ")

    def action_say(self) -> None:
        """Say first how far the next ball carries: the line begins with the word."""
        self.action_type()
        self._line.put(f"{SAY} ")

    def action_guess(self) -> None:
        """Guess the wind before it is read: the line begins with the word."""
        self.action_type()
        self._line.put(f"{GUESS} ")

    def action_thunder(self) -> None:
        """Thunder was heard: the wait begins."""
        now = self.trainer.clock()
        self._do(lambda live: live.hear_thunder(now))

    def _show_thunder(self, heard_at: datetime) -> None:
        def answered(said: str | None) -> None:
            self.entering.thunder_shown = False
            if said == HEARD_AGAIN:
                self.action_thunder()
            elif said == NO_THUNDER:
                self._do(lambda live: live.take_thunder_back())

        # In front of whatever the player looks at, and not only where the session is.
        self.app.push_screen(ThunderScreen(heard_at, self.trainer.clock), answered)

    def action_five(self) -> None:
        """Five balls left."""
        self._do(lambda live: live.five_left())

    def action_follow(self) -> None:
        """Follow a table that grows: the one followed before, or one that is picked now."""
        from trainer.tui.screens.following import FollowPickScreen, FollowScreen  # noqa: PLC0415 - seldom wanted

        followed = self.trainer.followed
        self.go_to(FollowScreen(followed, self) if followed else FollowPickScreen(self))

    def action_pause(self) -> None:
        """Rest."""
        self.go_to(RestScreen(), lambda _: self._do(lambda live: live.rested()))

    def action_older(self) -> None:
        """Choose an older shot."""
        self.entering.older(self.view)
        self._draw_shots()

    def action_newer(self) -> None:
        """Choose a newer shot, at last none."""
        self.entering.newer()
        self._draw_shots()

    def action_correct(self) -> None:
        """Put the chosen shot, or the last one, into the line; in the warm-up with none chosen, go on."""
        if self.view.ball is not None and self.view.ball.warm_up and self.entering.chosen is None:
            self._warm()
        elif self.view.shots:
            self.entering.chosen = self.entering.chosen or 0
            self.entering.correcting = self.view.shots[self.entering.chosen]
            self.action_type()
            self._line.put(self.entering.correcting.words)

    def action_finish(self) -> None:
        """End it; with balls left only at the second asking."""
        if self.view.left and not self.entering.end_asked:
            self.entering.end_asked = True
            self._say(f"{self.view.left} balls are left: end again to end here, Ctrl+Q to go on later", wrong=True)
            return
        now = self.trainer.clock()
        self.trainer.desk.ask(self, lambda practice: TodayShown(practice.finish(now)))
