"""What every session gets beside its plan: a cold probe first, the low flight before its numbers, one overdue shot,
the widest one, and a finish without feedback. Their balls come out of the plan's, and where they leave a choice of
shots and lines they go where they tell most of the plan's shots.

Counts are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from trainer.core.bag import Cell, Swing
from trainer.core.profile import RangeFlag
from trainer.core.schedule.block import Block, shot_in_words
from trainer.core.schedule.budget import share, warm_up_balls
from trainer.core.schedule.drills import WARM_UP
from trainer.core.schedule.fitting import Evening, fit_blocks
from trainer.core.schedule.information import choose_balls
from trainer.core.schedule.progress import Standing, standings, swings_seen_low
from trainer.core.schedule.stages import STAGES, Order, Stage

LEAST_WORKING_BALLS = 15
"""A session with fewer balls after the warm-up is the plan's alone."""

MOST_SHARE = 0.45
LOW_FLIGHT_BALLS = 6
SINGLE_SHOT_BALLS = 3
_PRACTISED_SHARE = 0.5
_COLD_BALLS = 2


@dataclass(frozen=True, slots=True)
class Framed:
    """The session's blocks in order, and what was added or moved, in words."""

    blocks: tuple[Block, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Extra:
    """A block to add, in words, and where: before the plan's blocks, after the first of them, or at the end."""

    block: Block
    words: str
    where: str


def framed(blocks: tuple[Block, ...], evening: Evening, room: int) -> Framed:
    """`blocks` with what a session needs beside them, within `room` balls; as they are where little is known."""
    knowledge = evening.knowledge
    own_warm_up = blocks[0].kind is WARM_UP
    working = room - (blocks[0].balls if own_warm_up else warm_up_balls(room))
    plan = blocks[1:] if own_warm_up else blocks
    if knowledge is None or working < LEAST_WORKING_BALLS or not plan:
        return Framed(blocks)
    plan, notes = _low_flight_first(plan, evening)
    extras = _within(_extras(plan, evening, working), plan, working)
    taken = sum(extra.block.balls for extra in extras)
    given_up = max(sum(block.balls for block in plan) - (working - taken), 0)
    if given_up:
        plan = _shrunk(plan, working - taken, evening)
    if extras:
        what = "; ".join(extra.words for extra in extras)
        out_of = f", {given_up} of them out of the plan's blocks" if given_up else ""
        notes = (*notes, f"{taken} balls are for {what}{out_of}")
    before, after, end = (
        tuple(extra.block for extra in extras if extra.where == where) for where in ("first", "middle", "end")
    )
    warm_up = blocks[:1] if own_warm_up else ()
    return Framed((*warm_up, *before, plan[0], *after, *plan[1:], *end), notes)


def _unchecked(plan: tuple[Block, ...], evening: Evening) -> frozenset[Swing]:
    """The plan's low swings while no low shot of this player was shown to be low; one that was is enough to go on."""
    assert evening.knowledge is not None
    used = {cell.swing for block in plan for cell in _cells(block, evening)} - {Swing.FULL}
    return frozenset() if swings_seen_low(evening.knowledge.past) else frozenset(used)


def _low_flight_first(plan: tuple[Block, ...], evening: Evening) -> tuple[tuple[Block, ...], tuple[str, ...]]:
    """The plan's own block that teaches the low flight goes first while that flight is not checked."""
    if not _unchecked(plan, evening):
        return plan, ()
    note = (
        "flight not checked: until your low shot is seen to be low its numbers may be those of another shot; tag a "
        "ball #low-checked, #under or #over your sight line, or type its height or time in the air"
    )
    teaching = [block for block in plan if block.kind.teaches_low_flight]
    if not teaching or teaching[0] is plan[0]:
        return plan, (note,)
    first = teaching[0]
    moved = f"{first.title} comes first: it teaches the low flight"
    return (first, *(block for block in plan if block is not first)), (note, moved)


def _extras(plan: tuple[Block, ...], evening: Evening, working: int) -> list[_Extra]:
    """What to add, the most needed first."""
    found = []
    tests = any(block.kind.stage is Stage.TEST or block.stage is Stage.TEST for block in plan[-1:])
    if not tests:
        found.append(_finish(plan, evening, max(3, min(6, working // 6))))
    unchecked = _unchecked(plan, evening)
    if unchecked and not any(block.kind.teaches_low_flight for block in plan):
        found.append(_low_window(plan, evening, unchecked))
    assert evening.knowledge is not None
    held = {club.name for club in evening.bag.clubs}
    known = {
        cell: standing
        for cell, standing in standings(evening.knowledge.past, evening.knowledge.rules).items()
        if cell.club in held and standing.last_day is not None and standing.last_day < evening.knowledge.today
    }
    used: set[Cell] = set()
    if not any(block.kind.name == "cold first six" for block in plan):
        found += _probe(plan, known, evening, max(3, min(6, working // 8)), used)
    found += _overdue(plan, known, evening, used)
    if known:
        found += _widest(plan, evening, used)
    return found


def _finish(plan: tuple[Block, ...], evening: Evening, balls: int) -> _Extra:
    cells = _plan_cells(plan, evening)
    chosen = _most_telling(cells, cells, balls, evening) or _spread_out(cells, balls)
    clubs = tuple(dict.fromkeys(cell.club for cell in chosen))
    block = Block("mixed targets", clubs, balls, cells=chosen, stage=Stage.TEST, flags=_flags(plan), added=True)
    return _Extra(block, "a finish without feedback", "end")


def _spread_out(cells: tuple[Cell, ...], balls: int) -> tuple[Cell, ...]:
    places = np.linspace(0, len(cells) - 1, min(balls, len(cells))).round().astype(int)
    return tuple(cells[int(place)] for place in places)


def _plan_cells(plan: tuple[Block, ...], evening: Evening) -> tuple[Cell, ...]:
    return tuple(dict.fromkeys(cell for block in plan for cell in _cells(block, evening)))


def _most_telling(cells: Sequence[Cell], of: Sequence[Cell], balls: int, evening: Evening) -> tuple[Cell, ...]:
    """As many different ones of `cells`, those that tell most `of` the others; none where nobody knows."""
    knowledge = evening.knowledge
    if knowledge is None or knowledge.beliefs is None:
        return ()
    beliefs = knowledge.beliefs
    places = {cell: place for place, cell in enumerate(beliefs.cells)}
    allowed = np.zeros(beliefs.shot_mean.shape, dtype=bool)
    allowed[0, [places[cell] for cell in cells if cell in places]] = True
    chosen = choose_balls(
        beliefs,
        np.array([places[cell] for cell in of if cell in places], dtype=np.int64),
        balls,
        goal_half_width_m=knowledge.goal_half_width_m,
        allowed=allowed.ravel(),
        most_a_cell=1,
        past_goal=True,
    )
    return tuple(beliefs.cells[choice.cell] for choice in chosen)


def _flags(plan: tuple[Block, ...]) -> tuple[RangeFlag, ...]:
    """The flags that the plan's balls may be hit at."""
    return next((block.flags for block in plan if block.flags), ())


def _low_window(plan: tuple[Block, ...], evening: Evening, unchecked: frozenset[Swing]) -> _Extra:
    cells = [cell for block in plan for cell in _cells(block, evening) if cell.swing in unchecked]
    swing = Swing.THREE_QUARTER if Swing.THREE_QUARTER in unchecked else Swing.HALF
    clubs = list(dict.fromkeys(cell.club for cell in cells if cell.swing is swing))
    middle = len(clubs) // 2
    # A low flight is the swing's, not one club's: three balls each with two clubs show it as well as six with one.
    two = tuple(clubs[max(middle - 1, 0) : middle + 1])
    block = Block("low window", two, LOW_FLIGHT_BALLS, swings=(swing,), added=True)
    return _Extra(block, "the low flight", "first")


def _probe(
    plan: tuple[Block, ...], known: dict[Cell, Standing], evening: Evening, balls: int, used: set[Cell]
) -> list[_Extra]:
    """The first balls at shots practised before, at least half as often as the most practised one; of them those that
    tell most. Only the first balls of a shot are cold, so few shots make a short probe.
    """
    most = max((one.balls for one in known.values()), default=0)
    least = max(SINGLE_SHOT_BALLS, _PRACTISED_SHARE * most)
    learned = {cell: standing for cell, standing in known.items() if standing.balls >= least}
    if not learned:
        return []
    balls = min(balls, max(SINGLE_SHOT_BALLS, _COLD_BALLS * len(learned)))
    furthest = max(learned, key=lambda cell: (*_how_far(learned[cell]), -_ordinal(learned[cell]), cell))
    cells = _most_telling(sorted(learned), _plan_cells(plan, evening), balls, evening) or (furthest,)
    if balls // len(cells) >= SINGLE_SHOT_BALLS:
        used.update(cells)
    clubs = tuple(dict.fromkeys(cell.club for cell in cells))
    block = Block("cold first six", clubs, balls, cells=cells, flags=_flags(plan), added=True)
    several = f"{len(cells)} shots practised before"
    shots = shot_in_words(cells[0], evening.units) if len(cells) == 1 else several
    since = max(last for cell in cells if (last := learned[cell].last_day) is not None)
    return [_Extra(block, f"the first balls at {shots}, last hit {since:%d %b}", "first")]


def _how_far(standing: Standing) -> tuple[bool, int]:
    return standing.mastered, STAGES.index(standing.stage)


def _ordinal(standing: Standing) -> int:
    return standing.last_day.toordinal() if standing.last_day else 0


def _overdue(plan: tuple[Block, ...], known: dict[Cell, Standing], evening: Evening, used: set[Cell]) -> list[_Extra]:
    assert evening.knowledge is not None
    due = [
        (standing.due, cell)
        for cell, standing in known.items()
        if standing.due is not None and standing.is_overdue(evening.knowledge.today) and cell not in used
    ]
    if not due:
        return []
    day, cell = min(due)
    used.add(cell)
    block = replace(
        _single("knockdown baseline", cell, SINGLE_SHOT_BALLS, plan),
        reason=f"The {{shot}} was due again on {day:%d %b}, so that it is not forgotten.",
    )
    return [_Extra(block, f"{shot_in_words(cell, evening.units)}, overdue since {day:%d %b}", "middle")]


def _widest(plan: tuple[Block, ...], evening: Evening, used: set[Cell]) -> list[_Extra]:
    assert evening.knowledge is not None
    beliefs = evening.knowledge.beliefs
    if beliefs is None:
        return []
    here = [
        cell
        for block in plan
        for cell in _cells(block, evening)
        if cell in beliefs.cells and cell not in used and block.kind is not WARM_UP
    ]
    if not here:
        return []
    widths = beliefs.still_half_width_m
    cell = max(here, key=lambda one: (float(widths[beliefs.position(one)]), one))
    now = evening.units.shown_distance(float(widths[beliefs.position(cell)]))
    # Said as of the session's start: by the time it is hit other balls may have told of it.
    block = replace(
        _single("knockdown baseline", cell, SINGLE_SHOT_BALLS, plan),
        reason=f"Before this session {{shot}} was the least sure of the plan's shots, ± {now}.",
    )
    return [_Extra(block, f"the least sure of the plan's shots, {shot_in_words(cell, evening.units)}", "middle")]


def _single(drill: str, cell: Cell, balls: int, plan: tuple[Block, ...]) -> Block:
    return Block(drill, (cell.club,), balls, cells=(cell,), flags=_flags(plan), added=True)


def _cells(block: Block, evening: Evening) -> tuple[Cell, ...]:
    """The shots that the block comes to today, or those of the block that takes its place."""
    return fit_blocks((block,), evening)[0].shots.cells


def _within(extras: list[_Extra], plan: tuple[Block, ...], working: int) -> list[_Extra]:
    """The first of `extras` that leave the plan's blocks most of the balls; the same order of evening as planned."""
    kept: list[_Extra] = []
    free = max(working - sum(block.balls for block in plan), 0)
    most = max(MOST_SHARE * working, free)
    for extra in extras:
        taken = sum(one.block.balls for one in kept) + extra.block.balls
        if taken <= most and working - taken >= 3 * len(plan):
            kept.append(extra)
    probes = [extra for extra in kept if extra.block.kind.name == "cold first six"]
    return probes + [extra for extra in kept if extra not in probes]


def _shrunk(plan: tuple[Block, ...], balls: int, evening: Evening) -> tuple[Block, ...]:
    """The plan's blocks with `balls` in all, sets of every level whole where another block takes the rest."""
    counts = list(share(tuple(block.balls for block in plan), balls))
    loose = [place for place, block in enumerate(plan) if block.kind.order is not Order.SETS]
    if loose:
        for place, block in enumerate(plan):
            levels = len(_cells(block, evening))
            if place not in loose and counts[place] > levels:
                over = counts[place] % levels
                counts[place] -= over
                counts[loose[-1]] += over
    return tuple(replace(block, balls=count) for block, count in zip(plan, counts, strict=True))
