"""How many balls a rule needs until what is wanted is known: the same golfers, evenings and winds for every rule.

An evening is 45 balls on a day of its own. In *varied* wind each third of it has another wind and reading; with *two
directions* one wind blows and balls may be hit at it and with it. Known means: the 80 % interval of every wanted
still-air carry is within ±4 yd once the part that the days hide is taken out (the wind's part stays in).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from tests.evidence.agenda_players import BAG, BENCH, INCH_M, SEEN_SD_M, Golfer, hit
from tests.evidence.gaussian_model import Evidence, GaussianPosterior, fit
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import Conditions, Wind, WindKnowledge
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.flight.wind import WindField
from trainer.core.profile import RangeFlag
from trainer.core.schedule.agenda import build_agenda
from trainer.core.schedule.block import Block
from trainer.core.schedule.budget import warm_up_balls
from trainer.core.schedule.information import Z80, Beliefs, Bools, Direction, beliefs_from_gaussian, choose_balls
from trainer.core.schedule.knowledge import Knowledge
from trainer.core.schedule.progress import PastShot
from trainer.core.schedule.stages import Stage

EVENING = 45
FLAGS = (RangeFlag("out", 300.0), RangeFlag("back", 300.0, math.pi))
KNOWN_LOW = tuple(
    PastShot(date(2026, 4, 1 + ball), Cell("7 iron", INCH_M, Swing.THREE_QUARTER), 0.05, low=True)
    for ball in range(6)
)
MOST_EVENINGS = 16
GOAL_M = 4 * 0.9144
WANTED: Ints = np.flatnonzero(
    [(cell.swing is Swing.THREE_QUARTER) if cell.grip_down_m else (cell.swing is Swing.FULL) for cell in BENCH.cells]
)
"""Every club full at the normal grip, and low: three-quarter, an inch down."""

READING_SHARE, READING_LEAST_MPS = 0.15, 1.0


@dataclass(frozen=True, slots=True)
class Stretch:
    """Balls in one wind: the true wind, what was read of it along the line, the lines it may be hit along."""

    balls: int
    day: int
    day_log: float
    true_along: float
    true_across: float
    read_along: float
    read_across: float
    turns: tuple[int, ...]

    @property
    def reading_sd_mps(self) -> float:
        """S.d. of the reading along the line."""
        return max(READING_SHARE * math.hypot(self.read_along, self.read_across), READING_LEAST_MPS)


def stretches(rng: np.random.Generator, scenario: str) -> list[Stretch]:
    """The winds of one golfer's evenings."""
    found = []
    for day in range(MOST_EVENINGS):
        day_log = rng.uniform(-0.04, 0.04)
        for _ in range(3 if scenario == "varied" else 1):
            speed = rng.uniform(2.0, 8.0) if scenario == "varied" else rng.uniform(4.0, 7.0)
            from_rad = rng.uniform(0, 2 * math.pi) if scenario == "varied" else rng.uniform(-0.5, 0.5)
            along, across = -speed * math.cos(from_rad), -speed * math.sin(from_rad)
            sd = max(READING_SHARE * speed, READING_LEAST_MPS)
            found.append(
                Stretch(
                    balls=EVENING // 3 if scenario == "varied" else EVENING,
                    day=day,
                    day_log=day_log,
                    true_along=along,
                    true_across=across,
                    read_along=along + rng.normal(0, sd),
                    read_across=across + rng.normal(0, sd),
                    turns=(1,) if scenario == "varied" else (1, -1),
                )
            )
    return found


@dataclass(slots=True)
class Notebook:
    """What was hit so far, as the model's columns."""

    columns: dict[str, list[float]] = field(
        default_factory=lambda: {name: [] for name in ("cell", "reading", "day", "carry", "log", "slope")}
    )
    reading_sds: list[float] = field(default_factory=list)

    def add(self, **values: Floats | Ints) -> None:
        for name, more in values.items():
            self.columns[name] += more.tolist()

    def evidence(self, days: int) -> Evidence:
        table = {name: np.array(values, dtype=np.float64) for name, values in self.columns.items()}
        none = np.zeros(len(table["cell"]))
        return Evidence(
            table["cell"].astype(np.int64), table["reading"].astype(np.int64), table["day"].astype(np.int64),
            table["carry"], table["log"], table["slope"], SEEN_SD_M / np.maximum(table["carry"], 20.0),
            none, none, none, np.array(self.reading_sds), days,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Offer:
    """One stretch as the planner sees it: per turn and cell (w, c) the wind's log effect and slope, and beliefs."""

    wind_log: Floats
    slope: Floats
    shot_rows: Floats
    noise: Floats
    beliefs: Beliefs


Rule = Callable[[Offer, int, int, np.random.Generator], list[tuple[int, int]]]
"""(offer, balls, hit so far, randomness) -> (turn, cell) of each ball."""

_EFFECTS: dict[tuple[float, float], tuple[Floats, Floats]] = {}


def effects(along: float, across: float) -> tuple[Floats, Floats]:
    """Log wind effect and slope of every cell; kept, for every rule meets the same winds."""
    if (along, across) not in _EFFECTS:
        every = np.arange(len(BENCH.cells))
        found = BENCH.effects(
            every, np.full(len(every), along), np.full(len(every), across), np.full(len(every), 2.0)
        )
        _EFFECTS[along, across] = (
            np.log(found.carry_m / found.carry_still_m),
            found.slope_along_m_per_mps / found.carry_m,
        )
    return _EFFECTS[along, across]


def offer_of(stretch: Stretch, posterior: GaussianPosterior, reading: int) -> Offer:
    """What the planner believes before the stretch."""
    found = [effects(turn * stretch.read_along, turn * stretch.read_across) for turn in stretch.turns]
    wind_log = np.stack([log for log, _ in found])
    # The reading's error is one wind along the line: a ball hit the other way meets it from the other side.
    slope = np.stack([turn * each for turn, (_, each) in zip(stretch.turns, found, strict=True)])
    layout = posterior.layout
    rows = np.repeat(posterior.cell_rows[None], len(stretch.turns), axis=0)
    rows[:, :, layout.KAPPA] = wind_log
    rows[:, :, layout.reading_start + reading] = slope
    rows[:, :, layout.day_start + stretch.day] = 1.0
    arrays = BENCH.arrays
    stock_m = arrays.stock_carry_m[arrays.club]
    noise = posterior.scales.shot_sd**2 + (SEEN_SD_M / (stock_m * np.exp(rows @ posterior.mean))) ** 2
    beliefs = beliefs_from_gaussian(
        BENCH.cells,
        tuple(
            Direction("out", flags=("out",)) if turn > 0 else Direction("back", math.pi, ("back",))
            for turn in stretch.turns
        ),
        stock_m=stock_m,
        mean=posterior.mean,
        covariance=posterior.covariance,
        days=np.arange(layout.day_start, layout.size),
        still_rows=posterior.cell_rows,
        shot_rows=rows,
        ball_var=noise,
        mishit_share=0.08,
    )
    return Offer(wind_log, slope, rows, noise, beliefs)


def agenda_rule(offer: Offer, balls: int, so_far: int, rng: np.random.Generator) -> list[tuple[int, int]]:
    """The agenda's own choice."""
    chosen = choose_balls(offer.beliefs, WANTED, balls, goal_half_width_m=GOAL_M)
    return [(choice.direction, choice.cell) for choice in chosen]


def whole_agenda(offer: Offer, balls: int, so_far: int, rng: np.random.Generator) -> list[tuple[int, int]]:
    """A session as it is handed out: warm-up, probe, what is due, the gapping round, a finish without feedback."""
    shots = {cell: place for place, cell in enumerate(BENCH.cells)}
    carry_m = offer.beliefs.stock_m * np.exp(offer.beliefs.shot_mean[0])
    wanted = tuple(BENCH.cells[place] for place in WANTED)
    agenda = build_agenda(
        (Block("gapping round", tuple(club.name for club in BAG.clubs), balls, cells=wanted, flags=FLAGS),),
        BAG,
        balls=balls + warm_up_balls(balls + 15),
        minutes=60,
        conditions=Conditions(Wind(WindKnowledge.STATED, 5.0)),
        rng=rng,
        expected_carry_m=lambda cell: float(carry_m[shots[cell]]),
        knowledge=Knowledge(date(2026, 5, 14), offer.beliefs, KNOWN_LOW, goal_half_width_m=GOAL_M),
    )
    hit = [ball for ball in agenda.balls if ball.stage is not Stage.WARM_UP]
    return [(int(ball.flag == "back"), shots[ball.cell]) for ball in hit]


def _turn(offer: Offer, ball: int, balls: int) -> int:
    """Half of a stretch one way, half the other, where there are two ways."""
    return 0 if len(offer.wind_log) == 1 else int(2 * ball >= balls)


def round_robin(offer: Offer, balls: int, so_far: int, rng: np.random.Generator) -> list[tuple[int, int]]:
    return [(_turn(offer, b, balls), int(WANTED[(so_far + b) % len(WANTED)])) for b in range(balls)]


def at_random(offer: Offer, balls: int, so_far: int, rng: np.random.Generator) -> list[tuple[int, int]]:
    return [(_turn(offer, b, balls), int(rng.choice(WANTED))) for b in range(balls)]


def blocks_of_five(offer: Offer, balls: int, so_far: int, rng: np.random.Generator) -> list[tuple[int, int]]:
    return [(_turn(offer, b, balls), int(WANTED[(so_far + b) // 5 % len(WANTED)])) for b in range(balls)]


RULES: dict[str, Rule] = {
    "agenda": agenda_rule,
    "round-robin": round_robin,
    "random": at_random,
    "blocks of five": blocks_of_five,
}
TWO_WAY_RULES = {"whole session": whole_agenda}
"""A whole session with its probe and finish, for an evening in one wind."""


@dataclass(frozen=True, slots=True)
class Finish:
    """When a golfer was done (None: not within the evenings) and how many wanted intervals held the truth then."""

    balls: int | None
    held: float


def race(golfer: Golfer, winds: list[Stretch], rule: Rule, seed: int) -> Finish:
    """Evening after evening until what is wanted is known."""
    rng, choosing = np.random.default_rng(seed), np.random.default_rng(seed + 1)
    book = Notebook()
    so_far = 0
    for number, stretch in enumerate(winds):
        book.reading_sds.append(stretch.reading_sd_mps)
        posterior = fit(BENCH.arrays, book.evidence(stretch.day + 1))
        offer = offer_of(stretch, posterior, number)
        balls = rule(offer, stretch.balls, so_far, choosing)
        if not balls:
            # With the last evening's means in, the shots are shorter than was thought and within the goal.
            return Finish(so_far, held(posterior, golfer))
        turns, cells = (np.array(part, dtype=np.int64) for part in zip(*balls, strict=True))
        turned = np.array(stretch.turns)[turns]
        wind = WindField(stretch.true_along * turned, stretch.true_across * turned, 2.0, 0.03)
        seen = hit(golfer, cells, wind, stretch.day_log, rng)
        at = known_after(posterior, offer, turns, cells, ~seen.marked)
        keep = ~seen.marked & (np.arange(len(cells)) < (len(cells) if at is None else at))
        book.add(
            cell=cells[keep], reading=np.full(keep.sum(), number), day=np.full(keep.sum(), stretch.day),
            carry=seen.carry_m[keep], log=offer.wind_log[turns, cells][keep], slope=offer.slope[turns, cells][keep],
        )  # fmt: skip
        if at is not None:
            return Finish(so_far + at, held(fit(BENCH.arrays, book.evidence(stretch.day + 1)), golfer))
        so_far += len(cells)
    return Finish(None, held(fit(BENCH.arrays, book.evidence(MOST_EVENINGS)), golfer))


def known_after(posterior: GaussianPosterior, offer: Offer, turns: Ints, cells: Ints, telling: Bools) -> int | None:
    """After how many of the balls all that is wanted is known; None where it is not. Carries need not be seen."""
    covariance = posterior.covariance.copy()
    rows = posterior.cell_rows[WANTED]
    scale = Z80 * offer.beliefs.still_carry_m[WANTED]
    days = slice(posterior.layout.day_start, posterior.layout.size)
    for ball, (turn, cell) in enumerate(zip(turns, cells, strict=True)):
        if telling[ball]:
            row = offer.shot_rows[turn, cell]
            told = covariance @ row
            covariance -= np.outer(told, told) / (row @ told + offer.noise[turn, cell])
        joint = rows @ covariance
        hidden = joint[:, days]
        by_days = np.einsum("td,dt->t", hidden, np.linalg.solve(covariance[days, days], hidden.T))
        variance = np.einsum("tp,tp->t", joint, rows) - by_days
        if float(np.max(scale * np.sqrt(np.maximum(variance, 0.0)))) <= GOAL_M:
            return ball + 1
    return None


def held(posterior: GaussianPosterior, golfer: Golfer) -> float:
    """Share of the wanted 80 % still-air intervals, the days' part in, that hold the truth."""
    rows = posterior.cell_rows[WANTED]
    stock_m = BENCH.arrays.stock_carry_m[BENCH.arrays.club][WANTED]
    mean = rows @ posterior.mean
    sd = np.sqrt(np.einsum("tp,pq,tq->t", rows, posterior.covariance, rows))
    return float(np.mean(np.abs(np.log(golfer.still_m[WANTED] / stock_m) - mean) <= Z80 * sd))
