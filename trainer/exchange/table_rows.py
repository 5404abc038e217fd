"""Rows of a shot table that are no shots: the header again, another header, units, means and spreads."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from functools import lru_cache

from trainer.core.units import unit_named
from trainer.exchange.plain_text import shown_text
from trainer.exchange.table_numbers import is_blank
from trainer.exchange.table_words import read_header_cell, recognised

_STRONG_WORDS = frozenset(
    {"average", "averages", "avg", "mean", "means", "median", "std", "stdev", "stddev", "sd", "standarddeviation"}
    | {"deviation", "consistency", "summary", "variance", "rms", "σ", "ø", "μ"}
)
"""The word on a row that sums others up, without blanks and points; alone, or first or last of a few."""

_WEAK_WORDS = frozenset({"min", "max", "minimum", "maximum", "total", "totals", "sum", "count", "range", "best"})
"""Such a word only where it stands alone."""

_MOST_WORDS = 4
_LONGEST_LABEL = 60
_NO_POINTS = str.maketrans("", "", " .:()")


def is_unit_row(cells: Sequence[str]) -> bool:
    """Whether a row holds units, such as the one that some tables put under the header, and nothing but words."""
    said = [cell.strip("()[] ") for cell in cells if not is_blank(cell)]
    known = sum(unit_named(cell) is not None for cell in said)
    if not said or known * 2 < len(said) or any(cell.isdigit() for cell in said):
        return False
    return known == len(said) or (known >= 2 and not any(letter.isdigit() for cell in said for letter in cell))


STRANGE_UNIT = "?"
"""What stands for a word in a row of units that is no unit."""


def row_units(cells: Sequence[str]) -> tuple[str | None, ...]:
    """The unit in each cell of a row of units, None where it is blank, `STRANGE_UNIT` where it is no unit known."""
    return tuple(None if is_blank(cell) else unit_named(cell.strip("()[] ")) or STRANGE_UNIT for cell in cells)


@lru_cache(maxsize=4096)
def summary_word(cell: str) -> str | None:
    """The word in a cell that says its row sums others up, or None: `Average`, `Std. Dev.`, `7 iron mean`."""
    if not cell or len(cell) > _LONGEST_LABEL or (cell[0].isdigit() and cell[-1].isdigit()):
        return None
    folded = cell.lower()
    whole = folded.translate(_NO_POINTS)
    if whole in _STRONG_WORDS or whole in _WEAK_WORDS:
        return whole
    words = [word.translate(_NO_POINTS) for word in folded.replace("-", " ").split()]
    if 1 < len(words) <= _MOST_WORDS:
        return next((word for word in (words[0], words[-1]) if word in _STRONG_WORDS), None)
    return None


def why_no_shot(
    cells: Sequence[str], header: Sequence[str], labels: Collection[int], player: int | None = None
) -> str | None:
    """Why a row is no shot, or None.

    A summary is told by a word in one of the places `labels` or in the first cell that says anything; `player` is
    that column's place, for a player may be called Max.
    """
    if is_header(cells, header):
        return "the header again"
    if is_unit_row(cells):
        return "a row of units"
    if any(cells[len(header) :]):
        return f"{len(cells)} cells under a header of {len(header)}; perhaps a decimal comma parted one"
    return why_summary(cells, labels, player)


def is_header(cells: Sequence[str], header: Sequence[str]) -> bool:
    """Whether a row is the header again, in either case."""
    return [cell.strip().lower() for cell in cells] == [cell.strip().lower() for cell in header]


def why_summary(cells: Sequence[str], labels: Collection[int], player: int | None) -> str | None:
    """Why a row sums others up, or None. See `why_no_shot`."""
    first = next((place for place, cell in enumerate(cells) if cell.strip()), None)
    for place in (*labels, first):
        if place is None or place >= len(cells):
            continue
        word = summary_word(cells[place].strip())
        if word is not None and not (place == player and word in _WEAK_WORDS):
            return f"a summary row ({shown_text(word)})"
    return None


@lru_cache(maxsize=4096)
def names_a_column(cell: str) -> bool:
    """Whether a cell reads as a header's."""
    return bool(cell) and not cell[0].isdigit() and read_header_cell(cell).field is not None


def is_other_header(cells: Sequence[str], header: Sequence[str]) -> bool:
    """Whether a row is a header of other columns than `header`: what follows it must not be read as before."""
    named = [cell for cell in cells if names_a_column(cell)]
    return len(named) >= 2 and recognised(cells) >= 2 and not is_header(cells, header)
