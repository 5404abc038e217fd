"""Screens that come and go: keys may be hit faster than that, and answers may come when nobody waits any more."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, ClassVar, TypeVar, cast

from textual import events
from textual.screen import ModalScreen, Screen

if TYPE_CHECKING:
    from trainer.tui.app import TrainerApp

Result = TypeVar("Result")
Answer = TypeVar("Answer")

_ALWAYS_HEARD = (events.Compose, events.Unmount, events.Callback, events.ScreenSuspend)
"""What a screen has to hear of when it comes and when it has gone."""


class Standing(Screen[Result]):
    """A screen that acts only while it stands. Its keys come in the order they were hit, however fast.

    Textual gives a key to a widget, which gives on what it has no use for, and so to the program at last: meanwhile
    the next key may have been done. Here the program asks the screen in front about each key before the next one.
    Keys for a screen that has no widgets yet wait until it has. One that is closed before never gets any, and what it
    would draw has nowhere to go: it is told nothing.
    """

    def __init__(self) -> None:
        super().__init__()
        self._early: list[events.Key] = []
        self._complete = False

    @property
    def trainer(self) -> TrainerApp:
        """The program that this is a screen of."""
        return cast("TrainerApp", self.app)

    @property
    def stands(self) -> bool:
        """Whether the screen has its widgets, was not left and the program goes on; another may be in front of it."""
        return self.app.is_running and self in self.app.screen_stack and bool(self.children)

    async def on_event(self, event: events.Event) -> None:
        """Textual's own way in for all that happens: what comes too early or too late for the screen goes nowhere."""
        if self.stands or isinstance(event, _ALWAYS_HEARD):
            await super().on_event(event)
        if isinstance(event, events.Mount):
            self._complete = True
            while self._early:
                self.trainer.key_hit(self._early.pop(0))

    def key_hit(self, event: events.Key) -> bool:
        """A key, while this screen is in front; False where Textual's own keys may have a use for it."""
        if not self._complete:
            self._early.append(event)
            return True
        return self.take_key(event)

    def take_key(self, event: events.Key) -> bool:
        """Do what a key does; False for one that does nothing here."""
        raise NotImplementedError

    def run_named(self, name: str) -> None:
        """Do an action by its name, the screen's own or the program's."""
        if self.is_active:
            owner = self if hasattr(self, f"action_{name}") else self.app
            getattr(owner, f"action_{name}")()

    def soon(self, callback: Callable[[], None]) -> None:
        """Do something when what has changed is laid out, if the screen still stands then."""
        self.call_after_refresh(lambda: callback() if self.stands else None)

    # Coming and going

    def leave(self) -> None:
        """Back to the screen behind; nothing where another one is in front already."""
        if self.is_active:
            self.app.pop_screen()

    def go_to(self, screen: Screen[Answer], answered: Callable[[Answer | None], None] | None = None) -> None:
        """Open a screen in front of this one; `answered` is told what it is closed with."""
        if self.is_active:
            self.app.push_screen(screen, answered)

    def give_way_to(self, screen: Screen[None]) -> None:
        """Put a screen in the place of this one. Help or a list that was opened in front meanwhile closes."""
        if self.stands:
            while not self.is_active:
                self.app.pop_screen()
            self.app.switch_screen(screen)


class Overlay(Standing[Result], ModalScreen[Result]):
    """A box in front of a screen, closed with an answer. `KEYS` names what each key does."""

    KEYS: ClassVar[Mapping[str, str]] = {}

    def take_key(self, event: events.Key) -> bool:
        """One of the box's own keys, or the one that leaves the program."""
        name = "leave" if event.key in ("ctrl+q", "ctrl+c") else self.KEYS.get(event.key)
        if name is not None:
            self.run_named(name)
        return name is not None

    def close(self, answer: Result | None = None) -> None:
        """Go, with an answer; nothing where the box has gone already."""
        if self.is_active:
            self.dismiss(answer)

    def action_close(self) -> None:
        """Go without an answer."""
        self.close()
