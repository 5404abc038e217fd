"""The tags that the trainer itself understands, each defined here and nowhere else; any other is the player's own."""

from __future__ import annotations

SURE = "sure"
"""The shot was the one that the player said."""

LOW_CHECKED, UNDER_THE_LINE = "low-checked", "under"
"""A flight was low: somebody's yes, and a ball under a sight line."""

NOT_LOW, OVER_THE_LINE = "not-low", "over"
"""It was not."""

IN_THE_GAP, OUTSIDE_THE_GAP = "in", "out"
"""Whether a ball started through the gap."""

KNOWN_TAGS = frozenset({SURE, LOW_CHECKED, UNDER_THE_LINE, NOT_LOW, OVER_THE_LINE, IN_THE_GAP, OUTSIDE_THE_GAP})
"""All of them."""
