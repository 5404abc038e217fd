"""The club that a table means: written out, abbreviated, by the letter on its sole or by its loft."""

from __future__ import annotations

import re

from trainer.core.bag import Bag, Club
from trainer.core.errors import InputError
from trainer.exchange.plain_text import shown_text

LOFT_MATCHES_WITHIN_DEG = 0.51
"""A sole's loft is stamped to the whole degree."""

_LETTERS = {
    "d": "driver", "dr": "driver", "drv": "driver", "1w": "driver", "w1": "driver", "1 wood": "driver",
    "p": "pitching wedge", "pw": "pitching wedge", "pitching": "pitching wedge", "pitch": "pitching wedge",
    "g": "gap wedge", "gw": "gap wedge", "gap": "gap wedge", "a": "gap wedge", "aw": "gap wedge",
    "approach": "gap wedge", "approach wedge": "gap wedge", "attack wedge": "gap wedge",
    "s": "sand wedge", "sw": "sand wedge", "sand": "sand wedge",
    "l": "lob wedge", "lw": "lob wedge", "lob": "lob wedge",
}  # fmt: skip
_KINDS = {
    "i": "iron", "ir": "iron", "irn": "iron", "iron": "iron", "irons": "iron",
    "w": "wood", "wd": "wood", "wood": "wood", "fw": "wood", "fairway": "wood", "fairway wood": "wood",
    "h": "hybrid", "hy": "hybrid", "hyb": "hybrid", "hybrid": "hybrid", "rescue": "hybrid", "u": "hybrid",
    "utility": "hybrid",
}  # fmt: skip
_KIND = "|".join(sorted(map(re.escape, _KINDS), key=len, reverse=True))
_NUMBERED = re.compile(rf"(?:#?(\d{{1,2}})[\s\-.]*({_KIND})|({_KIND})[\s\-.#]*(\d{{1,2}}))")
_LOFT = re.compile(
    r"(?:wedge[\s\-]*)?(\d{2}(?:[.,]\d)?)\s*(?:°|deg|degs|degree|degrees)(?:[\s\-]*wedge)?"
    r"|wedge[\s\-]*(\d{2})|(\d{2})[\s\-]*wedge"
)


def club_meant(text: str, bag: Bag) -> Club:
    """The club of `bag` that `text` means: `7i`, `Iron 7`, `7-Iron`, `P`, `3w`, `50°`, or the player's own name.

    Raises InputError where the bag holds none such, or two of that loft.
    """
    try:
        return bag.club(text)
    except InputError as problem:
        not_held = problem
    folded = " ".join(text.lower().replace("_", " ").split())
    if (name := _LETTERS.get(folded) or _numbered(folded)) is not None:
        return bag.club(name)
    if match := _LOFT.fullmatch(folded):
        return _by_loft(float((match[1] or match[2] or match[3]).replace(",", ".")), text, bag)
    raise not_held


def _numbered(folded: str) -> str | None:
    """`7 iron` of `7i`, `i7`, `#7 Iron`, `Hyb 4`; None for any other."""
    match = _NUMBERED.fullmatch(folded)
    if match is None:
        return None
    number, kind = int(match[1] or match[4]), _KINDS[match[2] or match[3]]
    return "driver" if (number, kind) == (1, "wood") else f"{number} {kind}"


def _by_loft(loft_deg: float, text: str, bag: Bag) -> Club:
    near = [club for club in bag.clubs if abs(club.loft_deg - loft_deg) <= LOFT_MATCHES_WITHIN_DEG]
    if len(near) == 1:
        return near[0]
    held = ", ".join(f"{club.name} {club.loft_deg:.3g}°" for club in near or bag.clubs)
    what = "no club" if not near else "more than one club"
    raise InputError(f"{what} in the bag has the loft '{shown_text(text)}'", remedy=f"the bag holds {held}")
