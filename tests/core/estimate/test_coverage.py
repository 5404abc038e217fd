"""How often 80 % intervals hold for players who are not quite what the model takes them for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import pytest

from tests.core.estimate.simulate import Truth, bag, hit, plan, player
from trainer.core.estimate.evidence import CellSet, Floats, Setting
from trainer.core.estimate.observations import Observations
from trainer.core.estimate.posterior import Posterior, fit_players
from trainer.core.estimate.priors import ClubPriors
from trainer.core.estimate.report import ball_draws, quantiles

SHOTS = 45


@dataclass(frozen=True, slots=True)
class Case:
    """What differs in truth from what the model holds, and the least coverage to accept: next ball, still air."""

    name: str
    change: Callable[[np.random.Generator, Truth], Truth]
    next_ball: tuple[float, float]
    still_air: tuple[float, float]
    skewed: bool = False


def share(value: float) -> Callable[[np.random.Generator, Truth], Truth]:
    return lambda _, truth: replace(truth, share=value, mark_rate=0.0)


def misread(factor: float) -> Callable[[np.random.Generator, Truth], Truth]:
    return lambda _, truth: replace(truth, along=factor * truth.along)


def outside(rng: np.random.Generator, truth: Truth) -> Truth:
    """A player whose clubs stray twice as far as the prior thinks, and who answers the wind half as much again."""
    return replace(truth, eta=truth.eta + rng.normal(0, 0.04, len(truth.eta)), kappa=truth.kappa + 0.3)


CASES = (
    Case("as the model has it", lambda _, truth: truth, (0.77, 0.83), (0.77, 0.83)),
    Case("no mishits", share(0.0), (0.77, 0.85), (0.77, 0.84)),
    Case("5 % mishits", share(0.05), (0.77, 0.85), (0.77, 0.84)),
    Case("15 % mishits", share(0.15), (0.76, 0.83), (0.75, 0.84)),
    Case("15 % skewed mishits", share(0.15), (0.76, 0.83), (0.74, 0.84), skewed=True),
    Case("readings off by double", misread(2.0), (0.76, 0.83), (0.70, 0.83)),
    Case("outside the prior", outside, (0.74, 0.84), (0.55, 0.84)),
)


def skew(rng: np.random.Generator, seen: Observations, chance: float) -> Observations:
    """Some balls short by an exponential loss, mean 18 %, instead of the model's normal one."""
    bad = rng.random(len(seen)) < chance
    carry = seen.low_m * np.exp(-rng.exponential(0.18, len(seen)) * bad)
    return replace(seen, low_m=carry, high_m=carry.copy())


def run(case: Case, players: int, seed: int) -> tuple[float, float]:
    """Share of next balls, and of cells' still-air carries, that lay in their 80 % intervals."""
    rng = np.random.default_rng(seed)
    cells, priors = bag(), ClubPriors()
    seen, ahead, truths = [], [], []
    for _ in range(players):
        asked = plan(rng, cells, SHOTS + 5, days=2)
        truth = case.change(rng, player(rng, cells, asked, priors))
        if case.skewed:
            told = skew(rng, hit(rng, cells, asked, replace(truth, share=0.0), priors), 0.15)
        else:
            told = hit(rng, cells, asked, truth, priors)
        order = rng.permutation(SHOTS + 5)
        seen.append(told.taken(order[:SHOTS]))
        ahead.append(told.taken(order[SHOTS:]))
        truths.append(truth)
    posteriors = fit_players(cells, seen, rng, kept=600)
    balls = [_balls(cells, p, next_, rng) for p, next_ in zip(posteriors, ahead, strict=True)]
    still = [_still(p, t) for p, t in zip(posteriors, truths, strict=True)]
    return float(np.mean(balls)), float(np.mean(still))


def _balls(cells: CellSet, posterior: Posterior, ahead: Observations, rng: np.random.Generator) -> float:
    posterior = _trusted(posterior)
    held = []
    for k in range(len(ahead)):
        n = len(cells)
        asked = Setting(
            np.full(n, ahead.wind_log[k]), np.full(n, ahead.wind_slope_per_mps[k]), reading=int(ahead.reading[k]),
            day=int(ahead.day[k]),
        )  # fmt: skip
        cell = int(ahead.cell[k])
        ball = ball_draws(posterior, asked, np.full(n, ahead.spread_log[k]), cell, rng)
        ball = ball * np.exp(ahead.seen_sd_log[k] * rng.standard_normal(len(ball)))
        low, high = quantiles(ball, posterior.weights, (0.1, 0.9))
        held.append(low <= ahead.low_m[k] <= high)
    return float(np.mean(held))


def _still(posterior: Posterior, truth: Truth) -> float:
    low, high = quantiles(posterior.draws.eta, posterior.weights, (0.1, 0.9))
    return float(np.mean((low <= truth.eta) & (truth.eta <= high)))


def _trusted(posterior: Posterior) -> Posterior:
    """One chain of 600 draws may count fewer than a report asks; coverage over players does not need them."""
    return replace(posterior, diagnostics=replace(posterior.diagnostics, r_hat=1.0, bulk=1e3, tail=1e3))


def test_intervals_hold_what_they_say_quick() -> None:
    ball, still = run(CASES[0], 80, 1)
    # 400 balls and 80 × 24 cells, the cells of a player hanging together: two and a half standard errors.
    assert 0.75 <= ball <= 0.85
    assert 0.73 <= still <= 0.87


@pytest.mark.proof
@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_intervals_hold_what_they_say(case: Case) -> None:
    parts: Floats = np.array([run(case, 400, seed) for seed in range(2)])
    ball, still = parts.mean(axis=0)
    print(f"{case.name}: next ball {ball:.3f}, still air {still:.3f}")  # noqa: T201 - kept in the table of proofs
    assert case.next_ball[0] <= ball <= case.next_ball[1]
    assert case.still_air[0] <= still <= case.still_air[1]
