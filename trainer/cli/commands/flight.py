"""`trainer flight`: one shot flown in stated conditions."""

from __future__ import annotations

import argparse
import math
from typing import Any

from trainer.cli.conditions import add_conditions, read_conditions
from trainer.cli.context import Context, Output
from trainer.core.errors import InputError
from trainer.core.units import parse_quantity, require_range


def add_commands(commands: Any) -> None:
    """Add `flight`."""
    parser = commands.add_parser("flight", help="one shot flown in these conditions")
    add = parser.add_argument
    add("--ball-speed", metavar="V", help="ball speed, such as 120mph")
    add("--carry", metavar="D", help="instead: solve for the ball speed that carries D here")
    add("--launch", metavar="DEG", required=True, help="launch angle")
    add("--spin", metavar="RPM", required=True, help="backspin")
    add("--start-direction", metavar="DEG", default="0deg", help="right of the target line is positive")
    add("--axis-tilt", metavar="DEG", default="0deg", help="positive curves to the right")
    add("--profile", metavar="KIND", default="log", help="wind over height: log or uniform")
    add_conditions(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, context: Context) -> Output:
    """Fly the shot and say what it did, and what it would have done in still air."""
    from trainer.application.flights.flying import ShotWish, flight_data, flight_text, fly_shot

    if (args.ball_speed is None) == (args.carry is None):
        raise InputError("one of ball speed and carry is needed", "--ball-speed", "give --ball-speed or --carry")
    if args.profile not in ("log", "uniform"):
        raise InputError(f"'{args.profile}' is no wind profile", "--profile", "use log or uniform")
    units = context.units
    wish = ShotWish(
        ball_speed_mps=_ranged(args.ball_speed, "speed", units.speed, "ball speed", "--ball-speed"),
        carry_m=_ranged(args.carry, "length", units.distance, "carry", "--carry"),
        launch_rad=_angle(args.launch, "--launch"),
        spin_rad_s=parse_quantity(args.spin, "spin", "rpm", "--spin"),
        start_direction_rad=_angle(args.start_direction, "--start-direction"),
        axis_tilt_rad=_angle(args.axis_tilt, "--axis-tilt"),
        profile=args.profile,
    )
    _require_no_round(context)
    flown = fly_shot(wish, read_conditions(args, context))
    return Output(flight_text(flown, units), flight_data(flown))


def _require_no_round(context: Context) -> None:
    """In a round what the wind costs is not told either; where no one player is meant, nothing is locked."""
    from trainer.application.choosing.rounds import require_no_round

    if context.store_path.exists():
        with context.open_store(write=False) as store:
            if context.player_alias is not None or len(store.players()) == 1:
                require_no_round(store, context.player_alias, context.now)


def _ranged(text: str | None, kind: str, unit: str, name: str, where: str) -> float | None:
    """An option in SI, its range told in the player's unit; None where it was left out."""
    from trainer.core.flight.limits import LIMITS

    if text is None:
        return None
    low, high, _ = LIMITS[name]
    return require_range(parse_quantity(text, kind, unit, where), low, high, unit, f"a {name}", where)


def _angle(text: str, where: str) -> float:
    value = parse_quantity(text, "angle", "deg", where)
    if not math.isfinite(value):
        raise InputError("the angle is not a number", where, "give degrees")
    return value
