"""A player: how he reads and types numbers, what he usually plays with, his bag and his range's flags."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from trainer.core.bag import Bag
from trainer.core.conditions import Ball, Seen, Surface
from trainer.core.errors import InputError
from trainer.core.units import UnitChoice


class Hand(StrEnum):
    """Which way round the player stands."""

    RIGHT = "right"
    LEFT = "left"


class Sees(StrEnum):
    """What a bare typed distance is for this player: where the ball landed, or where it stopped."""

    LANDING = "landing"
    FINISH = "finish"


class AgeBand(StrEnum):
    """How old a player is, as far as it matters: nobody's birth date is asked for."""

    UNDER_11 = "under 11"
    FROM_11 = "11-13"
    FROM_14 = "14-15"
    FROM_16 = "16-17"
    ADULT = "adult"

    @property
    def is_junior(self) -> bool:
        """Whether juniors' limits hold."""
        return self is not AgeBand.ADULT


class CarryBasis(StrEnum):
    """Where the one known carry comes from."""

    MEASURED = "measured"
    REMEMBERED = "remembered"


@dataclass(frozen=True, slots=True)
class KnownCarry:
    """The carry the bag was proposed from."""

    club: str
    carry_m: float
    basis: CarryBasis


@dataclass(frozen=True, slots=True)
class RangeFlag:
    """A target on the range. `bearing_rad` is clockwise (to the right) from the line the wind is read against."""

    name: str
    distance_m: float
    bearing_rad: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Habits:
    """How a player reads and types numbers and what he usually plays with: what a profile says beside its bag.

    `pin_depth_m` is how near counts as pin-high, `pin_width_m` as straight. `age_band` is None where it was not said:
    a plan's own ages, or its level, hold then.
    """

    units: UnitChoice = UnitChoice()
    hand: Hand = Hand.RIGHT
    ball: Ball = Ball.PLAYING
    surface: Surface = Surface.GRASS
    sees: Sees = Sees.LANDING
    seen: Seen = Seen.EYE
    flags: tuple[RangeFlag, ...] = ()
    pin_depth_m: float = 7.0
    pin_width_m: float = 7.0
    age_band: AgeBand | None = None


@dataclass(frozen=True, slots=True)
class Profile(Habits):
    """One player with his bag. `alias` is what the store knows him by."""

    alias: str
    bag: Bag
    known_carry: KnownCarry

    def flag(self, name: str, where: str = "") -> RangeFlag:
        """The flag called `name`; raises InputError naming the known ones where there is none."""
        for flag in self.flags:
            if flag.name.lower() == name.lower():
                return flag
        known = ", ".join(flag.name for flag in self.flags) or "none"
        raise InputError(
            f"no flag '{name}' is known (known: {known})",
            where,
            "write a line such as `flag red 150yd` first",
        )
