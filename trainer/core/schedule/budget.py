"""How many balls a session holds and how they are shared out."""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.core.errors import InputError

FASTEST_S, SLOWEST_S = 25.0, 40.0
"""Seconds a ball takes with a routine (common practice, no source)."""

MOST_WARM_UP = 15
WARM_UP_SHARE = 0.25
LEAST_FIRST_BLOCK = 3
"""The warm-up takes no more from the first block than leaves it one run of three."""


@dataclass(frozen=True, slots=True)
class Sharing:
    """Balls to warm up with and for each block (0: no room), and what was changed, in words."""

    warm_up: int
    counts: tuple[int, ...]
    notes: tuple[str, ...] = ()


def balls_within(balls: int, minutes: float, seconds_per_ball: float) -> int:
    """The balls that both budgets hold; raises InputError where that is none or the pace is not a person's."""
    if not FASTEST_S <= seconds_per_ball <= SLOWEST_S:
        raise InputError(f"{seconds_per_ball:g} s a ball is out of range", "agenda", "give 25 to 40 s")
    if not (math.isfinite(minutes) and minutes > 0 and balls > 0):
        raise InputError(f"{balls} balls in {minutes:g} minutes is no session", "agenda", "give at least 1 of each")
    room = min(balls, math.floor(minutes * 60 / seconds_per_ball))
    if room < 1:
        raise InputError(f"{minutes:g} minutes hold no ball", "agenda", "give at least 1 minute")
    return room


def warm_up_balls(budget: int) -> int:
    """Balls to warm up with: 12 of 45, 15 of 60, at least one."""
    return min(MOST_WARM_UP, math.ceil(WARM_UP_SHARE * budget))


def share(weights: tuple[int, ...], total: int) -> tuple[int, ...]:
    """`total` shared by `weights` (largest remainder), at least one each; needs `total` ≥ the number of weights."""
    if total < len(weights):
        raise ValueError("fewer balls than blocks")
    spare = total - len(weights)
    exact = [spare * weight / sum(weights) for weight in weights]
    counts = [1 + math.floor(part) for part in exact]
    by_remainder = sorted(range(len(weights)), key=lambda i: (math.floor(exact[i]) - exact[i], i))
    for i in by_remainder[: total - sum(counts)]:
        counts[i] += 1
    return tuple(counts)


def share_out(wanted: tuple[int, ...], budget: int, *, first_is_warm_up: bool) -> Sharing:
    """Balls for the warm-up and each block within `budget`.

    Blocks that fill the session give the warm-up's balls from the first one; blocks that ask for more than the
    session holds all shrink alike, and where there is not a ball for each the last are left out. Both are said.
    """
    warm_up = 0 if first_is_warm_up else warm_up_balls(budget)
    room = budget - warm_up
    if room < len(wanted):
        kept = share(wanted[:room], room) if room else ()
        note = f"{len(wanted) - room} of {len(wanted)} blocks are left out: {budget} balls have no room for them"
        return Sharing(warm_up, kept + (0,) * (len(wanted) - room), (note,))
    total = sum(wanted)
    if total <= room:
        return Sharing(warm_up, wanted)
    if total > budget:
        return Sharing(
            warm_up, share(wanted, room), (f"blocks of {total} balls are cut to the {room} there is room for",)
        )
    taken = min(total - room, max(wanted[0] - LEAST_FIRST_BLOCK, 0))
    note = f"the {warm_up} warm-up balls come out of the blocks, the first one before the others"
    left = (wanted[0] - taken, *wanted[1:])
    return Sharing(warm_up, left if sum(left) == room else share(left, room), (note,))
