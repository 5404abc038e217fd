"""How many examples of a property every run tries."""

from __future__ import annotations

import os

NEW = bool(os.environ.get("TRAINER_NEW_EXAMPLES"))
"""Whether other examples are drawn than the same ones of every run."""


def examples(most: int) -> int:
    """`most` where new examples are drawn; of those that are the same in every run two fifths."""
    return most if NEW else 2 * most // 5
