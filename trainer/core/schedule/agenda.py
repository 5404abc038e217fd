"""The balls of one session in order, each with its shot, its target and one plain reason.

Assumptions: blocks keep their order; the wind is one reading, turned to a block's flag where that has a bearing.
Which shots would tell most is not asked here: the blocks decide.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from trainer.core.bag import Bag, Cell, Swing
from trainer.core.conditions import Conditions, WindKnowledge
from trainer.core.errors import InputError
from trainer.core.profile import RangeFlag
from trainer.core.schedule.block import Block, CarryOf, Shots, shot_in_words, shots_of
from trainer.core.schedule.budget import balls_within, share_out
from trainer.core.schedule.drills import WARM_UP
from trainer.core.schedule.prompts import DEFAULT_LIMITS, SafetyLimits, prompts_of
from trainer.core.schedule.stages import Stage, order_of_levels
from trainer.core.units import UnitChoice

if TYPE_CHECKING:
    import numpy as np

NEAR_FLAG = 0.1
"""A flag farther from the target than this fraction of it is no help in judging the carry."""

_WITHOUT_WIND = ("grip-down steps", "swing-length steps", "knockdown baseline")
_IN_STRONG_WIND = ("turf line check", "low window", "start-line gate")
_WARM_UP_SWINGS = (Swing.HALF, Swing.THREE_QUARTER, Swing.FULL)


@dataclass(frozen=True, slots=True)
class AgendaBall:
    """One ball. `target_m` is None where nothing is aimed at; `flag` is the name of the flag to aim at."""

    number: int
    drill: str
    cell: Cell
    target_m: float | None
    stage: Stage
    cue: str
    reason: str
    flag: str | None = None


@dataclass(frozen=True, slots=True)
class SwappedBlock:
    """A block that today cannot teach: its drill, what it was with its clubs, why not, and the drill in its place."""

    drill: str
    what: str
    why: str
    instead: str


@dataclass(frozen=True, slots=True)
class Agenda:
    """The balls, the swaps, and what else is to be said before the first ball."""

    balls: tuple[AgendaBall, ...]
    swaps: tuple[SwappedBlock, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Ready:
    """A block that today can teach, fitted to the player."""

    block: Block
    shots: Shots
    swap: SwappedBlock | None = None
    notes: tuple[str, ...] = ()


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
) -> Agenda:
    """Turn `blocks` into balls within `balls` and `minutes`, the warm-up included.

    `expected_carry_m` gives what a cell should carry in these conditions. Raises InputError where there is no block,
    no room for a ball, a club that the bag does not hold, or a carry that is no distance.
    """
    if not blocks:
        raise InputError("there is no block to practise", "agenda", "give the plan at least one block")
    room = balls_within(balls, minutes, seconds_per_ball)
    ready: list[_Ready] = []
    for block in blocks:
        taken = {other.kind.name for other in blocks} | {done.block.kind.name for done in ready}
        ready.append(_ready(block, taken, bag, conditions, expected_carry_m, units))
    first_is_warm_up = blocks[0].kind is WARM_UP
    sharing = share_out(tuple(block.balls for block in blocks), room, first_is_warm_up=first_is_warm_up)
    hit = [] if first_is_warm_up else _warm_up(blocks[0], bag, sharing.warm_up, units)
    for one, count in zip(ready, sharing.counts, strict=True):
        hit += _block_balls(one, bag, count, rng, units)
    notes = [*sharing.notes, *(note for one in ready for note in one.notes)]
    notes += prompts_of(conditions, tuple(ball.cell.swing for ball in hit), units, limits)
    notes += [
        f"{one.block.title}: look at no result until its last ball is hit"
        for one, count in zip(ready, sharing.counts, strict=True)
        if count and (one.block.stage or one.block.kind.stage) is Stage.TEST
    ]
    numbered = tuple(replace(ball, number=number) for number, ball in enumerate(hit, 1))
    return Agenda(numbered, tuple(one.swap for one in ready if one.swap), tuple(dict.fromkeys(notes)))


def _ready(
    block: Block, taken: set[str], bag: Bag, conditions: Conditions, carry_of: CarryOf, units: UnitChoice
) -> _Ready:
    """`block` fitted to player and wind, or the block that takes its place."""
    why, notes = _unmet(block, conditions, units)
    if not why:
        shots = shots_of(block, bag, carry_of, units)
        needed = block.kind.shots_at_least if block.fit or block.kind.fit else 1
        if len(shots.cells) >= needed:
            return _Ready(block, shots, notes=notes + shots.refused)
        why = "; ".join(shots.refused) or f"it needs {needed} clubs that carry the same"
    instead = _instead(block, taken, conditions, units)
    swap = SwappedBlock(block.kind.name, block.title, why, instead.kind.name)
    note = f"{block.title} is swapped for {instead.kind.name}: {why}"
    return _Ready(instead, shots_of(instead, bag, carry_of, units), swap, (note,))


def _unmet(block: Block, conditions: Conditions, units: UnitChoice) -> tuple[str, tuple[str, ...]]:
    """Why the wind does not suit `block` (empty where it does), and what is to be said when nobody knows."""
    gates = [gate for gate in (block.gate, block.kind.wind) if gate is not None]
    if not gates or block.kind is WARM_UP:
        return "", ()
    if conditions.wind.knowledge is WindKnowledge.UNKNOWN:
        unknown = (
            f"the wind is not known, so whether it suits {block.title} cannot be judged: read it before that block"
        )
        return "", (unknown,)
    wind = conditions.wind.turned(block.flag.bearing_rad if block.flag else 0.0)
    whys = [gate.unmet(wind, units) for gate in gates]
    return next((why for why in whys if why), ""), ()


def _instead(block: Block, taken: set[str], conditions: Conditions, units: UnitChoice) -> Block:
    """A block of the same clubs and balls that today can teach, of a drill not yet in the session if there is one."""
    wind = conditions.wind
    too_strong = (
        wind.knowledge is not WindKnowledge.UNKNOWN and block.gate is not None and block.gate.is_too_strong(wind)
    )
    names = _IN_STRONG_WIND if too_strong else _WITHOUT_WIND
    others = [name for name in names if name != block.kind.name]
    name = next((name for name in others if name not in taken), others[0])
    return Block(name, block.clubs, block.balls, flags=block.flags)


def _warm_up(first: Block, bag: Bag, count: int, units: UnitChoice) -> list[AgendaBall]:
    """Short swings with a wedge first, longer swings and clubs up to the first block's later."""
    names = [club.name for club in reversed(bag.clubs)]
    end = min(names.index(bag.club(club, first.title).name) for club in first.clubs)
    wedges = [i for i, name in enumerate(names) if name == "pitching wedge"]
    start = min(wedges[0] if wedges else 0, end)
    return _loosening([names[start], names[(start + end + 1) // 2], names[end]], count, units)


def _loosening(clubs: list[str], count: int, units: UnitChoice, cue: str = "") -> list[AgendaBall]:
    hit = []
    for ball in range(count):
        third = ball * len(_WARM_UP_SWINGS) // count
        cell = Cell(clubs[ball * len(clubs) // count], 0.0, _WARM_UP_SWINGS[third])
        reason = _filled(WARM_UP.reason, cell, None, "", units)
        hit.append(AgendaBall(0, WARM_UP.name, cell, None, Stage.WARM_UP, cue or WARM_UP.cues[0], reason))
    return hit


def _block_balls(
    ready: _Ready, bag: Bag, count: int, rng: np.random.Generator, units: UnitChoice
) -> list[AgendaBall]:
    block, kind, shots = ready.block, ready.block.kind, ready.shots
    if kind is WARM_UP:
        return _loosening([bag.club(club).name for club in block.clubs], count, units, block.cue)
    stage = block.stage or kind.stage
    order = order_of_levels(kind.order, stage, len(shots.cells), count, rng)
    hit = []
    for ball, level in enumerate(order):
        cell, target_m = shots.cells[level], shots.targets_m[level]
        turn = kind.turns[ball % len(kind.turns)] if kind.turns else ""
        reason = _filled(_template(block, shots.cells, level), cell, target_m, turn, units)
        if ready.swap:
            reason = f"{reason[:-1]} (in place of the {ready.swap.drill}: {ready.swap.why})."
        flag = block.flag or _nearest(block.flags, target_m)
        cue = block.cue or kind.cues[ball % len(kind.cues)]
        hit.append(AgendaBall(0, kind.name, cell, target_m, stage, cue, reason, flag.name if flag else None))
    return hit


def _template(block: Block, cells: tuple[Cell, ...], level: int) -> str:
    """The drill's sentence: its first one for the shot that the others are compared with."""
    kind = block.kind
    if not kind.reason_first:
        return kind.reason
    if block.fit or kind.fit:
        return kind.reason_first if level == 0 else kind.reason
    first_of_club = next(cell for cell in cells if cell.club == cells[level].club)
    return kind.reason_first if cells[level] == first_of_club else kind.reason


def _filled(template: str, cell: Cell, target_m: float | None, turn: str, units: UnitChoice) -> str:
    return template.format(
        shot=shot_in_words(cell, units),
        club=cell.club,
        grip=units.shown_grip(cell.grip_down_m),
        swing=cell.swing.value,
        target=units.shown_distance(target_m) if target_m is not None else "",
        turn=turn,
    )


def _nearest(flags: tuple[RangeFlag, ...], target_m: float) -> RangeFlag | None:
    near = (flag for flag in flags if abs(flag.distance_m - target_m) <= NEAR_FLAG * target_m)
    return min(near, key=lambda flag: abs(flag.distance_m - target_m), default=None)
