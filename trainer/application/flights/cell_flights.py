"""Cells flown in winds of several strengths, to a target above or below: for the chooser and the card."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from trainer.application.evidence.cells import LEAST_CARRY_SHARE, Bench
from trainer.application.evidence.reading_error import gust_sd_mps
from trainer.core.conditions import Conditions, Wind, WindKnowledge
from trainer.core.decide.outcomes import CellFlights
from trainer.core.errors import InputError
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.flight.landing import run_out
from trainer.core.flight.trajectory import Launch, fly
from trainer.core.flight.wind import WindField, turbulence_intensity, wind_field
from trainer.core.units import to_si

MISREAD_MPS = to_si(5, "mph")
"""What a wind is easily misread by (common practice)."""

_CLEARS_M = 0.5  # a ball that rises less than this over a higher target is taken not to reach it
_DOES_NOT_REACH = np.log(0.5)  # such a ball ends in the slope: half its carry is far too short for anything


@dataclass(frozen=True, slots=True)
class FlownWinds:
    """Winds of one direction and rising strength (k,) as flights take them."""

    along_mps: Floats
    across_mps: Floats
    height_m: float


def in_strengths(wind: Wind, speeds_mps: Floats) -> FlownWinds:
    """`wind` as strong as each of `speeds_mps`; a calm or unknown wind is taken to come into the face."""
    fields = [wind_field(replace(directed(wind), speed_mps=speed, gust_mps=None)) for speed in speeds_mps.tolist()]
    along, across = (np.array([float(np.asarray(getattr(f, name))) for f in fields]) for name in _PARTS)
    return FlownWinds(along, across, wind.height_m)


_PARTS = ("along_mps", "across_mps")


def directed(wind: Wind) -> Wind:
    """`wind` with a direction: a calm, or one that nobody knows, comes into the face."""
    known = wind.knowledge in (WindKnowledge.READ, WindKnowledge.STATED) and wind.speed_mps > 0
    return (
        wind if known else replace(wind, knowledge=WindKnowledge.STATED, speed_mps=0.0, from_rad=0.0, gust_mps=None)
    )


def gust_share(wind: Wind) -> float:
    """S.d. of the gusts over the mean wind: as read, else as usual at that height over open ground."""
    if wind.speed_mps > 0 and wind.knowledge in (WindKnowledge.READ, WindKnowledge.STATED):
        return gust_sd_mps(wind, marked=False) / wind.speed_mps
    return float(turbulence_intensity(wind.height_m))


def once(bench: Bench, conditions: Conditions, speeds_mps: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Log carry over still-air carry, run, apex and descent (k, c) of every cell, one flight each, to sort by."""
    winds = in_strengths(conditions.wind, speeds_mps)
    field = WindField(winds.along_mps[:, None], winds.across_mps[:, None], winds.height_m)
    flight = fly(bench.deliveries.launch, field, conditions.air)
    still = fly(bench.deliveries.launch).carry_m
    run = run_out(flight, conditions.turf)
    carry = np.maximum(flight.carry_m, LEAST_CARRY_SHARE * still)
    return np.log(carry / still), run.run_m, flight.apex_m, flight.descent_rad


def flown(bench: Bench, cells: Ints, conditions: Conditions, speeds_mps: Floats, slope_m: float = 0.0) -> CellFlights:
    """What the flight makes of `cells` (c,) in the wind's direction at each strength (k,): arrays (k, c)."""
    winds = in_strengths(conditions.wind, speeds_mps)
    return fly_in(bench, cells, winds, conditions, slope_m)


def fly_in(bench: Bench, cells: Ints, winds: FlownWinds, conditions: Conditions, slope_m: float = 0.0) -> CellFlights:
    """As `flown`, in winds that may come from anywhere."""
    shape = (len(winds.along_mps), len(cells))
    every = np.tile(cells, shape[0])
    along, across = (np.repeat(part, shape[1]) for part in (winds.along_mps, winds.across_mps))
    height = np.full(len(every), winds.height_m)
    effects = bench.effects(every, along, across, height, conditions.air, conditions.turf)
    scatter = bench.scatter(every, along, across, height, conditions.air)
    log_wind = np.log(effects.carry_m / effects.carry_still_m)
    if slope_m:
        log_wind = log_wind + _slope_log(bench, every, WindField(along, across, height), conditions, slope_m)
    parts = (
        log_wind, effects.slope_along_m_per_mps / effects.carry_m, effects.slope_across_m_per_mps / effects.carry_m,
        effects.side_m, effects.side_slope_along_m_per_mps, effects.side_slope_across_m_per_mps,
        scatter.log_carry_sd, scatter.side_sd_m, scatter.carry_side_correlation,
        effects.run_m, effects.run_spread_m, effects.descent_rad, effects.apex_m,
    )  # fmt: skip
    return CellFlights(*(np.asarray(part).reshape(shape) for part in parts))


def _slope_log(bench: Bench, cells: Ints, wind: WindField, conditions: Conditions, slope_m: float) -> Floats:
    """Log of carry to the target's height over carry on the level (n,)."""
    launch = bench.deliveries.launch
    own = Launch(*(np.asarray(part)[cells] for part in (launch.ball_speed_mps, launch.launch_rad, launch.spin_rad_s)))
    level = fly(own, wind, conditions.air)
    reach = level.apex_m > slope_m + _CLEARS_M
    if not reach.any():
        raise InputError("no shot of this bag rises to the target", "--slope", "give a target that is less high up")
    there = Launch(*(np.asarray(part)[reach] for part in (own.ball_speed_mps, own.launch_rad, own.spin_rad_s)))
    along, across, height = (np.asarray(p)[reach] for p in (wind.along_mps, wind.across_mps, wind.height_m))
    carried = fly(there, WindField(along, across, height), conditions.air, target_height_m=slope_m).carry_m
    change = np.full(len(cells), _DOES_NOT_REACH)
    on_the_level = np.maximum(level.carry_m[reach], 1.0)
    change[reach] = np.log(np.maximum(carried, 0.5 * on_the_level) / on_the_level)
    return change
