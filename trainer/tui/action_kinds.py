"""What an entry of the registry of actions is, and where a player can be when he does it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Place(StrEnum):
    """Where an action can be done."""

    FIRST_RUN = "first start"
    CROWD = "several players"
    TODAY = "today"
    LINE = "session, typing"
    PAD = "session, one key a ball"
    WIND = "session, a look at the wind"
    DONE = "session, all balls hit"
    GAPS = "gaps"
    CELL = "one shot"
    CHOOSE = "choose"
    COMPARE = "compare"
    CARD = "card"
    PROGRESS = "progress"
    PLANS = "plans"
    PLAN = "one plan"
    ASKING = "typing a question"
    PICK = "picking a file"
    ANSWER = "a question about a table"
    IMPORT = "import"
    FOLLOW = "following a table"
    GROUP_SETUP = "a group, before the first ball"
    GROUP = "group"
    SQUAD = "squad"
    MEMBER = "one member"
    ASSIGN = "giving a plan out"
    RESULT = "what came of it"
    PLAN_FORM = "a plan's form"


SESSION = (Place.LINE, Place.PAD, Place.DONE)
LISTS = (Place.GAPS, Place.PLANS)
SCROLLED = (Place.CELL, Place.CHOOSE, Place.COMPARE, Place.CARD, Place.PROGRESS, Place.PLAN)
REVIEW = (*LISTS, *SCROLLED)
"""The screens that look at what is known; `ASKING` is any of them while a question is typed."""

FORMS = (Place.PICK, Place.GROUP_SETUP, Place.ASSIGN, Place.PLAN_FORM)
"""Where a line is typed into all the time."""

WORK = (Place.ANSWER, Place.IMPORT, Place.FOLLOW, Place.GROUP, Place.SQUAD, Place.MEMBER, Place.RESULT)
"""The screens that have something done: tables in, a group, a squad."""

EVERYWHERE = (Place.FIRST_RUN, Place.CROWD, Place.TODAY, *SESSION, *REVIEW, Place.ASKING, *FORMS, *WORK)


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
        typing = place in (Place.LINE, Place.TODAY, Place.FIRST_RUN, Place.ASKING, *FORMS)
        keys = self.line_keys if typing else (*self.keys, *self.line_keys)
        return KEY_WORDS.get(keys[0], keys[0]) if keys else ""


KEY_WORDS = {
    "escape": "Esc",
    "enter": "Enter",
    "space": "Space",
    "tab": "Tab",
    "up": "↑",
    "down": "↓",
    "left": "←",
    "right": "→",
    "pageup": "PgUp",
    "pagedown": "PgDn",
    "ctrl+q": "Ctrl+Q",
    "ctrl+c": "Ctrl+C",
    "ctrl+p": "Ctrl+P",
    "ctrl+g": "Ctrl+G",
    "ctrl+t": "Ctrl+T",
    "shift+tab": "Shift+Tab",
    "backspace": "Backspace",
    "question_mark": "?",
    "equals_sign": "=",
    "plus": "+",
    "minus": "-",
    **{f"f{n}": f"F{n}" for n in range(1, 11)},
}
