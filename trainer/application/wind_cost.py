"""What a wind takes from a full mid iron and from the low shot that does its job, by the flight calculation alone."""

from __future__ import annotations

import math

from trainer.application.cells import Bench, lay_out
from trainer.core.bag import Bag, Cell, Swing
from trainer.core.conditions import Conditions, Wind, WindKnowledge
from trainer.core.flight.still_air import WindEffects
from trainer.core.profile import Profile
from trainer.core.units import UnitChoice, change_from_si, to_si, whole

MID_LOFT_RAD = math.radians(34.0)
LOW_GRIP_M = to_si(1, "in")


def full_and_low(bag: Bag, bench: Bench, effects: WindEffects) -> tuple[Cell, Cell | None]:
    """The full mid iron, and the three-quarter shot with a longer club that carries most like it in still air."""
    mid = min(bag.clubs, key=lambda club: abs(club.loft_rad - MID_LOFT_RAD))
    full = Cell(mid.name)
    wanted_m = float(effects.carry_still_m[bench.index[full]])
    longer = [club.name for club in bag.clubs if club.loft_rad < mid.loft_rad]
    low = [cell for cell in bench.cells if cell.club in longer and cell.swing is Swing.THREE_QUARTER]
    gripped = [
        cell for cell in low if cell.grip_down_m == min((c.grip_down_m for c in low if c.grip_down_m), default=0)
    ]
    found = gripped or low
    if not found:
        return full, None
    return full, min(found, key=lambda cell: abs(float(effects.carry_still_m[bench.index[cell]]) - wanted_m))


def sentences(profile: Profile, wind: Wind) -> tuple[str, ...]:
    """`full 7 iron: 17 short, 9 left` and the same of its low shot; nothing where no wind is known."""
    if wind.knowledge is WindKnowledge.UNKNOWN or wind.knowledge is WindKnowledge.CALM or wind.speed_mps == 0:
        return ()
    bench = lay_out(profile.bag)
    effects = bench.effects_in(Conditions(wind=wind))
    full, low = full_and_low(profile.bag, bench, effects)
    said = [_sentence(f"full {full.club}", bench.index[full], effects, profile.units)]
    if low is not None:
        said.append(_sentence(f"low {low.club}", bench.index[low], effects, profile.units))
    return tuple(said)


def _sentence(name: str, i: int, effects: WindEffects, units: UnitChoice) -> str:
    change_m, drift_m = float(effects.carry_m[i] - effects.carry_still_m[i]), float(effects.side_m[i])
    cost, drift = (whole(abs(change_from_si(metres, units.distance))) for metres in (change_m, drift_m))
    said = [f"{cost} {'short' if change_m < 0 else 'long'}"]
    if drift != "0":
        said.append(f"{drift} {'right' if drift_m > 0 else 'left'}")
    return f"{name}: {', '.join(said)}"
