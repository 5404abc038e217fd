"""Two themes of the program's own: a range at dusk, and sand at noon. No meaning hangs on a colour alone."""

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
THEMES = (EVENING, NOON)

_LIGHT_BACKGROUNDS = {"7", "15"}


def first_theme(environ: Mapping[str, str]) -> str:
    """`TRAINER_THEME` if it names one of ours, else what the terminal says of its background, else evening."""
    wished = environ.get("TRAINER_THEME", "").strip().lower()
    named = {"light": NOON.name, "dark": EVENING.name, NOON.name: NOON.name, EVENING.name: EVENING.name}
    if wished in named:
        return named[wished]
    background = environ.get("COLORFGBG", "").rpartition(";")[2]
    return NOON.name if background in _LIGHT_BACKGROUNDS else EVENING.name


def other_theme(name: str) -> str:
    """The one that is not `name`."""
    return NOON.name if name == EVENING.name else EVENING.name
