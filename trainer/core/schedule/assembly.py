"""From fitted blocks to balls: shots chosen by what they tell, ordered by stage, each with its reason and call."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from trainer.core.bag import Cell, Swing
from trainer.core.profile import RangeFlag
from trainer.core.schedule.ages import JUNIOR_MIX_SHARE
from trainer.core.schedule.balls import AgendaBall, Called
from trainer.core.schedule.block import Block, shot_in_words
from trainer.core.schedule.drill_kind import DrillKind, Use
from trainer.core.schedule.drills import WARM_UP, drill_named
from trainer.core.schedule.fitting import Evening, Fitted
from trainer.core.schedule.progress import standings, swings_seen_low
from trainer.core.schedule.prompts import is_feel_only
from trainer.core.schedule.stages import STAGES, Order, Stage, order_of_counts, order_of_levels
from trainer.core.schedule.telling import LOOK_AGAIN_SHOTS, Line, Telling, Told
from trainer.core.units import UnitChoice

if TYPE_CHECKING:
    import numpy as np

NEAR_FLAG = 0.1
"""A flag farther from the target than this fraction of it is no help in judging the carry."""

_WARM_UP_SWINGS = (Swing.HALF, Swing.THREE_QUARTER, Swing.FULL)
_RANDOM = {Stage.MIX, Stage.TEST}
_SKILL_INSTEAD = "landing box"


@dataclass(slots=True)
class Assembly:
    """Balls put together block by block; what the other blocks will tell counts for those that choose."""

    evening: Evening
    rng: np.random.Generator
    telling: Telling | None
    hit: list[AgendaBall] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def add(self, blocks: Sequence[tuple[Fitted, int, Stage]]) -> None:
        """Put the balls of the blocks, each with its count and stage, on the agenda.

        Blocks whose shots are chosen for what they tell come last to be filled, for what the others are going to tell
        needs no ball of theirs, and stand in their own place all the same.
        """
        choosing = [self._is_choosing(fitted) for fitted, _, _ in blocks]
        filled: dict[int, list[AgendaBall]] = {}
        for place in sorted(range(len(blocks)), key=lambda place: choosing[place]):
            fitted, count, stage = blocks[place]
            fill = self._chosen_balls if choosing[place] else self._plain_balls
            filled[place] = fill(place, fitted, count, stage)
        for place in range(len(blocks)):
            self.hit += filled[place]

    def _is_choosing(self, fitted: Fitted) -> bool:
        return self.telling is not None and fitted.block.kind.by_gain and len(fitted.shots.cells) > 1

    def _plain_balls(self, place: int, fitted: Fitted, count: int, stage: Stage) -> list[AgendaBall]:
        if fitted.block.kind is WARM_UP:
            clubs = [self.evening.bag.club(club).name for club in fitted.block.clubs]
            return loosening(clubs, count, self.evening.units, fitted.block.cue, place)
        return self._block_balls(place, fitted, count, stage)

    def _chosen_balls(self, place: int, fitted: Fitted, count: int, stage: Stage) -> list[AgendaBall]:
        chosen = self._chosen(place, fitted, count)
        hit = self._told_balls(place, fitted, chosen, stage)
        left = count - len(chosen)
        return hit + (self._skill_instead(place, fitted, left, stage) if left else [])

    def _chosen(self, place: int, fitted: Fitted, count: int) -> tuple[Told, ...]:
        assert self.telling is not None
        if is_feel_only(self.evening.conditions.wind, self.evening.limits):
            return ()
        cells = fitted.shots.cells
        return self.telling.choose(place, cells, count, _most_a_cell(count, cells), _lines(fitted.block))

    def _skill_instead(self, place: int, fitted: Fitted, left: int, stage: Stage) -> list[AgendaBall]:
        """What is hit where no ball would tell more: the same shots at a landing box, the least sure ones oftener."""
        assert self.telling is not None
        what = "nothing more above your goal can be learned in this wind"
        if is_feel_only(self.evening.conditions.wind, self.evening.limits):
            what = "this wind is too strong or too gusty to measure in"
        self.notes.append(f"{fitted.block.title}: {what}, so {left} balls go to the {_SKILL_INSTEAD}")
        own, cells = fitted.block, fitted.shots.cells
        block = Block(_SKILL_INSTEAD, own.clubs, left, flag=own.flag, flags=own.flags, added=True)
        told = self.telling.anyway(cells, left, _most_a_cell(left, cells), _lines(own))
        counts = [sum(one.cell == cell for one in told) for cell in cells]
        levels = order_of_counts(stage, counts, self.rng)
        levels += order_of_levels(Order.BY_STAGE, stage, len(cells), left - len(levels), self.rng)
        return self._level_balls(place, Fitted(block, fitted.shots), stage, levels)

    def _told_balls(self, place: int, fitted: Fitted, chosen: tuple[Told, ...], stage: Stage) -> list[AgendaBall]:
        """The chosen balls, those that tell most before the others, each part of them in the order of the stage."""
        starts = range(0, len(chosen), LOOK_AGAIN_SHOTS)
        parts = [chosen[start : start + LOOK_AGAIN_SHOTS] for start in starts]
        return [ball for part in parts for ball in self._staged(place, fitted, part, stage)]

    def _staged(self, place: int, fitted: Fitted, chosen: tuple[Told, ...], stage: Stage) -> list[AgendaBall]:
        kind, units = fitted.block.kind, self.evening.units
        different = list(dict.fromkeys((told.cell, told.line) for told in chosen))
        by_shot = [[told for told in chosen if (told.cell, told.line) == shot] for shot in different]
        hit: list[AgendaBall] = []
        for level in order_of_counts(stage, [len(told) for told in by_shot], self.rng):
            told = by_shot[level].pop(0)
            target_m = told.carry_m
            flag = fitted.block.flag or _on_the_way(fitted.block.flags, told.line, target_m)
            if fitted.block.flag is not None:
                target_m = fitted.block.flag.distance_m
            reason = told.reason(units)
            cue = fitted.block.cue or kind.cues[len(hit) % len(kind.cues)]
            hit.append(self._ball(place, kind, told.cell, target_m, stage, cue, reason, flag))
        return hit

    def _block_balls(self, place: int, fitted: Fitted, count: int, stage: Stage) -> list[AgendaBall]:
        levels = order_of_levels(fitted.block.kind.order, stage, len(fitted.shots.cells), count, self.rng)
        return self._level_balls(place, fitted, stage, levels)

    def _level_balls(self, place: int, fitted: Fitted, stage: Stage, levels: Sequence[int]) -> list[AgendaBall]:
        block, kind, shots = fitted.block, fitted.block.kind, fitted.shots
        hit = []
        for ball, level in enumerate(levels):
            cell, target_m = shots.cells[level], shots.targets_m[level]
            turn = kind.turns[ball % len(kind.turns)] if kind.turns else ""
            reason = _filled(_template(block, shots.cells, level), cell, target_m, turn, self.evening.units)
            if fitted.swap:
                reason = f"{reason[:-1]} (in place of the {fitted.swap.drill}: {fitted.swap.why})."
            flag = block.flag or self._flag(block, cell, target_m)
            cue = block.cue or kind.cues[ball % len(kind.cues)]
            hit.append(self._ball(place, kind, cell, target_m, stage, cue, reason, flag))
        return hit

    def _flag(self, block: Block, cell: Cell, target_m: float) -> RangeFlag | None:
        """The flag near the target along whose line the ball tells most, else the nearest.

        A block that is not the plan's own has no target of its own: its balls may go along any line.
        """
        near = tuple(flag for flag in block.flags if block.added or _is_near(flag, target_m))
        if self.telling is None or len({flag.bearing_rad for flag in near}) < 2:
            return _nearest(near, target_m)
        line = self.telling.best_line(cell, tuple(flag.name for flag in near))
        if block.added:
            return _on_the_way(near, line, target_m)
        return _nearest(_on_line(near, line) or near, target_m)

    def _ball(
        self, place: int, kind: DrillKind, cell: Cell, target_m: float, stage: Stage, cue: str, reason: str,
        flag: RangeFlag | None,
    ) -> AgendaBall:  # fmt: skip
        name = flag.name if flag else None
        called: Called | None = None
        if self.telling is not None:
            self.telling.hit(place, cell, name)
            # A drill hit both ways has no one line to call a ball along.
            called = None if kind.name == "into-and-down pairs" else self.telling.called(cell, name)
        knowledge = self.evening.knowledge
        checked: bool | None = None
        if knowledge is not None and cell.swing is not Swing.FULL:
            checked = cell.swing in swings_seen_low(knowledge.past)
        return AgendaBall(0, kind.name, cell, target_m, stage, cue, reason, name, called, checked, block=place)


def stages_of(fitted: Sequence[Fitted], counts: Sequence[int], evening: Evening) -> tuple[list[Stage], list[str]]:
    """The stage of each block: the plan's, for measuring drills that of its least settled shot, else the drill's.

    Of a junior's balls at most two in five are mixed or tested; what goes beyond steps in short runs, and is said.
    """
    knowledge = evening.knowledge
    known = standings(knowledge.past, knowledge.rules) if knowledge else {}
    stages, notes, random_balls = [], [], evening.done.mixed
    most = math.floor(JUNIOR_MIX_SHARE * (evening.done.balls + sum(counts)))
    for one, count in zip(fitted, counts, strict=True):
        stage = one.block.stage or _own_stage(one, {cell: known[cell].stage for cell in known})
        if stage in _RANDOM and evening.junior and random_balls + count > most:
            stage = Stage.STEP
            notes.append(f"{one.block.title}: in short runs, for juniors mix at most two balls in five")
        random_balls += count if stage in _RANDOM else 0
        stages.append(stage)
    return stages, notes


def _own_stage(fitted: Fitted, known: dict[Cell, Stage]) -> Stage:
    kind = fitted.block.kind
    by_standing = kind.use is Use.MEASUREMENT and kind.order is Order.BY_STAGE and kind.stage is not Stage.TEST
    cells = [known[cell] for cell in fitted.shots.cells if cell in known]
    if not by_standing or not cells:
        return kind.stage
    if len(cells) < len(fitted.shots.cells):
        cells.append(kind.stage)
    return STAGES[min(STAGES.index(stage) for stage in cells)]


def loosening(clubs: list[str], count: int, units: UnitChoice, cue: str = "", place: int = -1) -> list[AgendaBall]:
    """Warm-up balls: short swings with the first of `clubs`, longer ones and the later clubs at the end."""
    hit = []
    for ball in range(count):
        third = ball * len(_WARM_UP_SWINGS) // count
        cell = Cell(clubs[ball * len(clubs) // count], 0.0, _WARM_UP_SWINGS[third])
        reason = _filled(WARM_UP.reason, cell, None, "", units)
        ball_cue = cue or WARM_UP.cues[0]
        hit.append(AgendaBall(0, WARM_UP.name, cell, None, Stage.WARM_UP, ball_cue, reason, block=place))
    return hit


def _template(block: Block, cells: tuple[Cell, ...], level: int) -> str:
    """The drill's sentence: its first one for the shot that the others are compared with."""
    kind = drill_named(block.drill)
    if block.reason:
        return block.reason
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


def _most_a_cell(balls: int, cells: Sequence[Cell]) -> int:
    """No shot is hit more often than this in one block, whatever it tells."""
    return max(6, math.ceil(2 * balls / len(cells)))


def _lines(block: Block) -> tuple[str, ...]:
    """The flags that a block may be hit at; none means the line itself."""
    return (block.flag.name,) if block.flag else tuple(flag.name for flag in block.flags)


def _on_line(flags: tuple[RangeFlag, ...], line: Line) -> tuple[RangeFlag, ...]:
    return tuple(flag for flag in flags if flag.name in line.flags)


def _on_the_way(flags: tuple[RangeFlag, ...], line: Line, target_m: float) -> RangeFlag | None:
    """The flag to aim at along `line`; where that is not straight out one shows the way at any distance."""
    on_line = _on_line(flags, line)
    if line.straight_out or not on_line:
        return _nearest(on_line, target_m)
    return min(on_line, key=lambda flag: abs(flag.distance_m - target_m))


def _is_near(flag: RangeFlag, target_m: float) -> bool:
    return abs(flag.distance_m - target_m) <= NEAR_FLAG * target_m


def _nearest(flags: tuple[RangeFlag, ...], target_m: float) -> RangeFlag | None:
    near = (flag for flag in flags if _is_near(flag, target_m))
    return min(near, key=lambda flag: abs(flag.distance_m - target_m), default=None)
