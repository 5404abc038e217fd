"""The first start: units, one known carry, the hand; done."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal

from trainer.core.profile import Hand
from trainer.tui.actions import Place
from trainer.tui.messages import TodayShown
from trainer.tui.screens.forms import FormScreen
from trainer.tui.widgets.choice import Choice
from trainer.tui.widgets.line import Line
from trainer.tui.widgets.words import Words

CLUBS = ("5 iron", "6 iron", "7 iron", "8 iron", "9 iron", "pitching wedge")

WELCOME = "Know how far each club goes when it blows.\nThree answers, then the first ball."
HOW = {
    "measured": "measured: by laser, device or a marked range, full swings, hardly any wind",
    "paced": "paced: you walked it off to where the balls pitched",
    "remembered": "remembered: then a little less is taken, since most of us remember our best ones",
}


class FirstRunScreen(FormScreen):
    """The three answers."""

    @property
    def place(self) -> Place:
        """The first start."""
        return Place.FIRST_RUN

    def body(self) -> ComposeResult:
        """The rows."""
        yield Words(WELCOME, id="welcome", classes="strong")
        with Horizontal(classes="row first"):
            yield Words("You think in", classes="question")
            yield Choice([("yd", "yards"), ("m", "metres")], "yd", id="unit")
        with Horizontal(classes="row first"):
            yield Words("You know your", classes="question")
            yield Choice(
                [(club, club.replace(" iron", " i").replace("pitching wedge", "wedge")) for club in CLUBS],
                "7 iron",
                id="club",
            )
        with Horizontal(classes="row first"):
            yield Words("It flies", classes="question")
            yield Line(hint="such as 150", id="carry")
            yield Words("yards", id="unit-word", classes="unit")
        with Horizontal(classes="row first"):
            yield Words("That is", classes="question")
            yield Choice([(how, how) for how in HOW], "remembered", id="how")
        yield Words(HOW["remembered"], id="how-words", classes="quiet")
        with Horizontal(classes="row first"):
            yield Words("You play", classes="question")
            yield Choice([(hand.value, f"{hand.value}-handed") for hand in Hand], Hand.RIGHT.value, id="hand")
        yield Words(
            "Carry is where the ball lands, not where it stops. Enter begins.", classes="quiet", id="carry-words"
        )
        yield Words(id="said", classes="asked")

    def on_mount(self) -> None:
        """The carry is the one thing that must be typed."""
        self.set_focus(self.query_one("#carry", Line))

    def on_choice_changed(self, message: Choice.Changed) -> None:
        """Say what the answer means."""
        if message.choice.id == "how":
            self.query_one("#how-words", Words).show(HOW[message.choice.value])
        if message.choice.id == "unit":
            self.query_one("#unit-word", Words).show("metres" if message.choice.value == "m" else "yards")

    def on_input_changed(self) -> None:
        """A new try: the old question is gone."""
        self.say("")

    def action_begin(self) -> None:
        """Make the player and go on to the day."""
        answers = {name: self.query_one(f"#{name}", Choice).value for name in ("unit", "club", "how", "hand")}
        carry = self.query_one("#carry", Line).value
        now = self.trainer.clock()
        self.send(lambda practice: TodayShown(practice.welcome(**answers, carry=carry, now=now)))

    def on_today_shown(self, message: TodayShown) -> None:
        """The player is kept: the day, and once the tour."""
        message.stop()
        self.trainer.show_today(message.view)
        self.trainer.action_tour()
