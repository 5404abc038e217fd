"""The one registry of what can be done: it makes the keys, the footer, the palette, the typed words and the help."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from textual.binding import Binding, BindingType

from trainer.tui.action_kinds import EVERYWHERE, KEY_WORDS, SESSION, Action, Place
from trainer.tui.actions_review import REVIEW_ACTIONS
from trainer.tui.actions_session import SESSION_ACTIONS
from trainer.tui.actions_work import WORK_ACTIONS

__all__ = ["ACTIONS", "EVERYWHERE", "KEY_WORDS", "MOST_IN_FOOTER", "OF_THE_APP", "SESSION", "Action", "Place"]

MOST_IN_FOOTER = 7
_KEY_COLUMNS = 15

_DAY_ACTIONS: tuple[Action, ...] = (
    Action(
        "begin",
        "begin",
        "Begin the session, or go on with the open one.",
        (Place.FIRST_RUN, Place.TODAY),
        line_keys=("enter",),
        footer=(Place.FIRST_RUN, Place.TODAY),
    ),
    Action(
        "next_field",
        "next",
        "Go to the next answer.",
        (Place.FIRST_RUN, Place.TODAY),
        line_keys=("tab",),
        footer=(Place.FIRST_RUN, Place.TODAY),
    ),
)

_ROUND_ACTIONS: tuple[Action, ...] = (
    Action(
        "round",
        "round",
        "Begin a round with the card as it is now, or end it: meanwhile only that card is shown (Rule 4.3a).",
        (Place.TODAY,),
        line_keys=("f3",),
    ),
)

_COMMON_ACTIONS: tuple[Action, ...] = (
    Action(
        "copy",
        "copy",
        "Copy the screen as text.",
        EVERYWHERE,
        keys=("y",),
        line_keys=("f8",),
        word="copy",
        footer=(Place.DONE,),
    ),
    Action(
        "theme",
        "colours",
        "Change the colours: dark, light, and a pair that colour-blind eyes can tell apart.",
        EVERYWHERE,
        line_keys=("f10",),
        word="theme",
    ),
    Action(
        "help",
        "help",
        "What can be done here.",
        EVERYWHERE,
        keys=("question_mark",),
        line_keys=("f1",),
        word="help",
        footer=EVERYWHERE,
    ),
    Action("palette", "find", "Find something to do by its name.", EVERYWHERE, line_keys=("ctrl+p",)),
    Action(
        "leave",
        "leave",
        "Leave; an open session goes on where it was when you come back.",
        EVERYWHERE,
        line_keys=("ctrl+q", "ctrl+c"),
        word="quit",
        footer=(Place.FIRST_RUN, Place.TODAY, Place.DONE),
    ),
)

ACTIONS: tuple[Action, ...] = (
    *_DAY_ACTIONS,
    *_ROUND_ACTIONS,
    *SESSION_ACTIONS,
    *REVIEW_ACTIONS,
    *WORK_ACTIONS,
    *_COMMON_ACTIONS,
)
"""Everything, in the order of help. No key here is one that tmux or macOS takes."""


def actions_in(place: Place) -> tuple[Action, ...]:
    """What can be done in a place."""
    return tuple(action for action in ACTIONS if place in action.places)


def by_word(text: str) -> tuple[Action, str] | None:
    """The action that a typed line names by its first word, with the rest of the line; None where it names none."""
    first, _, rest = text.strip().partition(" ")
    for action in ACTIONS:
        if action.word and first.lower() == action.word:
            return action, rest.strip()
    return None


def bindings(place: Place, *, leave_out: Iterable[str] = ()) -> list[BindingType]:
    """Textual's bindings for what can be done in a place. Letters reach them only where nothing is typed."""
    without = set(leave_out)
    return [
        Binding(",".join((*action.keys, *action.line_keys)), target_of(action), action.label, show=False)
        for action in actions_in(place)
        if action.name not in without and (action.keys or action.line_keys)
    ]


def action_for(key: str, place: Place) -> Action | None:
    """What a key does in a place; in the line a letter does nothing, it is text."""
    for action in actions_in(place):
        if key in action.line_keys or (place is not Place.LINE and key in action.keys):
            return action
    return None


OF_THE_APP = {"copy", "theme", "help", "palette", "leave", "look", "tour"}
"""Actions that are the same on every screen."""


def target_of(action: Action) -> str:
    """The action as Textual runs it: the screen's own, or the app's where it is the same on every screen."""
    return f"app.{action.name}" if action.name in OF_THE_APP else action.name


def footer_items(place: Place) -> list[tuple[str, str]]:
    """Key and label of what the foot of the screen names, at most `MOST_IN_FOOTER`."""
    return [(action.key_shown_in(place), action.label) for action in footer_actions(place)]


def footer_actions(place: Place) -> list[Action]:
    """What the foot of the screen names."""
    return [action for action in ACTIONS if place in action.footer]


def help_lines(place: Place, columns: int) -> list[str]:
    """Every action of a place: its keys, what it does, and the word that does it when typed; folded to `columns`."""
    lines = []
    for action in actions_in(place):
        keys = action.shown_key or " ".join(KEY_WORDS.get(key, key) for key in (*action.keys, *action.line_keys))
        word = f" (or type {action.word})" if action.word and place is Place.LINE else ""
        folded = textwrap.wrap(f"{action.help}{word}", max(columns - _KEY_COLUMNS, 20))
        lines += [f"{keys if i == 0 else '':{_KEY_COLUMNS}}{line}" for i, line in enumerate(folded)]
    return lines
