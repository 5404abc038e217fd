"""One shot flown in stated conditions, beside what it would have done in still air."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from trainer.application.conditions.stated import StatedConditions
from trainer.application.views.folding import folded
from trainer.core.conditions import CALM_WIND, Ball, Turf, Wind
from trainer.core.flight.aerodynamics import BALL_CLASSES
from trainer.core.flight.inverse import ball_speed_for_carry
from trainer.core.flight.landing import run_out
from trainer.core.flight.trajectory import Flight, FlightPath, Launch, fly, fly_path
from trainer.core.flight.wind import STILL, WindField, wind_field
from trainer.core.units import UnitChoice, change_from_si, from_si, whole

PICTURE_COLUMNS, PICTURE_ROWS = 68, 9


@dataclass(frozen=True, slots=True)
class ShotWish:
    """The shot to fly: a ball speed, or a carry to solve one for. SI."""

    ball_speed_mps: float | None
    carry_m: float | None
    launch_rad: float
    spin_rad_s: float
    start_direction_rad: float = 0.0
    axis_tilt_rad: float = 0.0
    profile: Literal["log", "uniform"] = "log"


@dataclass(frozen=True, slots=True)
class Flown:
    """A shot with its flight in the conditions and in still reference air, and both ways through the air."""

    ball_speed_mps: float
    wind: Wind
    flight: Flight
    still: Flight
    run_m: float
    run_spread_m: float
    total_m: float
    path: FlightPath
    still_path: FlightPath


def fly_shot(wish: ShotWish, stated: StatedConditions) -> Flown:
    """Fly the shot; where a carry is wished for, with the ball speed that carries it. Raises InputError."""
    wind = stated.wind or CALM_WIND
    heard = wind_field(wind)
    field = WindField(heard.along_mps, heard.across_mps, heard.height_m, heard.roughness_m, wish.profile)
    air, ball = stated.air(), BALL_CLASSES[stated.ball or Ball.PLAYING].factors
    speed_mps = wish.ball_speed_mps
    if speed_mps is None:
        speed_mps = ball_speed_for_carry(wish.carry_m or 0.0, wish.launch_rad, wish.spin_rad_s, field, air, ball)
    launch = Launch(speed_mps, wish.launch_rad, wish.spin_rad_s, wish.start_direction_rad, wish.axis_tilt_rad)
    flight = fly(launch, field, air, ball)
    run = run_out(flight, stated.turf or Turf.MEDIUM)
    return Flown(
        ball_speed_mps=speed_mps,
        wind=wind,
        flight=flight,
        still=fly(launch, STILL, ball=ball),
        run_m=float(run.run_m),
        run_spread_m=float(run.spread_m),
        total_m=float(flight.carry_m + run.along_m),
        path=fly_path(launch, field, air, ball),
        still_path=fly_path(launch, STILL, ball=ball),
    )


def flight_data(flown: Flown) -> dict[str, Any]:
    """The flight in SI, angles in degrees."""
    flight, still_m = flown.flight, float(flown.still.carry_m)
    return {
        "ball_speed_mps": flown.ball_speed_mps,
        "carry_m": float(flight.carry_m),
        "side_m": float(flight.side_m),
        "apex_m": float(flight.apex_m),
        "descent_deg": math.degrees(float(flight.descent_rad)),
        "flight_s": float(flight.flight_s),
        "landing_speed_mps": float(flight.landing_speed_mps),
        "run_m": flown.run_m,
        "run_spread_m": flown.run_spread_m,
        "total_m": flown.total_m,
        "still_air_carry_m": still_m,
        "wind_effect_m": float(flight.carry_m) - still_m,
    }


def flight_text(flown: Flown, units: UnitChoice) -> str:
    """The flight in the player's units, with a side view in these conditions and in still air."""
    from trainer.application.views.words import wind_words  # noqa: PLC0415 - words are only wanted for a person

    flight, still = flown.flight, flown.still
    effect_m = float(flight.carry_m) - float(still.carry_m)
    side_m = float(flight.side_m)
    side = (
        "on line" if abs(side_m) < 0.5 else f"{units.shown_distance(abs(side_m))} {'right' if side_m > 0 else 'left'}"
    )
    spread = whole(change_from_si(flown.run_spread_m, units.distance))
    lines = [
        *folded(f"In {wind_words(flown.wind, units)}, ball speed {units.shown_speed(flown.ball_speed_mps)}:"),
        f"  carry    {units.shown_distance(float(flight.carry_m))}   in still air"
        f" {units.shown_distance(float(still.carry_m))}; the conditions {_gain(effect_m, units)}",
        f"  side     {side}",
        f"  height   {from_si(float(flight.apex_m), units.height):.0f} {units.height}   in still air"
        f" {from_si(float(still.apex_m), units.height):.0f} {units.height}",
        f"  lands    {math.degrees(float(flight.descent_rad)):.0f}° steep after {float(flight.flight_s):.1f} s",
        f"  run      {whole(from_si(flown.run_m, units.distance))} ± {spread} {units.distance},"
        f" so {units.shown_distance(flown.total_m)} in all",
        "",
        *side_view(flown.path, flown.still_path),
        "  * here   . in still air (heights not to scale)",
        *folded("The ball alone makes absolute carries uncertain by about 5 %; the wind's effect less so."),
    ]
    return "\n".join(lines)


def _gain(effect_m: float, units: UnitChoice) -> str:
    size = units.shown_distance(abs(effect_m))
    if round(change_from_si(effect_m, units.distance)) == 0:
        return "change nothing"
    return f"cost {size}" if effect_m < 0 else f"give {size}"


def side_view(path: FlightPath, still: FlightPath) -> list[str]:
    """Both flights from the side in characters: `*` the first, `.` the second where the first is not."""
    farthest_m = max(float(path.along_m.max()), float(still.along_m.max()), 1.0)
    column_m = farthest_m / (PICTURE_COLUMNS - 1)
    highest_m = max(float(path.height_m.max()), float(still.height_m.max()), 1.0)
    row_m = max(column_m, highest_m / (PICTURE_ROWS - 1))
    grid = [[" "] * PICTURE_COLUMNS for _ in range(PICTURE_ROWS)]
    for way, mark in ((still, "."), (path, "*")):
        along = np.linspace(float(way.along_m[0]), float(way.along_m[-1]), 4 * PICTURE_COLUMNS)
        order = np.argsort(way.along_m)
        height = np.interp(along, way.along_m[order], way.height_m[order])
        for x_m, z_m in zip(along, height, strict=True):
            row = min(int(max(z_m, 0.0) / row_m), PICTURE_ROWS - 1)
            column = min(max(int(x_m / column_m), 0), PICTURE_COLUMNS - 1)
            grid[PICTURE_ROWS - 1 - row][column] = mark
    used = ["".join(row).rstrip() for row in grid]
    while used and not used[0]:
        used.pop(0)
    return [f"  {line}" for line in used] + ["  " + "_" * PICTURE_COLUMNS]
