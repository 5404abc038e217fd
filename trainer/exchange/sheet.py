"""Sheets to tally on behind the line: a 3 × 3 box for each player of a station, or each station of a player.

The squares lie as on a number pad: 7 8 9 long, 4 5 6 pin-high, 1 2 3 short; left, straight, right of the target, seen
from behind the player. Under them 0 takes the mishits and - the balls that nobody saw.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from trainer.core.errors import InputError
from trainer.exchange.page_svg import (
    HEIGHT_MM,
    INNER_MM,
    MARGIN_MM,
    WIDTH_MM,
    box,
    broken,
    fitted,
    html,
    page,
    rule,
    width_mm,
    words,
)
from trainer.exchange.plain_text import blanked

MOST_BOXES = 30
"""As many as a page has room for."""

PAD = ("789", "456", "123")
HOW = (
    "One stroke a ball in the square where it ended, seen from behind the player: 7 8 9 long, 4 5 6 pin-high, "
    "1 2 3 short; left, straight, right. 0 a mishit, − hit and not seen. Keep every ball."
)
SAFE = "Recorder behind the line; one swinger a zone; nobody forward of the line."
WIND_LINES = 16

TITLE_MM, HEAD_MM, LEAST_HEAD_MM, SMALL_MM, KEY_MM = 5.5, 3.4, 2.7, 2.8, 2.2
TOP_MM, FOOT_MM = 45.0, 268.0
"""Where the boxes begin and must have ended."""


@dataclass(frozen=True, slots=True)
class Box:
    """One tally box: whose or what it is, and lines below where there is more to say."""

    head: str
    details: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """One page of boxes. `subtitle` says what is hit; `date` when."""

    title: str
    subtitle: str
    date: str
    boxes: tuple[Box, ...]


def columns_for(boxes: int) -> int:
    """How many boxes stand side by side; InputError for more than a page holds."""
    if boxes > MOST_BOXES:
        raise InputError(f"{boxes} boxes do not fit a page", "sheets", f"make {MOST_BOXES} at most")
    return next(columns for columns, most in ((2, 4), (3, 9), (4, 20), (5, MOST_BOXES)) if boxes <= most)


def sheets_html(title: str, sheets: Sequence[Sheet]) -> str:
    """The wind log and every sheet, a page each. Raises InputError for a sheet with too many boxes."""
    return html(title, [_wind_log(title, sheets[0].date if sheets else ""), *(_page(sheet) for sheet in sheets)])


def _head(title: str, subtitle: str, date: str, how: str) -> list[str]:
    y = MARGIN_MM + 6
    drawn = [
        words(MARGIN_MM, y, fitted(title, TITLE_MM, INNER_MM - 50, bold=True), TITLE_MM, weight="bold"),
        words(WIDTH_MM - MARGIN_MM, y, date, HEAD_MM, anchor="end"),
        words(MARGIN_MM, y + 6, fitted(subtitle, HEAD_MM, INNER_MM), HEAD_MM),
    ]
    for number, line in enumerate(broken(how, SMALL_MM, INNER_MM)):
        drawn.append(words(MARGIN_MM, y + 11 + number * 3.8, line, SMALL_MM))
    return drawn


def _page(sheet: Sheet) -> str:
    columns = columns_for(len(sheet.boxes))
    wide = INNER_MM / columns
    high = min((FOOT_MM - TOP_MM) / math.ceil(len(sheet.boxes) / columns), wide * 1.25)
    drawn = _head(sheet.title, sheet.subtitle, sheet.date, HOW)
    drawn += _wind_strip(MARGIN_MM + 30)
    for number, each in enumerate(sheet.boxes):
        row, column = divmod(number, columns)
        drawn += _tally(MARGIN_MM + column * wide, TOP_MM + row * high, wide - 3, high - 2, each)
    drawn.append(words(MARGIN_MM, HEIGHT_MM - 6, SAFE, SMALL_MM))
    return page(f"{sheet.title}, {sheet.date}", drawn)


def _wind_strip(y: float) -> list[str]:
    room = INNER_MM / 2
    return [
        words(MARGIN_MM + half * room, y, "wind at ____:____   ________ from ______ h   gust ______", SMALL_MM)
        for half in (0, 1)
    ]


def _tally(x: float, y: float, wide: float, high: float, each: Box) -> list[str]:
    """A tally box whose upper left corner is at (`x`, `y`), in mm."""
    detail = SMALL_MM + 0.5
    size = max(LEAST_HEAD_MM, min(HEAD_MM, wide / max(width_mm(each.head, 1.0, bold=True), 1.0)))
    drawn = [words(x, y + HEAD_MM, fitted(each.head, size, wide, bold=True), size, weight="bold")]
    for number, line in enumerate(each.details, 1):
        drawn.append(words(x, y + HEAD_MM + number * detail, fitted(line, SMALL_MM, wide), SMALL_MM))
    top = y + HEAD_MM + len(each.details) * detail + 1.2
    across, down = wide / 3, (y + high - top) / 3.6
    for row, keys in enumerate(PAD):
        for column, key in enumerate(keys):
            drawn += _square(x + column * across, top + row * down, across, down, key)
    for half, key in enumerate("0−"):
        drawn += _square(x + half * wide / 2, top + 3 * down, wide / 2, 0.6 * down, key)
    return drawn


def _square(x: float, y: float, wide: float, high: float, key: str) -> list[str]:
    return [box(x, y, wide, high), words(x + 0.6, y + KEY_MM + 0.1, key, KEY_MM)]


def _wind_log(title: str, date: str) -> str:
    how = (
        "One log for the whole group: read it at the start, when players change stations, and whenever it changes. "
        "Where it comes from by the clock: 12 into the face, 3 from the right, 6 from behind."
    )
    drawn = _head(title, "Wind log", date, how)
    heads = ("time", "speed", "from (h)", "gust", "how read", "remark")
    places = [MARGIN_MM + share * INNER_MM for share in (0.0, 0.12, 0.28, 0.42, 0.56, 0.72)]
    top, step = TOP_MM, 12.0
    drawn += [
        words(place + 1, top - 1.5, head, SMALL_MM, weight="bold") for place, head in zip(places, heads, strict=True)
    ]
    bottom = top + WIND_LINES * step
    drawn += [rule(MARGIN_MM, top + n * step, MARGIN_MM + INNER_MM, top + n * step) for n in range(WIND_LINES + 1)]
    drawn += [rule(place, top, place, bottom) for place in (*places, MARGIN_MM + INNER_MM)]
    drawn.append(words(MARGIN_MM, HEIGHT_MM - 6, SAFE, SMALL_MM))
    return page(f"{title}: wind log", drawn)


def sheets_text(sheets: Sequence[Sheet]) -> str:
    """The same sheets in plain text, 80 columns; a form feed starts each new page."""
    return "\f".join(_text(sheet) for sheet in sheets)


def _text(sheet: Sheet) -> str:
    columns_for(len(sheet.boxes))
    lines = [
        f"{blanked(sheet.title)[:58]:58}  {blanked(sheet.date)[:20]:>18}".rstrip(),
        blanked(sheet.subtitle)[:80],
        "One stroke a ball where it ended, from behind the player: 7 8 9 long, 4 5 6",
        "pin-high, 1 2 3 short; left, straight, right. 0 mishit, - not seen.",
        "wind at __:__  ______ from ____h gust ____    wind at __:__  ______ from ____h",
        "",
    ]
    across, key_room = (3, 7) if any(each.details for each in sheet.boxes) else (4, 5)
    for start in range(0, len(sheet.boxes), across):
        lines += _boxes_text(sheet.boxes[start : start + across], key_room)
    return "\n".join(line.rstrip() for line in lines)


def _boxes_text(boxes: Sequence[Box], key_room: int) -> list[str]:
    """Boxes side by side, their squares `key_room` wide."""
    wide = 3 * key_room + 4
    heads = [
        [*textwrap.wrap(blanked(each.head), wide)[:2], *(blanked(line)[:wide] for line in each.details)]
        for each in boxes
    ]
    edge = "+" + f"{'-' * key_room}+" * 3
    grid = [edge, *("|" + "|".join(f"{key:{key_room}}" for key in keys) + "|" for keys in PAD), edge]
    grid.append(f"{'0:':{wide // 2}}{'-:':{wide - wide // 2}}")
    deepest = max(map(len, heads))
    padded = [[f"{line:{wide}}" for line in [*head, *[""] * (deepest - len(head)), *grid]] for head in heads]
    return [*(" ".join(row) for row in zip(*padded, strict=True)), ""]
