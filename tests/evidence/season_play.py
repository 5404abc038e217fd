"""Whole seasons played: each evening's balls from a shipped plan or dealt round, and what they taught after it.

The model's way is the product's: records → `application.evidence.gathering.gather` → the club model. Only the fit is
shared: `fit_players` takes golfers of one bag together, so carries are put over their own stock carries first, which
is all that the model makes of them. An evening's agenda is built as `application.planning.agenda` builds it, from the
posterior of the evenings before and the evening's first reading.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import lru_cache
from typing import Any

import numpy as np

from tests.evidence.season_evenings import BALLS, PLANS, Aimed, Diary, EveningTruth, play
from tests.evidence.season_golfers import Golfer, wanted
from trainer.application.estimates.learning import Known
from trainer.application.evidence.gathering import GatheredEvidence, gather
from trainer.application.evidence.reading_error import reading_sd_mps
from trainer.application.planning.beliefs import Tonight, beliefs_tonight
from trainer.application.planning.blocks import blocks_of
from trainer.application.planning.past_shots import past_shots
from trainer.core.bag import Cell
from trainer.core.conditions import Ball, Conditions
from trainer.core.estimate.diagnostics import Diagnostics
from trainer.core.estimate.evidence import CellSet, Floats, Setting
from trainer.core.estimate.observations import Observations
from trainer.core.estimate.posterior import Posterior, fit_players
from trainer.core.estimate.priors import MEASURED_CARRY, REMEMBERED_CARRY
from trainer.core.estimate.report import log_carry_in
from trainer.core.schedule.agenda import build_agenda
from trainer.core.schedule.knowledge import Knowledge
from trainer.core.schedule.prompts import DEFAULT_LIMITS
from trainer.plan.collection import find_plan
from trainer.plan.model import Plan

WARM_UP_SWEEPS, KEPT_SWEEPS = 60, 400
MOST_TOGETHER = 32
"""Golfers fitted in one call: their benches and flights stay in the product's own small caches."""

_TRUSTED = Diagnostics(1.0, 1e4, 1e4, "")
"""One chain of four hundred draws counts fewer than a report asks; means over golfers do not need more."""


@dataclass(frozen=True, slots=True, eq=False)
class Learner:
    """A golfer with what he has written down."""

    golfer: Golfer
    diary: Diary


def learn_all(
    learners: Sequence[Learner], as_of: datetime, rng: np.random.Generator, otherwise: Mapping[str, Any] | None = None
) -> list[Known]:
    """What each has learned by `as_of`, in their order; `otherwise` are priors to hold in place of the model's."""
    found: dict[int, Known] = {}
    for measured in (True, False):
        group = [i for i, each in enumerate(learners) if each.golfer.measured is measured]
        for start in range(0, len(group), MOST_TOGETHER):
            some = group[start : start + MOST_TOGETHER]
            found |= dict(zip(some, _fitted([learners[i] for i in some], as_of, rng, otherwise or {}), strict=True))
    return [found[i] for i in range(len(learners))]


def _fitted(
    learners: Sequence[Learner], as_of: datetime, rng: np.random.Generator, otherwise: Mapping[str, Any]
) -> list[Known]:
    common = learners[0].golfer.bench.arrays
    priors = MEASURED_CARRY if learners[0].golfer.measured else REMEMBERED_CARRY
    evidence = [gather(each.diary.history(each.golfer), each.golfer.bench, as_of) for each in learners]
    over_common = [
        _over(common, each.golfer.bench.arrays, gathered.observations)
        for each, gathered in zip(learners, evidence, strict=True)
    ]
    posteriors = fit_players(
        common, over_common, rng, replace(priors, **otherwise), warm_up=WARM_UP_SWEEPS, kept=KEPT_SWEEPS
    )
    return [
        _known(each, gathered, posterior)
        for each, gathered, posterior in zip(learners, evidence, posteriors, strict=True)
    ]


def _over(common: CellSet, own: CellSet, seen: Observations) -> Observations:
    """`seen` as a golfer of the common stock carries would have hit it: the model knows ratios to them only."""
    ratio = (common.stock_carry_m / own.stock_carry_m)[own.club[seen.cell]]
    return replace(seen, low_m=seen.low_m * ratio, high_m=seen.high_m * ratio, flown_m=seen.flown_m * ratio)


def _known(learner: Learner, gathered: GatheredEvidence, posterior: Posterior) -> Known:
    golfer = learner.golfer
    own = replace(posterior, cells=golfer.bench.arrays, observations=gathered.observations, diagnostics=_TRUSTED)
    what = f"{golfer.profile.alias}|{len(learner.diary.shots)}"
    return Known(golfer.bench, gathered, own, hashlib.sha256(what.encode()).hexdigest())


@lru_cache(maxsize=len(PLANS))
def _plan(plan_id: str) -> Plan:
    return find_plan(plan_id)


def planned(known: Known, learner: Learner, evening: EveningTruth, rng: np.random.Generator) -> list[Aimed]:
    """The balls of the evening's plan, fitted to the golfer, his first reading and what he knows."""
    golfer, profile = learner.golfer, learner.golfer.profile
    plan = _plan(PLANS[evening.number])
    blocks = blocks_of(plan, profile.bag, profile)
    read = evening.stretches[0].read
    conditions = Conditions(read, evening.air, ball=profile.ball, surface=profile.surface)
    carry_m = carries_in(known, conditions, rng)
    history = learner.diary.history(golfer)
    clubs = {club for block in blocks for club in block.clubs}
    hit = {shot.cell for shot in history.shots}
    cells = tuple(cell for cell in golfer.bench.cells if cell.club in clubs or cell in hit)
    tonight = Tonight(conditions, None, reading_sd_mps(read), evening.when.date())
    agenda = build_agenda(
        blocks, profile.bag, balls=BALLS, minutes=60.0, conditions=conditions, rng=rng,
        expected_carry_m=lambda cell: float(carry_m[known.bench.index[cell]]), units=profile.units,
        limits=DEFAULT_LIMITS,
        knowledge=Knowledge(
            evening.when.date(), beliefs_tonight(known, cells, profile, tonight), past_shots(history)
        ),
    )  # fmt: skip
    return [Aimed(ball.cell, ball.target_m, ball.flag) for ball in agenda.balls]


def carries_in(known: Known, conditions: Conditions, rng: np.random.Generator) -> Floats:
    """What every cell (c,) is expected to carry in conditions that nothing was hit in yet, m."""
    effects = known.bench.effects_in(conditions)
    setting = Setting(
        np.log(effects.carry_m / effects.carry_still_m), effects.slope_along_m_per_mps / effects.carry_m,
        range_ball=conditions.ball is Ball.RANGE,
    )  # fmt: skip
    arrays = known.bench.arrays
    middle = np.median(log_carry_in(known.posterior, setting, rng), axis=0)
    return np.asarray(arrays.stock_carry_m[arrays.club] * np.exp(middle))


def dealt(learner: Learner) -> list[Aimed]:
    """Every wanted shot in turn, going on where the last evening ended."""
    bench = learner.golfer.bench
    cells: list[Cell] = [bench.cells[int(i)] for i in wanted(bench)]
    first = len(learner.diary.shots)
    return [Aimed(cells[(first + i) % len(cells)]) for i in range(BALLS)]


def next_evening(learner: Learner, evening: EveningTruth, aimed: list[Aimed], rng: np.random.Generator) -> Learner:
    """The learner after an evening of the balls `aimed`."""
    opened = learner.diary.opened(evening, PLANS[evening.number])
    return replace(learner, diary=play(learner.golfer, opened, evening, aimed, rng))


def after(evening: EveningTruth) -> datetime:
    """When the evening's balls are looked back on."""
    return evening.when + timedelta(hours=1)
