"""What the conditions call for in words: gusts, thunder, cold, hard ground, rest. The facility's word always wins.

Limits are common practice without a published source, unless one is named; each can be changed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from trainer.core.bag import Swing
from trainer.core.conditions import Conditions, Surface, Turf, Wind, WindKnowledge
from trainer.core.constants import OPEN_COURSE_ROUGHNESS_M, ZERO_CELSIUS_K
from trainer.core.units import UnitChoice, from_si, to_si

_DEFER = "the facility's decision always wins"


@dataclass(frozen=True, slots=True)
class SafetyLimits:
    """Editable limits. Speeds in m/s, temperatures in K, shares of the balls that cold leaves."""

    gust_caution_mps: float = to_si(25, "mph")
    gust_trees_mps: float = to_si(32, "mph")
    gust_stop_mps: float = to_si(38, "mph")
    feel_only_mean_mps: float = to_si(25, "mph")
    feel_only_gust_ratio: float = 1.6
    cold_k: float = to_si(8, "C")
    bitter_k: float = to_si(3, "C")
    cold_share: float = 0.8
    bitter_share: float = 0.5
    hard_ground_low_balls: int = 24
    balls_before_rest: int = 15
    thunder_wait: timedelta = timedelta(minutes=30)


DEFAULT_LIMITS = SafetyLimits()


def prompts_of(
    conditions: Conditions,
    swings: tuple[Swing, ...],
    units: UnitChoice,
    limits: SafetyLimits = DEFAULT_LIMITS,
    *,
    junior: bool = False,
) -> tuple[str, ...]:
    """Every note that `conditions` call for in a session whose balls have these `swings`."""
    notes = [*wind_notes(conditions.wind, units, limits, junior=junior), *_cold_notes(conditions, units, limits)]
    low_balls = sum(swing is not Swing.FULL for swing in swings)
    if is_hard(conditions) and low_balls > limits.hard_ground_low_balls:
        notes.append(
            f"{low_balls} low shots are planned: on mats or hard ground hit {limits.hard_ground_low_balls} at most, "
            "and leave out the rest"
        )
    if len(swings) > limits.balls_before_rest:
        notes.append("rest 2 to 3 minutes after every 12 to 15 balls; pain, not tiredness, means stop")
    if junior:
        notes.append(
            "juniors: hitting zones marked, one swinger a zone, everyone else behind the line, no canes, nobody "
            "forward for a ball; staff by the facility's own rules"
        )
    return tuple(notes)


def is_hard(conditions: Conditions) -> bool:
    """Whether every heavy strike goes into the wrists."""
    return conditions.surface is Surface.MAT or conditions.turf is Turf.FIRM


def thunder_note(heard: Sequence[datetime], now: datetime, limits: SafetyLimits = DEFAULT_LIMITS) -> str:
    """What thunder heard at these times means at `now`: stop until 30 minutes after the last; empty when it is over.

    Source: the usual 30-minute rule (Walsh et al. 2013, J. Athl. Train. 48, 258–270); never does it suggest earlier.
    """
    if not heard:
        return ""
    earliest = max(heard) + limits.thunder_wait
    if now >= earliest:
        return ""
    left_min = math.ceil((earliest - now) / timedelta(minutes=1))
    return (
        f"thunder: stop and go inside; not before {earliest:%H:%M} ({left_min} min), and 30 minutes anew from every "
        f"further thunder; {_DEFER}"
    )


def felt_temperature_k(conditions: Conditions) -> float:
    """Temperature with the wind's chill, K; the air's own where it is above 10 °C or the wind below 4.8 km/h.

    Source: Osczevski & Bluestein 2005, Bull. Am. Meteorol. Soc. 86, 1453–1458 (wind at 10 m, from -50 to 10 °C). A
    wind read lower is brought to 10 m by the logarithmic profile of an open course.
    """
    air_k, wind = conditions.air.temperature_k, conditions.wind
    if wind.knowledge is WindKnowledge.UNKNOWN:
        return air_k
    rise = math.log(10.0 / OPEN_COURSE_ROUGHNESS_M) / math.log(max(wind.height_m, 0.5) / OPEN_COURSE_ROUGHNESS_M)
    speed_kmh = wind.speed_mps * rise * 3.6
    air_c = air_k - ZERO_CELSIUS_K
    if air_c > 10.0 or speed_kmh < 4.8:
        return air_k
    root: float = speed_kmh**0.16
    return ZERO_CELSIUS_K + 13.12 + 0.6215 * air_c - 11.37 * root + 0.3965 * air_c * root


def share_in_the_cold(conditions: Conditions, limits: SafetyLimits = DEFAULT_LIMITS) -> float:
    """The share of a session's balls that the cold leaves."""
    felt_k = felt_temperature_k(conditions)
    if felt_k < limits.bitter_k:
        return limits.bitter_share
    return limits.cold_share if felt_k < limits.cold_k else 1.0


def wind_notes(
    wind: Wind, units: UnitChoice, limits: SafetyLimits = DEFAULT_LIMITS, *, junior: bool = False
) -> list[str]:
    """What a wind past the limits calls for, the gravest first; empty for one that is not, or that nobody knows."""
    if wind.knowledge is WindKnowledge.UNKNOWN:
        return []
    notes = []
    gust_mps = max(wind.gust_mps or 0.0, wind.speed_mps)
    gust = units.shown_speed(gust_mps)
    if gust_mps >= limits.gust_stop_mps:
        notes.append(f"gusts of {gust}: no session; {_DEFER}")
    elif junior and gust_mps >= limits.gust_caution_mps:
        notes.append(f"gusts of {gust}: juniors stop; {_DEFER}")
    elif gust_mps >= limits.gust_trees_mps:
        notes.append(f"gusts of {gust}: stop under or near trees, and juniors stop; {_DEFER}")
    elif gust_mps >= limits.gust_caution_mps:
        notes.append(f"gusts of {gust}: take care, and juniors stop; {_DEFER}")
    if is_feel_only(wind, limits):
        notes.append("the wind is too strong or too gusty to measure in: today is for feel, not for numbers")
    return notes


def is_no_session(wind: Wind, limits: SafetyLimits = DEFAULT_LIMITS) -> bool:
    """Whether a known wind is too strong for any ball."""
    known = wind.knowledge is not WindKnowledge.UNKNOWN
    return known and max(wind.gust_mps or 0.0, wind.speed_mps) >= limits.gust_stop_mps


def is_feel_only(wind: Wind, limits: SafetyLimits = DEFAULT_LIMITS) -> bool:
    """Whether a known wind is too strong or too gusty to measure in."""
    if wind.knowledge is WindKnowledge.UNKNOWN:
        return False
    gust_mps = max(wind.gust_mps or 0.0, wind.speed_mps)
    too_gusty = wind.speed_mps > 0 and gust_mps > limits.feel_only_gust_ratio * wind.speed_mps
    return too_gusty or wind.speed_mps > limits.feel_only_mean_mps


def _cold_notes(conditions: Conditions, units: UnitChoice, limits: SafetyLimits) -> list[str]:
    felt_k, air_k = felt_temperature_k(conditions), conditions.air.temperature_k
    feels = f" (it feels like {round(from_si(felt_k, 'C'))} °C in this wind)" if felt_k < air_k - 0.5 else ""
    if felt_k < limits.bitter_k:
        return [f"bitterly cold{feels}: hit half the balls, or practise indoors"]
    if felt_k < limits.cold_k:
        return [f"cold{feels}: warm up longer and hit fewer balls"]
    return []
