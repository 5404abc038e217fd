"""The last shots, newest first, one of them chosen to be corrected."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from trainer.application.views.practice import ShotRow

Part = str | tuple[str, str]


def shot_lines(shots: Sequence[ShotRow], chosen: int | None, columns: int, rows: int) -> Content:
    """As many shots as `rows` holds, the chosen one (a place in `shots`) among them with a pointer."""
    first = max((chosen or 0) - rows + 1, 0)
    parts: list[Part] = []
    cell_columns = 26 if columns >= 74 else 20
    for place, shot in enumerate(shots[first : first + rows], first):
        said = "" if shot.said == shot.words else shot.said
        words = "" if shot.hidden else shot.words
        said = "kept; look at it later" if shot.hidden else said
        marks = f" · {shot.marks}" if shot.marks else ""
        cell = f"{shot.cell[:cell_columns]:<{cell_columns}}"
        text = f"{'▸' if place == chosen else ' '}{shot.number:>3}  {cell} {words:<10} {said}{marks}"
        line = text if len(text) <= columns else text[: columns - 1] + "…"
        parts.append((line + "\n", "bold reverse") if place == chosen else line + "\n")
    return Content.assemble(*parts)
