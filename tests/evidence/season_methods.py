"""What each method says after an evening: carries in still air and today, with its 80 % interval where it has one.

The baselines are the fixed ones (`tests.core.estimate.baselines`), taught by every ball seen and not marked as bad.
Their intervals are the textbook's: standard errors from the pooled residual s.d. of log carries without wind; a shot
that was never hit has none with cell means, nor one that the rows hit do not settle with least squares.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from tests.core.estimate.baselines import cell_means, least_squares, stated
from tests.evidence.season_evenings import STRETCHES, EveningTruth, reading_id
from tests.evidence.season_golfers import Form, Golfer, middle_carry_m, wanted
from trainer.application.estimates.learning import Known
from trainer.core.conditions import Ball, Conditions
from trainer.core.constants import Z80
from trainer.core.decide.baselines import RULE_HEAD_M_PER_MPS, RULE_TAIL_M_PER_MPS
from trainer.core.estimate.evidence import CellSet, Floats, Ints, Setting
from trainer.core.estimate.observations import Observations
from trainer.core.estimate.report import log_carry_in
from trainer.core.flight.wind import WindField

OURS, NO_BALLS, ORACLE = "ours", "no_balls", "oracle"
RULE, RULE_LOW, MEANS, SQUARES = "rule", "rule_with_knockdowns", "cell_means", "least_squares"
METHODS = (OURS, RULE, RULE_LOW, MEANS, SQUARES, NO_BALLS, ORACLE)


@dataclass(frozen=True, slots=True)
class Said:
    """Carries (c,), m, with the ends of 80 %: NaN where the method has no interval, or says nothing at all."""

    middle: Floats
    low80: Floats
    high80: Floats

    def of(self, cells: Ints) -> Said:
        """The same of some cells."""
        return Said(self.middle[cells], self.low80[cells], self.high80[cells])


@dataclass(frozen=True, slots=True)
class Figures:
    """A method's figures of the wanted shots after an evening: in still air and today."""

    still: Said
    today: Said


@dataclass(frozen=True, slots=True)
class Today:
    """The evening's last wind as it was read, on every cell (c,): log effect, its slope per m/s, along, m/s."""

    wind_log: Floats
    slope: Floats
    along_mps: float


def today_of(known: Known, evening: EveningTruth) -> Today:
    """What the flight makes of the evening's last reading."""
    read = evening.stretches[-1].read
    effects = known.bench.effects_in(Conditions(read, evening.air))
    log = np.log(effects.carry_m / effects.carry_still_m)
    return Today(log, effects.slope_along_m_per_mps / effects.carry_m, read.along_mps)


@dataclass(frozen=True, slots=True)
class Truth:
    """True carries of the wanted shots, m: in still air, of an evening in its last wind, and in still air when fresh.

    The first two are of the middle of an evening's balls, tired as he is then: what practice can show. Fresh he hits
    a hundredth or two farther, which no method here reckons with.
    """

    still: Floats
    today: Floats
    fresh: Floats


def truth(golfer: Golfer, evening: EveningTruth) -> Truth:
    """What every method is held against after `evening`."""
    cells = wanted(golfer.bench)
    blows = evening.stretches[-1].true
    field = WindField(blows.along_mps, blows.across_mps, blows.height_m, golfer.roughness_m)
    there = middle_carry_m(golfer, cells, field, evening.air, evening.middle_form(golfer), golfer.habits.ball)
    halfway = Form(-0.5 * golfer.habits.tires_log_speed)
    return Truth(middle_carry_m(golfer, cells, form=halfway), there, middle_carry_m(golfer, cells))


def figures(
    known: Known, blank: Known, golfer: Golfer, evening: EveningTruth, rng: np.random.Generator
) -> Mapping[str, Figures]:
    """What every method but the oracle says of the wanted shots; `blank` knows no balls."""
    cells, today = wanted(golfer.bench), today_of(known, evening)
    arrays = golfer.bench.arrays
    seen = taught(known.evidence.observations)
    of_today = np.exp(today.wind_log)
    rule = stated(arrays)
    full_only = np.where((arrays.three_quarter > 0) | (arrays.half > 0), np.nan, rule)
    by_rule = _by_rule_m(today.along_mps)
    said = {
        OURS: Figures(*(_by_model(known, today, evening, golfer, rng))),
        NO_BALLS: Figures(*(_by_model(blank, today, None, golfer, rng))),
        RULE: Figures(_bare(full_only), _bare(full_only + by_rule)),
        RULE_LOW: Figures(_bare(rule), _bare(rule + by_rule)),
    }
    for name, one in ((MEANS, means_said(arrays, seen)), (SQUARES, squares_said(arrays, seen))):
        there = Said(one.middle * of_today, one.low80 * of_today, one.high80 * of_today)
        said[name] = Figures(one, there)
    return {name: Figures(both.still.of(cells), both.today.of(cells)) for name, both in said.items()}


def taught(seen: Observations) -> Observations:
    """The balls that averages are taken over: seen as a number and not marked as bad."""
    return seen.taken(np.flatnonzero((seen.low_m > 0) & ~seen.marked))


def _by_rule_m(along_mps: float) -> float:
    return along_mps * (RULE_HEAD_M_PER_MPS if along_mps < 0 else RULE_TAIL_M_PER_MPS)


def _bare(middle: Floats) -> Said:
    none = np.full(len(middle), np.nan)
    return Said(middle, none, none)


def _by_model(
    known: Known, today: Today, evening: EveningTruth | None, golfer: Golfer, rng: np.random.Generator
) -> tuple[Said, Said]:
    """The posterior's still-air carries, and today's: under the evening's own reading and day where it has them."""
    ranged = golfer.habits.ball is Ball.RANGE
    setting = Setting(today.wind_log, today.slope, range_ball=ranged)
    if evening is not None:
        setting = Setting(
            today.wind_log, today.slope, range_ball=ranged,
            reading=known.evidence.reading_index[reading_id(evening, STRETCHES - 1)],
            day=known.evidence.day_index[evening.when.date()],
        )  # fmt: skip
    posterior, arrays = known.posterior, known.bench.arrays
    stock = arrays.stock_carry_m[arrays.club]
    both = (posterior.draws.eta, log_carry_in(posterior, setting, rng))
    still, there = (np.quantile(log, (0.1, 0.5, 0.9), axis=0) for log in both)
    return (
        Said(*(stock * np.exp(still[i]) for i in (1, 0, 2))),
        Said(*(stock * np.exp(there[i]) for i in (1, 0, 2))),
    )


def means_said(cells: CellSet, seen: Observations) -> Said:
    """Cell means with standard errors."""
    middle = cell_means(cells, seen)
    count = np.bincount(seen.cell, minlength=len(cells))
    left = np.log(seen.low_m) - seen.wind_log - np.log(middle[seen.cell])
    freedom = max(len(seen) - int(np.sum(count > 0)), 1)
    sd = np.sqrt(float(left @ left) / freedom)
    error = np.where(count > 0, sd / np.sqrt(np.maximum(count, 1)), np.nan)
    return Said(middle, middle * np.exp(-Z80 * error), middle * np.exp(Z80 * error))


def squares_said(cells: CellSet, seen: Observations) -> Said:
    """Least squares with standard errors."""
    middle = least_squares(cells, seen)
    clubs = np.eye(len(cells.loft_deg))[cells.club]
    rows = np.hstack([clubs, np.column_stack([cells.grip_down_in, cells.three_quarter, cells.half])])
    product = rows[seen.cell].T @ rows[seen.cell]
    inverse = np.linalg.pinv(product, rcond=1e-10, hermitian=True)
    left = np.log(seen.low_m) - seen.wind_log - np.log(middle[seen.cell])
    freedom = max(len(seen) - int(np.linalg.matrix_rank(product)), 1)
    variance = float(left @ left) / freedom * np.einsum("cp,pq,cq->c", rows, inverse, rows)
    settled = np.abs(rows @ (inverse @ product) - rows).max(axis=1) < 1e-6
    error = np.where(settled, np.sqrt(variance), np.nan)
    return Said(middle, middle * np.exp(-Z80 * error), middle * np.exp(Z80 * error))
