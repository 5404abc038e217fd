"""A plan in the player's terms -> blocks that the agenda can be built from."""

from __future__ import annotations

from trainer.core.bag import Bag, Cell, swing_named
from trainer.core.errors import InputError
from trainer.core.profile import Profile, RangeFlag
from trainer.core.schedule.aim import Aim
from trainer.core.schedule.block import Block
from trainer.core.schedule.drill_kind import Fit
from trainer.core.schedule.drills import drill_named
from trainer.core.schedule.stages import Stage
from trainer.core.schedule.wind_gate import WindGate
from trainer.core.units import parse_quantity
from trainer.exchange.cell_text import parse_grip_down
from trainer.plan.model import Plan, PlanBlock
from trainer.plan.words import MEASURES, STOCK_CARRY, club_meant

NEAREST_FLAG = "nearest"
"""A plan's `flag` that means whichever flag of the range is nearest to the target."""


def blocks_of(plan: Plan, bag: Bag, profile: Profile) -> tuple[Block, ...]:
    """The plan's blocks with `bag`'s clubs, the profile's flags and SI units.

    "Stock carry of 8 iron" becomes that cell, so that the agenda aims at what the player's own estimate says of it
    in the session's conditions. Raises InputError for a club that is not in the bag and a flag that is not known.
    """
    return tuple(_block(plan, number, block, bag, profile) for number, block in enumerate(plan.block, 1))


def _block(plan: Plan, number: int, block: PlanBlock, bag: Bag, profile: Profile) -> Block:
    where = f"plan {plan.id}, block {number}"
    flag, flags = _flags(block, profile, where)
    return Block(
        drill=drill_named(block.drill, where).name,
        clubs=tuple(_club(name, bag, where) for name in block.clubs),
        balls=block.balls,
        grips_m=tuple(parse_grip_down(text, None, where) for text in block.grip_down or ()),
        swings=tuple(swing_named(text, where) for text in block.swing or ()),
        fit=Fit(block.fit) if block.fit else None,
        target=_target(block, bag, where),
        stage=Stage(block.stage) if block.stage else None,
        gate=_gate(plan, block),
        flag=flag,
        flags=flags,
        cue=block.cue or "",
        note=block.note or "",
        aim=_aim(block),
    )


def _aim(block: PlanBlock) -> Aim | None:
    said = block.aim
    if said is None:
        return None
    text = said.at_most if said.at_most is not None else said.at_least or ""
    bound = parse_quantity(text, MEASURES[said.measure], None)
    return Aim(said.measure, bound, said.at_most is not None, said.over_sessions)


def _club(name: str, bag: Bag, where: str) -> str:
    try:
        return bag.club(club_meant(name)).name
    except InputError as error:
        held = ", ".join(club.name for club in bag.clubs)
        remedy = f"add it with trainer setup, or put another in the plan: the bag holds {held}"
        raise InputError(f"'{name}' is not in the bag", where, remedy) from error


def _target(block: PlanBlock, bag: Bag, where: str) -> float | Cell | None:
    if block.target is None:
        return None
    if stock := STOCK_CARRY.fullmatch(block.target):
        return Cell(_club(stock[1], bag, where))
    return parse_quantity(block.target, "length", None, where)


def _gate(plan: Plan, block: PlanBlock) -> WindGate | None:
    """The block's own gate, else the plan's: of that only the limits for a drill that needs no wind."""
    if block.wind is not None:
        return block.wind.gate()
    if plan.wind is None:
        return None
    gate = plan.wind.gate()
    if drill_named(block.drill).any_wind:
        gate = gate.limits_only()
    return None if gate == WindGate() else gate


def _flags(block: PlanBlock, profile: Profile, where: str) -> tuple[RangeFlag | None, tuple[RangeFlag, ...]]:
    """The flag that the plan names, or those to choose from; balls hit for what they tell may go to any."""
    if block.flag is None:
        return None, profile.flags if drill_named(block.drill).by_gain else ()
    if block.flag == NEAREST_FLAG:
        return None, profile.flags
    return profile.flag(block.flag, where), ()
