"""The one registry of what can be done: it makes the keys, the footer, the palette, the typed words and the help."""

from __future__ import annotations

import textwrap

from trainer.tui.action_kinds import EVERYWHERE, KEY_WORDS, SESSION, Action, Place
from trainer.tui.actions_review import REVIEW_ACTIONS
from trainer.tui.actions_session import SESSION_ACTIONS
from trainer.tui.actions_work import WORK_ACTIONS

__all__ = ["ACTIONS", "EVERYWHERE", "KEY_WORDS", "MOST_IN_FOOTER", "SESSION", "Action", "Place"]

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
        line_keys=("tab", "down"),
        footer=(Place.FIRST_RUN, Place.TODAY),
    ),
    Action(
        "last_field",
        "answer before",
        "Go to the answer before.",
        (Place.FIRST_RUN, Place.TODAY),
        line_keys=("shift+tab", "up"),
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


def action_for(key: str, place: Place, *, typing: bool) -> Action | None:
    """What a key does in a place; while something is typed only the keys that a line has no use for."""
    for action in actions_in(place):
        if key in action.line_keys or (key in action.keys and not typing):
            return action
    return None


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
