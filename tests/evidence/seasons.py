"""Simulated seasons of invented golfers, and the table of what each method makes of them.

Every golfer plays his six evenings twice in the same winds and form: once with the balls of shipped plans
(`agenda`), once with every wanted shot dealt in turn (`round_robin`). Within either all methods see the same balls,
which compares estimates; the two beside each other compare the balls.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from tests.evidence.season_calls import Called, calls_of
from tests.evidence.season_choices import BANDS_MPS, Asked, ask, regrets
from tests.evidence.season_evenings import BALLS, EVENINGS, Diary, EveningTruth, evenings
from tests.evidence.season_golfers import Golfer, invent
from tests.evidence.season_methods import METHODS, ORACLE, Figures, Said, Truth, figures, truth
from tests.evidence.season_play import Learner, after, dealt, learn_all, next_evening, planned
from trainer.application.estimates.learning import Known
from trainer.core.estimate.evidence import Floats

ARMS = AGENDA, ROUND_ROBIN = ("agenda", "round_robin")
YARD_M = 0.9144
GOAL_YD = 6.0
"""A golfer is done where the rms error of his wanted still-air carries is within this."""


@dataclass(eq=False)
class Scores:
    """What one arm's methods scored: by method, then by golfer.

    `…_yd` hold rms errors of what `Truth` says, `…_held` shares that 80 % intervals held (NaN: there is none), each
    (evenings,); `calls` those of all evenings; `regret_yd` (2, a) of choices after the first evening and the last.
    """

    still_yd: dict[str, list[list[float]]] = field(default_factory=lambda: defaultdict(list))
    today_yd: dict[str, list[list[float]]] = field(default_factory=lambda: defaultdict(list))
    still_held: dict[str, list[list[float]]] = field(default_factory=lambda: defaultdict(list))
    today_held: dict[str, list[list[float]]] = field(default_factory=lambda: defaultdict(list))
    fresh_yd: dict[str, list[list[float]]] = field(default_factory=lambda: defaultdict(list))
    fresh_held: dict[str, list[list[float]]] = field(default_factory=lambda: defaultdict(list))
    calls: dict[str, dict[int, list[Called]]] = field(default_factory=lambda: defaultdict(lambda: defaultdict(list)))
    regret_yd: dict[str, list[list[Floats]]] = field(default_factory=lambda: defaultdict(list))


@dataclass(frozen=True, slots=True, eq=False)
class Seasons:
    """All golfers' scores by arm, with the winds of their approaches (golfers, a), m/s."""

    golfers: Sequence[Golfer]
    scores: Mapping[str, Scores]
    asked_mps: Floats


def play_seasons(players: int, seed: int, evenings_each: int = EVENINGS) -> Seasons:
    """Play `players` golfers' seasons, or their first evenings; the same numbers and seed give the same table."""
    golfers = [invent(number, np.random.default_rng((seed, number, 0))) for number in range(players)]
    nights = [evenings(golfer, np.random.default_rng((seed, i, 1))) for i, golfer in enumerate(golfers)]
    asked = [ask(golfer, np.random.default_rng((seed, i, 2))) for i, golfer in enumerate(golfers)]
    rng = np.random.default_rng((seed, players))
    blanks = learn_all([Learner(golfer, Diary()) for golfer in golfers], after(nights[0][0]), rng)
    scores = {arm: Scores() for arm in ARMS}
    learners = {arm: [Learner(golfer, Diary()) for golfer in golfers] for arm in ARMS}
    known = {arm: list(blanks) for arm in ARMS}
    for number in range(evenings_each):
        tonight = [night[number] for night in nights]
        for arm in ARMS:
            learners[arm] = _evening(arm, learners[arm], known[arm], blanks, tonight, scores[arm], seed)
        both = learn_all([*learners[AGENDA], *learners[ROUND_ROBIN]], after(tonight[0]), rng)
        known = {AGENDA: both[:players], ROUND_ROBIN: both[players:]}
        for arm in ARMS:
            _judge(known[arm], blanks, golfers, tonight, scores[arm], rng)
            if number + 1 in (1, evenings_each):
                _choose(known[arm], blanks, asked, scores[arm], rng)
    return Seasons(golfers, scores, np.array([each.speed for each in asked]))


def _evening(
    arm: str, learners: Sequence[Learner], known: Sequence[Known], blanks: Sequence[Known],
    tonight: Sequence[EveningTruth], scores: Scores, seed: int,
) -> list[Learner]:  # fmt: skip
    """Each golfer's evening hit and written down; what was called before it is held against it."""
    done = []
    for i, (learner, knows, evening) in enumerate(zip(learners, known, tonight, strict=True)):
        rng = np.random.default_rng((seed, i, 3, evening.number))
        aimed = planned(knows, learner, evening, rng) if arm == AGENDA else dealt(learner)
        rng = np.random.default_rng((seed, i, 4, evening.number))
        now = next_evening(learner, evening, aimed, rng)
        history = now.diary.history(now.golfer)
        if arm == AGENDA:
            misses = {name: _so_far(each[i]) for name, each in scores.calls.items() if i in each}
            for name, called in calls_of(knows, blanks[i], now.golfer, evening, history, misses).items():
                scores.calls[name][i].append(called)
        done.append(now)
    return done


def _so_far(calls: Sequence[Called]) -> Floats:
    """Log misses of one golfer's calls on the evenings before."""
    return np.concatenate([np.zeros(0), *(each.miss_log for each in calls)])


def _judge(
    known: Sequence[Known], blanks: Sequence[Known], golfers: Sequence[Golfer], tonight: Sequence[EveningTruth],
    scores: Scores, rng: np.random.Generator,
) -> None:  # fmt: skip
    for i, (knows, blank, golfer, evening) in enumerate(zip(known, blanks, golfers, tonight, strict=True)):
        true = truth(golfer, evening)
        for name, said in figures(knows, blank, golfer, evening, rng).items():
            _note(scores, name, i, said, true)


def _note(scores: Scores, name: str, golfer: int, said: Figures, true: Truth) -> None:
    for errors, shares, one, true_m in (
        (scores.still_yd, scores.still_held, said.still, true.still),
        (scores.today_yd, scores.today_held, said.today, true.today),
        (scores.fresh_yd, scores.fresh_held, said.still, true.fresh),
    ):
        while len(errors[name]) <= golfer:
            errors[name].append([])
            shares[name].append([])
        errors[name][golfer].append(float(np.sqrt(np.nanmean((one.middle - true_m) ** 2))) / YARD_M)
        shares[name][golfer].append(_held(one, true_m))


def _held(said: Said, true_m: Floats) -> float:
    within = (said.low80 <= true_m) & (true_m <= said.high80)
    has = np.isfinite(said.low80)
    return float(within[has].mean()) if has.any() else float("nan")


def _choose(
    known: Sequence[Known], blanks: Sequence[Known], asked: Sequence[Asked], scores: Scores,
    rng: np.random.Generator,
) -> None:  # fmt: skip
    for i, (knows, blank, approaches) in enumerate(zip(known, blanks, asked, strict=True)):
        for name, regret in regrets(knows, blank, approaches, rng).items():
            while len(scores.regret_yd[name]) <= i:
                scores.regret_yd[name].append([])
            scores.regret_yd[name][i].append(regret / YARD_M)


def table_of(seasons: Seasons) -> dict[str, Any]:
    """Arm → method → figures; the four that hold first. None where a method has no such figure."""
    return {
        arm: {name: _row(scores, name, seasons.asked_mps) for name in METHODS}
        for arm, scores in seasons.scores.items()
    }


def _row(scores: Scores, name: str, asked_mps: Floats) -> dict[str, Any]:
    if name == ORACLE:
        return _oracle()
    still, today = (np.array(errors[name]) for errors in (scores.still_yd, scores.today_yd))
    still_held, today_held = (np.array(shares[name]) for shares in (scores.still_held, scores.today_held))
    regret = np.array(scores.regret_yd[name])
    last = regret[:, -1]
    called = [each for calls in scores.calls[name].values() for each in calls]
    return {
        "rmse_yd": _rms(still)[-1],
        "coverage80": _mean(still_held)[-1],
        "balls_to_goal": float(np.mean(balls_to_goal(still))),
        "regret_yd": float(last.mean()),
        "not_at_goal": float(np.mean(still.min(axis=1) > GOAL_YD)),
        "rmse_yd_by_evening": _rms(still),
        "coverage80_by_evening": _mean(still_held),
        "today_rmse_yd_by_evening": _rms(today),
        "today_coverage80_by_evening": _mean(today_held),
        "fresh_rmse_yd": _rms(np.array(scores.fresh_yd[name]))[-1],
        "fresh_coverage80": _mean(np.array(scores.fresh_held[name]))[-1],
        "regret_yd_after_one_evening": float(regret[:, 0].mean()),
        "regret_yd_by_wind": {
            band: float(last[(asked_mps >= low) & (asked_mps < high)].mean())
            for band, (low, high) in BANDS_MPS.items()
        },
        "called50_held": _mean_of(called, "held50"),
        "called80_held": _mean_of(called, "held80"),
        "called_crps_yd": _in_yards(_mean_of(called, "score_m")),
    }


def _oracle() -> dict[str, Any]:
    """Who knows the golfer's own carries: what the errors and the regret of the others are counted from."""
    return {"rmse_yd": 0.0, "coverage80": 1.0, "balls_to_goal": 0.0, "regret_yd": 0.0}


def balls_to_goal(still_yd: Floats) -> Floats:
    """Balls (golfers,) until the rms error (golfers, evenings) is within the goal; never counts as all of them."""
    done = still_yd <= GOAL_YD
    first = np.where(done.any(axis=1), done.argmax(axis=1) + 1, still_yd.shape[1])
    return np.asarray(BALLS * first, dtype=np.float64)


def _rms(errors: Floats) -> list[float]:
    return [float(value) for value in np.sqrt(np.mean(errors**2, axis=0))]


def _mean(shares: Floats) -> list[float | None]:
    known = np.isfinite(shares)
    return [float(shares[known[:, k], k].mean()) if known[:, k].any() else None for k in range(shares.shape[1])]


def _mean_of(called: Sequence[Called], what: str) -> float | None:
    """Over the balls of all evenings that have a range: of the first, where nobody knows how far he misses, none."""
    every = np.concatenate([np.zeros(0), *(getattr(each, what) for each in called)])
    has = np.isfinite(every)
    return float(every[has].mean()) if has.any() else None


def _in_yards(metres: float | None) -> float | None:
    return None if metres is None else metres / YARD_M
