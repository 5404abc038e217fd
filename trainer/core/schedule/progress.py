"""Where a cell stands for this player: its stage, when it is due again, and whether its low flight was seen.

Everything is worked out from the shots alone, in the order they were hit, so that it can be worked out again. All
limits are common practice without a published source; the spacing of 7, 21 and 42 days likewise.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from trainer.core.bag import Cell, Swing
from trainer.core.schedule.stages import STAGES, Stage

T80_11_DF = 1.3634303
"""The 90 % point of Student's t with 11 degrees of freedom; more balls make it a little wide, never narrow."""

RETEST_AFTER = (timedelta(days=7), timedelta(days=21), timedelta(days=42))
OVERDUE_AFTER = timedelta(days=21)
"""A cell that is still being learned is overdue when it was left alone for so long."""

_RETEST_BALLS = 3
_SIGNS, _SIGNS_LEAST, _SIGNS_SHARE = 5, 3, 0.6


@dataclass(frozen=True, slots=True)
class PastShot:
    """One ball of an earlier evening or of this one.

    `error` is the carry less its target as a fraction of the target, None where either is unknown. `low` says
    whether height, time in the air, launch or a sight line showed a low flight, None where nothing did; `vouched`
    that a player or coach said so.
    """

    day: date
    cell: Cell
    error: float | None = None
    low: bool | None = None
    vouched: bool = False


@dataclass(frozen=True, slots=True)
class StageRules:
    """When a cell moves on or back: by the 80 % interval of its mean error over the last balls of its stage."""

    least: int = 12
    window: int = 18
    pass_error: float = 0.10
    back_error: float = 0.14


ADULT_RULES = StageRules()
JUNIOR_RULES = StageRules(least=18, pass_error=0.13, back_error=0.18)
"""Juniors stay longer before they mix, and are asked for less."""


@dataclass(frozen=True, slots=True)
class Standing:
    """A cell's stage, the balls it has had, its last day, and when it is due again (None: nothing is known of it).

    `mastered` says that it passed its test; `recent` are the sizes of the errors of the last balls of the stage.
    """

    stage: Stage = Stage.SETTLE
    balls: int = 0
    last_day: date | None = None
    due: date | None = None
    mastered: bool = False
    recent: tuple[float, ...] = field(default=(), compare=False)

    def is_overdue(self, today: date) -> bool:
        """Whether the cell was to be hit again by `today`."""
        return self.due is not None and self.due <= today


def mean_interval(errors: Sequence[float]) -> tuple[float, float]:
    """The 80 % interval of the mean of two or more `errors`."""
    count = len(errors)
    mean = math.fsum(errors) / count
    variance = math.fsum((error - mean) ** 2 for error in errors) / (count - 1)
    half = T80_11_DF * math.sqrt(variance / count)
    return mean - half, mean + half


def standing_of(shots: Iterable[PastShot], rules: StageRules = ADULT_RULES) -> Standing:
    """Where one cell stands after its `shots`, oldest first."""
    stage, balls = Stage.SETTLE, 0
    window: list[float] = []
    last_day: date | None = None
    mastered: _Mastered | None = None
    for day, errors, count in _by_day(shots):
        balls += count
        last_day = day
        if mastered is not None:
            mastered = mastered.retested(day, errors, rules)
            if mastered is None:
                stage, window = Stage.MIX, []
            continue
        for error in errors:
            window = [*window, error][-rules.window :]
            moved = _moved(stage, window, rules)
            if moved is None:
                mastered, window = _Mastered(day), []
                break
            if moved is not stage:
                stage, window = moved, []
    due = mastered.due if mastered else None if last_day is None else last_day + OVERDUE_AFTER
    here = Stage.TEST if mastered else stage
    return Standing(here, balls, last_day, due, mastered is not None, tuple(window))


def standings(past: Iterable[PastShot], rules: StageRules = ADULT_RULES) -> dict[Cell, Standing]:
    """Every cell that was hit with its standing."""
    by_cell: dict[Cell, list[PastShot]] = {}
    for shot in past:
        by_cell.setdefault(shot.cell, []).append(shot)
    return {cell: standing_of(shots, rules) for cell, shots in by_cell.items()}


def swings_seen_low(past: Iterable[PastShot]) -> frozenset[Swing]:
    """The swings of which the low flight was shown: somebody vouched for it, or most of the last signs say so."""
    seen: dict[Swing, list[PastShot]] = {}
    for shot in past:
        if shot.cell.swing is not Swing.FULL and shot.low is not None:
            seen.setdefault(shot.cell.swing, []).append(shot)
    return frozenset(swing for swing, signs in seen.items() if _is_low(signs[-_SIGNS:]))


def _is_low(signs: Sequence[PastShot]) -> bool:
    if signs[-1].low and any(sign.vouched and sign.low for sign in signs):
        return True
    low = sum(bool(sign.low) for sign in signs)
    return len(signs) >= _SIGNS_LEAST and low >= _SIGNS_SHARE * len(signs)


@dataclass(frozen=True, slots=True)
class _Mastered:
    since: date
    retests: int = 0

    @property
    def due(self) -> date:
        """The day of the next retest."""
        return self.since + RETEST_AFTER[min(self.retests, len(RETEST_AFTER) - 1)]

    def retested(self, day: date, errors: Sequence[float], rules: StageRules) -> _Mastered | None:
        """After another day: later due where it held, None where it was lost, the same where it was not due."""
        if day < self.due or len(errors) < _RETEST_BALLS:
            return self
        if mean_interval(errors)[0] > rules.back_error:
            return None
        return _Mastered(day, self.retests + 1)


def _by_day(shots: Iterable[PastShot]) -> list[tuple[date, list[float], int]]:
    days: dict[date, tuple[list[float], int]] = {}
    for shot in shots:
        errors, count = days.get(shot.day, ([], 0))
        if shot.error is not None:
            errors = [*errors, abs(shot.error)]
        days[shot.day] = errors, count + 1
    return [(day, errors, count) for day, (errors, count) in days.items()]


def _moved(stage: Stage, window: Sequence[float], rules: StageRules) -> Stage | None:
    """The stage after one more ball; None where the test is passed."""
    if len(window) < rules.least:
        return stage
    low, high = mean_interval(window)
    at = STAGES.index(stage)
    if high <= rules.pass_error:
        return None if stage is Stage.TEST else STAGES[at + 1]
    if low >= rules.back_error:
        return STAGES[max(at - 1, 0)]
    return stage
