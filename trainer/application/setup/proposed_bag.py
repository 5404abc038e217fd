"""A whole bag proposed from one known carry, and a profile made complete from what its owner said."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from trainer.core.bag import MID_IRON_LOFT_DEG, Bag, Club, canonical_club
from trainer.core.errors import InputError
from trainer.core.flight.delivery import propose_stock_carries
from trainer.core.profile import CarryBasis, KnownCarry, Profile
from trainer.core.units import from_si, to_si
from trainer.exchange.profile_toml import ProfileDraft, require_alias

DEFAULT_ALIAS = "player"


@dataclass(frozen=True, slots=True)
class Specification:
    """A club's usual loft and length (common practice, no source); `usual` ones are in every proposed bag."""

    loft_deg: float
    length_in: float
    usual: bool = False


SPECIFICATIONS: Mapping[str, Specification] = {
    "driver": Specification(10.5, 45.25, usual=True),
    "3 wood": Specification(15.0, 43.0, usual=True),
    "4 wood": Specification(16.5, 42.75),
    "5 wood": Specification(18.0, 42.5),
    "7 wood": Specification(21.0, 42.0),
    "2 hybrid": Specification(17.0, 40.75),
    "3 hybrid": Specification(19.0, 40.25),
    "4 hybrid": Specification(22.0, 39.75, usual=True),
    "5 hybrid": Specification(25.0, 39.25),
    "6 hybrid": Specification(28.0, 38.75),
    "1 iron": Specification(16.0, 39.75),
    "2 iron": Specification(18.0, 39.5),
    "3 iron": Specification(20.5, 39.0),
    "4 iron": Specification(23.5, 38.5),
    "5 iron": Specification(26.5, 38.0, usual=True),
    "6 iron": Specification(30.0, 37.5, usual=True),
    "7 iron": Specification(34.0, 37.0, usual=True),
    "8 iron": Specification(38.0, 36.5, usual=True),
    "9 iron": Specification(42.0, 36.0, usual=True),
    "pitching wedge": Specification(46.0, 35.75, usual=True),
    "gap wedge": Specification(50.0, 35.5, usual=True),
    "sand wedge": Specification(55.0, 35.25, usual=True),
    "lob wedge": Specification(59.0, 35.0),
}


def propose_bag(known: KnownCarry, distance_unit: str = "yd") -> Bag:
    """The usual bag, with the known club's carry and the others' worked out from it through impact and flight.

    Raises InputError for a club whose usual loft is not known, and, told in `distance_unit`, for a carry that no such
    club makes.
    """
    name = canonical_club(known.club)
    if name not in SPECIFICATIONS:
        raise InputError(
            f"no usual loft is known for '{known.club}'", "known carry", "name an iron, wood, hybrid or wedge"
        )
    _require_possible(name, known.carry_m, distance_unit)
    chosen = {club: spec for club, spec in SPECIFICATIONS.items() if spec.usual or club == name}
    lofts_rad = np.deg2rad([spec.loft_deg for spec in chosen.values()])
    lengths_m = np.array([to_si(spec.length_in, "in") for spec in chosen.values()])
    own = SPECIFICATIONS[name]
    carries_m = propose_stock_carries(
        math.radians(own.loft_deg), to_si(own.length_in, "in"), known.carry_m, lofts_rad, lengths_m
    )
    clubs = [
        Club(club, float(loft), float(length), known.carry_m if club == name else float(carry))
        for club, loft, length, carry in zip(chosen, lofts_rad, lengths_m, carries_m, strict=True)
    ]
    return Bag(tuple(sorted(clubs, key=lambda club: club.loft_rad)))


SHORTEST_7_IRON_M, LONGEST_7_IRON_M = to_si(60, "yd"), to_si(230, "yd")


def _require_possible(name: str, carry_m: float, unit: str) -> None:
    """A known carry must be one that a golfer makes with that club: it carries the whole bag."""
    # A club carries about 3 % less per degree of loft more; wide enough for children and for the longest hitters.
    factor = math.exp(-0.024 * (SPECIFICATIONS[name].loft_deg - MID_IRON_LOFT_DEG))
    low_m, high_m = 0.5 * SHORTEST_7_IRON_M * factor, LONGEST_7_IRON_M * factor
    if not low_m <= carry_m <= high_m:
        low, high, given = (round(from_si(value, unit)) for value in (low_m, high_m, carry_m))
        raise InputError(f"a {name} does not carry {given} {unit}", "known carry", f"give {low} to {high} {unit}")


def complete(draft: ProfileDraft, known: KnownCarry | None, alias: str | None) -> Profile:
    """A whole profile: a bag is proposed where the draft holds none. Raises InputError for what cannot be guessed."""
    known = known or draft.known_carry
    if known is None and draft.clubs:
        middle = Bag(draft.clubs).mid_iron
        known = KnownCarry(middle.name, middle.stock_carry_m, CarryBasis.MEASURED)
    if known is None:
        raise InputError(
            "one known carry is needed",
            "setup",
            'give --from-carry "7 iron=150yd" (measured) or --from-belief "7 iron=150yd" (remembered)',
        )
    bag = Bag(draft.clubs, draft.grip_steps_m) if draft.clubs else propose_bag(known, draft.units.distance)
    bag = replace(bag, grip_steps_m=draft.grip_steps_m)
    known = replace(known, club=bag.club(known.club, "known carry").name)
    named = draft.alias or DEFAULT_ALIAS if alias is None else require_alias(alias, "--player")
    return replace(draft, alias=named, clubs=bag.clubs, known_carry=known).profile()
