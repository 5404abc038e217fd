"""A group before the first ball: who, where, how many balls, in which wind; or an evening gone on with."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult

from trainer.application.views.group import GroupAnswers, GroupSetup, GroupView
from trainer.core.errors import TrainerError
from trainer.tui.actions import Place
from trainer.tui.messages import Looked
from trainer.tui.screens.forms import FormScreen, labelled
from trainer.tui.widgets.line import Line
from trainer.tui.widgets.words import Words

if TYPE_CHECKING:
    from trainer.application.group.desk import GroupDesk
    from trainer.application.practice import Practice

HOW = (
    "One recorder behind the line enters each ball by one key as on a number pad. Every ball is on the disk before "
    "the next; each player has a session of his own, with the group's wind in it."
)
_FIELDS = ("players", "stations", "balls", "wind", "when")


class GroupSetupScreen(FormScreen):
    """Five lines."""

    def __init__(self) -> None:
        super().__init__()
        self._group: GroupDesk | None = None

    @property
    def place(self) -> Place:
        """Before the grid."""
        return Place.GROUP_SETUP

    def body(self) -> ComposeResult:
        """The lines."""
        yield Words("A group: many players, one recorder, one wind log", classes="strong")
        yield Words(HOW, classes="quiet group-how")
        yield from labelled("Players", Line(hint="aliases, parted by commas; empty: everybody", id="players"))
        yield Words("", id="group-known", classes="quiet")
        yield from labelled("Stations", Line(hint="7 iron, three-quarter, 120yd; 9 iron, half, 80yd", id="stations"))
        yield from labelled("Balls", Line(hint="of each player at each station", id="balls"))
        yield from labelled("Wind", Line(hint="such as 14mph 1h; empty: not known", id="wind"))
        yield from labelled("Began", Line(hint="now; or the moment of an evening to go on with", id="when"))
        yield Words("one moment …", id="said", classes="asked")

    def on_mount(self) -> None:
        """Who is in the store, and whether an evening is going on."""
        self.set_focus(self.query_one("#players", Line))
        now = self.trainer.clock()

        def look(practice: Practice) -> Looked:
            from trainer.application.group.desk import group_setup  # noqa: PLC0415 - heavy: in its thread

            with practice.at_store(write=False) as store:
                return Looked(0, group_setup(store, now))

        self.trainer.desk.ask(self, look)

    def on_looked(self, message: Looked) -> None:
        """What stands in the lines at first, or the grid."""
        message.stop()
        if isinstance(message.view, GroupView):
            from trainer.tui.screens.group import GroupScreen  # noqa: PLC0415 - opened from here only

            assert self._group is not None
            self.give_way_to(GroupScreen(self._group, message.view))
            return
        setup = message.view
        assert isinstance(setup, GroupSetup)
        for name in _FIELDS:
            line = self.query_one(f"#{name}", Line)
            if not line.value:
                line.put(getattr(setup.answers, name))
        self.query_one("#group-known", Words).show(setup.known[: self.window.width - 2])
        self.say(setup.going_on or "Enter begins.")

    def action_go(self) -> None:
        """Begin, or go on."""
        answers = GroupAnswers(**{name: self.query_one(f"#{name}", Line).value for name in _FIELDS})
        now = self.trainer.clock()

        def begin(practice: Practice) -> Looked:
            from trainer.application.group.desk import GroupDesk  # noqa: PLC0415 - heavy: in its thread

            try:
                self._group = GroupDesk(practice, answers, now)
                return Looked(1, self._group.view())
            except TrainerError:
                practice.close()
                raise

        self.send(begin)
