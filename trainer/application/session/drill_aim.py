"""What the block of a running session is to reach, and what the balls hit for it say of that.

A plan's own aim counts over its drill's balls of the last sessions; without one the shot's stage does. The rule is
`core.schedule.aim`: a mean of a lucky few never passes.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from trainer.application.evidence.history import History
from trainer.application.planning.past_shots import past_shots
from trainer.application.session.aim_measures import UNTOLD, Found, TooFew, measured
from trainer.application.session.live_words import short_cell
from trainer.core.bag import Cell
from trainer.core.profile import AgeBand
from trainer.core.schedule.aim import (
    LEAST_BALLS,
    MOST_BALLS,
    Aim,
    Verdict,
    verdict,
)
from trainer.core.schedule.block import Block
from trainer.core.schedule.progress import ADULT_RULES, JUNIOR_RULES, Standing, mean_interval, standing_of
from trainer.core.schedule.stages import Stage
from trainer.core.units import UnitChoice, change_from_si, counted, from_si, whole
from trainer.plan.words import MEASURES
from trainer.store.records import AgendaBallRecord, BallState, NewBall, OwnCall, ShotRecord

INTERVAL_WIDTH = "interval width"
"""The one measure that no ball is counted for: the estimate judges itself."""

Agendas = Mapping[int, Mapping[int, NewBall]]
"""Of each session, its agenda's balls by number."""


@dataclass(frozen=True, slots=True, eq=False)
class Evening:
    """A running session's plan as it stands: its agenda, the blocks that came of it, and what was said first.

    `before` are the agendas of earlier sessions.
    """

    session_id: int
    agenda: tuple[AgendaBallRecord, ...] = ()
    blocks: tuple[Block, ...] = ()
    age_band: AgeBand = AgeBand.ADULT
    before: Agendas | None = None
    said: tuple[OwnCall, ...] = ()

    @property
    def next_ball(self) -> NewBall | None:
        """The first ball that waits."""
        return next((each.ball for each in self.agenda if each.state is BallState.WAITING), None)

    def begun(self, block: int) -> bool:
        """Whether a ball of a block was hit."""
        return any(each.ball.block == block and each.state is BallState.HIT for each in self.agenda)

    def block(self, ball: NewBall) -> Block | None:
        """The block that a ball comes of; None for the warm-up, and where another drill was put in its place."""
        if not 0 <= ball.block < len(self.blocks):
            return None
        block = self.blocks[ball.block]
        return block if block.kind.name == ball.drill else None


@dataclass(frozen=True, slots=True)
class AimWords:
    """The aim in a line, and how far it is reached in one or two."""

    aim: str
    reached: tuple[str, ...] = ()


def aim_words(history: History, evening: Evening, ball: NewBall | None, widths_m: Mapping[Cell, float]) -> AimWords:
    """The aim of a ball's block, or of its shot's stage; `widths_m`: how wide the estimates are."""
    if ball is None or ball.stage == Stage.WARM_UP:
        return AimWords("")
    block = evening.block(ball)
    if block is None or block.aim is None:
        return _stage_words(history, evening, ball.cell)
    aim, units = block.aim, history.profile.units
    over = f", over {aim.over_sessions} sessions" if aim.over_sessions > 1 else ""
    bound = f"{aim.measure} at {'most' if aim.at_most else 'least'} {_shown(aim.bound, aim.measure, units)}{over}"
    title = f"Aim of {block.kind.name}: {bound}"
    if aim.measure == INTERVAL_WIDTH:
        return AimWords(title, _width_words(aim, block, evening, widths_m, units))
    balls = _balls_of(history, evening, block, aim.over_sessions)
    return AimWords(title, _reached(aim, measured(aim.measure, balls, history.readings, evening.said), units))


# A plan's own aim


def _balls_of(history: History, evening: Evening, block: Block, sessions: int) -> list[ShotRecord]:
    """The balls of a drill with the block's clubs, oldest first, of the last `sessions` sessions that have any."""
    own = {each.number: each.ball for each in evening.agenda}
    agendas: dict[int, Mapping[int, NewBall]] = {**(evening.before or {}), evening.session_id: own}
    hit = []
    for shot in history.shots:
        ball = agendas.get(shot.session_id, {}).get(shot.agenda_number or 0)
        if ball is not None and ball.drill == block.kind.name and shot.cell.club in block.clubs:
            hit.append(shot)
    last = list(dict.fromkeys(shot.session_id for shot in hit))[-sessions:]
    return [shot for shot in hit if shot.session_id in last][-MOST_BALLS * sessions :]


def _reached(aim: Aim, found: Found | TooFew, units: UnitChoice) -> tuple[str, ...]:
    if isinstance(found, TooFew):
        how = UNTOLD.get(aim.measure, "") if not found.balls else ""
        how = how or f"{counted(found.balls, 'ball')} so far, {LEAST_BALLS} at the least"
        return (f"{Verdict.CANNOT_TELL}: {how}",)
    value, low, high = (_shown(number, aim.measure, units) for number in (found.value, *found.ends))
    sessions = f" in {found.sessions} sessions" if found.sessions > 1 else ""
    said = verdict(aim, found.ends, found.balls, found.sessions)
    so_far = f"so far {value} ({low} to {high}), {counted(found.balls, 'ball')}{sessions}"
    return (f"{so_far}: {said}{_why_open(aim, said, found)}",)


def _why_open(aim: Aim, said: Verdict, found: Found) -> str:
    if said is not Verdict.CANNOT_TELL:
        return ""
    if found.balls < LEAST_BALLS:
        return f", {LEAST_BALLS} balls at the least"
    inside = found.ends[1] <= aim.bound if aim.at_most else found.ends[0] >= aim.bound
    return f", it is to hold in {aim.over_sessions} sessions" if inside else ""


def _width_words(
    aim: Aim, block: Block, evening: Evening, widths_m: Mapping[Cell, float], units: UnitChoice
) -> tuple[str, ...]:
    """The widest of the block's shots: an interval judges itself."""
    place = evening.blocks.index(block)
    cells = {each.ball.cell for each in evening.agenda if each.ball.block == place}
    wide = {cell: widths_m[cell] for cell in cells if cell in widths_m}
    if not wide:
        return ()
    widest = max(wide, key=lambda cell: wide[cell])
    done = sum(width_m <= aim.bound for width_m in wide.values())
    said = Verdict.PASSED if done == len(wide) else Verdict.NOT_YET
    shown = _shown(wide[widest], aim.measure, units)
    return (f"{done} of {len(wide)} shots there, the widest {short_cell(widest, units)} with {shown}: {said}",)


def _shown(value: float, measure: str, units: UnitChoice) -> str:
    kind = MEASURES.get(measure, "fraction")
    if kind == "length":
        return f"{whole(change_from_si(value, units.distance))} {units.distance}"
    if kind == "speed":
        return f"{from_si(value, units.speed):.1f} {units.speed}"
    if kind == "angle":
        return f"{math.degrees(value):.0f}°"
    return f"{100 * value:.0f} %"


# A shot's stage, where the plan has no aim


def _stage_words(history: History, evening: Evening, cell: Cell) -> AimWords:
    rules = JUNIOR_RULES if evening.age_band.is_junior else ADULT_RULES
    mine = replace(history, shots=tuple(shot for shot in history.shots if shot.cell == cell))
    standing = standing_of(past_shots(mine), rules)
    name = short_cell(cell, history.profile.units)
    if standing.mastered:
        due = "" if standing.due is None else f"; due again {standing.due:%d %b}"
        return AimWords(f"{name}: its test is {Verdict.PASSED}{due}")
    further = {Stage.SETTLE: Stage.STEP, Stage.STEP: Stage.MIX, Stage.MIX: Stage.TEST}.get(standing.stage)
    moves = "passed" if further is None else f"on to {further}"
    aim = Aim("mean error", rules.pass_error, at_most=True)
    words = f"{name}, {standing.stage}: {moves} at a mean error of {100 * rules.pass_error:.0f} % or less"
    return AimWords(words, _stage_reached(standing, aim, rules.least))


def _stage_reached(standing: Standing, aim: Aim, least: int) -> tuple[str, ...]:
    errors = standing.recent
    if len(errors) < 2:
        return (f"{Verdict.CANNOT_TELL}, {least} balls with a target and a carry at the least",)
    low, high = mean_interval(errors)
    said = verdict(aim, (low, high), len(errors), 1, least)
    mean, first, last = (100 * value for value in (math.fsum(errors) / len(errors), max(low, 0.0), high))
    why = f", {least} balls at the least" if len(errors) < least else ""
    return (f"so far {mean:.0f} % ({first:.0f} to {last:.0f}), {len(errors)} balls: {said}{why}",)
