"""The tags that the trainer itself understands, each defined here and nowhere else; any other is the player's own."""

from __future__ import annotations

import difflib
from collections.abc import Sequence

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

_SHORTEST_MISTYPED = 4


def tag_questions(tags: Sequence[str]) -> str:
    """`did you mean #under?` for each tag that is nearly a known one; mistyped it is kept and tells nothing."""
    mistyped = [tag for tag in tags if tag not in KNOWN_TAGS and len(tag) >= _SHORTEST_MISTYPED]
    near = [match for tag in mistyped for match in difflib.get_close_matches(tag, sorted(KNOWN_TAGS), 1, 0.75)]
    return " ".join(f"did you mean #{tag}?" for tag in near)
