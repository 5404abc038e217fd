"""A plan file as frozen, strict models: every key, its meaning, and what cannot go together.

Quantities stay the text they were written as, checked; `trainer.core.units.parse_quantity` reads them. Checks that
span keys stand at the later key and look at what was valid before it, so that one error does not hide another.
"""

from __future__ import annotations

import datetime
from typing import Annotated, Any, Literal, Self, get_args

from pydantic import BaseModel, ConfigDict, Field, ValidationInfo, field_validator, model_validator

from trainer.core.profile import AgeBand
from trainer.core.schedule.ages import MOST_BALLS as MOST_BALLS_OF_AGE
from trainer.core.schedule.budget import FASTEST_S
from trainer.core.schedule.drills import DRILLS, drill_named
from trainer.core.schedule.wind_gate import WindFrom, WindGate
from trainer.core.units import parse_quantity
from trainer.plan import words

FORMAT = 1
MOST_BALLS = 300
MOST_MINUTES = 240
MOST_BLOCKS = 40

Ages = Literal["under 11", "11-13", "14-15", "16-17", "adult"]
Level = Literal["junior", "club", "low-handicap", "elite"]
LEVELS: tuple[str, ...] = get_args(Level)
Balls = Annotated[int, Field(ge=1, le=MOST_BALLS)]
Minutes = Annotated[int, Field(ge=1, le=MOST_MINUTES)]


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, strict=True, extra="forbid")

    def said(self) -> dict[str, Any]:
        """What is not at its default, by the keys of the file."""
        return self.model_dump(by_alias=True, exclude_none=True, exclude_defaults=True)


class WindNeeds(_Strict):
    """What the wind must offer, else the block is swapped. `from` is into, behind, left or right."""

    along_at_least: words.WindSpeed | None = None
    across_at_least: words.WindSpeed | None = None
    speed_at_least: words.WindSpeed | None = None
    speed_at_most: words.WindSpeed | None = None
    gust_at_most: words.WindSpeed | None = None
    quarter: Annotated[str | None, Field(alias="from")] = None

    @field_validator("quarter")
    @classmethod
    def _a_quarter(cls, value: str | None) -> str | None:
        quarters = [quarter.value for quarter in WindFrom]
        if value is not None and value not in quarters:
            raise ValueError(f"'{value}' is no side a wind comes from, use one of {', '.join(quarters)}")
        return value

    @model_validator(mode="after")
    def _some_wind_meets_it(self) -> Self:
        if not self.model_fields_set:
            raise ValueError("the gate is empty, give it a bound or leave it out")
        if not self.gate().is_possible:
            raise ValueError("no wind meets this gate, lower its least or raise its most (40 m/s at the utmost)")
        return self

    def gate(self) -> WindGate:
        """The same bounds in SI."""

        def _mps(text: str | None) -> float | None:
            return None if text is None else parse_quantity(text, "speed", None)

        return WindGate(
            along_at_least_mps=_mps(self.along_at_least) or 0.0,
            across_at_least_mps=_mps(self.across_at_least) or 0.0,
            speed_at_least_mps=_mps(self.speed_at_least) or 0.0,
            gust_at_most_mps=_mps(self.gust_at_most),
            quarter=WindFrom(self.quarter) if self.quarter else None,
            **({} if self.speed_at_most is None else {"speed_at_most_mps": _mps(self.speed_at_most) or 0.0}),
        )


class Aim(_Strict):
    """What a block is to reach: a measure, one bound, and over how many sessions."""

    measure: words.Measure
    at_most: words.Words | None = None
    at_least: words.Words | None = None
    over_sessions: Annotated[int, Field(ge=1, le=50)] = 1

    @field_validator("at_most", "at_least")
    @classmethod
    def _of_the_measure(cls, value: str | None, info: ValidationInfo) -> str | None:
        measure = info.data.get("measure")
        if value is not None and measure is not None:
            words.bound(value, words.MEASURES[measure])
        return value

    @model_validator(mode="after")
    def _one_bound(self) -> Self:
        if (self.at_most is None) == (self.at_least is None):
            raise ValueError("an aim has one bound, give either at_most or at_least")
        return self


class PlanBlock(_Strict):
    """One drill with its clubs and balls. What is left out is the drill's own."""

    drill: words.DrillName
    clubs: Annotated[tuple[words.ClubName, ...], words.LooseTuple, Field(min_length=1, max_length=14)]
    balls: Balls
    grip_down: Annotated[tuple[words.GripDown, ...], words.LooseTuple, Field(min_length=1, max_length=6)] | None = (
        None
    )
    swing: Annotated[tuple[words.SwingName, ...], words.LooseTuple, Field(min_length=1, max_length=3)] | None = None
    fit: words.FitName | None = None
    target: words.Target | None = None
    stage: words.StageName | None = None
    aim: Aim | None = None
    cue: words.Words | None = None
    wind: WindNeeds | None = None
    flag: words.Words | None = None
    note: words.Words | None = None

    @field_validator("clubs")
    @classmethod
    def _enough_clubs(cls, clubs: tuple[str, ...], info: ValidationInfo) -> tuple[str, ...]:
        if len({words.club_meant(club) for club in clubs}) < len(clubs):
            raise ValueError("a club is named twice, name each once")
        kind = DRILLS.get(_folded(info.data.get("drill", "")))
        if kind and kind.fit and len(clubs) < kind.shots_at_least:
            raise ValueError(f"{kind.name} needs {kind.shots_at_least} clubs or more, add a longer one")
        return clubs

    @field_validator("grip_down", "swing")
    @classmethod
    def _enough_steps(cls, steps: tuple[str, ...] | None, info: ValidationInfo) -> tuple[str, ...] | None:
        kind = DRILLS.get(_folded(info.data.get("drill", "")))
        if steps is None or kind is None or kind.fit is not None or kind.shots_at_least <= len(steps):
            return steps
        if (info.field_name == "grip_down") == (kind.grips_m is None):
            raise ValueError(f"{kind.name} compares {kind.shots_at_least} or more, add one or leave the key out")
        return steps

    @field_validator("stage")
    @classmethod
    def _no_stage_to_warm_up(cls, stage: str | None, info: ValidationInfo) -> str | None:
        if stage is not None and _folded(info.data.get("drill", "")) == "warm-up":
            raise ValueError("a warm-up has no stage, leave the key out")
        return stage

    @field_validator("wind")
    @classmethod
    def _suits_the_drill(cls, wind: WindNeeds | None, info: ValidationInfo) -> WindNeeds | None:
        kind = DRILLS.get(_folded(info.data.get("drill", "")))
        if wind and kind and kind.name == "warm-up":
            raise ValueError("a warm-up needs no wind, leave the key out")
        if wind and kind and kind.wind and not kind.wind.is_possible_with(wind.gate()):
            raise ValueError(f"no wind meets both this gate and what {kind.name} needs, change one of them")
        return wind


class Series(_Strict):
    """Which of a run of plans this is: `{ id = "event-week", number = 2, of = 4, days_before = 1 }`.

    Before an event it is due `days_before` it; week after week, `every_days` after the one before.
    """

    id: words.Slug
    number: Annotated[int, Field(ge=1, le=100)]
    of: Annotated[int, Field(ge=1, le=100)]
    days_before: Annotated[int, Field(ge=0, le=365)] | None = None
    every_days: Annotated[int, Field(ge=1, le=60)] | None = None

    @field_validator("every_days")
    @classmethod
    def _one_way_to_be_due(cls, every_days: int | None, info: ValidationInfo) -> int | None:
        if every_days is not None and info.data.get("days_before") is not None:
            raise ValueError("days_before and every_days cannot both be, keep one")
        return every_days

    @field_validator("of")
    @classmethod
    def _not_past_the_last(cls, of: int, info: ValidationInfo) -> int:
        if of < info.data.get("number", 1):
            raise ValueError(f"plan {info.data['number']} of {of} cannot be, raise of or lower number")
        return of


class Variant(_Strict):
    """What another level does differently: the blocks change in proportion to its balls."""

    balls: Balls | None = None
    minutes: Minutes | None = None
    wind: WindNeeds | None = None
    note: words.Words | None = None


class Variants(_Strict):
    """One table a level: `[levels.junior]`."""

    junior: Variant | None = None
    club: Variant | None = None
    low_handicap: Annotated[Variant | None, Field(alias="low-handicap")] = None
    elite: Variant | None = None

    def of(self, level: str) -> Variant | None:
        """The variant of `level`, or None where the plan makes no difference."""
        variant: Variant | None = getattr(self, level.replace("-", "_"))
        return variant


class Plan(_Strict):
    """One practice plan. A plan that `extends` another takes from it what it does not say itself."""

    format: int
    id: words.Slug
    title: words.Words
    level: Level
    balls: Balls
    minutes: Minutes
    wind: WindNeeds | None = None
    extends: words.Slug | None = None
    meant_for: Annotated[words.Words | None, Field(alias="for")] = None
    ages: Ages | None = None
    due: datetime.date | None = None
    series: Series | None = None
    note: words.Words | None = None
    block: Annotated[
        tuple[PlanBlock, ...], words.LooseTuple, Field(max_length=MOST_BLOCKS, validate_default=True)
    ] = ()
    levels: Variants | None = None

    @field_validator("format")
    @classmethod
    def _known_format(cls, value: int) -> int:
        if value > FORMAT:
            raise ValueError(f"format {value} is from a newer version, update the trainer or write format = {FORMAT}")
        if value < FORMAT:
            raise ValueError(f"there is no format {value}, write format = {FORMAT}")
        return value

    @field_validator("minutes")
    @classmethod
    def _time_for_the_balls(cls, minutes: int, info: ValidationInfo) -> int:
        _require_time(info.data.get("balls"), minutes)
        return minutes

    @field_validator("ages")
    @classmethod
    def _within_their_balls(cls, ages: str | None, info: ValidationInfo) -> str | None:
        most = MOST_BALLS_OF_AGE.get(AgeBand(ages)) if ages else None
        if most is not None and info.data.get("balls", 0) > most:
            raise ValueError(f"{info.data['balls']} balls are too many for ages {ages}, {most} are the most")
        return ages

    @field_validator("extends")
    @classmethod
    def _not_itself(cls, extends: str | None, info: ValidationInfo) -> str | None:
        if extends is not None and extends == info.data.get("id"):
            raise ValueError("a plan cannot extend itself, name another plan or leave the key out")
        return extends

    @field_validator("block")
    @classmethod
    def _blocks_fit(cls, block: tuple[PlanBlock, ...], info: ValidationInfo) -> tuple[PlanBlock, ...]:
        if not block and info.data.get("extends") is None:
            raise ValueError("there is no block, add a [[block]] with drill, clubs and balls")
        require_balls(info.data.get("balls"), [one.balls for one in block])
        if any(_folded(one.drill) == "warm-up" for one in block[1:]):
            raise ValueError("the warm-up stands after another block, put it first")
        _require_wind(info.data.get("wind"), block)
        return block

    @field_validator("levels")
    @classmethod
    def _levels_fit(cls, levels: Variants | None, info: ValidationInfo) -> Variants | None:
        for level in LEVELS:
            variant = levels.of(level) if levels else None
            if variant is None:
                continue
            balls = variant.balls or info.data.get("balls")
            _require_time(balls, variant.minutes or info.data.get("minutes"), f"for {level} ")
            block = info.data.get("block", ())
            if balls is not None and balls < len(block):
                raise ValueError(f"for {level} {balls} balls are fewer than the {len(block)} blocks, raise balls")
            _require_wind(variant.wind, block, f"for {level} ")
        return levels


def require_balls(balls: int | None, in_blocks: list[int]) -> None:
    """Raise ValueError where the blocks hold more balls than the plan."""
    if balls is not None and sum(in_blocks) > balls:
        raise ValueError(
            f"the blocks hold {sum(in_blocks)} balls and the plan {balls}, raise the plan's balls or lower a block's"
        )


def _require_time(balls: int | None, minutes: int | None, whose: str = "") -> None:
    if balls is not None and minutes is not None and balls * FASTEST_S > minutes * 60:
        needed = -(-balls * int(FASTEST_S) // 60)
        raise ValueError(
            f"{whose}{balls} balls take {needed} minutes at {FASTEST_S:g} s a ball and there are {minutes}, "
            "raise minutes or lower balls"
        )


def _require_wind(wind: WindNeeds | None, blocks: tuple[PlanBlock, ...], whose: str = "") -> None:
    for number, one in enumerate(blocks, 1):
        needs = drill_named(one.drill).wind
        if wind and one.wind is None and needs and not needs.is_possible_with(wind.gate()):
            raise ValueError(f"{whose}no wind meets both the plan's gate and what block {number} needs, change one")


def _folded(drill: str) -> str:
    return " ".join(drill.lower().split())
