"""The one registry of what can be done: it makes the keys, the footer, the palette, the typed words and the help."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from textual.binding import Binding, BindingType

MOST_IN_FOOTER = 7
_KEY_COLUMNS = 15


class Place(StrEnum):
    """Where an action can be done."""

    FIRST_RUN = "first start"
    TODAY = "today"
    LINE = "session, typing"
    PAD = "session, one key a ball"
    WIND = "session, a look at the wind"
    DONE = "session, all balls hit"


SESSION = (Place.LINE, Place.PAD, Place.DONE)
EVERYWHERE = (Place.FIRST_RUN, Place.TODAY, *SESSION)


@dataclass(frozen=True, slots=True)
class Action:
    """One thing that can be done.

    `keys` work where nothing is being typed, `line_keys` also while something is. `word` is what does it when typed
    and entered in the session's line. `footer` says where its key is shown at the foot.
    """

    name: str
    label: str
    help: str
    places: tuple[Place, ...]
    keys: tuple[str, ...] = ()
    line_keys: tuple[str, ...] = ()
    word: str = ""
    footer: tuple[Place, ...] = ()
    shown_key: str = ""

    def key_shown_in(self, place: Place) -> str:
        """The key to name to a person in `place`, empty where it has none there."""
        if self.shown_key:
            return self.shown_key
        typing = place in (Place.LINE, Place.TODAY, Place.FIRST_RUN)
        keys = self.line_keys if typing else (*self.keys, *self.line_keys)
        return KEY_WORDS.get(keys[0], keys[0]) if keys else ""


KEY_WORDS = {
    "escape": "Esc",
    "enter": "Enter",
    "space": "Space",
    "tab": "Tab",
    "up": "↑",
    "down": "↓",
    "ctrl+q": "Ctrl+Q",
    "ctrl+c": "Ctrl+C",
    "ctrl+p": "Ctrl+P",
    "question_mark": "?",
    "equals_sign": "=",
    "plus": "+",
    "minus": "-",
    **{f"f{n}": f"F{n}" for n in range(1, 11)},
}

ACTIONS: tuple[Action, ...] = (
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
    Action(
        "keep",
        "keep",
        "Keep what stands in the line: where the ball went, a wind, or a word of this list.",
        (Place.LINE,),
        line_keys=("enter",),
        footer=(Place.LINE,),
    ),
    Action(
        "pad",
        "one-key",
        "Stop typing: digits say where the ball landed, as on a number pad; letters are keys.",
        (Place.LINE,),
        line_keys=("escape", "f2"),
        word="pad",
        footer=(Place.LINE,),
    ),
    Action(
        "zone",
        "landed",
        "Digits as on a number pad: 7 long left, 5 pin-high, 3 short right; 0 not seen, x mishit.",
        (Place.PAD,),
        shown_key="1–9",
        footer=(Place.PAD,),
    ),
    Action(
        "type",
        "type",
        "Type where the ball went.",
        (Place.PAD, Place.DONE),
        keys=("t",),
        line_keys=("tab",),
        footer=(Place.PAD,),
    ),
    Action(
        "tap",
        "hang",
        "Tap at the strike and again at the landing: the seconds in the air. In the line, while it is empty.",
        (Place.LINE, Place.PAD),
        line_keys=("space",),
        footer=(Place.LINE,),
    ),
    Action(
        "mishit",
        "mishit",
        "Mark the last shot, or the chosen one, as a mishit; again takes the mark off. Before the ball: type x.",
        (Place.LINE, Place.PAD),
        keys=("m",),
        line_keys=("f3",),
        word="mishit",
        footer=(Place.PAD,),
    ),
    Action(
        "gust",
        "gust",
        "The ball to be entered, or the chosen shot, met a gust; again: a lull; again: neither.",
        (Place.LINE, Place.PAD),
        keys=("g",),
        line_keys=("f4",),
        word="gust",
        footer=(Place.LINE, Place.PAD),
    ),
    Action(
        "undo",
        "take back",
        "Take the last shot back, or the chosen one; its ball waits again.",
        SESSION,
        keys=("u",),
        line_keys=("f5",),
        word="undo",
        footer=(Place.LINE, Place.PAD, Place.DONE),
    ),
    Action(
        "skip",
        "skip",
        "Leave this ball out, and say why.",
        (Place.LINE, Place.PAD),
        keys=("s",),
        line_keys=("f6",),
        word="skip",
        footer=(Place.LINE,),
    ),
    Action(
        "wind",
        "wind",
        "Look at the wind: the same, more, less, or read again.",
        (Place.LINE, Place.PAD),
        keys=("w",),
        line_keys=("f7",),
        footer=(Place.PAD,),
    ),
    Action(
        "five",
        "five left",
        "Five balls left: go to the finish without feedback.",
        (Place.LINE, Place.PAD),
        keys=("f",),
        line_keys=("f9",),
        word="five",
    ),
    Action("pause", "rest", "Rest. Everything is kept.", (Place.LINE, Place.PAD), keys=("p",), word="rest"),
    Action(
        "older",
        "older shot",
        "Choose an older shot; Enter puts it into the line to be corrected.",
        SESSION,
        keys=("k",),
        line_keys=("up",),
        footer=(Place.DONE,),
    ),
    Action("newer", "newer shot", "Choose a newer shot.", SESSION, keys=("j",), line_keys=("down",)),
    Action(
        "correct", "correct", "Correct the chosen shot.", (Place.PAD, Place.DONE), keys=("enter", "c"), word="fix"
    ),
    Action(
        "finish",
        "end",
        "End the session.",
        SESSION,
        keys=("e",),
        word="end",
        footer=(Place.DONE,),
    ),
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
        "light or dark",
        "Change between the light and the dark theme.",
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
    Action(
        "same",
        "the same",
        "The wind is the same.",
        (Place.WIND,),
        line_keys=("enter", "equals_sign"),
        word="same",
        footer=(Place.WIND,),
    ),
    Action(
        "more",
        "more",
        "More wind than read.",
        (Place.WIND,),
        line_keys=("plus", "m"),
        word="more",
        footer=(Place.WIND,),
    ),
    Action(
        "less",
        "less",
        "Less wind than read.",
        (Place.WIND,),
        line_keys=("minus", "l"),
        word="less",
        footer=(Place.WIND,),
    ),
    Action(
        "read",
        "read again",
        "Read the wind again and type it.",
        (Place.WIND,),
        line_keys=("r", "w"),
        word="read",
        footer=(Place.WIND,),
    ),
    Action(
        "later",
        "not now",
        "Leave the wind for after the next ball.",
        (Place.WIND,),
        line_keys=("escape",),
        footer=(Place.WIND,),
    ),
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
        Binding(",".join((*action.keys, *action.line_keys)), _target(action), action.label, show=False)
        for action in actions_in(place)
        if action.name not in without and (action.keys or action.line_keys)
    ]


def action_for(key: str, place: Place) -> Action | None:
    """What a key does in a place; in the line a letter does nothing, it is text."""
    for action in actions_in(place):
        if key in action.line_keys or (place is not Place.LINE and key in action.keys):
            return action
    return None


OF_THE_APP = {"copy", "theme", "help", "palette", "leave"}
"""Actions that are the same on every screen."""


def _target(action: Action) -> str:
    return f"app.{action.name}" if action.name in OF_THE_APP else action.name


def footer_items(place: Place) -> list[tuple[str, str]]:
    """Key and label of what the foot of the screen names, at most `MOST_IN_FOOTER`."""
    return [(action.key_shown_in(place), action.label) for action in ACTIONS if place in action.footer]


def help_lines(place: Place, columns: int) -> list[str]:
    """Every action of a place: its keys, what it does, and the word that does it when typed; folded to `columns`."""
    lines = []
    for action in actions_in(place):
        keys = action.shown_key or " ".join(KEY_WORDS.get(key, key) for key in (*action.keys, *action.line_keys))
        word = f" (or type {action.word})" if action.word and place is Place.LINE else ""
        folded = textwrap.wrap(f"{action.help}{word}", max(columns - _KEY_COLUMNS, 20))
        lines += [f"{keys if i == 0 else '':{_KEY_COLUMNS}}{line}" for i, line in enumerate(folded)]
    return lines
