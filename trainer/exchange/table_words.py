"""The plain words of a shot table's header: which field a header names, its unit, what it hints of the carry.

Generic words only. Nothing is guessed: a header that leaves the unit or the sign open says so in its `HeaderCell`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from trainer.core.shot import CarryOrigin
from trainer.core.units import UNITS, unit_named


class Field(StrEnum):
    """What a column may be."""

    TIME = "time"
    DATE = "date"
    NUMBER = "number"
    PLAYER = "player"
    CLUB = "club"
    GRIP_DOWN = "grip_down"
    SWING = "swing"
    CARRY = "carry"
    TOTAL = "total"
    SIDE = "side"
    APEX = "apex"
    HANG = "hang"
    BALL_SPEED = "ball_speed"
    LAUNCH = "launch"
    SPIN = "spin"
    MISHIT = "mishit"
    DELETED = "deleted"
    COUNTS = "counts"
    TAGS = "tags"


KINDS: dict[Field, str] = {
    Field.GRIP_DOWN: "length",
    Field.CARRY: "length",
    Field.TOTAL: "length",
    Field.SIDE: "length",
    Field.APEX: "length",
    Field.HANG: "duration",
    Field.BALL_SPEED: "speed",
    Field.LAUNCH: "angle",
    Field.SPIN: "spin",
}
"""What a number in the column measures; other columns are words."""


class SideSign(StrEnum):
    """Which side a positive number is, or that each cell has its letter."""

    RIGHT = "right"
    LEFT = "left"
    LETTERS = "letters"


_WORDS: dict[Field, tuple[tuple[str, ...], ...]] = {
    Field.TIME: (
        ("date time", "datetime", "date and time", "timestamp", "recorded at", "hit at"),
        ("time", "shot time", "time of day", "clock", "when"),
    ),
    Field.DATE: (("date", "shot date"), ("day", "session date")),
    Field.NUMBER: (("shot", "shot no", "shot number", "shot #", "no", "nr", "number", "#", "ball", "ball no"),),
    Field.PLAYER: (("player", "player name", "golfer", "alias"), ("name", "user")),
    Field.CLUB: (("club", "club name", "club used"), ("club type",)),
    Field.GRIP_DOWN: (("grip down", "gripdown", "grip down by"), ("grip",)),
    Field.SWING: (("swing", "swing length", "swing type"),),
    Field.CARRY: (("carry",),),
    Field.TOTAL: (("total",), ("finish",)),
    Field.SIDE: (
        ("side", "offline", "off line", "lateral", "carry side", "side carry", "side at carry", "carry offline"),
        ("deviation", "carry deviation", "lateral deviation"),
        ("side total", "total side", "total offline"),
    ),
    Field.APEX: (
        ("apex", "apex height", "peak height", "max height", "maximum height", "peak", "height apex"),
        ("height",),
    ),
    Field.HANG: (("hang", "hang time", "hangtime"), ("flight time", "time of flight", "air time", "airtime")),
    Field.BALL_SPEED: (("ball speed", "ballspeed"),),
    Field.LAUNCH: (("launch angle", "vertical launch angle", "launch angle vertical"), ("launch", "vertical launch")),
    Field.SPIN: (("spin rate", "spin", "total spin"), ("backspin", "back spin")),
    Field.MISHIT: (("mishit", "mis hit", "miss hit"),),
    Field.DELETED: (("deleted", "is deleted", "excluded", "is excluded", "removed", "discarded", "ignored"),),
    Field.COUNTS: (("counts", "valid", "is valid", "included", "include", "kept", "keep", "in use"),),
    Field.TAGS: (("tags", "tag"), ("note", "notes", "comment", "comments")),
}
"""Plain words for each column, the likelier first; a header's rank gives its confidence."""

_FILLERS = frozenset({"distance", "dist", "length", "value", "measured", "actual", "raw"})
HINTS: dict[CarryOrigin, frozenset[str]] = {
    CarryOrigin.COMPUTED: frozenset(
        {"computed", "calculated", "calc", "calculation", "est", "estimated", "modelled", "modeled", "model", "sim"}
        | {"simulated", "predicted", "projected", "theoretical", "virtual"}
    ),
    CarryOrigin.CORRECTED: frozenset(
        {"corrected", "normalized", "normalised", "norm", "adjusted", "adj", "standardized", "standardised"}
        | {"weather", "windless", "nowind", "flat", "compensated"}
    ),
}
"""Words beside a carry that hint what it is."""

_ALL_HINTS = frozenset().union(*HINTS.values())
_PHRASES = re.compile(r"\b(no[ -]wind|without wind|still[ -]air|sea[ -]level|calm air)\b")
"""Words that say together that a carry was corrected for the weather."""

_SIGN_WORDS = frozenset({"positive", "plus", "pos"})
_SILENT = frozenset({"left", "right", "l", "r", "is", "of", "the", "target", "line", "vertical", "at", "in", "and"})
_MINUS = re.compile(r"(?<!\w)[-−]|[-−](?!\w)")
_BRACKETS = re.compile(r"[\[(]([^\[\]()]*)[\])]")
_RANKS = {words: (field, rank) for field, ranks in _WORDS.items() for rank, row in enumerate(ranks) for words in row}


@dataclass(frozen=True, slots=True)
class HeaderCell:
    """A header cell understood: the field it fits (None: none), its unit, rank, and the words that qualify it.

    `strange_unit` is True where something stands in brackets that could be a unit and is none of this field: the
    unit must be asked then, even where one is usual.
    """

    field: Field | None
    unit: str | None
    rank: int
    hints: frozenset[str]
    side_positive: SideSign | None
    strange_unit: bool = False


def read_header_cell(text: str) -> HeaderCell:
    """What `Carry (yd)`, `carry_m`, `Ball speed mph` or `Side [m, right +]` says."""
    folded = _PHRASES.sub("corrected", " ".join(text.replace("_", " ").lower().split())[:200])
    bracketed = [part.strip() for found in _BRACKETS.findall(folded) for part in re.split("[,;]", found)]
    words = [word for word in re.split(r"[\s\-.:,]+", _BRACKETS.sub(" ", folded).strip(" .:,")) if word]
    units = [unit for part in bracketed if (unit := unit_named(part)) is not None]
    hint_words = frozenset(words) | frozenset(word.strip(".:") for part in bracketed for word in part.split())
    plain = [word for word in words if word not in _ALL_HINTS and word not in _SIGN_WORDS]
    field, rank = _fitting(plain)
    if field is None and len(plain) > 1 and (unit := unit_named(plain[-1])) is not None:
        field, rank = _fitting(plain[:-1])
        units = [*units, unit]
    if field is Field.TIME and any(UNITS[unit].kind == "duration" for unit in units):
        field = None  # a time in seconds is no time of day
    kind = KINDS.get(field) if field else None
    matching = [unit for unit in units if UNITS[unit].kind == kind]
    return HeaderCell(
        field=field,
        unit=matching[0] if len(set(matching)) == 1 else None,
        rank=rank,
        hints=hint_words & _ALL_HINTS,
        side_positive=_stated_sign(folded, hint_words),
        strange_unit=kind is not None and len(set(matching)) != 1 and any(map(_may_be_unit, bracketed)),
    )


def _may_be_unit(part: str) -> bool:
    """Whether words in brackets could mean a unit: all but hints and words about the side."""
    return any(word.strip(".:+") not in _ALL_HINTS | _SIGN_WORDS | _SILENT | {""} for word in part.split())


def _fitting(words: list[str]) -> tuple[Field | None, int]:
    for candidate in (words, [word for word in words if word not in _FILLERS]):
        if found := _RANKS.get(" ".join(candidate)):
            return found
    return None, 0


def _stated_sign(folded: str, words: frozenset[str]) -> SideSign | None:
    """The sign that a header states: `right positive`, `right +`, `+ right`, `left is plus`."""
    sides = [side for side in (SideSign.RIGHT, SideSign.LEFT) if side.value in words]
    denied = words & {"not", "negative", "minus", "neg"} or _MINUS.search(folded)
    return sides[0] if len(sides) == 1 and not denied and ("+" in folded or words & _SIGN_WORDS) else None


def recognised(header: Sequence[str]) -> int:
    """How many different fields the cells of a header fit."""
    return len({cell.field for cell in map(read_header_cell, header) if cell.field is not None})


def carry_hint(header: str) -> CarryOrigin | None:
    """What a carry column's header hints that the carry is, if anything: computed by a device, or corrected."""
    hints = read_header_cell(header).hints
    return next((origin for origin in reversed(HINTS) if hints & HINTS[origin]), None)


def title_hint(titles: Sequence[str]) -> bool:
    """Whether the lines above a header say in whole words that distances were computed or corrected."""
    words = {word for title in titles for word in re.findall("[a-z]+", _PHRASES.sub("corrected", title.lower()))}
    return any(len(word) > 8 for word in words & _ALL_HINTS)
