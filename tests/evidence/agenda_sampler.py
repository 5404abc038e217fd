"""The agenda's race on the model in use: the same golfers, evenings, rules and stop rules on the sampled posterior.

All golfers of a rule march together, twenty-four chains each, from ball 30 on at most ten balls between two looks at
what is known. The ball that finished it is found between the two looks around it, precision taken to grow evenly with
the balls. The floor's part of a variance is what linear regression of the draws on what it hides explains, as in
`trainer.core.estimate.report.wind_floor_m`.

The draws are many for a reason: the widest of sixteen half-widths, each known to 3 % (960 draws), comes out 2 % too
wide where all are alike, as a rule that evens them out leaves them, and not at all where one stands out, as in
round-robin. With these 3,840 it is 0.3 % for either.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields

import numpy as np

from tests.evidence.agenda_evenings import (
    GOAL_M,
    WANTED,
    Diary,
    Notebook,
    Offer,
    Stretch,
    flown_each_way,
    holds,
    strike,
)
from tests.evidence.agenda_players import BENCH, SEEN_SD_M, Golfer
from tests.evidence.agenda_race import BEYOND_WIND, STOPS, Finish
from tests.evidence.agenda_rules import Balls, Rule, as_arrays
from trainer.core.constants import Z80
from trainer.core.estimate.evidence import Floats
from trainer.core.estimate.posterior import fit_players
from trainer.core.schedule.information import beliefs_from_draws

FIRST_LOOK, LOOK_EVERY = 30, 10
CHAINS, WARM_UP_SWEEPS, KEPT_SWEEPS = 24, 50, 160


@dataclass(frozen=True, slots=True)
class Known:
    """Draws (n, …) of one golfer's unknowns, all chains together."""

    eta: Floats
    wind_response: Floats
    along: Floats
    day: Floats
    log_spread: Floats
    mishit_share: Floats


def learn(books: Sequence[tuple[Notebook, int]], rng: np.random.Generator) -> list[Known]:
    """What each golfer's notebook says, with the days there were until now."""
    seen = [book.observations(days) for book, days in books for _ in range(CHAINS)]
    chains = fit_players(BENCH.arrays, seen, rng, warm_up=WARM_UP_SWEEPS, kept=KEPT_SWEEPS)
    of_each = [[one.draws for one in chains[start : start + CHAINS]] for start in range(0, len(chains), CHAINS)]
    return [
        Known(*(np.concatenate([getattr(one, each.name) for one in draws]) for each in fields(Known)))
        for draws in of_each
    ]


@dataclass(slots=True)
class Run:
    """One golfer on his way: evenings to come, balls planned and not yet hit, what was written down."""

    golfer: Golfer
    winds: Sequence[Stretch]
    rule: Rule
    rng: np.random.Generator
    choosing: np.random.Generator
    book: Notebook = field(default_factory=Notebook)
    diary: Diary = field(default_factory=Diary)
    number: int = -1
    left: int = 0
    offer: Offer | None = None
    planned: Balls = field(default_factory=list)
    seen_before: dict[str, tuple[int, float]] = field(default_factory=dict)
    done: dict[str, Finish] = field(default_factory=dict)

    @property
    def stretch(self) -> Stretch:
        """The stretch he is in."""
        return self.winds[self.number]

    def turn_to_next(self) -> bool:
        """Go on to the next wind where this one's balls are hit; False where there is none."""
        if self.left == 0:
            if self.number + 1 == len(self.winds):
                return False
            self.number += 1
            self.left = self.stretch.balls
            self.book.reading_sds.append(self.stretch.reading_sd_mps)
        return True

    def hit(self, known: Known) -> None:
        """Plan where nothing is planned, and hit what is planned up to the next look."""
        if self.offer is None or not self.planned:
            self.offer = offer_of(self.stretch, known, self.number)
            self.planned = self.rule(self.offer, self.stretch, self.diary, self.choosing)[: self.left]
        count = max(LOOK_EVERY, FIRST_LOOK - self.diary.so_far)
        turns, cells = as_arrays(self.planned[:count])
        self.planned = self.planned[count:]
        seen = strike(self.golfer, self.stretch, turns, cells, self.rng)
        self.book.add(self.number, self.stretch, turns, cells, seen, self.offer.there)
        self.diary.look_back(self.stretch, self.offer, turns, cells, seen.carry_m)
        self.left -= len(cells)

    def look(self, known: Known) -> None:
        """Note which stop rules are met by now."""
        eta = known.eta[:, WANTED]
        for stop in STOPS:
            now = self.diary.so_far, widest_m(known, stop)
            if stop not in self.done and now[1] <= GOAL_M:
                balls = _finishing_ball(self.seen_before.get(stop, now), now)
                self.done[stop] = Finish(balls, holds(self.golfer, eta.mean(0), eta.std(0), Z80))
            self.seen_before[stop] = now


def _finishing_ball(before: tuple[int, float], now: tuple[int, float]) -> int:
    """The ball at which a half-width, known after some balls and after some more, came to the goal."""
    (first, wide_m), (last, narrow_m) = before, now
    if wide_m <= narrow_m:
        return last
    done = (GOAL_M**-2 - wide_m**-2) / (narrow_m**-2 - wide_m**-2)
    return first + math.ceil(done * (last - first))


def offer_of(stretch: Stretch, known: Known, reading: int) -> Offer:
    """What the planner believes in the stretch, whose day and reading are among the known."""
    there, draws, arrays = flown_each_way(stretch), known, BENCH.arrays
    stock_m = arrays.stock_carry_m[arrays.club]
    shots = (
        draws.eta[:, None, :]
        + draws.wind_response[:, None, None] * there.wind_log
        + draws.along[:, reading, None, None] * there.slope
        + draws.day[:, stretch.day, None, None]
    )
    factor = np.mean(np.exp(2.0 * draws.log_spread), axis=0)[arrays.club]
    seen = SEEN_SD_M / (stock_m * np.exp(shots.mean(axis=0)))
    beliefs = beliefs_from_draws(
        BENCH.cells,
        stretch.directions,
        stock_m=stock_m,
        still=draws.eta,
        shots=shots,
        days=draws.day,
        ball_var=factor * there.scatter**2 + seen**2,
        mishit_share=float(np.mean(draws.mishit_share)),
    )
    return Offer(there, beliefs)


def widest_m(known: Known, stop: str) -> float:
    """The greatest half-width of the wanted 80 % intervals, m, without what the floor hides."""
    eta = known.eta[:, WANTED]
    hidden = known.day
    if stop == BEYOND_WIND:
        hidden = np.column_stack([known.wind_response, known.along, known.day])
    rest = _regressed(eta, hidden)
    carry_m = BENCH.arrays.stock_carry_m[BENCH.arrays.club][WANTED] * np.exp(eta.mean(axis=0))
    return float(np.max(Z80 * carry_m * np.sqrt(rest)))


def _regressed(values: Floats, causes: Floats) -> Floats:
    """The variance (t,) of `values` (n, t) that regression on `causes` (n, h) leaves."""
    causes = causes - causes.mean(axis=0)
    orthogonal, _ = np.linalg.qr(causes)
    centred = values - values.mean(axis=0)
    rest = centred - orthogonal @ (orthogonal.T @ centred)
    return np.asarray(np.sum(rest**2, axis=0) / (len(values) - causes.shape[1] - 1))


def race_together(
    golfers: Sequence[tuple[Golfer, Sequence[Stretch]]], rule: Rule, seed: int
) -> list[Mapping[str, Finish]]:
    """Every golfer until what he wants is known by both stop rules, or his evenings are over."""
    rng = np.random.default_rng(seed)
    runs = [
        Run(golfer, winds, rule, np.random.default_rng(place), np.random.default_rng(place + 1))
        for place, (golfer, winds) in enumerate(golfers)
    ]
    going = runs
    while True:
        going = [run for run in going if run.turn_to_next()]
        if not going:
            break
        known = learn([(run.book, run.stretch.day + 1) for run in going], rng)
        for run, now in zip(going, known, strict=True):
            run.look(now)
            if len(run.done) < len(STOPS):
                run.hit(now)
        going = [run for run in going if len(run.done) < len(STOPS)]
    return [{stop: run.done.get(stop, Finish(None, float("nan"))) for stop in STOPS} for run in runs]
