"""What a wind takes from a full mid iron and from the low shot that does its job, by the flight calculation alone."""

from __future__ import annotations

from trainer.application.evidence.cells import lay_out
from trainer.application.flights.counterpart import counterpart
from trainer.core.bag import Cell
from trainer.core.conditions import Conditions, Wind, WindKnowledge
from trainer.core.flight.wind_effect import WindEffects
from trainer.core.profile import Profile
from trainer.core.units import UnitChoice, change_from_si, whole


def sentences(profile: Profile, wind: Wind) -> tuple[str, ...]:
    """`full 7 iron: 17 short, 9 left` and the same of its low shot; nothing where no wind is known."""
    if wind.knowledge is WindKnowledge.UNKNOWN or wind.knowledge is WindKnowledge.CALM or wind.speed_mps == 0:
        return ()
    bench = lay_out(profile.bag)
    effects = bench.effects_in(Conditions(wind=wind))
    full = Cell(profile.bag.mid_iron.name)
    low = counterpart(full, dict(zip(bench.cells, effects.carry_still_m.tolist(), strict=True)), profile.bag)
    return (
        _sentence(f"full {full.club}", bench.index[full], effects, profile.units),
        _sentence(f"low {low.club}", bench.index[low], effects, profile.units),
    )


def _sentence(name: str, i: int, effects: WindEffects, units: UnitChoice) -> str:
    change_m, drift_m = float(effects.carry_m[i] - effects.carry_still_m[i]), float(effects.side_m[i])
    cost, drift = (whole(abs(change_from_si(metres, units.distance))) for metres in (change_m, drift_m))
    said = [f"{cost} {'short' if change_m < 0 else 'long'}"]
    if drift != "0":
        said.append(f"{drift} {'right' if drift_m > 0 else 'left'}")
    return f"{name}: {', '.join(said)}"
