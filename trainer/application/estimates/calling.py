"""The called range: where the next ball is said to land before it is hit, kept with it and held against it after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np

from trainer.application.estimates.learning import Known, learn, learn_on
from trainer.application.evidence.gathering import SEEN_SD_M
from trainer.application.evidence.history import read_history
from trainer.application.evidence.reading_error import reading_sd_mps
from trainer.core.bag import Cell
from trainer.core.conditions import Ball, Conditions, Seen, Surface
from trainer.core.decide.scoring import LEVELS
from trainer.core.estimate import report
from trainer.core.estimate.evidence import Floats, Setting
from trainer.core.schedule.balls import Called
from trainer.core.units import to_si
from trainer.store.records import ShotRecord
from trainer.store.store import Store

KEPT_DECIMALS = 3
"""A millimetre: what is kept of a called shape for its score."""

_PLACES = {level: LEVELS.index(level) for level in (0.1, 0.25, 0.5, 0.75, 0.9)}


@dataclass(frozen=True, slots=True)
class Call(Called):
    """Where a ball of `cell` is called to carry in the wind of a reading, as seen, bad strikes too.

    `shape_m` are its quantiles at `core.decide.scoring.LEVELS`, m, kept with the ball for its score.
    """

    cell: Cell
    reading_id: int | None
    shape_m: tuple[float, ...] = ()

    @property
    def range_50_m(self) -> tuple[float, float]:
        """The ends of the central half."""
        return self.low50_m, self.high50_m

    @property
    def range_80_m(self) -> tuple[float, float]:
        """The ends of the central 80 %."""
        return self.low80_m, self.high80_m


@dataclass(frozen=True, slots=True)
class BallToCome:
    """What is known of the next ball: its cell, the wind turned to its target, and how it will be seen."""

    cell: Cell
    conditions: Conditions
    reading_id: int | None
    day: date
    seen: Seen


def call(known: Known, ball: BallToCome) -> Call | None:
    """The called range of the next ball; None for a cell that the player's bag does not hold.

    None too where the estimate has not settled: the ball is kept then without a call. On a day that no shot is of yet
    the day's own offset is foreseen too, and so are a bad strike and the eye's error.
    """
    at = known.bench.index.get(ball.cell)
    if at is None or not known.posterior.diagnostics.reliable:
        return None
    posterior, priors = known.posterior, known.posterior.priors
    rng = np.random.default_rng(known.seed)
    effects, scatter = known.bench.effects_in(ball.conditions), known.bench.scatter_in(ball.conditions)
    cells = len(known.bench.cells)
    reading = None if ball.reading_id is None else known.evidence.reading_index.get(ball.reading_id)
    setting = Setting(
        wind_log=np.full(cells, float(np.log(effects.carry_m[at] / effects.carry_still_m[at]))),
        wind_slope_per_mps=np.full(cells, float(effects.slope_along_m_per_mps[at] / effects.carry_m[at])),
        wind_sd_mps=reading_sd_mps(ball.conditions.wind),
        reading=reading,
        day=known.evidence.day_index.get(ball.day),
        range_ball=ball.conditions.ball is Ball.RANGE,
        mat=ball.conditions.surface is Surface.MAT,
    )
    carries_m = report.ball_draws(posterior, setting, np.full(cells, float(scatter.log_carry_sd[at])), at, rng)
    near_m = float(np.median(carries_m))
    seen_sd = SEEN_SD_M[ball.seen] * float(np.clip(near_m / to_si(150, "yd"), 0.5, 1.5)) / near_m
    eye_sd = priors.eye_day_sd if ball.seen is Seen.EYE else 0.0
    day_sd = 0.0 if setting.day is not None else float(np.hypot(priors.day_sd, eye_sd))
    noise = np.hypot(seen_sd, day_sd) * rng.standard_normal(len(carries_m))
    return call_from(ball.cell, ball.reading_id, carries_m * np.exp(noise), posterior.weights)


def call_from(cell: Cell, reading_id: int | None, balls_m: Floats, weights: Floats) -> Call:
    """The call that says where weighted balls (n,) of a cell end, m."""
    shape = report.quantiles(balls_m, weights, LEVELS).ravel()
    low80, low50, median, high50, high80 = (float(shape[_PLACES[level]]) for level in (0.1, 0.25, 0.5, 0.75, 0.9))
    kept = tuple(np.round(shape, KEPT_DECIMALS).tolist())
    return Call(median, low50, high50, low80, high80, cell, reading_id, kept)


class Caller:
    """Calls each ball of a session from all that was recorded before it, in the thread that owns the store."""

    def __init__(self, store: Store, alias: str | None) -> None:
        self._store, self._alias = store, alias
        self._known: Known | None = None

    def __call__(self, ball: BallToCome, as_of: datetime) -> Call | None:
        """The called range of `ball` as of the moment it is hit."""
        history = read_history(self._store, self._alias)
        if self._known is None:
            self._known = learn(history, as_of)
        else:
            self._known = learn_on(self._known, history, as_of)
        return call(self._known, ball)


@dataclass(frozen=True, slots=True)
class CallsHeld:
    """How many balls with a called range landed within it: of `balls`, `held_50` and `held_80`."""

    balls: int
    held_50: int
    held_80: int


def calls_held(shots: Sequence[ShotRecord]) -> CallsHeld:
    """How often called ranges held, over every ball that was called and whose carry was seen, bad ones too."""
    called = [
        (shot.entry.carry_m, shot.called_50_m, shot.called_80_m)
        for shot in shots
        if shot.entry.carry_m is not None and shot.called_50_m is not None and shot.called_80_m is not None
    ]
    return CallsHeld(
        balls=len(called),
        held_50=sum(fifty[0] <= carry <= fifty[1] for carry, fifty, _ in called),
        held_80=sum(eighty[0] <= carry <= eighty[1] for carry, _, eighty in called),
    )
