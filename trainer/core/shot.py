"""One shot as it was seen, whoever typed or measured it: SI, no units left.

`ShotEntry` is what a typed line or a table row says of a ball. It knows nothing of the session it falls in.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Depth(StrEnum):
    """Where a ball ended along the target line, by zone."""

    SHORT = "short"
    PIN = "pin"
    LONG = "long"


class Width(StrEnum):
    """Where a ball ended across the target line, by zone."""

    LEFT = "left"
    STRAIGHT = "straight"
    RIGHT = "right"


class CarryOrigin(StrEnum):
    """What a carry is: seen on the ground, computed by a device, or already corrected for the weather."""

    SEEN = "seen"
    COMPUTED = "computed"
    CORRECTED = "corrected"


@dataclass(frozen=True, slots=True)
class ShotEntry:
    """What was seen of one ball. None means not seen.

    `side_m` is positive to the right of the target line. `flag_offset_m` is positive past the flag `flag`; its
    carry (or total) is known once the flag's distance is. `unseen` means hit, and not seen where. `resolution_m` is
    the step the distance was rounded to (1 yd for `142`, 0.1 m for `142.3m`), None where no distance was given.
    """

    carry_m: float | None = None
    total_m: float | None = None
    side_m: float | None = None
    flag: str | None = None
    flag_offset_m: float | None = None
    depth: Depth | None = None
    width: Width | None = None
    apex_m: float | None = None
    hang_s: float | None = None
    ball_speed_mps: float | None = None
    launch_rad: float | None = None
    spin_rad_s: float | None = None
    mishit: bool = False
    unseen: bool = False
    tags: tuple[str, ...] = ()
    resolution_m: float | None = None
