"""The pocket card: how far a few clubs go in a few winds, worked out before a round and carried on paper."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

import numpy as np

from trainer.application.choosing.course import CourseReport, course_data
from trainer.application.choosing.options import blowing_mps, doubt_of
from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.learning import Known, learn
from trainer.application.estimates.snapshot import setting_of, todays_conditions
from trainer.application.estimates.traits_seen import traits_of
from trainer.application.estimates.trust import Trust, trusts_of
from trainer.application.evidence.history import History
from trainer.application.flights.cell_flights import FlownWinds, fly_in, gust_share
from trainer.application.views.words import cell_data
from trainer.core.bag import MID_IRON_LOFT_DEG, Bag, Cell, Swing
from trainer.core.conditions import Conditions, ReadingMethod, Turf, Wind, WindKnowledge
from trainer.core.decide.outcomes import Balls, come_to_rest, roll_balls
from trainer.core.errors import InputError
from trainer.core.estimate.evidence import Ints
from trainer.core.flight.wind import wind_field
from trainer.core.profile import Hand
from trainer.core.units import UnitChoice, to_si

USUAL_CLUBS, FEWEST_CLUBS, MOST_CLUBS = 5, 4, 6
LOW_GRIP_M = to_si(1.0, "in")
FORECAST_HEIGHT_M = 10.0

INTO = {"mph": (20.0, 15.0, 10.0, 5.0), "m/s": (9.0, 7.0, 4.5, 2.5)}
DOWN = {"mph": (10.0, 20.0), "m/s": (4.5, 9.0)}
ACROSS = {"mph": 10.0, "m/s": 5.0}
"""The card's winds in the player's unit of speed; the metric ones are whole steps near the others."""

MADE = 0.2
"""Eight balls in ten carry at least the quantile of this level, bad strikes in."""


@dataclass(frozen=True, slots=True)
class Line:
    """One wind of the card: its strength in the player's unit, into the face positive; carries (c,), m, by shot."""

    into: float
    usual_m: tuple[float, ...]
    made_m: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Block:
    """One kind of shot with every club: its lines by wind, drift in `ACROSS` of cross wind, run on soft and firm."""

    cells: tuple[Cell, ...]
    lines: tuple[Line, ...]
    drift_m: tuple[float, ...]
    run_soft_m: tuple[float, ...]
    run_firm_m: tuple[float, ...]
    trust: tuple[Trust, ...]


@dataclass(frozen=True, slots=True)
class Card:
    """The card of one player: full shots and low ones. `conditions` are those it holds for but for the wind.

    `course` is what his approaches so far said of such cards, told beside it; its numbers stay the range's.
    """

    alias: str
    prepared: datetime
    conditions: Conditions
    blocks: tuple[Block, ...]
    shots: int
    course: CourseReport | None = None

    @property
    def clubs(self) -> tuple[str, ...]:
        """The clubs on it, longest first."""
        return tuple(cell.club for cell in self.blocks[0].cells)


def make_card(
    history: History,
    stated: StatedConditions,
    as_of: datetime,
    clubs: Sequence[str] = (),
    course: CourseReport | None = None,
) -> Card:
    """The card for `clubs` (four to six that the player hits, or mid irons) in the stated air, or the last one's.

    Winds are as a forecast gives them, at 10 m, unless another wind or way of reading is stated. Raises InputError
    for a club that the bag does not hold and for more than a card has room for.
    """
    bag = history.profile.bag
    names = _named(bag, clubs) if clubs else _usual_clubs(history)
    known = learn(history, as_of)
    today, reading = todays_conditions(history, stated, as_of)
    told = stated.wind if stated.wind is not None and blowing_mps(stated.wind) else None
    basis = told or Wind(WindKnowledge.STATED, height_m=FORECAST_HEIGHT_M, method=ReadingMethod.FORECAST)
    conditions = replace(today, wind=basis)
    exact = setting_of(known, today, reading, stated, known.bench.effects_in(today), as_of)
    rng = np.random.default_rng(known.seed)
    doubt = replace(doubt_of(exact), along_sd_mps=0.0, across_sd_mps=0.0, reading=None, day=None)
    left = history.profile.hand is Hand.LEFT
    balls = roll_balls(known.posterior, traits_of(history, known, rng), doubt, rng, left_handed=left)
    blocks = []
    for grip_m, swing in ((0.0, Swing.FULL), (_low_grip_m(bag), Swing.THREE_QUARTER)):
        cells = tuple(Cell(name, grip_m, swing) for name in names)
        blocks.append(_block(history, known, conditions, balls, cells, as_of))
    return Card(history.profile.alias, as_of, conditions, tuple(blocks), len(history.shots_that_count), course)


def _named(bag: Bag, clubs: Sequence[str]) -> tuple[str, ...]:
    wanted = {bag.club(name, "--clubs").name for name in clubs}
    if len(wanted) > MOST_CLUBS:
        raise InputError(f"{len(wanted)} clubs do not fit a card", "--clubs", f"name {MOST_CLUBS} at most")
    return tuple(club.name for club in bag.clubs if club.name in wanted)


def _usual_clubs(history: History) -> tuple[str, ...]:
    """The clubs hit most; where fewer than four were, those nearest a mid iron too."""
    hit = Counter(shot.cell.club for shot in history.shots_that_count)
    chosen = [name for name, _ in hit.most_common(MOST_CLUBS)]
    nearest = sorted(history.profile.bag.clubs, key=lambda club: abs(club.loft_deg - MID_IRON_LOFT_DEG))
    if len(chosen) < FEWEST_CLUBS:
        chosen += [club.name for club in nearest if club.name not in chosen][: USUAL_CLUBS - len(chosen)]
    return tuple(club.name for club in history.profile.bag.clubs if club.name in chosen)


def _low_grip_m(bag: Bag) -> float:
    """The grip-down of the low shot: the player's step nearest an inch."""
    return min(bag.grip_steps_m, key=lambda step: abs(step - LOW_GRIP_M))


def _block(
    history: History, known: Known, conditions: Conditions, balls: Balls, cells: tuple[Cell, ...], as_of: datetime
) -> Block:
    at = np.array([known.bench.index[cell] for cell in cells], dtype=np.int64)
    units = history.profile.units
    strengths = [*INTO[units.speed], 0.0, *(-speed for speed in DOWN[units.speed])]
    into_mps = np.array([to_si(speed, units.speed) for speed in strengths])
    across_mps = to_si(ACROSS[units.speed], units.speed)
    shelter = float(np.asarray(wind_field(replace(conditions.wind, speed_mps=1.0, from_rad=np.pi)).along_mps))
    winds = FlownWinds(
        np.append(-into_mps, 0.0) * shelter,
        np.append(np.zeros(len(into_mps)), across_mps) * shelter,
        conditions.wind.height_m,
    )
    flights = fly_in(known.bench, at, winds, conditions)
    mine, share = balls.of(at), gust_share(conditions.wind)
    lines = []
    for k, strength in enumerate(strengths):
        rest = come_to_rest(mine, flights.taken(k), share * abs(float(into_mps[k])))
        made, usual = np.quantile(rest.carry_m, (MADE, 0.5), axis=0)
        lines.append(Line(strength, tuple(usual.tolist()), tuple(made.tolist())))
    soft, firm = (
        _run_m(known, at, replace(conditions, turf=turf), winds.height_m) for turf in (Turf.SOFT, Turf.FIRM)
    )
    drift = np.median(mine.drift_response) * flights.taken(len(strengths)).side_m
    return Block(cells, tuple(lines), tuple(drift.tolist()), soft, firm, trusts_of(history, known, cells, as_of))


def _run_m(known: Known, cells: Ints, conditions: Conditions, height_m: float) -> tuple[float, ...]:
    none = np.zeros(len(cells))
    effects = known.bench.effects(cells, none, none, np.full(len(cells), height_m), conditions.air, conditions.turf)
    return tuple(effects.run_m.tolist())


def card_data(card: Card, units: UnitChoice) -> dict[str, Any]:
    """The card in SI."""
    unit = units.speed
    return {
        "prepared": card.prepared.isoformat(),
        "prepared_before_the_round": True,
        "player": card.alias,
        "wind_height_m": card.conditions.wind.height_m,
        "wind_method": str(card.conditions.wind.method),
        "temperature_k": card.conditions.air.temperature_k,
        "pressure_pa": card.conditions.air.pressure_pa,
        "ball": str(card.conditions.ball),
        "shots": card.shots,
        "course": course_data(card.course),
        "cross_wind_mps": to_si(ACROSS[unit], unit),
        "blocks": [
            {
                "columns": [
                    {
                        **cell_data(cell),
                        "drift_m": abs(block.drift_m[i]),
                        "run_soft_m": block.run_soft_m[i],
                        "run_firm_m": block.run_firm_m[i],
                        "trust": str(block.trust[i]),
                    }
                    for i, cell in enumerate(block.cells)
                ],
                "rows": [
                    {
                        "headwind_mps": to_si(line.into, unit),
                        "carry_m": list(line.usual_m),
                        "made_8_in_10_m": list(line.made_m),
                    }
                    for line in block.lines
                ],
            }
            for block in card.blocks
        ],
    }
