"""A player's profile as a TOML file, and back.

```toml
format = 1
alias = "robin"
hand = "right"                  # right, left
ball = "playing"                # range, playing
surface = "grass"               # grass, mat
sees = "landing"                # landing, finish
seen = "eye"                    # eye, flag, laser, device
pin_depth = "7 m"
pin_width = "7 m"
grip_steps = ["0 in", "1 in", "2 in"]

[units]
distance = "yd"
speed = "mph"
temperature = "F"
grip = "in"
height = "ft"

[known_carry]
club = "7 iron"
carry = "150 yd"
basis = "measured"              # measured, remembered

[[club]]
name = "7 iron"
loft = "33 deg"
length = "0.94 m"
carry = "150 yd"

[[flag]]
name = "red"
distance = "150 yd"
bearing = "10 deg"
```

A hand-written profile needs `format` and one of `[known_carry]` and `[[club]]`; from the known carry alone a bag is
proposed. All else has the outer contract's defaults. Units left out follow the unit of the known carry, or of the
first club's. Every quantity is a string with its unit. `age_band` may be "under 11", "11-13", "14-15", "16-17" or
"adult"; left out, a plan's own ages hold.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import Any

import tomli_w
from pydantic import Field

from trainer.core.bag import Bag, Club, canonical_club
from trainer.core.conditions import Ball, Seen, Surface
from trainer.core.errors import InputError
from trainer.core.key_lines import key_lines
from trainer.core.profile import AgeBand, CarryBasis, Habits, Hand, KnownCarry, Profile, RangeFlag, Sees
from trainer.core.units import UNITS, UnitChoice, parse_quantity, require_range, to_si, unit_named, unit_written
from trainer.exchange.cell_text import parse_grip_down, print_grip_down
from trainer.exchange.plain_text import first_unprintable, shown_text, word_named
from trainer.exchange.quantity_text import quantity_text
from trainer.exchange.toml_text import StrictModel, place, read_toml, require_format
from trainer.exchange.typed_line import flag_bearing, flag_distance, flag_name

FORMAT = 1
GREATEST_CLUBS = 30
GREATEST_FLAGS = 50
LOFT_RANGE_RAD = (to_si(5, "deg"), to_si(70, "deg"))
LENGTH_RANGE_M = (0.7, 1.3)
CARRY_RANGE_M = (10.0, 320.0)
PIN_RANGE_M = (0.5, 60.0)
LONGEST_ALIAS = 40
LONGEST_CLUB_NAME = 30


@dataclass(frozen=True, slots=True)
class ProfileDraft(Habits):
    """What a profile file says. Without clubs the bag is to be proposed from `known_carry`; without an alias or a
    known carry the application gives one."""

    alias: str | None
    clubs: tuple[Club, ...]
    known_carry: KnownCarry | None
    grip_steps_m: tuple[float, ...] = Bag(()).grip_steps_m

    def profile(self) -> Profile:
        """The whole profile; raises InputError where clubs, known carry or alias are still to be given."""
        missing = [
            key
            for key, value in (("alias", self.alias), ("known_carry", self.known_carry), ("club", self.clubs))
            if not value
        ]
        if self.alias is None or self.known_carry is None or not self.clubs:
            raise InputError("the profile is not complete", ", ".join(missing), "add what is missing")
        return Profile(
            alias=self.alias,
            bag=Bag(self.clubs, self.grip_steps_m),
            known_carry=self.known_carry,
            **{habit.name: getattr(self, habit.name) for habit in fields(Habits)},
        )


class _Units(StrictModel):
    distance: str | None = None
    speed: str | None = None
    temperature: str | None = None
    grip: str | None = None
    height: str | None = None


class _KnownCarry(StrictModel):
    club: str
    carry: str
    basis: str = CarryBasis.MEASURED.value


class _Club(StrictModel):
    name: str
    loft: str
    length: str
    carry: str


class _Flag(StrictModel):
    name: str
    distance: str
    bearing: str = "0 deg"


class _File(StrictModel):
    format: int
    alias: str | None = None
    hand: str = Hand.RIGHT.value
    ball: str = Ball.PLAYING.value
    surface: str = Surface.GRASS.value
    sees: str = Sees.LANDING.value
    seen: str = Seen.EYE.value
    pin_depth: str = "7 m"
    pin_width: str = "7 m"
    age_band: str | None = None
    grip_steps: list[str] = Field(default=["0 in", "1 in", "2 in"])
    units: _Units = _Units()
    known_carry: _KnownCarry | None = None
    club: list[_Club] = Field(default=[], max_length=GREATEST_CLUBS)
    flag: list[_Flag] = Field(default=[], max_length=GREATEST_FLAGS)


_Where = Callable[..., str]
"""The place of a key, by its path."""


def read_profile(text: str, name: str) -> ProfileDraft:
    """The profile in `text`; `name` is the file's, for errors. Clubs come longest carry first.

    Raises InputError (`name:line: key: what; remedy`) for an unknown key, a value out of range or without a unit, and
    a file that gives neither a bag nor a known carry.
    """
    file = read_toml(text, name, _File)

    lines = key_lines(text)

    def where(*path: str | int) -> str:
        return place(lines, name, path)

    require_format(file.format, FORMAT, where("format"))
    if not file.club and file.known_carry is None:
        raise InputError(
            "neither clubs nor a known carry are given",
            name,
            'add [known_carry] with club = "7 iron", carry = "150 yd"',
        )
    clubs = _clubs(file.club, where)
    return ProfileDraft(
        alias=None if file.alias is None else require_alias(file.alias, where("alias")),
        clubs=clubs,
        known_carry=_known_carry(file.known_carry, clubs, where),
        grip_steps_m=_grip_steps(file.grip_steps, where("grip_steps")),
        units=_units(file, where),
        hand=word_named(Hand, file.hand, where("hand")),
        ball=word_named(Ball, file.ball, where("ball")),
        surface=word_named(Surface, file.surface, where("surface")),
        sees=word_named(Sees, file.sees, where("sees")),
        seen=word_named(Seen, file.seen, where("seen")),
        flags=_flags(file.flag, where),
        pin_depth_m=_ranged(file.pin_depth, "length", PIN_RANGE_M, "pin_depth", where("pin_depth")),
        pin_width_m=_ranged(file.pin_width, "length", PIN_RANGE_M, "pin_width", where("pin_width")),
        age_band=None if file.age_band is None else word_named(AgeBand, file.age_band, where("age_band")),
    )


def require_alias(text: str, where: str) -> str:
    """`text` if it can be an alias; raises InputError for blanks at an end, control characters and too long a one."""
    return _label(text, LONGEST_ALIAS, "an alias", where)


def require_club_name(text: str, where: str) -> str:
    """The written-out name of the club in `text`; raises InputError for what can be no name of a club."""
    name = canonical_club(_label(text, LONGEST_CLUB_NAME, "a club's name", where))
    if set(name) & set(",:"):
        raise InputError(f"'{name}' is not a club's name", where, "leave out commas and colons")
    return name


def _label(text: str, most: int, what: str, where: str) -> str:
    if len(text) > most:
        raise InputError(
            f"'{shown_text(text)}' is too long for {what}: {len(text)} characters", where, f"write {most} at most"
        )
    if not text or text != text.strip() or first_unprintable(text) is not None:
        raise InputError(
            f"'{shown_text(text)}' is not {what}",
            where,
            f"write 1 to {most} printable characters, no blank at an end",
        )
    return text


def _ranged(text: str, kind: str, limits: tuple[float, float], what: str, where: str) -> float:
    """A quantity with its unit written, in SI, within `limits`, told in the unit it was written in."""
    value = parse_quantity(text, kind, None, where)
    return require_range(value, *limits, unit_written(text) or "1", what, where)


def _clubs(written: list[_Club], where: _Where) -> tuple[Club, ...]:
    clubs: list[Club] = []
    for index, club in enumerate(written):
        here = where("club", index, "name")
        name = require_club_name(club.name, here)
        if any(name == other.name for other in clubs):
            raise InputError(f"'{name}' is in the bag twice", here, "give the second a name of its own")
        clubs.append(
            Club(
                name=name,
                loft_rad=_ranged(club.loft, "angle", LOFT_RANGE_RAD, "a loft", where("club", index, "loft")),
                length_m=_ranged(club.length, "length", LENGTH_RANGE_M, "a length", where("club", index, "length")),
                stock_carry_m=_ranged(club.carry, "length", CARRY_RANGE_M, "a carry", where("club", index, "carry")),
            )
        )
    return tuple(sorted(clubs, key=lambda club: -club.stock_carry_m))


def _known_carry(written: _KnownCarry | None, clubs: tuple[Club, ...], where: _Where) -> KnownCarry | None:
    if written is None:
        return None
    here = where("known_carry", "club")
    club = require_club_name(written.club, here)
    if clubs:
        Bag(clubs).club(club, here)
    return KnownCarry(
        club=club,
        carry_m=_ranged(written.carry, "length", CARRY_RANGE_M, "a carry", where("known_carry", "carry")),
        basis=word_named(CarryBasis, written.basis, where("known_carry", "basis")),
    )


def _grip_steps(written: list[str], where: str) -> tuple[float, ...]:
    steps_m = tuple(parse_grip_down(step, None, where) for step in written)
    if not steps_m or steps_m[0] != 0 or list(steps_m) != sorted(set(steps_m)):
        raise InputError("these are no grip steps", where, 'start with "0 in", and rise: ["0 in", "1 in", "2 in"]')
    return steps_m


def _units(file: _File, where: _Where) -> UnitChoice:
    """The units written, the rest following the distance's."""
    carries = [file.known_carry.carry] if file.known_carry else [club.carry for club in file.club]
    written = file.units
    typed = unit_written(carries[0])
    distance = _unit(written.distance, "length", where("units", "distance")) or ("m" if typed == "m" else "yd")
    usual = UnitChoice.following(distance)
    return UnitChoice(
        distance=distance,
        speed=_unit(written.speed, "speed", where("units", "speed")) or usual.speed,
        temperature=_unit(written.temperature, "temperature", where("units", "temperature")) or usual.temperature,
        grip=_unit(written.grip, "length", where("units", "grip")) or usual.grip,
        height=_unit(written.height, "length", where("units", "height")) or usual.height,
    )


def _unit(text: str | None, kind: str, where: str) -> str | None:
    if text is None:
        return None
    unit = unit_named(text)
    if unit is None or UNITS[unit].kind != kind:
        names = ", ".join(name for name, known in UNITS.items() if known.kind == kind)
        raise InputError(f"'{shown_text(text)}' is no unit of {kind}", where, f"use one of {names}")
    return unit


def _flags(written: list[_Flag], where: _Where) -> tuple[RangeFlag, ...]:
    flags: list[RangeFlag] = []
    for index, flag in enumerate(written):
        name = flag_name(flag.name, where("flag", index, "name"))
        if any(name == other.name for other in flags):
            raise InputError(f"'{name}' is there twice", where("flag", index, "name"), "give the second another name")
        flags.append(
            RangeFlag(
                name=name,
                distance_m=flag_distance(flag.distance, None, where("flag", index, "distance")),
                bearing_rad=flag_bearing(flag.bearing, where("flag", index, "bearing")),
            )
        )
    return tuple(flags)


def write_profile(profile: Profile) -> str:
    """`profile` as TOML that `read_profile` reads back: the same words, every quantity to a nanometre (nanoradian)
    or exactly where it is a plain decimal of one of the units."""
    units = profile.units
    table: dict[str, Any] = {
        "format": FORMAT,
        "alias": profile.alias,
        "hand": profile.hand.value,
        "ball": profile.ball.value,
        "surface": profile.surface.value,
        "sees": profile.sees.value,
        "seen": profile.seen.value,
        "pin_depth": quantity_text(profile.pin_depth_m, units.distance),
        "pin_width": quantity_text(profile.pin_width_m, units.distance),
        **({} if profile.age_band is None else {"age_band": profile.age_band.value}),
        "grip_steps": [print_grip_down(step_m, units.grip) for step_m in profile.bag.grip_steps_m],
        "units": {name: getattr(units, name) for name in _Units.model_fields},
        "known_carry": {
            "club": profile.known_carry.club,
            "carry": quantity_text(profile.known_carry.carry_m, units.distance),
            "basis": profile.known_carry.basis.value,
        },
        "club": [_club_table(club, units) for club in profile.bag.clubs],
        "flag": [
            {
                "name": flag.name,
                "distance": quantity_text(flag.distance_m, units.distance),
                "bearing": quantity_text(flag.bearing_rad, "deg"),
            }
            for flag in profile.flags
        ],
    }
    return tomli_w.dumps(table)


def _club_table(club: Club, units: UnitChoice) -> dict[str, str]:
    return {
        "name": club.name,
        "loft": quantity_text(club.loft_rad, "deg"),
        "length": quantity_text(club.length_m, "m"),
        "carry": quantity_text(club.stock_carry_m, units.distance),
    }
