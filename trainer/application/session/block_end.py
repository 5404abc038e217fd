"""What a block's balls changed, worked out from before and after; kept nowhere."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from trainer.application.estimates.learning import Known
from trainer.application.estimates.snapshot import Range80
from trainer.application.evidence.history import History
from trainer.application.flights.cell_page import Ball, balls_of
from trainer.application.session.drill_aim import Evening
from trainer.application.session.live_words import short_cell
from trainer.application.views.practice import harmless
from trainer.application.views.session_pictures import BlockEnd
from trainer.core.bag import Cell
from trainer.core.decide.change import Z95
from trainer.core.schedule.stages import Stage
from trainer.core.units import UnitChoice, counted, from_si, whole
from trainer.store.records import BallState

MOST_LINES = 3
FEWEST_FOR_SCATTER = 5


@dataclass(frozen=True, slots=True)
class Ended:
    """A block whose last ball was just dealt with: its place, the numbers of its balls, whether it was a test."""

    block: int
    numbers: frozenset[int]
    test: bool


def ended_block(evening: Evening) -> Ended | None:
    """The block that has just come to its end; None while it goes on, and where none of its balls was hit."""
    done = [each for each in evening.agenda if each.state is not BallState.WAITING and each.ball.block >= 0]
    if not done:
        return None
    block = max(done, key=lambda each: each.number).ball.block
    mine = [each for each in evening.agenda if each.ball.block == block]
    hit = [each for each in mine if each.state is BallState.HIT]
    if not hit or any(each.state is BallState.WAITING for each in mine):
        return None
    return Ended(block, frozenset(each.number for each in hit), hit[-1].ball.stage == Stage.TEST)


@dataclass(frozen=True, slots=True)
class Moved:
    """A shot of the block: what was known of its carry before its first ball, and what is now."""

    cell: Cell
    before: Range80
    now: Range80


def block_end(
    ended: Ended, moved: Sequence[Moved], aim: tuple[str, ...], history: History, known: Known, session_id: int
) -> BlockEnd:
    """The end of a block in words: the shot that is known better by most first, at last its `aim`; three lines."""
    units = history.profile.units
    order = sorted(moved, key=lambda each: -abs(math.log(each.now.half_width_m / each.before.half_width_m)))
    room = MOST_LINES - len(aim)
    room -= len(order) > room
    lines = []
    for each in order[:room]:
        balls = balls_of(history, each.cell, known)
        own = [
            ball for ball in balls if ball.shot.session_id == session_id and ball.shot.agenda_number in ended.numbers
        ]
        ids = {ball.shot.id for ball in own}
        scatter = scatter_words([ball for ball in balls if ball.shot.id not in ids], own)
        lines.append(f"{short_cell(each.cell, units)}: {change_words(each.before, each.now, units)}; {scatter}")
    if len(order) > room:
        more = len(order) - room
        lines.append(f"and {counted(more, 'more shot')}: see Gaps")
    said = tuple(harmless(line) for line in (*lines, *aim))
    return BlockEnd((ended.block, len(ended.numbers)), said, ended.test)


def change_words(before: Range80, now: Range80, units: UnitChoice) -> str:
    """`128 → 126 yd, ±5 → ±3: as thought`; a change is beyond noise outside what 8 in 10 was thought likely."""
    numbers = (before.median, now.median, before.half_width_m, now.half_width_m)
    was, is_now, half_before, half_now = (whole(from_si(value, units.distance)) for value in numbers)
    said = f"{was} → {is_now} {units.distance}, ±{half_before} → ±{half_now}"
    if before.low80 <= now.median <= before.high80:
        return f"{said}: as thought"
    return f"{said}: {'shorter' if now.median < before.median else 'longer'} than thought"


def scatter_words(earlier: Sequence[Ball], own: Sequence[Ball]) -> str:
    """Whether the struck balls of a block scatter otherwise than the earlier ones of the shot, both in still air.

    By the logarithm of their spreads, whose s.d. is 1/√(2(n−1)) for normal balls (from memory); 95 %.
    """
    before, after = _logs(earlier), _logs(own)
    if min(len(before), len(after)) < FEWEST_FOR_SCATTER:
        return "too few for scatter"
    difference = math.log(statistics.stdev(after) / statistics.stdev(before))
    noise = math.hypot(*(1 / math.sqrt(2 * (len(each) - 1)) for each in (before, after)))
    if abs(difference) <= Z95 * noise:
        return "no clear change in scatter"
    return "less scatter than before" if difference < 0 else "more scatter than before"


def _logs(balls: Sequence[Ball]) -> list[float]:
    held = [math.log(ball.still_m) for ball in balls if ball.still_m and not ball.shot.entry.mishit]
    return held if len(set(held)) > 1 else []
