"""The pictures beside the next ball as text: one at a time, or all where there is room. None while a test runs."""

from __future__ import annotations

import itertools
import textwrap
from collections.abc import Sequence

from trainer.application.views.practice import FiguresView, SessionView
from trainer.application.views.session_pictures import SessionPicture
from trainer.tui.widgets.carry_plot import carry_lines
from trainer.tui.widgets.folding import cut
from trainer.tui.widgets.pattern_plot import SESSION_MARKS, pattern_lines

PARTS = ("strip", "carry", "pattern", "drill")
STRIP, CARRY, PATTERN, DRILL = range(len(PARTS))
"""What of a shot is looked at: the first is the strip with the last shots, or all where there is room."""

NO_PATTERN = "No ball of this shot was seen with a carry and a side today, such as 142 6L."
NOTHING_YET = "working out the carry …"
LATER = "Test: the pictures are shown when its last ball is hit."
MOST_ENDED = 4
"""Rows that the end of a block takes at the most."""

ROOMY_COLUMNS, ROOMY_ROWS = 100, 36
_ALL_ROWS, _APART = 10, 4
_LEAST_WITH_WORDS = 5


def is_roomy(columns: int, rows: int) -> bool:
    """Whether strip, pictures and last shots have room together."""
    return columns >= ROOMY_COLUMNS and rows >= ROOMY_ROWS


def part_names(part: int, key: str) -> str:
    """`v: strip [carry] pattern drill`."""
    return f"{key} turns: " + " ".join(f"[{name}]" if i == part else name for i, name in enumerate(PARTS))


def panel_text(
    view: SessionView, figures: FiguresView | None, part: int, columns: int, rows: int, *, roomy: bool
) -> str:
    """The part that is looked at, or with room and none chosen all of them; empty where there is nothing to draw."""
    picture = None if figures is None else figures.picture
    if (view.ball is not None and view.ball.warm_up) or (picture is None and part == STRIP):
        return ""
    if picture is None:
        return NOTHING_YET if figures is None or not figures.words else figures.words
    if view.testing:
        aim = textwrap.wrap(picture.aim, columns) if picture.aim else []
        return "" if part == STRIP else "\n".join([LATER, *aim])
    if part == STRIP:
        # At the end what has moved stands in the strip, and the shots of the whole session want the room.
        return "\n".join(_all(picture, columns)) if roomy and not view.finished else ""
    lines = {CARRY: _carry, PATTERN: _pattern, DRILL: _drill}[part](picture, columns, rows)
    return "\n".join(cut(line, columns) for line in lines)


def ended_text(view: SessionView, figures: FiguresView | None, seen: tuple[int, int] | None, columns: int) -> str:
    """What the block that has just ended changed; empty once a key was hit since, and while its test goes on."""
    ended = None if figures is None or figures.picture is None else figures.picture.ended
    if ended is None or ended.key == seen or (ended.test and view.testing):
        return ""
    folded = [part for line in ended.lines for part in textwrap.wrap(line, columns, subsequent_indent="  ")]
    return "\n".join(folded[:MOST_ENDED])


def _all(picture: SessionPicture, columns: int) -> list[str]:
    half = (columns - _APART) // 2
    left = _carry(picture, half, _ALL_ROWS - 2)
    right = _pattern(picture, half, _ALL_ROWS - 2)
    beside = [
        f"{cut(one, half):<{half + _APART}}{cut(other, half)}".rstrip()
        for one, other in itertools.zip_longest(left, right, fillvalue="")
    ]
    return [*beside, *_drill(picture, columns, 2)]


def _carry(picture: SessionPicture, columns: int, rows: int) -> list[str]:
    if picture.carry is None:
        return [NOTHING_YET]
    said = [f"{picture.shot}: {line}" for line in picture.carry.words]
    words = said if rows > _LEAST_WITH_WORDS else []
    return [*words, *carry_lines(picture.carry, columns, rows - len(words))]


def _pattern(picture: SessionPicture, columns: int, rows: int) -> list[str]:
    if picture.pattern is None:
        return textwrap.wrap(f"{picture.shot}: {NO_PATTERN}", columns)
    return pattern_lines(picture.pattern, columns, rows, SESSION_MARKS)


def _drill(picture: SessionPicture, columns: int, rows: int) -> list[str]:
    parts: Sequence[str] = [picture.aim, *picture.reached, *picture.calls]
    return [line for part in parts if part for line in textwrap.wrap(part, columns)][:rows]
