"""Blocks fitted to one player and one wind: what today cannot teach is swapped, and said."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.core.bag import Bag, Cell
from trainer.core.conditions import Conditions, WindKnowledge
from trainer.core.schedule.ages import JUNIOR_MOST_GRIP_M
from trainer.core.schedule.balls import SwappedBlock
from trainer.core.schedule.block import Block, CarryOf, Shots, shots_of
from trainer.core.schedule.drills import WARM_UP
from trainer.core.schedule.knowledge import Knowledge
from trainer.core.schedule.prompts import SafetyLimits
from trainer.core.units import UnitChoice

_WITHOUT_WIND = ("grip-down steps", "swing-length steps", "knockdown baseline")
_IN_STRONG_WIND = ("turf line check", "low window", "start-line gate")


@dataclass(frozen=True, slots=True)
class Done:
    """What of a session is behind the player: its blocks' balls, those of them that were mixed or tested, low shots.

    Limits that count a session's balls count these too, when the rest is planned anew.
    """

    balls: int = 0
    mixed: int = 0
    low: int = 0


NOTHING_DONE = Done()


@dataclass(frozen=True, slots=True, eq=False)
class Evening:
    """Everything a session is fitted to. `carry_of` gives what a cell should carry in these conditions."""

    bag: Bag
    conditions: Conditions
    carry_of: CarryOf
    units: UnitChoice
    limits: SafetyLimits
    knowledge: Knowledge | None = None
    done: Done = NOTHING_DONE

    @property
    def junior(self) -> bool:
        """Whether juniors' limits hold."""
        return self.knowledge is not None and self.knowledge.age_band.is_junior


@dataclass(frozen=True, slots=True)
class Fitted:
    """A block that today can teach, with its shots, and what it took the place of."""

    block: Block
    shots: Shots
    swap: SwappedBlock | None = None
    notes: tuple[str, ...] = ()


def fit_blocks(blocks: tuple[Block, ...], evening: Evening) -> tuple[Fitted, ...]:
    """Each block, or the one that takes its place."""
    fitted: list[Fitted] = []
    for block in blocks:
        taken = {other.kind.name for other in blocks} | {done.block.kind.name for done in fitted}
        fitted.append(_fitted(block, taken, evening))
    return tuple(fitted)


def _fitted(block: Block, taken: set[str], evening: Evening) -> Fitted:
    why, notes = _unmet(block, evening.conditions, evening.units)
    if not why:
        shots, short = _shots(block, evening)
        needed = block.kind.shots_at_least if block.fit or block.kind.fit else 1
        if len(shots.cells) >= needed:
            return Fitted(block, shots, notes=notes + shots.refused + short)
        why = "; ".join(shots.refused) or f"it needs {needed} clubs that carry the same"
    instead = _instead(block, taken, evening.conditions, evening.units)
    swap = SwappedBlock(block.kind.name, block.title, why, instead.kind.name)
    note = f"{block.title} is swapped for {instead.kind.name}: {why}"
    return Fitted(instead, _shots(instead, evening)[0], swap, (note,))


def _shots(block: Block, evening: Evening) -> tuple[Shots, tuple[str, ...]]:
    """The block's shots; for juniors without those too far down the grip, which is said."""
    shots = shots_of(block, evening.bag, evening.carry_of, evening.units)
    if not evening.junior:
        return shots, ()
    kept = [i for i, cell in enumerate(shots.cells) if cell.grip_down_m <= JUNIOR_MOST_GRIP_M]
    if len(kept) == len(shots.cells):
        return shots, ()
    note = f"{block.title}: more than an inch down is left out on a junior's short club"
    if not kept:
        held = tuple(dict.fromkeys(Cell(cell.club, 0.0, cell.swing) for cell in shots.cells))
        carries = tuple(evening.carry_of(cell) for cell in held)
        return Shots(held, carries, shots.refused), (note,)
    return Shots(tuple(shots.cells[i] for i in kept), tuple(shots.targets_m[i] for i in kept), shots.refused), (note,)


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
