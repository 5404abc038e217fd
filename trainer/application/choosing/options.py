"""Options for a target: every cell that could do it, three choices, and what would change the answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.learning import Known, learn
from trainer.application.estimates.snapshot import Range80, setting_of, todays_conditions
from trainer.application.estimates.traits_seen import traits_of
from trainer.application.estimates.trust import Trust, hits_of, trusts_of
from trainer.application.evidence.history import History, wind_of
from trainer.application.flights.cell_flights import MISREAD_MPS, flown, gust_share, once
from trainer.core.bag import Cell
from trainer.core.conditions import Conditions, Wind, WindKnowledge
from trainer.core.decide.choose import Aim, Chances, chances, interval_of, ranked, three_choices
from trainer.core.decide.outcomes import Balls, CellFlights, Doubt, Rest, come_to_rest, roll_balls
from trainer.core.decide.switching import Misread, Winds, misread, switches
from trainer.core.decide.target import Target, require_target
from trainer.core.estimate import report
from trainer.core.estimate.evidence import Floats, Ints, Setting
from trainer.core.estimate.observations import Bools
from trainer.core.profile import Hand
from trainer.core.units import from_si, to_si
from trainer.store.records import ReadingRecord

RULE_HEAD_M_PER_MPH, RULE_TAIL_M_PER_MPH = to_si(1.0, "yd"), to_si(0.5, "yd")
"""The rule of thumb: a yard per mph of headwind on, half a yard per mph of tailwind off (common practice)."""

BEYOND_HIT_MPS = 3.0
"""A wind along the line further than this from every wind hit in is outside what the shots tell of."""

STRONGEST_LOOKED_AT_MPS = 20.0
LEAST_LOOKED_AT_MPS = 9.0
WINDS, KNOT_MPS = 9, 4.0
"""How many winds are looked at for switches, and how far apart the flight is calculated: between, linear to 0.4 m."""

NEAR_SHARE, NEAR_LEAST_M = 0.15, 14.0
LEAST_OPTIONS = 3


@dataclass(frozen=True, slots=True)
class Option:
    """One cell for the target. `carry_m`, `total_m` and the descent are of the next ball, bad strikes in but for it.

    `wind_cost_m` is how its carry changes where the wind is 5 mph more. `basis` says what it rests on; `extrapolated`
    that no ball told of this cell, or of such a wind.
    """

    cell: Cell
    carry_m: Range80
    total_m: Range80
    descent_rad: float
    descent_low80_rad: float
    descent_high80_rad: float
    apex_m: float
    run_m: float
    wind_cost_m: float
    aim_side_m: float
    p_over: float | None
    p_hold: float
    p_short: float
    p_long: float
    p_left: float
    p_right: float
    miss_m: float
    trust: Trust
    basis: str
    extrapolated: bool


@dataclass(frozen=True, slots=True)
class Flip:
    """The first choice changes from `before` to `after` where the wind reaches `wind_mps` ± `plus_minus_mps`."""

    wind_mps: float
    plus_minus_mps: float
    before: Cell
    after: Cell


@dataclass(frozen=True, slots=True)
class Choice:
    """Options, best first, in one set of conditions. `chosen` are the places of the three choices among them.

    `misread` holds the chances of the three where the wind is 5 mph less or more.
    """

    as_of: datetime
    conditions: Conditions
    reading: ReadingRecord | None
    target: Target
    aim: Aim
    options: tuple[Option, ...]
    chosen: tuple[int, ...]
    flips: tuple[Flip, ...]
    misread: Misread
    rule_of_thumb_m: float
    still_air_equivalent_m: float | None
    shots: int

    @property
    def three(self) -> tuple[Option, ...]:
        """The three choices."""
        return tuple(self.options[i] for i in self.chosen)


def choose(
    history: History, target: Target, stated: StatedConditions, as_of: datetime, aim: Aim = Aim.HOLD
) -> Choice:
    """Options for `target` in the stated conditions, or today's. Raises InputError for a senseless target."""
    require_target(target)
    known = learn(history, as_of)
    conditions, reading = todays_conditions(history, stated, as_of)
    setting = setting_of(known, conditions, reading, stated, known.bench.effects_in(conditions), as_of)
    rng = np.random.default_rng(known.seed)
    left = history.profile.hand is Hand.LEFT
    balls = roll_balls(known.posterior, traits_of(history, known, rng), doubt_of(setting), rng, left_handed=left)
    equivalent_m = still_air_equivalent_m(target.distance_m, known, setting, rng)
    return _chosen(_Work(history, known, conditions, reading, target, aim, as_of), balls, equivalent_m)


def doubt_of(setting: Setting) -> Doubt:
    """What is not known of the wind and the day of `setting`."""
    sd = setting.wind_sd_mps
    return Doubt(sd, sd, setting.reading, setting.day, setting.range_ball, setting.mat)


@dataclass(frozen=True, slots=True)
class _Work:
    """What is asked."""

    history: History
    known: Known
    conditions: Conditions
    reading: ReadingRecord | None
    target: Target
    aim: Aim
    as_of: datetime


def _chosen(work: _Work, every: Balls, equivalent_m: float | None) -> Choice:
    speed = blowing_mps(work.conditions.wind)
    top = float(np.clip(max(2 * speed, speed + LEAST_LOOKED_AT_MPS / 2, LEAST_LOOKED_AT_MPS), speed + MISREAD_MPS,
                        max(STRONGEST_LOOKED_AT_MPS, speed + MISREAD_MPS)))  # fmt: skip
    knots = _with(np.linspace(0.0, top, max(2, round(top / KNOT_MPS) + 1)), speed)
    here = int(np.argmin(np.abs(knots - speed)))
    cells, near = _that_could(work, knots, here)
    flights = flown(work.known.bench, cells, work.conditions, knots, work.target.slope_m)
    winds = Winds(flights, knots, near, _with(np.linspace(0.0, top, WINDS), speed),
                  gust_share(work.conditions.wind))  # fmt: skip
    balls = every.of(cells)
    rest = come_to_rest(balls, *winds.at(speed))
    counted = chances(work.target, rest)
    order = ranked(counted, work.aim)
    order = order[near[here][order]]
    names = [work.known.bench.cells[i] for i in cells]
    options = _options(work, order, names, counted, rest, flights.taken(here), winds)
    chosen = three_choices(np.arange(len(order)), [names[i] for i in order])
    start = int(np.argmin(np.abs(winds.speeds_mps - speed)))
    found = switches(balls, winds, work.target, work.aim, start)
    three = [int(order[i]) for i in chosen]
    return Choice(
        as_of=work.as_of, conditions=work.conditions, reading=work.reading, target=work.target, aim=work.aim,
        options=options, chosen=chosen,
        flips=tuple(Flip(s.speed_mps, s.plus_minus_mps, names[s.before], names[s.after]) for s in found),
        misread=misread(balls, winds, work.target, three, speed, MISREAD_MPS),
        rule_of_thumb_m=rule_of_thumb_m(work.target.distance_m, work.conditions.wind),
        still_air_equivalent_m=equivalent_m, shots=len(work.history.shots_that_count),
    )  # fmt: skip


def blowing_mps(wind: Wind) -> float:
    """How strong a wind is taken to blow: one that is calm or unknown, not at all."""
    return wind.speed_mps if wind.knowledge in (WindKnowledge.READ, WindKnowledge.STATED) else 0.0


def _with(values: Floats, one: float) -> Floats:
    """`values` with `one` among them; those too near to it give way."""
    kept = values[np.abs(values - one) > 0.25]
    return np.sort(np.append(kept, one))


def _that_could(work: _Work, knots: Floats, here: int) -> tuple[Ints, Bools]:
    """Cells (c,) whose balls may end near the target in any of the winds, and in which (k, c) of them."""
    log_wind, run, _, descent = once(work.known.bench, work.conditions, knots)
    posterior, target = work.known.posterior, work.target
    still = posterior.cells.stock_carry_m[posterior.cells.club] * np.exp(posterior.weights @ posterior.draws.eta)
    rest = still * np.exp(log_wind) + run - target.slope_m / np.tan(np.maximum(descent, 0.1))
    margin = max(NEAR_SHARE * target.distance_m, NEAR_LEAST_M)
    near = (rest > target.front_m - margin) & (rest < target.back_m + margin)
    closest = np.argsort(np.abs(rest[here] - target.distance_m))[: 2 * LEAST_OPTIONS]
    if near[here].sum() < LEAST_OPTIONS:
        near[here, closest] = True
    cells = np.flatnonzero(near.any(axis=0))
    return cells.astype(np.int64), near[:, cells]


def _options(
    work: _Work, order: Ints, names: Sequence[Cell], counted: Chances, rest: Rest, flights: CellFlights, winds: Winds
) -> tuple[Option, ...]:  # fmt: skip
    carry, total = interval_of(rest.carry_m[:, order]), interval_of(rest.along_m[:, order])
    more, _ = winds.at(min(blowing_mps(work.conditions.wind) + MISREAD_MPS, float(winds.knots_mps[-1])))
    far = _is_far_from_hit(work)
    hit = hits_of(work.history)
    steep = work.known.bench.descents_in(work.conditions, strikes=True)
    trusts = trusts_of(work.history, work.known, [names[i] for i in order], work.as_of)
    made = []
    for k, i in enumerate(order.tolist()):
        at = work.known.bench.index[names[i]]
        basis = "hit" if names[i] in hit else "worked out" if hit else "priors alone"
        made.append(Option(
            cell=names[i],
            carry_m=Range80.at(carry, k),
            total_m=Range80.at(total, k),
            descent_rad=float(flights.descent_rad[i]), descent_low80_rad=float(steep.low80_rad[at]),
            descent_high80_rad=float(steep.high80_rad[at]),
            apex_m=float(flights.apex_m[i]), run_m=float(flights.run_m[i]),
            wind_cost_m=float(carry.median[k] * np.expm1(more.log_wind[i] - flights.log_wind[i])),
            aim_side_m=float(counted.aim_side_m[i]),
            p_over=None if work.target.carry_over_m is None else float(counted.over[i]),
            p_hold=float(counted.hold[i]), p_short=float(counted.short[i]), p_long=float(counted.long[i]),
            p_left=float(counted.left[i]), p_right=float(counted.right[i]), miss_m=float(counted.miss_m[i]),
            trust=trusts[k], basis=basis, extrapolated=names[i] not in hit or far,
        ))  # fmt: skip
    return tuple(made)


def _is_far_from_hit(work: _Work) -> bool:
    """Whether the wind along the line is far from every wind that a ball was hit in."""
    winds = (wind_of(work.history, shot) for shot in work.history.shots)
    along = [blowing_mps(wind) and wind.along_mps for wind in winds if wind.knowledge is not WindKnowledge.UNKNOWN]
    asked = blowing_mps(work.conditions.wind) and work.conditions.wind.along_mps
    return bool(along) and not min(along) - BEYOND_HIT_MPS <= asked <= max(along) + BEYOND_HIT_MPS


def rule_of_thumb_m(target_m: float, wind: Wind) -> float:
    """What the rule of thumb plays the target as: one yard per mph of headwind on, half a yard of tailwind off."""
    along_mph = from_si(wind.along_mps, "mph") if blowing_mps(wind) else 0.0
    return target_m - along_mph * (RULE_HEAD_M_PER_MPH if along_mph < 0 else RULE_TAIL_M_PER_MPH)


def still_air_equivalent_m(target_m: float, known: Known, setting: Setting, rng: np.random.Generator) -> float | None:
    """Still-air carry of the stock full swing that carries `target_m` in `setting`, interpolated over the bag.

    None where no stock full swing reaches so far, or all carry further.
    """
    stock = np.array([i for i, cell in enumerate(known.bench.cells) if cell.is_stock])
    posterior = known.posterior
    full_m = posterior.cells.stock_carry_m[posterior.cells.club[stock]]
    draws = (posterior.draws.eta[:, stock], report.log_carry_in(posterior, setting, rng)[:, stock])
    still, here = (full_m * np.exp(report.quantiles(part, posterior.weights, (0.5,))[0]) for part in draws)
    order = np.argsort(still)
    still, here = still[order], here[order]
    for k in range(1, len(still)):
        if here[k - 1] <= target_m <= here[k]:
            share = (target_m - here[k - 1]) / (here[k] - here[k - 1]) if here[k] > here[k - 1] else 0.0
            return float(still[k - 1] + share * (still[k] - still[k - 1]))
    return None
