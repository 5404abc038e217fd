"""Clubs, swings and cells: the words for what is hit."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from enum import StrEnum

from trainer.core.constants import INCH_M
from trainer.core.errors import InputError

GREATEST_GRIP_DOWN_M = 0.1016
"""Four inches: beyond it the hands are off the grip."""

CARRY_RANGE_M = (1.0, 400.0)
"""Least and greatest carry that may be stated of a club."""

USUAL_GRIP_STEPS_M = (0.0, INCH_M, 2 * INCH_M)
"""None, one inch and two inches: the grips down of whoever names none of his own, and of the drills."""

SAME_GRIP_M = 0.001
"""Nobody places his hands to a millimetre: so near a usual step a grip-down is that step, and shown in few digits."""


class Swing(StrEnum):
    """How long the swing is: the hands finish head-, shoulder- or chest-high."""

    FULL = "full"
    THREE_QUARTER = "three-quarter"
    HALF = "half"


_SWING_SPELLINGS = {"3/4": Swing.THREE_QUARTER, "three quarter": Swing.THREE_QUARTER, "1/2": Swing.HALF}


def swing_named(text: str, where: str = "") -> Swing:
    """The swing that `text` names; raises InputError where it names none."""
    folded = " ".join(text.lower().split())
    if folded in _SWING_SPELLINGS:
        return _SWING_SPELLINGS[folded]
    try:
        return Swing(folded)
    except ValueError:
        raise InputError(f"'{text}' is not a swing", where, "use full, three-quarter or half") from None


@dataclass(frozen=True, slots=True)
class Club:
    """One club by its specification. `stock_carry_m` is the stated still-air carry of a stock full swing."""

    name: str
    loft_rad: float
    length_m: float
    stock_carry_m: float

    @property
    def loft_deg(self) -> float:
        """Loft in degrees, as it is stamped on the club."""
        return math.degrees(self.loft_rad)


@dataclass(frozen=True, slots=True, order=True)
class Cell:
    """Club × grip-down × swing: the thing whose carry is estimated."""

    club: str
    grip_down_m: float = 0.0
    swing: Swing = Swing.FULL

    @property
    def is_stock(self) -> bool:
        """A full swing at the normal grip."""
        return self.grip_down_m == 0 and self.swing is Swing.FULL


MID_IRON_LOFT_DEG = 34.0
"""That of a usual 7 iron, the club that stands for a bag where one has to."""


@dataclass(frozen=True, slots=True)
class Bag:
    """The clubs of one player, longest first, and the grips down that he uses (m, from 0)."""

    clubs: tuple[Club, ...]
    grip_steps_m: tuple[float, ...] = USUAL_GRIP_STEPS_M

    def club(self, name: str, where: str = "") -> Club:
        """The club that `name` means; raises InputError naming the bag where there is none."""
        wanted = canonical_club(name)
        for club in self.clubs:
            if canonical_club(club.name) == wanted:
                return club
        held = ", ".join(club.name for club in self.clubs)
        raise InputError(f"no club '{name}' in the bag", where, f"the bag holds {held}")

    @property
    def mid_iron(self) -> Club:
        """The club whose loft is nearest a usual 7 iron's; the bag holds one at least."""
        return min(self.clubs, key=lambda club: abs(club.loft_deg - MID_IRON_LOFT_DEG))

    def cells(self) -> tuple[Cell, ...]:
        """Every club × grip × swing, in the bag's order."""
        return tuple(
            Cell(club.name, grip_m, swing) for club in self.clubs for grip_m in self.grip_steps_m for swing in Swing
        )


_WEDGES = {
    "pw": "pitching wedge",
    "gw": "gap wedge",
    "aw": "gap wedge",
    "sw": "sand wedge",
    "lw": "lob wedge",
}
_KINDS = {"i": "iron", "iron": "iron", "w": "wood", "wood": "wood", "h": "hybrid", "hybrid": "hybrid"}
_NUMBER_FIRST = re.compile(r"(\d{1,2})[\s\-]*(i|iron|w|wood|h|hybrid)")
_KIND_FIRST = re.compile(r"(i|iron|w|wood|h|hybrid)[\s\-]*(\d{1,2})")


def canonical_club(text: str) -> str:
    """The club's written-out name: `7i`, `Iron 7` and `7-iron` are `7 iron`, `PW` is `pitching wedge`.

    A name that is none of the usual ones is the player's own, folded to lower case and single spaces.
    """
    folded = " ".join(text.lower().split())
    if folded in _WEDGES:
        return _WEDGES[folded]
    if match := _NUMBER_FIRST.fullmatch(folded):
        return f"{int(match[1])} {_KINDS[match[2]]}"
    if match := _KIND_FIRST.fullmatch(folded):
        return f"{int(match[2])} {_KINDS[match[1]]}"
    return folded


_USUAL_CLUB = re.compile(r"driver|putter|[1-9]\d? (?:iron|wood|hybrid)|(?:pitching|gap|sand|lob) wedge")


def is_usual_club(name: str) -> bool:
    """Whether a written-out name (`canonical_club`) is a usual one, not a player's own."""
    return _USUAL_CLUB.fullmatch(name) is not None


def require_grip_down(grip_down_m: float, where: str = "") -> float:
    """`grip_down_m` if hands can be there, else InputError."""
    if not 0 <= grip_down_m <= GREATEST_GRIP_DOWN_M:
        raise InputError(
            f"a grip-down of {grip_down_m * 100:.3g} cm is out of range", where, "give 0 to 10 cm (4 in)"
        )
    return grip_down_m
