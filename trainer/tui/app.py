"""The program with screens. It paints first and loads what is heavy afterwards, in another thread."""

from __future__ import annotations

import asyncio
import os
import signal
import sys
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from textual import events
from textual.app import App
from textual.driver import Driver
from textual.screen import Screen

from trainer.application.views.practice import SessionView, TodayView
from trainer.core.errors import TrainerError
from trainer.tui.actions import Place, actions_in
from trainer.tui.desk import Desk, Prepare
from trainer.tui.messages import TodayShown
from trainer.tui.screens.frame import Frame
from trainer.tui.screens.standing import Standing
from trainer.tui.screens.today import TodayScreen
from trainer.tui.theme import THEMES, first_theme, next_theme

NOT_FOUND = ("palette", "keep", "tap", "zone", "digit")
"""Actions that finding by name has no use for: they are keys for what stands there."""


def local_now() -> datetime:
    """The clock: local time to the second."""
    return datetime.now().replace(microsecond=0)


class TrainerApp(App[None]):
    """The screens over one store."""

    TITLE = "Wind-day trainer"
    CSS_PATH = ["screens/frame.tcss", "screens/look.tcss", "screens/work.tcss"]  # noqa: RUF012 - Textual's own name
    ENABLE_COMMAND_PALETTE = False
    BINDINGS = []  # noqa: RUF012 - Textual's own name; every key comes from the registry

    def __init__(
        self,
        store_path: Path,
        alias: str | None = None,
        *,
        clock: Callable[[], datetime] = local_now,
        prepare: Prepare | None = None,
        environ: Mapping[str, str] = os.environ,
    ) -> None:
        # With NO_COLOR Textual paints in greys, and falls over a segment without style; told that the colours are the
        # terminal's own it leaves every colour out instead.
        super().__init__(ansi_color=True if "NO_COLOR" in os.environ else None)
        self.clock = clock
        self.desk = Desk(store_path, alias, clock, prepare)
        self.problem: TrainerError | None = None
        self.asked_wind = ""
        self.followed = ""
        self._today = TodayScreen()
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = first_theme(environ)
        self._sheets_are_for = self.theme
        self.stylesheet.set_variables(self.get_css_variables())

    def refresh_css(self, animate: bool = True) -> None:
        """Textual's own reading of the style sheets anew, where another theme was chosen.

        It also asks for that twice at every start, for its own first theme and for ours: they have our colours then.
        """
        if self._sheets_are_for != self.theme:
            self._sheets_are_for = self.theme
            super().refresh_css(animate)

    def get_driver_class(self) -> type[Driver]:
        """Textual's choice, but one that outlives no terminal where there is one."""
        chosen = super().get_driver_class()
        if sys.platform == "win32":
            return chosen
        from textual.drivers.linux_driver import LinuxDriver  # noqa: PLC0415 - there is none on Windows

        from trainer.tui.terminal import PassingDriver  # noqa: PLC0415 - there is none on Windows

        return PassingDriver if chosen is LinuxDriver else chosen

    def get_default_screen(self) -> Screen[Any]:
        """The day."""
        return self._today

    def on_mount(self) -> None:
        """Leave in good order whatever ends the program."""
        loop = asyncio.get_running_loop()
        for number in (signal.SIGTERM, signal.SIGHUP):
            loop.add_signal_handler(number, self.exit)

    async def on_unmount(self) -> None:
        """Wait until all that was entered is on the disk."""
        await asyncio.get_running_loop().run_in_executor(None, self.desk.close)

    async def on_event(self, event: events.Event) -> None:
        """Textual's own way in for all that happens: the screen in front is asked first about each key."""
        if not isinstance(event, events.Key):
            await super().on_event(event)
        elif self.is_running and (event.is_forwarded or not self.key_hit(event)):
            # While the program is left no screen is in front any more: the key is nobody's.
            await super().on_event(event)

    def key_hit(self, event: events.Key) -> bool:
        """Have the screen in front do what a key does; False where that is for Textual to know."""
        # Some terminals say that the window lost the keys, and never that it has them again.
        self.app_focus = True
        return isinstance(self.screen, Standing) and self.screen.key_hit(event)

    def give_up(self, problem: TrainerError) -> None:
        """Leave, and say why on the command line: there is no store to show."""
        self.problem = problem
        self.exit()

    def show_session(self, view: SessionView) -> None:
        """Go to the session's screen."""
        from trainer.tui.screens.session import SessionScreen  # noqa: PLC0415 - not needed for the first paint

        # What was opened in front while the balls were laid out closes: a session was asked for.
        self.to_the_day()
        self.push_screen(SessionScreen(view))

    def show_today(self, view: TodayView | None) -> None:
        """Go back to the day, which stands beneath every other screen."""
        self.to_the_day()
        if view is not None:
            self._today.show(view)

    def to_the_day(self) -> None:
        """Leave every screen that stands on the day."""
        while self.screen is not self._today and len(self.screen_stack) > 1:
            self.pop_screen()

    @property
    def day(self) -> TodayScreen:
        """The day, beneath every other screen."""
        return self._today

    @property
    def has_player(self) -> bool:
        """Whether the day shows somebody: a coach's store may hold nobody yet, or many."""
        return self._today.has_player

    def day_changed(self) -> None:
        """Something was kept elsewhere: the day beneath is read anew; what was chosen there stays chosen."""
        now = self.clock()
        self.desk.ask(self._today, lambda practice: TodayShown(practice.today(now)))

    def begin_plan(self, plan_id: str, wind_words: str) -> None:
        """Begin a session with a plan that was looked at."""
        self.to_the_day()
        self._today.begin_plan(plan_id, wind_words)

    def action_look(self) -> None:
        """Look at something: ask what, then go there; the way back leads to the day."""
        if not self.has_player:
            self._look_at_the_squad()
            return
        from trainer.tui.screens.where import WhereScreen  # noqa: PLC0415 - not needed for the first paint

        if self.screen is self._today:
            self.asked_wind = self._today.typed_wind
        self.push_screen(WhereScreen())

    def _look_at_the_squad(self) -> None:
        """A store without a player of its own has only that; while the day is not read nobody knows."""
        from trainer.tui.screens.squad import SquadScreen  # noqa: PLC0415 - the only one without a player

        if not isinstance(self.screen, TodayScreen | SquadScreen):
            self.push_screen(SquadScreen())

    def action_tour(self) -> None:
        """What the screens are for, in four steps."""
        from trainer.tui.screens.tour import TourScreen  # noqa: PLC0415 - most starts have a player

        self.push_screen(TourScreen())

    def show_first_run(self) -> None:
        """Ask a new player the three things."""
        from trainer.tui.screens.first_run import FirstRunScreen  # noqa: PLC0415 - most starts have a player

        self.push_screen(FirstRunScreen())

    def show_crowd(self, aliases: tuple[str, ...]) -> None:
        """Ask which of several players it is."""
        from trainer.tui.screens.crowd import CrowdScreen  # noqa: PLC0415 - most stores hold one player

        self.push_screen(CrowdScreen(aliases))

    def be(self, alias: str) -> None:
        """Be one of several players from now on, and go to his day."""
        self.desk.be(alias)
        self.to_the_day()
        self.day_changed()

    def action_copy(self) -> None:
        """Copy the screen as text."""
        if isinstance(self.screen, Frame):
            self.copy_to_clipboard(self.screen.as_text())
            self.notify("Copied as text.", timeout=2)

    def action_theme(self) -> None:
        """The next of the themes."""
        self.theme = next_theme(self.theme)

    def action_palette(self) -> None:
        """Find something to do by its name, in the screen that is in front."""
        from trainer.tui.screens.palette import PaletteScreen  # noqa: PLC0415 - not needed for the first paint

        screen = self.screen
        if isinstance(screen, Frame):
            found = [each for each in actions_in(screen.place) if each.name not in NOT_FOUND]
            self.push_screen(PaletteScreen(found), lambda name: screen.run_named(name) if name else None)

    def action_help(self) -> None:
        """What can be done here."""
        from trainer.tui.screens.help import HelpScreen  # noqa: PLC0415 - not needed for the first paint

        place = self.screen.place if isinstance(self.screen, Frame) else Place.TODAY
        self.push_screen(HelpScreen(place))

    def action_leave(self) -> None:
        """Leave; what was recorded is kept, an open session stays open."""
        self.exit()


def run_screens(
    store_path: Path,
    alias: str | None = None,
    *,
    environ: Mapping[str, str] = os.environ,
    prepare: Prepare | None = None,
) -> None:
    """Open the screens until the player leaves. Raises StoreError or InputError where there was nothing to show."""
    app = TrainerApp(store_path, alias, prepare=prepare, environ=environ)
    app.run()
    if app.problem is not None:
        raise app.problem
