"""The rules that race: the agenda as it is handed out, its choice of balls alone, and three simpler ones."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from tests.evidence.agenda_evenings import EVENING, GOAL_M, WANTED, Diary, Offer, Stretch
from tests.evidence.agenda_players import BAG, BENCH
from trainer.core.bag import Cell
from trainer.core.conditions import Conditions, Wind, WindKnowledge
from trainer.core.estimate.evidence import Ints
from trainer.core.profile import RangeFlag
from trainer.core.schedule.agenda import build_agenda
from trainer.core.schedule.block import Block, CarryOf
from trainer.core.schedule.budget import warm_up_balls
from trainer.core.schedule.information import choose_balls
from trainer.core.schedule.knowledge import Knowledge
from trainer.core.schedule.replan import replan
from trainer.core.schedule.stages import Stage
from trainer.core.schedule.telling import LOOK_AGAIN_SHOTS

Balls = list[tuple[int, int]]
"""The line, a place in the stretch's turns, and the cell, a place in the bench, of each ball."""

Rule = Callable[[Offer, Stretch, Diary, np.random.Generator], Balls]
"""The balls up to where the rule would look again at what was learned, at most those of the stretch."""


def as_arrays(balls: Balls) -> tuple[Ints, Ints]:
    """The turns and the cells (n,) of `balls`."""
    found = np.array(balls, dtype=np.int64).reshape(-1, 2)
    return found[:, 0], found[:, 1]


FLAGS = (RangeFlag("out", 300.0), RangeFlag("back", 300.0, math.pi))
WARM_UP = 15
_PLACES = {cell: place for place, cell in enumerate(BENCH.cells)}
_ROUND = Block(
    "gapping round",
    tuple(club.name for club in BAG.clubs),
    EVENING,
    cells=tuple(BENCH.cells[place] for place in WANTED),
    flags=FLAGS,
)


def whole_session(offer: Offer, stretch: Stretch, diary: Diary, rng: np.random.Generator) -> Balls:
    """A session as it is handed out, planned anew at every reading of the wind, at the end of every block and after
    every ten balls of one that chooses.

    A gapping round over the wanted shots with all that a session has beside it: warm-up (on top of the 45 balls, for
    nothing counts of it), the low flight on the first evening, cold probe, what is due, the least sure shot, a finish
    without feedback, the order of each stage, landing box where nothing more is to be learned.
    """
    read = Wind(
        WindKnowledge.READ,
        math.hypot(stretch.read_along, stretch.read_across),
        math.atan2(-stretch.read_across, -stretch.read_along) % (2 * math.pi),
    )
    knowledge = Knowledge(stretch.date, offer.beliefs, tuple(diary.past), goal_half_width_m=GOAL_M)
    carry_of = _carry_of(offer)
    if stretch.day != diary.day:
        assert warm_up_balls(EVENING + WARM_UP) == WARM_UP
        diary.agenda = build_agenda(
            (_ROUND,), BAG, balls=EVENING + WARM_UP, minutes=60, conditions=Conditions(read), rng=rng,
            expected_carry_m=carry_of, knowledge=knowledge,
        )  # fmt: skip
        diary.day, diary.hit = stretch.day, sum(ball.stage is Stage.WARM_UP for ball in diary.agenda.balls)
    else:
        assert diary.agenda is not None
        diary.agenda = replan(
            diary.agenda, diary.hit, BAG, conditions=Conditions(read), rng=rng, expected_carry_m=carry_of,
            knowledge=knowledge,
        ).agenda  # fmt: skip
    waiting = [ball for ball in diary.agenda.balls if ball.number > diary.hit]
    left = stretch.balls - diary.so_far % stretch.balls
    most = min(left, LOOK_AGAIN_SHOTS) if diary.agenda.blocks[waiting[0].block].kind.by_gain else left
    now = [ball for ball in waiting if ball.block == waiting[0].block][:most]
    diary.hit = now[-1].number
    return [(int(len(stretch.turns) > 1 and ball.flag == "back"), _PLACES[ball.cell]) for ball in now]


def _carry_of(offer: Offer) -> CarryOf:
    carry_m = offer.beliefs.stock_m * np.exp(offer.beliefs.shot_mean[0])

    def carry_of(cell: Cell) -> float:
        return float(carry_m[_PLACES[cell]])

    return carry_of


def balls_that_tell(offer: Offer, stretch: Stretch, diary: Diary, rng: np.random.Generator) -> Balls:
    """The choice of balls alone, with nothing beside it; what is left at the end goes on past the goal."""
    chosen = choose_balls(offer.beliefs, WANTED, LOOK_AGAIN_SHOTS, goal_half_width_m=GOAL_M, past_goal=True)
    return [(choice.direction, choice.cell) for choice in chosen]


def _turn(stretch: Stretch, ball: int) -> int:
    """Half of a stretch one way, half the other, where there are two ways."""
    return 0 if len(stretch.turns) == 1 else int(2 * ball >= stretch.balls)


def round_robin(offer: Offer, stretch: Stretch, diary: Diary, rng: np.random.Generator) -> Balls:
    """Every wanted shot in turn."""
    return [(_turn(stretch, b), int(WANTED[(diary.so_far + b) % len(WANTED)])) for b in range(stretch.balls)]


def at_random(offer: Offer, stretch: Stretch, diary: Diary, rng: np.random.Generator) -> Balls:
    """Any wanted shot."""
    return [(_turn(stretch, b), int(rng.choice(WANTED))) for b in range(stretch.balls)]


def blocks_of_five(offer: Offer, stretch: Stretch, diary: Diary, rng: np.random.Generator) -> Balls:
    """Five of each wanted shot in turn."""
    return [(_turn(stretch, b), int(WANTED[(diary.so_far + b) // 5 % len(WANTED)])) for b in range(stretch.balls)]


RULES: dict[str, Rule] = {
    "whole session": whole_session,
    "balls that tell": balls_that_tell,
    "round-robin": round_robin,
    "random": at_random,
    "blocks of five": blocks_of_five,
}
