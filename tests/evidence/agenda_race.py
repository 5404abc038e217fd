"""How many balls a rule needs until what is wanted is known: the same golfers, evenings and winds for every rule.

Known, by either of two stop rules, means that of every one of the sixteen wanted still-air carries the 80 % interval
is within ±4 yd *beyond the floor*:

- **beyond the day**: the floor is what the days hide; what the winds hide (the player's own wind response, the errors
  of the readings) has to be narrowed by balls. This is what the agenda works for, and a direction may lower it.
- **beyond the day and the wind**: the floor is what days and winds hide, the product's own number
  (`trainer.core.estimate.report.wind_floor_m`): the rest is what more balls in the same winds would still narrow.

The floor's variance is taken out of the interval's, ball by ball, with what the balls so far have told of it. This
race runs on the exact Gaussian model; `agenda_sampler` runs it on the model in use.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from tests.evidence.agenda_evenings import (
    GOAL_M,
    MOST_BALLS,
    WANTED,
    Diary,
    Flown,
    Notebook,
    Offer,
    Stretch,
    flown_each_way,
    holds,
    strike,
)
from tests.evidence.agenda_players import BENCH, MISHIT_SHARE, SEEN_SD_M, Golfer
from tests.evidence.agenda_rules import Rule, as_arrays
from tests.evidence.gaussian_model import GaussianPosterior, fit
from trainer.core.constants import Z80
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.schedule.information import Bools, beliefs_from_gaussian

BEYOND_DAY, BEYOND_WIND = "beyond the day", "beyond the day and the wind"
STOPS = (BEYOND_DAY, BEYOND_WIND)


@dataclass(frozen=True, slots=True)
class Finish:
    """When a golfer was done by one stop rule (None: not within the evenings), and the share of truths held then."""

    balls: int | None
    held: float


def mean_balls(finishes: Iterable[Finish]) -> float:
    """Mean balls; who was not done within the evenings counts as all of them."""
    return float(np.mean([MOST_BALLS if finish.balls is None else finish.balls for finish in finishes]))


def rows_of(stretch: Stretch, posterior: GaussianPosterior, reading: int, there: Flown) -> Floats:
    """Rows (w, c, p) that read the log carry of a shot along each line."""
    layout = posterior.layout
    rows = np.repeat(posterior.cell_rows[None], len(stretch.turns), axis=0)
    rows[:, :, layout.KAPPA] = there.wind_log
    rows[:, :, layout.reading_start + reading] = there.slope
    rows[:, :, layout.day_start + stretch.day] = 1.0
    return rows


def offer_of(stretch: Stretch, posterior: GaussianPosterior, rows: Floats, there: Flown) -> Offer:
    """What the planner believes before the stretch."""
    arrays, layout = BENCH.arrays, posterior.layout
    stock_m = arrays.stock_carry_m[arrays.club]
    noise = posterior.scales.shot_sd**2 + (SEEN_SD_M / (stock_m * np.exp(rows @ posterior.mean))) ** 2
    beliefs = beliefs_from_gaussian(
        BENCH.cells,
        stretch.directions,
        stock_m=stock_m,
        mean=posterior.mean,
        covariance=posterior.covariance,
        days=np.arange(layout.day_start, layout.size),
        still_rows=posterior.cell_rows,
        shot_rows=rows,
        ball_var=noise,
        mishit_share=MISHIT_SHARE,
    )
    return Offer(there, beliefs)


def race(golfer: Golfer, winds: list[Stretch], rule: Rule, seed: int) -> Mapping[str, Finish]:
    """Evening after evening until what is wanted is known by both stop rules."""
    rng, choosing = np.random.default_rng(seed), np.random.default_rng(seed + 1)
    book, diary = Notebook(), Diary()
    done: dict[str, Finish] = {}
    for number, stretch in enumerate(winds):
        book.reading_sds.append(stretch.reading_sd_mps)
        there = flown_each_way(stretch)
        left = stretch.balls
        while left:
            posterior = fit(BENCH.arrays, book.evidence(stretch.day + 1))
            rows = rows_of(stretch, posterior, number, there)
            offer = offer_of(stretch, posterior, rows, there)
            turns, cells = as_arrays(rule(offer, stretch, diary, choosing)[:left])
            seen = strike(golfer, stretch, turns, cells, rng)
            before = diary.so_far
            book.add(number, stretch, turns, cells, seen, there)
            diary.look_back(stretch, offer, turns, cells, seen.carry_m)
            left -= len(cells)
            told = Told(rows[turns, cells], offer.beliefs.ball_var[turns, cells], ~seen.marked)
            for stop, ball in known_after(
                posterior, offer, told, [stop for stop in STOPS if stop not in done]
            ).items():
                at = fit(BENCH.arrays, book.upto(before + ball).evidence(stretch.day + 1))
                done[stop] = Finish(before + ball, _held(at, golfer))
            if len(done) == len(STOPS):
                return done
    last = fit(BENCH.arrays, book.evidence(winds[-1].day + 1))
    return {stop: done.get(stop, Finish(None, _held(last, golfer))) for stop in STOPS}


@dataclass(frozen=True, slots=True)
class Told:
    """Balls in order: rows (n, p) of their log carries, their variances (n,), and whether each tells anything."""

    rows: Floats
    ball_var: Floats
    tells: Bools


def known_after(posterior: GaussianPosterior, offer: Offer, told: Told, stops: list[str]) -> dict[str, int]:
    """After how many of the balls all that is wanted is known, by each of `stops` that is met.

    Carries need not be seen for that. 0 says that it is known before the first ball: once an evening's means are in,
    shots may be shorter than was thought.
    """
    covariance = posterior.covariance.copy()
    scale = Z80 * offer.beliefs.still_carry_m[WANTED]
    found: dict[str, int] = {}
    for ball in range(len(told.tells) + 1):
        if ball and told.tells[ball - 1]:
            row = told.rows[ball - 1]
            spread = covariance @ row
            covariance -= np.outer(spread, spread) / (row @ spread + told.ball_var[ball - 1])
        for stop in stops:
            if stop not in found and _widest_m(posterior, covariance, scale, stop) <= GOAL_M:
                found[stop] = ball
        if len(found) == len(stops):
            break
    return found


def _widest_m(posterior: GaussianPosterior, covariance: Floats, scale: Floats, stop: str) -> float:
    """The greatest half-width of the wanted 80 % intervals, m, without what the floor hides."""
    layout, rows = posterior.layout, posterior.cell_rows[WANTED]
    hidden: Ints = np.arange(layout.day_start, layout.size)
    if stop == BEYOND_WIND:
        hidden = np.concatenate([[layout.KAPPA], np.arange(layout.reading_start, layout.size)])
    joint = rows @ covariance
    across = joint[:, hidden]
    floor = np.einsum("th,ht->t", across, np.linalg.solve(covariance[np.ix_(hidden, hidden)], across.T))
    variance = np.einsum("tp,tp->t", joint, rows) - floor
    return float(np.max(scale * np.sqrt(np.maximum(variance, 0.0))))


def _held(posterior: GaussianPosterior, golfer: Golfer) -> float:
    rows = posterior.cell_rows[WANTED]
    sd = np.sqrt(np.einsum("tp,pq,tq->t", rows, posterior.covariance, rows))
    return holds(golfer, rows @ posterior.mean, sd, Z80)
