"""Called ranges: where every fifth ball of an evening is said to land before its first, held against what was seen.

The model's calls are the product's own (`application.estimates.calling.call`), from the evenings before and each
ball's reading. A baseline calls its own figure in that reading, normal with the pooled s.d. of its own misses on the
evenings before; so calls are scored from the second evening on. (In play the product calls after every ball, and
knows more.)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from tests.core.estimate.baselines import stated
from tests.evidence.season_evenings import EveningTruth
from tests.evidence.season_golfers import Golfer
from tests.evidence.season_methods import (
    MEANS,
    NO_BALLS,
    OURS,
    RULE_LOW,
    SQUARES,
    means_said,
    squares_said,
    taught,
)
from trainer.application.estimates.calling import BallToCome, call
from trainer.application.estimates.learning import Known
from trainer.application.evidence.flown import wind_terms
from trainer.application.evidence.history import History, wind_of
from trainer.core.conditions import Conditions
from trainer.core.constants import Z50, Z80
from trainer.core.decide.baselines import RULE_HEAD_M_PER_MPS, RULE_TAIL_M_PER_MPS
from trainer.core.decide.scoring import crps_of_normal, crps_of_quantiles
from trainer.core.estimate.evidence import Floats
from trainer.store.records import ShotRecord

EVERY = 5


@dataclass(frozen=True, slots=True)
class Called:
    """Of balls (n,): whether 50 and 80 % ranges held (0 or 1), the score (CRPS, m), the middle's log miss."""

    held50: Floats
    held80: Floats
    score_m: Floats
    miss_log: Floats


def calls_of(
    known: Known, blank: Known, golfer: Golfer, evening: EveningTruth, history: History,
    misses: Mapping[str, Floats],
) -> Mapping[str, Called]:  # fmt: skip
    """The calls of the evening's balls in `history` by methods that knew nothing of the evening.

    `misses` are a baseline's log misses on the evenings before; without them it calls no range (NaN).
    """
    balls = [
        shot for shot in history.shots
        if shot.session_id == evening.number + 1 and shot.number % EVERY == 0 and shot.entry.carry_m is not None
    ]  # fmt: skip
    seen_m = np.array([shot.entry.carry_m for shot in balls], dtype=np.float64)
    cells = np.array([golfer.bench.index[shot.cell] for shot in balls], dtype=np.int64)
    found = {}
    if evening.number:
        found[OURS] = _by_product(known, golfer, evening, history, balls)
        found[NO_BALLS] = _by_product(blank, golfer, evening, history, balls)
    terms = wind_terms(balls, cells, history, golfer.bench)
    wind = terms.carry_m / terms.still_m
    arrays = golfer.bench.arrays
    along = np.array([wind_of(history, shot).along_mps for shot in balls])
    per_mps = np.where(along < 0, RULE_HEAD_M_PER_MPS, RULE_TAIL_M_PER_MPS)
    middles = {RULE_LOW: stated(arrays)[cells] + per_mps * along}
    seen = taught(known.evidence.observations)
    if len(seen):
        middles[MEANS] = means_said(arrays, seen).middle[cells] * wind
        middles[SQUARES] = squares_said(arrays, seen).middle[cells] * wind
    for name, middle in middles.items():
        found[name] = _normal(np.maximum(middle, 5.0), seen_m, misses.get(name, np.zeros(0)))
    return found


def _by_product(
    known: Known, golfer: Golfer, evening: EveningTruth, history: History, balls: list[ShotRecord]
) -> Called:
    rows = []
    for shot in balls:
        conditions = Conditions(wind_of(history, shot), evening.air, ball=shot.ball, surface=shot.surface)
        said = call(known, BallToCome(shot.cell, conditions, shot.reading_id, evening.when.date(), shot.seen))
        seen = shot.entry.carry_m
        assert said is not None
        assert seen is not None
        held50, held80 = said.low50_m <= seen <= said.high50_m, said.low80_m <= seen <= said.high80_m
        score = crps_of_quantiles(said.shape_m, seen)
        rows.append((float(held50), float(held80), score, float(np.log(seen / said.median_m))))
    return Called(*np.array(rows, dtype=np.float64).reshape(-1, 4).T)


def _normal(middle_m: Floats, seen_m: Floats, misses: Floats) -> Called:
    miss = np.log(seen_m / middle_m)
    if not len(misses):
        none = np.full(len(miss), np.nan)
        return Called(none, none, none, miss)
    sd = float(np.sqrt(np.mean(misses**2))) * middle_m
    off = np.abs(seen_m - middle_m) / sd
    score = crps_of_normal(middle_m, sd, seen_m)
    return Called((off <= Z50).astype(np.float64), (off <= Z80).astype(np.float64), score, miss)
