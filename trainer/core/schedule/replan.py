"""The rest of a session planned anew when the wind or what is known changes, with what changed said."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from trainer.core.bag import Bag, Cell
from trainer.core.conditions import Conditions
from trainer.core.constants import YARD_M
from trainer.core.errors import InputError
from trainer.core.schedule.agenda import put_together
from trainer.core.schedule.balls import Agenda, AgendaBall
from trainer.core.schedule.block import Block, CarryOf, expected_m, shot_in_words
from trainer.core.schedule.budget import Sharing
from trainer.core.schedule.fitting import NOTHING_DONE, Done, Evening
from trainer.core.schedule.knowledge import Knowledge
from trainer.core.schedule.prompts import DEFAULT_LIMITS, SafetyLimits, prompts_of
from trainer.core.schedule.stages import Stage
from trainer.core.units import UnitChoice

if TYPE_CHECKING:
    import numpy as np

NOTICEABLE_M = 2 * YARD_M
"""A target that moves by less is said to be the same."""

NOTHING_CHANGES = ("nothing changes",)
_STAGE_WORDS = {
    Stage.WARM_UP: "to warm up",
    Stage.SETTLE: "one shot at a time",
    Stage.STEP: "in short runs",
    Stage.MIX: "mixed",
    Stage.TEST: "without a look at the results",
}


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
    done: Done = NOTHING_DONE,
) -> Replanned:
    """The balls after number `hit` of `before`, planned anew in `conditions` with the same blocks and as many balls.

    A block that was swapped for the wind comes back where the wind now suits it. Overrides of balls still to come,
    new ones and those of `before`, keep their place and their reason. Fewer balls come only of an override that
    leaves one out, and of the limit on hard ground, in which `done` counts. Raises InputError for an override without
    a reason, or of a ball that is not to come.
    """
    evening = Evening(bag, conditions, expected_carry_m, units, limits, knowledge, done)
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
    swings = tuple(ball.cell.swing for ball in agenda.balls)
    prompts = prompts_of(conditions, swings, units, limits, junior=evening.junior)
    changes = [prompt for prompt in prompts if prompt not in before.notes]
    changes += _changes(left, agenda, before, blocks, units)
    return Replanned(agenda, tuple(dict.fromkeys(changes)) or NOTHING_CHANGES)


def own_choice(cell: Cell, reason: str, units: UnitChoice) -> str:
    """Why a ball is hit that the player put in place of another."""
    return f"Your own choice, {shot_in_words(cell, units)}: {reason.strip().rstrip('.')}."


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
        words = own_choice(override.cell, reason, evening.units)
        balls.append(
            replace(
                ball, cell=override.cell, target_m=target_m, reason=words, called=None, flag=None, override=reason
            )
        )
    return replace(agenda, balls=tuple(balls), notes=tuple(dict.fromkeys((*agenda.notes, *notes))))


def _changes(
    left: Sequence[AgendaBall], after: Agenda, before: Agenda, blocks: tuple[Block, ...], units: UnitChoice
) -> list[str]:
    """What is swapped, how it goes on, then in one sentence each how many balls of which shot, and their targets."""
    titles = {block.title for block in blocks}
    had = {swap.what: swap for swap in before.swaps if swap.what in titles}
    has = {swap.what: swap for swap in after.swaps}
    said = [f"{what} is back: the wind suits it now" for what in had if what not in has]
    said += [f"{what} is swapped for {swap.instead}: {swap.why}" for what, swap in has.items() if what not in had]
    said += _new_drills(left, after, before)
    said += _new_stages(left, after, before)
    return [*said, *_counts(left, after, units), *_targets(left, after, units)]


def _new_drills(left: Sequence[AgendaBall], after: Agenda, before: Agenda) -> list[str]:
    """Drills that nobody was told of, each with the note that says why."""
    told = {ball.drill for ball in left} | {swap.instead for swap in after.swaps}
    counts = Counter(ball.drill for ball in after.balls if ball.drill not in told and not ball.override)
    notes = [note for note in after.notes if note not in before.notes]
    return [
        next((note for note in notes if drill in note), f"{count} balls go to the {drill}")
        for drill, count in counts.items()
    ]


def _new_stages(left: Sequence[AgendaBall], after: Agenda, before: Agenda) -> list[str]:
    had = {(before.blocks[ball.block], ball.drill): ball.stage for ball in left if ball.block >= 0}
    has = {(after.blocks[ball.block], ball.drill): ball.stage for ball in after.balls if ball.block >= 0}
    return [
        f"the {drill} goes on {_STAGE_WORDS[stage]}"
        for (block, drill), stage in has.items()
        if had.get((block, drill), stage) is not stage
    ]


def _counts(left: Sequence[AgendaBall], after: Agenda, units: UnitChoice) -> list[str]:
    was, now = (Counter(ball.cell for ball in balls) for balls in (left, after.balls))
    changed = sorted(((now[cell] - was[cell], cell) for cell in {*was, *now} if now[cell] != was[cell]), reverse=True)
    if not changed:
        return []
    said = [
        f"{abs(by)} {'more' if by > 0 else 'fewer'} {shot_in_words(cell, units)}"
        for by, cell in dict.fromkeys((changed[0], changed[-1]))
    ]
    others = len(changed) - len(said)
    if others:
        said.append(f"{others} other {'shots change' if others > 1 else 'shot changes'} in number")
    return ["; ".join(said)]


def _targets(left: Sequence[AgendaBall], after: Agenda, units: UnitChoice) -> list[str]:
    """The target that comes first of those that move, and how many others do."""
    old = {ball.cell: ball.target_m for ball in left}
    moved = []
    for ball in {ball.cell: ball for ball in reversed(after.balls)}.values():
        before_m, now_m = old.get(ball.cell), ball.target_m
        if before_m is not None and now_m is not None and abs(now_m - before_m) >= NOTICEABLE_M:
            moved.append((ball.number, ball.cell, before_m, now_m))
    if not moved:
        return []
    _, cell, before_m, now_m = min(moved)
    shown, shown_before = units.shown_distance(now_m), units.shown_distance(before_m)
    said = f"{shot_in_words(cell, units)}: aim for {shown} in place of {shown_before}"
    others = len(moved) - 1
    return [f"{said}; {others} other {'targets move' if others > 1 else 'target moves'} too" if others else said]
