"""What a shot is asked to do: a distance, the edges that hold it, what must be carried, and how the ground lies."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainer.core.constants import YARD_M
from trainer.core.errors import InputError
from trainer.core.estimate.evidence import Floats

DEFAULT_MARGIN_M = 10 * YARD_M
"""Front, back, left and right lie ten yards from the target where nothing else is said (outer contract)."""

NEAREST_TARGET_M, FARTHEST_TARGET_M = 5.0, 400.0
GREATEST_SLOPE_M = 60.0


@dataclass(frozen=True, slots=True)
class Target:
    """A target and what surrounds it, m.

    `distance_m`, `front_m`, `back_m` and `carry_over_m` (None: nothing to carry) are from the player; `left_m` and
    `right_m` from the target line, each positive to its own side. `slope_m` is the height of the target above him.
    """

    distance_m: float
    front_m: float
    back_m: float
    left_m: float = DEFAULT_MARGIN_M
    right_m: float = DEFAULT_MARGIN_M
    carry_over_m: float | None = None
    slope_m: float = 0.0

    @classmethod
    def at(cls, distance_m: float) -> Target:
        """A target with the usual margins all round."""
        return cls(distance_m, distance_m - DEFAULT_MARGIN_M, distance_m + DEFAULT_MARGIN_M)

    @property
    def mirrored(self) -> Target:
        """The same target seen in a mirror along the target line."""
        return Target(
            self.distance_m, self.front_m, self.back_m, self.right_m, self.left_m, self.carry_over_m, self.slope_m
        )


def require_target(target: Target) -> Target:
    """Give `target` back where it can be played to; else raise InputError saying what is wrong with it."""
    _require(NEAREST_TARGET_M <= target.distance_m <= FARTHEST_TARGET_M, "the target is out of range", "DISTANCE",
             f"give {NEAREST_TARGET_M:g} to {FARTHEST_TARGET_M:g} m")  # fmt: skip
    _require(target.front_m <= target.distance_m, "the front lies behind the target", "--front",
             "give its distance from you, at most the target's")  # fmt: skip
    _require(target.back_m >= target.distance_m, "the back lies in front of the target", "--back",
             "give its distance from you, at least the target's")  # fmt: skip
    _require(target.back_m > target.front_m, "front and back are the same", "--back", "give a back past the front")
    _require(target.left_m + target.right_m > 0, "left and right leave no room", "--left",
             "give how far each edge is from the target line")  # fmt: skip
    _require(target.carry_over_m is None or 0 < target.carry_over_m <= FARTHEST_TARGET_M,
             "what is to be carried is out of range", "--carry-over", "give its distance from you")  # fmt: skip
    _require(abs(target.slope_m) <= GREATEST_SLOPE_M, "the slope is out of range", "--slope",
             f"give the target's height above you, {-GREATEST_SLOPE_M:g} to {GREATEST_SLOPE_M:g} m")  # fmt: skip
    return target


def _require(right: bool, what: str, where: str, remedy: str) -> None:
    if not right:
        raise InputError(what, where, remedy)


@dataclass(frozen=True, slots=True)
class Judged:
    """What became of balls (n, c), each in exactly one of the five; `over` is true where the obstacle was carried."""

    hold: Floats
    short: Floats
    long: Floats
    left: Floats
    right: Floats
    over: Floats

    @property
    def done(self) -> Floats:
        """What did the job: held, and carried what was to be carried."""
        return self.hold * self.over


def judge(target: Target, carry_m: Floats, along_m: Floats, side_m: Floats) -> Judged:
    """Where balls came to rest: short of the front, else past the back, else left or right, else held.

    `carry_m`, `along_m` and `side_m` (right positive) have one shape; so have the results, 1.0 where true.
    """
    short = along_m < target.front_m
    long = ~short & (along_m > target.back_m)
    deep = ~short & ~long
    left = deep & (side_m < -target.left_m)
    right = deep & ~left & (side_m > target.right_m)
    over = carry_m >= (0.0 if target.carry_over_m is None else target.carry_over_m)
    hold = deep & ~left & ~right
    return Judged(*(np.asarray(part, dtype=np.float64) for part in (hold, short, long, left, right, over)))
