"""Rows of a shot table that are no shots: the header again, units, means and spreads."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.core.units import unit_named
from trainer.exchange.quantity_text import shown_text

_SUMMARY_WORDS = frozenset(
    {"average", "averages", "avg", "mean", "median", "std", "stdev", "stddev", "sd", "standarddeviation", "deviation"}
    | {"consistency", "min", "max", "minimum", "maximum", "total", "summary"}
)
"""The word on a row that sums others up, without blanks and points."""

_NO_POINTS = str.maketrans("", "", " .")


def is_unit_row(cells: Sequence[str]) -> bool:
    """Whether a row holds units only, such as the one that some tables put under the header."""
    said = [cell.strip("()[] ") for cell in cells if cell.strip()]
    return bool(said) and all(unit_named(cell) is not None for cell in said) and not all(c.isdigit() for c in said)


def why_no_shot(cells: Sequence[str], header: Sequence[str], club: int | None, player: int | None) -> str | None:
    """Why a row is no shot, or None. A summary is told by its first word or its club; `club` and `player` are the
    places of those columns, the latter because a player may be called Max."""
    folded = [cell.strip().lower() for cell in cells]
    if folded == [cell.strip().lower() for cell in header]:
        return "the header again"
    if is_unit_row(cells):
        return "a row of units"
    if any(cells[len(header) :]):
        return f"{len(cells)} cells under a header of {len(header)}; perhaps a decimal comma parted one"
    first = next((place for place, cell in enumerate(folded) if cell), None)
    for place in (first, club):
        word = folded[place].translate(_NO_POINTS) if place is not None and place < len(folded) else ""
        if word in _SUMMARY_WORDS and not (place == player and word == "max"):
            return f"a summary row ({shown_text(word)})"
    return None
