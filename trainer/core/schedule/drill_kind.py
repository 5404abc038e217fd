"""What a drill is: a small declarative definition, the same for every player and every plan."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from trainer.core.bag import Swing
from trainer.core.schedule.stages import Order, Stage
from trainer.core.schedule.wind_gate import WindGate


class Use(StrEnum):
    """What a drill's balls are for: to loosen, to measure a cell, or to train and test a skill."""

    WARM_UP = "warm-up"
    MEASUREMENT = "measurement"
    SKILL = "skill"


class Fit(StrEnum):
    """What may be varied to make a club carry the target."""

    GRIP = "grip-down"
    SWING = "swing"
    GRIP_AND_SWING = "grip-down, swing"

    @property
    def grip(self) -> bool:
        """Whether the grip may be varied."""
        return self is not Fit.SWING

    @property
    def swing(self) -> bool:
        """Whether the swing may be varied."""
        return self is not Fit.GRIP


@dataclass(frozen=True, slots=True)
class DrillKind:
    """One drill in words and rules.

    `reason` and `reason_first` say in one sentence why a ball is hit; `{shot}`, `{club}`, `{grip}`, `{swing}`,
    `{target}` and `{turn}` are filled in. `reason_first` is for the shot the others are compared with, where
    there is one. `grips_m` of None means the bag's own steps. `any_wind` marks a drill that teaches as well in
    calm as in wind. `turns` are what balls alternate between when it is not the shot. `by_gain` lets the balls go to
    those of the block's shots that tell most, where it is known what is believed of them. `shots_at_least` counts
    what the drill compares: clubs where it has a `fit`, grips where `grips_m` is None, else swings.
    """

    name: str
    use: Use
    purpose: str
    set_up: str
    cues: tuple[str, ...]
    asks: str
    records: tuple[str, ...]
    scored_by: str
    teaches: str
    reason: str
    balls: int
    easier: str
    harder: str
    cautions: tuple[str, ...] = ()
    reason_first: str = ""
    wind: WindGate | None = None
    any_wind: bool = False
    teaches_low_flight: bool = False
    stage: Stage = Stage.MIX
    order: Order = Order.BY_STAGE
    grips_m: tuple[float, ...] | None = (0.0,)
    swings: tuple[Swing, ...] = (Swing.FULL,)
    fit: Fit | None = None
    shots_at_least: int = 1
    turns: tuple[str, ...] = ()
    by_gain: bool = False
