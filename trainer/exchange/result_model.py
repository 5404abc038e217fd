"""The tables of a result file, strict: every key known, every number finite and within what one ball can do.

Text is data: nothing in it is a path, a command, a format or a formula, and what no keyboard types is refused.
SI throughout, angles in radians.
"""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import Annotated, Literal

from pydantic import AfterValidator, ConfigDict, Field

from trainer.core.bag import CARRY_RANGE_M, GREATEST_GRIP_DOWN_M, Swing
from trainer.core.conditions import (
    AIR_PRESSURE_PA,
    AIR_TEMPERATURE_K,
    GREATEST_WIND_MPS,
    Ball,
    ReadingMethod,
    Seen,
    Surface,
    Turf,
    WindKnowledge,
    WindPlace,
)
from trainer.core.errors import InputError
from trainer.core.profile import AgeBand, CarryBasis, Hand, Sees
from trainer.core.shot import CarryOrigin, Depth, Width
from trainer.core.units import UNITS
from trainer.exchange.plain_text import first_unprintable
from trainer.exchange.profile_toml import (
    GREATEST_CLUBS,
    GREATEST_FLAGS,
    LENGTH_RANGE_M,
    LOFT_RANGE_RAD,
    LONGEST_ALIAS,
    PIN_RANGE_M,
)
from trainer.exchange.shot_limits import require_limit
from trainer.exchange.toml_text import StrictModel
from trainer.exchange.typed_line import FARTHEST_FLAG_M, NEAREST_FLAG_M, WIDEST_FLAG_RAD
from trainer.exchange.typed_shot import FLAG_NAME, TAG_NAME
from trainer.exchange.wind_text import GREATEST_GUST_MPS, GREATEST_HEIGHT_M, LEAST_HEIGHT_M

MOST_SHOTS, MOST_READINGS, MOST_TAGS = 150, 300, 40
"""In one file; a longer session goes out in several, which are put together again by their ids."""

LONGEST_TEXT = 500
_RETIRED_CLUBS = 10 * GREATEST_CLUBS
_LONGEST_CLUB = 100
_LEAST_YEAR, _MOST_YEAR = 1970, 2200


def _plain(text: str) -> str:
    if text != text.strip() or first_unprintable(text) is not None:
        raise ValueError("write printable characters, none of them a blank at an end")
    return text


def _flag(name: str) -> str:
    if re.fullmatch(FLAG_NAME, name) is None:
        raise ValueError("write one word of letters and digits")
    return name


def _unit_of(kind: str) -> AfterValidator:
    def unit(name: str) -> str:
        if name not in UNITS or UNITS[name].kind != kind:
            raise ValueError(f"name a unit of {kind}")
        return name

    return AfterValidator(unit)


def _dated(moment: date) -> date:
    if not _LEAST_YEAR <= moment.year <= _MOST_YEAR:
        raise ValueError(f"give a year from {_LEAST_YEAR} to {_MOST_YEAR}")
    return moment


def _within_limit(field: str, value: float) -> float:
    try:
        return require_limit(field, value, "")
    except InputError as error:
        raise ValueError(f"{error.what}, {error.remedy}") from None


def _limited(field: str) -> AfterValidator:
    return AfterValidator(lambda value: value if value is None else _within_limit(field, value))


Uid = Annotated[str, Field(pattern=r"^[0-9A-Za-z-]{1,40}$")]
"""A stable id: the same in every store that holds the thing."""

Text = Annotated[str, Field(max_length=LONGEST_TEXT), AfterValidator(_plain)]
Alias = Annotated[str, Field(min_length=1, max_length=LONGEST_ALIAS), AfterValidator(_plain)]
ClubName = Annotated[str, Field(min_length=1, max_length=_LONGEST_CLUB), AfterValidator(_plain)]
Word = Annotated[str, Field(max_length=60), AfterValidator(_plain)]
FlagName = Annotated[str, Field(max_length=130), AfterValidator(_flag)]
Tag = Annotated[str, Field(pattern=f"^{TAG_NAME}$")]
PlanId = Annotated[str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=100)]
LengthUnit = Annotated[str, _unit_of("length")]
SpeedUnit = Annotated[str, _unit_of("speed")]
TemperatureUnit = Annotated[str, _unit_of("temperature")]
Moment = Annotated[datetime, AfterValidator(_dated)]
Day = Annotated[date, AfterValidator(_dated)]
Number = Annotated[int, Field(ge=1, le=1_000_000)]
Bearing = Annotated[float, Field(ge=-WIDEST_FLAG_RAD, le=WIDEST_FLAG_RAD)]
Distance = Annotated[float, Field(gt=0, le=500.0)]
Carry = Annotated[float, Field(ge=CARRY_RANGE_M[0], le=CARRY_RANGE_M[1])]
"""What the flight accepts of a stated carry, m: with a longer one nothing of the player could be worked out."""

Grip = Annotated[float, Field(ge=0, le=GREATEST_GRIP_DOWN_M)]
Speed = Annotated[float, Field(ge=0, le=GREATEST_WIND_MPS)]
Range = Annotated[tuple[float, float], Field(strict=False)]


class _Table(StrictModel):
    model_config = ConfigDict(allow_inf_nan=False)


class UnitsTable(_Table):
    """The units the player reads and types."""

    distance: LengthUnit
    speed: SpeedUnit
    temperature: TemperatureUnit
    grip: LengthUnit
    height: LengthUnit


class KnownCarryTable(_Table):
    """The carry the player's bag was proposed from."""

    club: ClubName
    carry_m: Carry
    basis: Annotated[CarryBasis, Field(strict=False)]


class ClubTable(_Table):
    """One club by its specification; `key` is what this file's shots call it, `retired` where it left the bag."""

    key: ClubName
    name: ClubName
    loft_rad: Annotated[float, Field(ge=LOFT_RANGE_RAD[0], le=LOFT_RANGE_RAD[1])]
    length_m: Annotated[float, Field(ge=LENGTH_RANGE_M[0], le=LENGTH_RANGE_M[1])]
    stock_carry_m: Carry
    retired: bool = False


class FlagTable(_Table):
    """A target on the player's range."""

    name: FlagName
    distance_m: Annotated[float, Field(ge=NEAREST_FLAG_M, le=FARTHEST_FLAG_M)]
    bearing_rad: Bearing = 0.0


class PlayerTable(_Table):
    """The player as he stood at `as_of`, without a name: how he reads, what he plays with, his clubs and flags."""

    id: Uid
    as_of: Moment
    hand: Annotated[Hand, Field(strict=False)]
    ball: Annotated[Ball, Field(strict=False)]
    surface: Annotated[Surface, Field(strict=False)]
    sees: Annotated[Sees, Field(strict=False)]
    seen: Annotated[Seen, Field(strict=False)]
    pin_depth_m: Annotated[float, Field(ge=PIN_RANGE_M[0], le=PIN_RANGE_M[1])]
    pin_width_m: Annotated[float, Field(ge=PIN_RANGE_M[0], le=PIN_RANGE_M[1])]
    grip_steps_m: Annotated[list[Grip], Field(min_length=1, max_length=20)]
    units: UnitsTable
    known_carry: KnownCarryTable
    club: Annotated[list[ClubTable], Field(min_length=1, max_length=_RETIRED_CLUBS)]
    flag: list[FlagTable] = Field(default=[], max_length=GREATEST_FLAGS)


class SessionTable(_Table):
    """A session: when, of which plan, in which air, on which ground."""

    id: Uid
    started_at: Moment
    ended_at: Moment | None = None
    plan: PlanId | None = None
    seed: Annotated[int, Field(ge=0, lt=2**63)] | None = None
    air_temperature_k: Annotated[float, Field(ge=AIR_TEMPERATURE_K[0], le=AIR_TEMPERATURE_K[1])]
    air_pressure_pa: Annotated[float, Field(ge=AIR_PRESSURE_PA[0], le=AIR_PRESSURE_PA[1])]
    air_relative_humidity: Annotated[float, Field(ge=0, le=1)]
    air_stated: bool = False
    turf: Annotated[Turf, Field(strict=False)]
    note: Text = ""


class ReadingTable(_Table):
    """A wind reading: relative to the target line, 0 into the face, π/2 from the right."""

    id: Uid
    at: Moment
    knowledge: Annotated[WindKnowledge, Field(strict=False)]
    speed_mps: Speed = 0.0
    from_rad: Annotated[float, Field(ge=-7, le=7)] = 0.0
    height_m: Annotated[float, Field(ge=LEAST_HEIGHT_M, le=GREATEST_HEIGHT_M)]
    method: Annotated[ReadingMethod, Field(strict=False)]
    place: Annotated[WindPlace, Field(strict=False)]
    gust_mps: Annotated[float, Field(ge=0, le=GREATEST_GUST_MPS)] | None = None


class ShotTable(_Table):
    """A shot as it stands after corrections. What was not seen is not there."""

    id: Uid
    number: Number
    at: Moment
    club: ClubName
    grip_down_m: Grip = 0.0
    swing: Annotated[Swing, Field(strict=False)] = Swing.FULL
    ball_number: Number | None = None
    drill: Word = ""
    stage: Word = ""
    reading: Uid | None = None
    target_m: Distance | None = None
    target_bearing_rad: Bearing = 0.0
    ball: Annotated[Ball, Field(strict=False)]
    surface: Annotated[Surface, Field(strict=False)]
    seen: Annotated[Seen, Field(strict=False)]
    carry_is: Annotated[CarryOrigin, Field(strict=False)] = CarryOrigin.SEEN
    carry_m: Annotated[float | None, _limited("carry_m")] = None
    total_m: Annotated[float | None, _limited("total_m")] = None
    side_m: Annotated[float | None, _limited("side_m")] = None
    flag: FlagName | None = None
    flag_offset_m: Annotated[float | None, _limited("flag_offset_m")] = None
    depth: Annotated[Depth, Field(strict=False)] | None = None
    width: Annotated[Width, Field(strict=False)] | None = None
    apex_m: Annotated[float | None, _limited("apex_m")] = None
    hang_s: Annotated[float | None, _limited("hang_s")] = None
    ball_speed_mps: Annotated[float | None, _limited("ball_speed_mps")] = None
    launch_rad: Annotated[float | None, _limited("launch_rad")] = None
    spin_rad_s: Annotated[float | None, _limited("spin_rad_s")] = None
    mishit: bool = False
    unseen: bool = False
    resolution_m: Annotated[float, Field(gt=0, le=100)] | None = None
    called_50_m: Range | None = None
    called_80_m: Range | None = None
    mark: Literal["gust", "lull"] | None = None
    source: Literal["typed", "table"] = "typed"
    tags: list[Tag] = Field(default=[], max_length=MOST_TAGS)
    undone: bool = False


class ResultTable(_Table):
    """A whole result file below its checksum."""

    kind: Literal["result"]
    format: int
    alias: Alias
    age_band: Annotated[AgeBand, Field(strict=False)] | None = None
    handed_in_at: Moment
    player: PlayerTable
    session: SessionTable
    reading: list[ReadingTable] = Field(default=[], max_length=MOST_READINGS)
    shot: list[ShotTable] = Field(default=[], max_length=MOST_SHOTS)
