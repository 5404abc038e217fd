"""The balls of one session in order, each with its shot, its target and one plain reason.

Assumptions: blocks keep their order, but for the one that teaches the low flight while that is not checked; the wind
is one reading, turned to a block's flag where that has a bearing.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from trainer.core.bag import Bag, Swing
from trainer.core.conditions import Conditions, WindKnowledge
from trainer.core.errors import InputError
from trainer.core.schedule.ages import JUNIOR_MOST_MINUTES, MOST_BALLS
from trainer.core.schedule.assembly import Assembly, loosening, stages_of
from trainer.core.schedule.balls import Agenda, AgendaBall
from trainer.core.schedule.block import Block, CarryOf
from trainer.core.schedule.budget import Sharing, balls_within, share_out
from trainer.core.schedule.drills import WARM_UP
from trainer.core.schedule.fitting import Evening, Fitted, fit_blocks
from trainer.core.schedule.frame import framed
from trainer.core.schedule.knowledge import Knowledge
from trainer.core.schedule.prompts import DEFAULT_LIMITS, SafetyLimits, is_hard, prompts_of, share_in_the_cold
from trainer.core.schedule.stages import Stage
from trainer.core.schedule.telling import Telling
from trainer.core.units import UnitChoice

if TYPE_CHECKING:
    import numpy as np

__all__ = ["Agenda", "AgendaBall", "build_agenda", "put_together"]


def build_agenda(
    blocks: tuple[Block, ...],
    bag: Bag,
    *,
    balls: int,
    minutes: float,
    conditions: Conditions,
    rng: np.random.Generator,
    expected_carry_m: CarryOf,
    seconds_per_ball: float = 30.0,
    units: UnitChoice = UnitChoice(),
    limits: SafetyLimits = DEFAULT_LIMITS,
    knowledge: Knowledge | None = None,
) -> Agenda:
    """Turn `blocks` into balls within `balls` and `minutes`, the warm-up included.

    `expected_carry_m` gives what a cell should carry in these conditions. With `knowledge` the session is framed by
    what is due, the low flight comes before its numbers, and measuring balls go where they tell most. Raises
    InputError where there is no block, no room for a ball, a club that the bag does not hold, or a carry that is no
    distance.
    """
    if not blocks:
        raise InputError("there is no block to practise", "agenda", "give the plan at least one block")
    evening = Evening(bag, conditions, expected_carry_m, units, limits, knowledge)
    room, said = _room(balls, minutes, seconds_per_ball, evening)
    frame = framed(blocks, evening, room)
    first_is_warm_up = blocks[0].kind is WARM_UP
    sharing = share_out(tuple(block.balls for block in frame.blocks), room, first_is_warm_up=first_is_warm_up)
    hit = [] if first_is_warm_up else _warm_up(blocks[0], bag, sharing.warm_up, units)
    return put_together(evening, frame.blocks, sharing, rng, hit, (*said, *frame.notes))


def put_together(
    evening: Evening,
    blocks: tuple[Block, ...],
    sharing: Sharing,
    rng: np.random.Generator,
    hit: list[AgendaBall],
    notes: tuple[str, ...],
    first_number: int = 1,
) -> Agenda:
    """The agenda of `blocks` with the shared counts, after the balls in `hit`."""
    fitted = fit_blocks(blocks, evening)
    stages, stage_notes = stages_of(fitted, sharing.counts, evening)
    telling = _telling(fitted, sharing.counts, evening)
    assembly = Assembly(evening, rng, telling, list(hit))
    said = [*sharing.notes, *(note for one in fitted for note in one.notes), *notes, *stage_notes]
    if telling is not None and evening.conditions.wind.knowledge is not WindKnowledge.UNKNOWN:
        said += telling.advice(evening.units)
    assembly.add(tuple(zip(fitted, sharing.counts, stages, strict=True)))
    balls, left_out = _within_hard_ground(assembly.hit, evening)
    said += [*assembly.notes, *left_out]
    said += prompts_of(
        evening.conditions,
        tuple(ball.cell.swing for ball in balls),
        evening.units,
        evening.limits,
        junior=evening.junior,
    )
    said += [
        f"{one.block.title}: look at no result until its last ball is hit"
        for one, count, stage in zip(fitted, sharing.counts, stages, strict=True)
        if count and stage is Stage.TEST
    ]
    swaps = tuple(one.swap for one in fitted if one.swap)
    return Agenda(_numbered(balls, first_number, evening), swaps, tuple(dict.fromkeys(said)), blocks)


def _room(balls: int, minutes: float, seconds_per_ball: float, evening: Evening) -> tuple[int, list[str]]:
    """The balls that both budgets, a junior's age and the cold leave, and what was cut."""
    notes = []
    knowledge = evening.knowledge
    if evening.junior and knowledge is not None:
        minutes = min(minutes, JUNIOR_MOST_MINUTES)
        most = MOST_BALLS[knowledge.age_band]
        if balls > most:
            notes.append(f"{most} balls are the most for ages {knowledge.age_band.value}, the warm-up included")
            balls = most
    room = balls_within(balls, minutes, seconds_per_ball)
    share = share_in_the_cold(evening.conditions, evening.limits)
    if share < 1.0:
        less = max(math.floor(share * room), 1)
        notes.append(f"{less} balls in place of {room}: it is cold")
        room = less
    return room, notes


def _warm_up(first: Block, bag: Bag, count: int, units: UnitChoice) -> list[AgendaBall]:
    """Short swings with a wedge first, longer swings and clubs up to the first block's later."""
    names = [club.name for club in reversed(bag.clubs)]
    end = min(names.index(bag.club(club, first.title).name) for club in first.clubs)
    wedges = [i for i, name in enumerate(names) if name == "pitching wedge"]
    start = min(wedges[0] if wedges else 0, end)
    return loosening([names[start], names[(start + end + 1) // 2], names[end]], count, units)


def _telling(fitted: tuple[Fitted, ...], counts: tuple[int, ...], evening: Evening) -> Telling | None:
    knowledge = evening.knowledge
    if knowledge is None or knowledge.beliefs is None:
        return None
    hit = [one for one, count in zip(fitted, counts, strict=True) if count and one.block.kind is not WARM_UP]
    # What the player wants known is his plan's; without one left, of what is still to be hit.
    blocks = [one for one in hit if not one.block.added] or hit
    wanted = dict.fromkeys(cell for one in blocks for cell in one.shots.cells)
    return Telling(knowledge, knowledge.beliefs, tuple(wanted))


def _within_hard_ground(hit: list[AgendaBall], evening: Evening) -> tuple[list[AgendaBall], list[str]]:
    """Without the low shots that a mat or hard ground makes too many; a test's are the last to go."""
    low = [place for place, ball in enumerate(hit) if ball.cell.swing is not Swing.FULL]
    over = min(evening.done.low + len(low) - evening.limits.hard_ground_low_balls, len(low))
    if over <= 0 or not is_hard(evening.conditions):
        return hit, []
    last_first = sorted(low, key=lambda place: (hit[place].stage in {Stage.TEST, Stage.WARM_UP}, -place))
    gone = set(last_first[:over])
    most = evening.limits.hard_ground_low_balls
    note = f"{over} low shots are left out: {most} are the most on mats or hard ground"
    return [ball for place, ball in enumerate(hit) if place not in gone], [note]


def _numbered(balls: list[AgendaBall], first: int, evening: Evening) -> tuple[AgendaBall, ...]:
    every = evening.limits.balls_before_rest
    last = first + len(balls) - 1
    return tuple(
        replace(ball, number=number, rest_after=number % every == 0 and number < last)
        for number, ball in enumerate(balls, first)
    )
