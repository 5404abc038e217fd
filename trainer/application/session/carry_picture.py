"""The next ball's carry as a picture that moves: the hill of now, the ranges before, the session's balls as ticks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.learning import Known
from trainer.application.estimates.snapshot import Range80, Snapshot, effects_of, narrowed, setting_of
from trainer.application.flights.cell_page import Ball, hill
from trainer.application.views.axis import Axis
from trainer.application.views.look import Hump
from trainer.application.views.session_pictures import CarryPicture, TickBall
from trainer.core.bag import Cell
from trainer.core.estimate import report
from trainer.core.estimate.evidence import Floats
from trainer.core.units import UnitChoice, from_si, whole

NOW = "now"
_WITHIN = 0.01
"""The axis holds all but this share of the hill on each side."""


@dataclass(frozen=True, slots=True)
class Seen:
    """A cell as it is asked for: known to the model, in the conditions of the table."""

    cell: Cell
    table: Snapshot
    stated: StatedConditions

    def draws_m(self, known: Known) -> Floats:
        """Draws (n,) of the cell's carry in the table's conditions, m, from what was `known`."""
        here = np.array([known.bench.index[self.cell]])
        few, table = narrowed(known.posterior, here), self.table
        effects = effects_of(known.bench.effects_in(table.conditions), here)
        setting = setting_of(known, table.conditions, table.reading, self.stated, effects, table.as_of)
        log_carry = report.log_carry_in(few, setting, np.random.default_rng(known.seed))[:, 0]
        stock_m = float(few.cells.stock_carry_m[few.cells.club[0]])
        return np.asarray(stock_m * np.exp(log_carry))

    def range_m(self, known: Known) -> Range80:
        """The median and the central 80 % of them."""
        draws = self.draws_m(known)
        low, median, high = report.quantiles(draws, known.posterior.weights, (0.1, 0.5, 0.9)).tolist()
        return Range80(median, low, high)

    def wind_share(self, known: Known) -> float:
        """What the conditions make of a carry in still air: 1 where they change nothing."""
        effects = known.bench.effects_in(self.table.conditions)
        i = known.bench.index[self.cell]
        return float(effects.carry_m[i] / effects.carry_still_m[i])


def carry_picture(
    seen: Seen,
    now: Known,
    before_ball: Known | None,
    before_first: Range80,
    balls: Sequence[Ball],
    target_m: float | None,
    units: UnitChoice,
) -> CarryPicture:
    """The picture of one cell. `balls` are the session's of the cell, oldest first."""
    unit = units.distance
    draws = seen.draws_m(now)
    weights = now.posterior.weights
    low, median, high, least, most = report.quantiles(draws, weights, (0.1, 0.5, 0.9, _WITHIN, 1 - _WITHIN)).tolist()
    carry = seen.table.figures(seen.cell).carry_today_m
    last = None if before_ball is None else seen.range_m(before_ball)
    share = seen.wind_share(now)
    there = [(ball.still_m * share, ball) for ball in balls if ball.still_m is not None]
    ends = [low, median, high, least, most, before_first.low80, before_first.high80]
    ends += [] if target_m is None else [target_m]
    ends += [] if last is None else [last.low80, last.high80]
    axis = Axis.around((from_si(end, unit) for end in ends), least=20.0)
    newest = there[-1][1] if there and there[-1][1] is balls[-1] else None
    return CarryPicture(
        now=Hump(NOW, hill(from_si(1.0, unit) * draws, weights, axis), axis.bar(carry, units)),
        before_ball=None if last is None else axis.bar(last, units),
        before_first=axis.bar(before_first, units),
        target=None if target_m is None else axis.share(from_si(target_m, unit)),
        balls=tuple(
            TickBall(axis.share(from_si(carry_m, unit)), ball is newest, ball.shot.entry.mishit)
            for carry_m, ball in there
        ),
        ticks=axis.ticks(unit=unit),
        words=(_moved_words(carry, last, units),),
    )


def _moved_words(now: Range80, last: Range80 | None, units: UnitChoice) -> str:
    """`before the ball 128 ±8, now 126 ±7`."""
    said = f"now {_give_or_take(now, units)}"
    return said if last is None else f"before the ball {_give_or_take(last, units)}, {said}"


def _give_or_take(carry: Range80, units: UnitChoice) -> str:
    median, half = (whole(from_si(value, units.distance)) for value in (carry.median, carry.half_width_m))
    return f"{median} ±{half}"
