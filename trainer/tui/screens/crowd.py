"""Several players in one store: whose day it is, or the squad, or a group's balls."""

from __future__ import annotations

from textual.app import ComposeResult

from trainer.application.views.practice import harmless
from trainer.tui.actions import Place
from trainer.tui.screens.frame import Frame
from trainer.tui.widgets.choice import Listing
from trainer.tui.widgets.words import Words

SQUAD, GROUP = "/squad", "/group"
"""No alias holds a slash."""

OTHERS = (
    (SQUAD, "the squad: plans out, results in, who is due"),
    (GROUP, "a group's balls: many players, one recorder"),
)


class CrowdScreen(Frame):
    """One list: the coach's two screens first, then the players."""

    def __init__(self, aliases: tuple[str, ...]) -> None:
        super().__init__()
        self._aliases = aliases

    @property
    def place(self) -> Place:
        """Several players."""
        return Place.CROWD

    def body(self) -> ComposeResult:
        """The list."""
        yield Words(f"{len(self._aliases)} players in this store: what is it today?", classes="strong")
        yield Listing(id="crowd")
        yield Words("A player can be named at the start too: trainer --player ALIAS", classes="quiet")

    def on_mount(self) -> None:
        """Offer them."""
        listing = self.query_one(Listing)
        listing.offer([*OTHERS, *((alias, harmless(alias)) for alias in self._aliases)])
        self.set_focus(listing)

    def action_down(self) -> None:
        """The row below."""
        self.query_one(Listing).move(1)

    def action_up(self) -> None:
        """The row above."""
        self.query_one(Listing).move(-1)

    def action_be(self) -> None:
        """Go where it points."""
        from trainer.tui.screens.group_setup import GroupSetupScreen  # noqa: PLC0415 - opened from here or by F2
        from trainer.tui.screens.squad import SquadScreen  # noqa: PLC0415 - as above

        chosen = self.query_one(Listing).value
        if chosen == SQUAD:
            self.go_to(SquadScreen())
        elif chosen == GROUP:
            self.go_to(GroupSetupScreen())
        elif chosen is not None:
            self.trainer.be(chosen)
