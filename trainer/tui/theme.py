"""Themes of the program's own: a range at dusk, sand at noon, and a harbour for colour-blind eyes.

No meaning hangs on a colour alone; in the harbour what is good is blue and what is wrong is orange, and each is of a
lightness of its own.
"""

from __future__ import annotations

from collections.abc import Mapping

from textual.theme import Theme

EVENING = Theme(
    name="evening",
    primary="#e3b565",
    secondary="#8fb8c9",
    accent="#f0935c",
    foreground="#ece6d6",
    background="#14201c",
    surface="#1b2a25",
    panel="#22352e",
    success="#a9c97a",
    warning="#f0c96a",
    error="#ff9d80",
    dark=True,
)
NOON = Theme(
    name="noon",
    primary="#6b4a00",
    secondary="#1f5166",
    accent="#9c3510",
    foreground="#1d2723",
    background="#f7f2e4",
    surface="#efe7d2",
    panel="#e4d9bd",
    success="#3c5f12",
    warning="#7a4d00",
    error="#9a1c10",
    dark=False,
)
HARBOUR = Theme(
    name="harbour",
    primary="#ffd9a0",
    secondary="#9fc8ff",
    accent="#e08e2b",
    foreground="#f1efe9",
    background="#10161f",
    surface="#182231",
    panel="#22304a",
    success="#6aa9ff",
    warning="#ffd21f",
    error="#f5793a",
    dark=True,
)
THEMES = (EVENING, NOON, HARBOUR)

_LIGHT_BACKGROUNDS = {"7", "15"}


def first_theme(environ: Mapping[str, str]) -> str:
    """`TRAINER_THEME` if it names one of ours, else what the terminal says of its background, else evening."""
    wished = environ.get("TRAINER_THEME", "").strip().lower()
    named = {"light": NOON.name, "dark": EVENING.name, "colour-blind": HARBOUR.name}
    named.update((theme.name, theme.name) for theme in THEMES)
    if wished in named:
        return named[wished]
    background = environ.get("COLORFGBG", "").rpartition(";")[2]
    return NOON.name if background in _LIGHT_BACKGROUNDS else EVENING.name


def next_theme(name: str) -> str:
    """The one after `name`, the first after the last."""
    names = [theme.name for theme in THEMES]
    return names[(names.index(name) + 1) % len(names)] if name in names else names[0]
