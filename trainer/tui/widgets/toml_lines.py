"""A plan's file beside its form: the line of the field that is typed into is pointed at, wrong ones are marked."""

from __future__ import annotations

import textwrap
from collections.abc import Collection

from textual.content import Content

_SET_IN = "    "


def toml_content(toml: str, here: int | None, wrong: Collection[int], columns: int, rows: int) -> Content:
    """As many lines as `rows` holds around line `here` (from 0); long ones are folded, set in."""
    drawn: list[tuple[str, bool]] = []
    at = 0
    for number, line in enumerate(toml.rstrip("\n").split("\n")):
        if number == here:
            at = len(drawn)
        mark = "?" if number in wrong else "▸" if number == here else " "
        parts = textwrap.wrap(line, max(columns - 2, 8), subsequent_indent=_SET_IN, break_on_hyphens=False) or [""]
        marked = number == here or number in wrong
        drawn += [(f"{' ' if further else mark} {part}\n", marked) for further, part in enumerate(parts)]
    first = min(max(at - rows // 3, 0), max(len(drawn) - rows, 0))
    return Content.assemble(
        *((text, "bold") if bold else text for text, bold in drawn[first : first + rows])
    ).rstrip()
