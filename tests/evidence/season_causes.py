"""Where a season's coverage is lost: the same balls under other priors.

Run: python -m tests.evidence.season_causes (four minutes of one core); the table is kept in `season_results.md`.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from tests.evidence.season_evenings import EVENINGS, Diary, evenings
from tests.evidence.season_golfers import AERODYNAMICS, Golfer, invent, wanted
from tests.evidence.season_methods import truth
from tests.evidence.season_play import Learner, after, dealt, learn_all, next_evening
from trainer.application.estimates.learning import Known
from trainer.core.conditions import Ball
from trainer.core.estimate.evidence import Floats
from trainer.core.estimate.priors import Normal

GOLFERS, SEEDS = 32, (2, 3, 4)
VARIANTS: Mapping[str, Mapping[str, Any]] = {
    "as it is": {},
    "range ball N(−0.03, 0.04)": {"range_ball": Normal(-0.03, 0.04)},
    "wind response N(1, 0.35²)": {"wind_response": Normal(1.0, 0.35)},
    "day 0.03 in place of 0.025": {"day_sd": 0.03},
}
HEAD = ("model", "80 % held", "range balls", "playing balls", "held when fresh", "mean error", *AERODYNAMICS, "rms")


@dataclass(frozen=True, slots=True, eq=False)
class Practised:
    """A golfer after his season, with the log ratios (t,) to his stock carries that are to be found out."""

    learner: Learner
    still_log: Floats
    fresh_log: Floats


def practised(seed: int) -> list[Practised]:
    """Golfers who dealt the wanted shots in turn for six evenings."""
    return [_season(invent(i, np.random.default_rng((seed, i, 0))), seed, i) for i in range(GOLFERS)]


def _season(golfer: Golfer, seed: int, number: int) -> Practised:
    nights = evenings(golfer, np.random.default_rng((seed, number, 1)))
    learner = Learner(golfer, Diary())
    for night in nights:
        rng = np.random.default_rng((seed, number, 4, night.number))
        learner = next_evening(learner, night, dealt(learner), rng)
    true, arrays = truth(golfer, nights[-1]), golfer.bench.arrays
    stock = arrays.stock_carry_m[arrays.club[wanted(golfer.bench)]]
    return Practised(learner, np.log(true.still / stock), np.log(true.fresh / stock))


def row(one: Practised, known: Known) -> tuple[float, float, float, float]:
    """Shares held, of tired and of fresh carries, the mean error of log carry, and its mean square."""
    eta = known.posterior.draws.eta[:, wanted(one.learner.golfer.bench)]
    low, high = np.quantile(eta, (0.1, 0.9), axis=0)
    held, fresh = (float(np.mean((low <= log) & (log <= high))) for log in (one.still_log, one.fresh_log))
    error = eta.mean(axis=0) - one.still_log
    return held, fresh, float(error.mean()), float(np.mean(error**2))


def variant(name: str, groups: Sequence[Sequence[Practised]]) -> str:
    """One line of the table."""
    rows = []
    for seed, group in zip(SEEDS, groups, strict=True):
        moment = after(evenings(group[0].learner.golfer, np.random.default_rng((seed, 0, 1)))[EVENINGS - 1])
        rng = np.random.default_rng(seed)
        known = learn_all([one.learner for one in group], moment, rng, VARIANTS[name])
        rows += [row(one, knows) for one, knows in zip(group, known, strict=True)]
    held, fresh, error, square = np.array(rows).T
    golfers = [one.learner.golfer for group in groups for one in group]
    ranged = np.array([golfer.habits.ball is Ball.RANGE for golfer in golfers])
    flown = np.arange(len(golfers)) % GOLFERS % len(AERODYNAMICS)
    cells = [f"{value:.2f}" for value in (held.mean(), held[ranged].mean(), held[~ranged].mean(), fresh.mean())]
    errors = [error.mean(), *(error[flown == which].mean() for which in range(len(AERODYNAMICS)))]
    cells += [f"{value:+.3f}" for value in errors] + [f"{np.sqrt(square.mean()):.3f}"]
    return f"| {' | '.join([name, *cells])} |"


def main() -> None:
    """Print the table line by line."""
    groups = [practised(seed) for seed in SEEDS]
    sys.stdout.write(f"| {' | '.join(HEAD)} |\n| --- |{' ---: |' * (len(HEAD) - 1)}\n")
    for name in VARIANTS:
        sys.stdout.write(variant(name, groups) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
