"""The club model's draws as the agenda needs them: what each shot would carry along each line of the range today."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from trainer.application.estimates.learning import Known
from trainer.application.evidence.gathering import SEEN_SD_M
from trainer.application.evidence.reading_error import reading_sd_mps
from trainer.core.bag import Cell
from trainer.core.conditions import CALM_WIND, Ball, Conditions, Surface, Wind, WindKnowledge
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.profile import Profile, RangeFlag
from trainer.core.schedule.information import Beliefs, Direction, beliefs_from_draws
from trainer.core.units import to_si

SAME_LINE_RAD = math.radians(5)
"""Flags within this of each other stand on one line."""

MOST_LINES = 4
WORTH_TURNING_MPS = 2.0
"""Below this along the line, turning round changes little."""

AGAINST_THIS_WIND, ON_A_CALM_DAY = "with this wind the other way round", "on a calm day"


@dataclass(frozen=True, slots=True)
class Tonight:
    """What the balls will meet: conditions, the reading they rest on (None: stated, or none), and the day."""

    conditions: Conditions
    reading_id: int | None
    wind_sd_mps: float
    day: date


@dataclass(frozen=True, slots=True)
class _Line:
    """A direction with the wind as it meets it, and whether it belongs to today."""

    direction: Direction
    wind: Wind
    today: bool = True


def beliefs_tonight(known: Known, cells: Sequence[Cell], profile: Profile, tonight: Tonight) -> Beliefs:
    """What is believed of `cells` and of each of them along the lines of the range, tonight.

    Besides the range's own lines it holds, only to compare, the same wind the other way round and a calm day.
    """
    here = np.array([known.bench.index[cell] for cell in cells if cell in known.bench.index], dtype=np.int64)
    rng = np.random.default_rng(known.seed)
    lines = _lines(profile, tonight.conditions.wind)
    posterior, draws = known.posterior, known.posterior.draws
    size = len(draws)
    error = _reading_error(known, tonight, rng)
    other_error = reading_sd_mps(CALM_WIND) * rng.standard_normal((2, size))
    day, other_day = _day(known, tonight.day, rng), posterior.priors.day_sd * rng.standard_normal(size)
    eta = draws.eta[:, here]
    shots, noise = [], []
    for line in lines:
        wind_log, slopes, spread_log = _flown(known, here, replace(tonight.conditions, wind=line.wind))
        off = _turned(error if line.today else other_error, line.direction.bearing_rad)
        log_carry = eta + draws.wind_response[:, None] * wind_log + off.T @ slopes
        log_carry = log_carry + (day if line.today else other_day)[:, None] + _class_offset(known, tonight)[:, None]
        shots.append(log_carry)
        noise.append(_ball_var(known, here, spread_log, profile, log_carry))
    used = np.unique(posterior.observations.day)
    stock_m = known.bench.arrays.stock_carry_m[known.bench.arrays.club[here]]
    return beliefs_from_draws(
        tuple(known.bench.cells[int(place)] for place in here),
        tuple(line.direction for line in lines),
        stock_m=stock_m,
        still=eta,
        shots=np.stack(shots, axis=1),
        days=np.column_stack([draws.day[:, used], day, other_day]),
        ball_var=np.stack(noise),
        mishit_share=float(posterior.weights @ draws.mishit_share),
        weights=posterior.weights,
    )


def _lines(profile: Profile, wind: Wind) -> list[_Line]:
    """Straight out first, then the range's other lines, then what is only compared."""
    groups: list[list[RangeFlag]] = []
    for flag in sorted(profile.flags, key=lambda each: abs(each.bearing_rad)):
        near = (group for group in groups if abs(group[0].bearing_rad - flag.bearing_rad) <= SAME_LINE_RAD)
        group = next(near, None)
        if group is None:
            groups.append([flag])
        else:
            group.append(flag)
    straight = [flag.name for group in groups for flag in group if abs(group[0].bearing_rad) <= SAME_LINE_RAD]
    lines = [_Line(Direction("straight out", 0.0, tuple(straight)), wind)]
    for group in groups:
        if abs(group[0].bearing_rad) > SAME_LINE_RAD and len(lines) < MOST_LINES:
            bearing = group[0].bearing_rad
            names = tuple(flag.name for flag in group)
            direction = Direction(f"at {' or '.join(names)}", bearing, names)
            lines.append(_Line(direction, wind.turned(bearing)))
    if wind.knowledge not in {WindKnowledge.UNKNOWN, WindKnowledge.CALM}:
        if abs(wind.along_mps) >= WORTH_TURNING_MPS:
            back = Direction(AGAINST_THIS_WIND, math.pi, offered=False)
            lines.append(_Line(back, wind.turned(math.pi)))
        lines.append(_Line(Direction(ON_A_CALM_DAY, offered=False), CALM_WIND, today=False))
    return lines


def _turned(error: Floats, bearing_rad: float) -> Floats:
    """A reading's error (2, n), along and across the line straight out, as it meets a line at `bearing_rad`."""
    cos, sin = math.cos(bearing_rad), math.sin(bearing_rad)
    return np.array([[cos, sin], [-sin, cos]]) @ error


def _reading_error(known: Known, tonight: Tonight, rng: np.random.Generator) -> Floats:
    """Errors (2, n) of tonight's reading along and across the line straight out, m/s."""
    at = None if tonight.reading_id is None else known.evidence.reading_index.get(tonight.reading_id)
    draws = known.posterior.draws
    if at is None:
        return tonight.wind_sd_mps * rng.standard_normal((2, len(draws)))
    return np.stack([draws.along[:, at], draws.across[:, at]])


def _day(known: Known, day: date, rng: np.random.Generator) -> Floats:
    at = known.evidence.day_index.get(day)
    posterior = known.posterior
    if at is not None:
        return posterior.draws.day[:, at]
    return posterior.priors.day_sd * rng.standard_normal(len(posterior.draws))


def _class_offset(known: Known, tonight: Tonight) -> Floats:
    draws = known.posterior.draws
    return np.asarray(
        (tonight.conditions.ball is Ball.RANGE) * draws.range_ball
        + (tonight.conditions.surface is Surface.MAT) * draws.mat
    )


def _flown(known: Known, here: Ints, conditions: Conditions) -> tuple[Floats, Floats, Floats]:
    """Log wind effect (c,), its slopes (2, c) per m/s along and across the line, and the strike's scatter (c,)."""
    effects = known.bench.effects_in(conditions)
    wind_log = np.log(effects.carry_m / effects.carry_still_m)
    slopes = np.stack([effects.slope_along_m_per_mps, effects.slope_across_m_per_mps]) / effects.carry_m
    return wind_log[here], slopes[:, here], known.bench.scatter_in(conditions).log_carry_sd[here]


def _ball_var(known: Known, here: Ints, spread_log: Floats, profile: Profile, log_carry: Floats) -> Floats:
    """Variance (c,) of one struck ball of this player about its mean, seeing included."""
    posterior, arrays = known.posterior, known.bench.arrays
    factor = posterior.weights @ np.exp(2.0 * posterior.draws.log_spread)
    carry_m = arrays.stock_carry_m[arrays.club[here]] * np.exp(posterior.weights @ log_carry)
    seen_m = SEEN_SD_M[profile.seen] * np.clip(carry_m / to_si(150, "yd"), 0.5, 1.5)
    return np.asarray(factor[arrays.club[here]] * spread_log**2 + (seen_m / carry_m) ** 2)
