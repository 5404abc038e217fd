"""The rest of a session planned anew when the wind or what is known changes, with what changed said."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from trainer.core.bag import Bag, Cell
from trainer.core.conditions import Conditions
from trainer.core.errors import InputError
from trainer.core.schedule.agenda import put_together
from trainer.core.schedule.balls import Agenda, AgendaBall
from trainer.core.schedule.block import CarryOf, expected_m, shot_in_words
from trainer.core.schedule.budget import Sharing
from trainer.core.schedule.fitting import Evening
from trainer.core.schedule.knowledge import Knowledge
from trainer.core.schedule.prompts import DEFAULT_LIMITS, SafetyLimits
from trainer.core.units import UnitChoice

if TYPE_CHECKING:
    import numpy as np

NOTICEABLE_M = 2 * 0.9144
"""A target that moves by less is said to be the same."""


@dataclass(frozen=True, slots=True)
class Override:
    """Another shot in place of ball `number`, or none (`cell` of None), and why."""

    number: int
    cell: Cell | None
    reason: str


@dataclass(frozen=True, slots=True)
class Replanned:
    """The balls that are left, numbered on, and what changed, in sentences; one says that nothing did."""

    agenda: Agenda
    changes: tuple[str, ...]


def replan(
    before: Agenda,
    hit: int,
    bag: Bag,
    *,
    conditions: Conditions,
    rng: np.random.Generator,
    expected_carry_m: CarryOf,
    units: UnitChoice = UnitChoice(),
    limits: SafetyLimits = DEFAULT_LIMITS,
    knowledge: Knowledge | None = None,
    overrides: Sequence[Override] = (),
) -> Replanned:
    """The balls after number `hit` of `before`, planned anew in `conditions` with the same blocks and as many balls.

    A block that was swapped for the wind comes back where the wind now suits it. Overrides of balls still to come,
    new ones and those of `before`, keep their place and their reason. Raises InputError for an override without a
    reason, or of a ball that is not to come.
    """
    evening = Evening(bag, conditions, expected_carry_m, units, limits, knowledge)
    left = tuple(ball for ball in before.balls if ball.number > hit)
    kept = [
        *(Override(ball.number, ball.cell, ball.override) for ball in left if ball.override),
        *overrides,
    ]
    _require(kept, left)
    warm_up = [ball for ball in left if ball.block < 0]
    counts = Counter(ball.block for ball in left if ball.block >= 0)
    places = sorted(counts)
    blocks = tuple(before.blocks[place] for place in places)
    sharing = Sharing(len(warm_up), tuple(counts[place] for place in places))
    first = left[0].number if left else hit + 1
    agenda = put_together(evening, blocks, sharing, rng, warm_up, (), first)
    agenda = _overridden(agenda, kept, evening)
    changes = _changes(left, agenda, before, blocks, units)
    return Replanned(agenda, tuple(changes) or ("nothing changes",))


def _require(overrides: Sequence[Override], left: Sequence[AgendaBall]) -> None:
    numbers = {ball.number for ball in left}
    for override in overrides:
        if not override.reason.strip():
            raise InputError("why is the ball changed?", "agenda", "give a reason in a few words")
        if override.number not in numbers:
            raise InputError(f"ball {override.number} is not to come", "agenda", "change one that is")


def _overridden(agenda: Agenda, overrides: Sequence[Override], evening: Evening) -> Agenda:
    last = {override.number: override for override in overrides}
    balls, notes = [], []
    for ball in agenda.balls:
        override = last.get(ball.number)
        if override is None:
            balls.append(ball)
            continue
        was, reason = shot_in_words(ball.cell, evening.units), override.reason.strip().rstrip(".")
        if override.cell is None:
            notes.append(f"ball {ball.number}, {was}, is left out: {reason}")
            continue
        now = shot_in_words(override.cell, evening.units)
        if ball.cell != override.cell:
            notes.append(f"ball {ball.number}: {now} in place of {was}: {reason}")
        target_m = None if ball.target_m is None else expected_m(override.cell, evening.carry_of)
        words = f"Your own choice, {now}: {reason}."
        balls.append(
            replace(
                ball, cell=override.cell, target_m=target_m, reason=words, called=None, flag=None, override=reason
            )
        )
    return replace(agenda, balls=tuple(balls), notes=tuple(dict.fromkeys((*agenda.notes, *notes))))


def _changes(
    left: Sequence[AgendaBall], after: Agenda, before: Agenda, blocks: tuple[object, ...], units: UnitChoice
) -> list[str]:
    titles = {getattr(block, "title", "") for block in blocks}
    had = {swap.what: swap for swap in before.swaps if swap.what in titles}
    has = {swap.what: swap for swap in after.swaps}
    said = [f"{what} is back: the wind suits it now" for what in had if what not in has]
    said += [f"{what} is swapped for {swap.instead}: {swap.why}" for what, swap in has.items() if what not in had]
    was, now = (Counter(ball.cell for ball in balls) for balls in (left, after.balls))
    more = [f"{now[cell] - was[cell]} more {shot_in_words(cell, units)}" for cell in now if now[cell] > was[cell]]
    fewer = [f"{was[cell] - now[cell]} fewer {shot_in_words(cell, units)}" for cell in was if was[cell] > now[cell]]
    if more or fewer:
        said.append("; ".join([*more, *fewer]))
    old = {ball.cell: ball.target_m for ball in left if ball.target_m is not None}
    for ball in {ball.cell: ball for ball in after.balls if ball.target_m is not None}.values():
        target_m, before_m = ball.target_m, old.get(ball.cell)
        if target_m is not None and before_m is not None and abs(target_m - before_m) >= NOTICEABLE_M:
            shown, shown_before = units.shown_distance(target_m), units.shown_distance(before_m)
            said.append(f"{shot_in_words(ball.cell, units)}: aim for {shown} in place of {shown_before}")
    return said
