"""What the conditions call for in words: gusts, cold, hard ground, rest. The facility's decision always wins.

Limits are common practice without a published source.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.core.bag import Swing
from trainer.core.conditions import Conditions, Surface, Turf, Wind, WindKnowledge
from trainer.core.units import UnitChoice, to_si

_DEFER = "the facility's decision always wins"


@dataclass(frozen=True, slots=True)
class SafetyLimits:
    """Editable limits. Speeds in m/s, temperatures in K."""

    gust_caution_mps: float = to_si(25, "mph")
    gust_trees_mps: float = to_si(32, "mph")
    gust_stop_mps: float = to_si(38, "mph")
    feel_only_mean_mps: float = to_si(25, "mph")
    feel_only_gust_ratio: float = 1.6
    cold_k: float = to_si(8, "C")
    bitter_k: float = to_si(3, "C")
    hard_ground_low_balls: int = 24
    balls_before_rest: int = 15


DEFAULT_LIMITS = SafetyLimits()


def prompts_of(
    conditions: Conditions, swings: tuple[Swing, ...], units: UnitChoice, limits: SafetyLimits = DEFAULT_LIMITS
) -> tuple[str, ...]:
    """Every note that `conditions` call for in a session whose balls have these `swings`."""
    notes = [*_wind_notes(conditions.wind, units, limits), *_cold_notes(conditions.air.temperature_k, units, limits)]
    low_balls = sum(swing is not Swing.FULL for swing in swings)
    hard = conditions.surface is Surface.MAT or conditions.turf is Turf.FIRM
    if hard and low_balls > limits.hard_ground_low_balls:
        notes.append(
            f"{low_balls} low shots are planned: on mats or hard ground hit {limits.hard_ground_low_balls} at most, "
            "and leave out the rest"
        )
    if len(swings) > limits.balls_before_rest:
        notes.append("rest 2 to 3 minutes after every 12 to 15 balls; pain, not tiredness, means stop")
    return tuple(notes)


def _wind_notes(wind: Wind, units: UnitChoice, limits: SafetyLimits) -> list[str]:
    if wind.knowledge is WindKnowledge.UNKNOWN:
        return []
    notes = []
    gust_mps = max(wind.gust_mps or 0.0, wind.speed_mps)
    gust = units.shown_speed(gust_mps)
    if gust_mps >= limits.gust_stop_mps:
        notes.append(f"gusts of {gust}: no session; {_DEFER}")
    elif gust_mps >= limits.gust_trees_mps:
        notes.append(f"gusts of {gust}: stop under or near trees, and juniors stop; {_DEFER}")
    elif gust_mps >= limits.gust_caution_mps:
        notes.append(f"gusts of {gust}: take care, and juniors stop; {_DEFER}")
    if _is_feel_only(wind, gust_mps, limits):
        notes.append("the wind is too strong or too gusty to measure in: today is for feel, not for numbers")
    return notes


def _is_feel_only(wind: Wind, gust_mps: float, limits: SafetyLimits) -> bool:
    too_gusty = wind.speed_mps > 0 and gust_mps > limits.feel_only_gust_ratio * wind.speed_mps
    return too_gusty or wind.speed_mps > limits.feel_only_mean_mps


def _cold_notes(temperature_k: float, units: UnitChoice, limits: SafetyLimits) -> list[str]:
    if temperature_k < limits.bitter_k:
        return ["bitterly cold: hit half the balls, or practise indoors"]
    if temperature_k < limits.cold_k:
        return ["cold: warm up longer and hit fewer balls"]
    return []
