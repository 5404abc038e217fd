"""Text in a cell that a spreadsheet would run as a formula: made harmless on writing, given back on reading.

An apostrophe before it does both (CWE-1236; OWASP, "CSV Injection"). Numbers are never touched: -4.5 stays a number.
"""

from __future__ import annotations

import unicodedata

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""What begins a formula, or is skipped before one; the wide forms are read as the narrow ones in some languages."""

GUARD = "'"
_KEPT = "\t\r\n"


def steerless(text: str) -> str:
    """`text` without the control characters that could steer a terminal (ESC and its like); line ends stay."""
    return "".join(letter if unicodedata.category(letter) != "Cc" or letter in _KEPT else " " for letter in text)


def neutralised(text: str) -> str:
    """`text`, with an apostrophe before it where a spreadsheet would take it for a formula.

    Text that only looks neutralised (apostrophes, then a formula) gets one more, so that nothing is lost on reading.
    """
    return f"{GUARD}{text}" if text.lstrip(GUARD).startswith(FORMULA_STARTS) else text


def given_back(cell: str) -> str:
    """What `neutralised` was given; any other cell is left as it is."""
    guarded = cell.startswith(GUARD) and cell.lstrip(GUARD).startswith(FORMULA_STARTS)
    return cell[len(GUARD) :] if guarded else cell
