"""The words and quantities of a plan file: each is checked as it is read and kept as it was written.

A failed check raises ValueError with "what, and what to do": pydantic collects it beside its key.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from typing import Annotated

from pydantic import AfterValidator, Strict, StringConstraints

from trainer.core.bag import canonical_club, is_usual_club, require_grip_down, swing_named
from trainer.core.conditions import GREATEST_WIND_MPS
from trainer.core.errors import InputError
from trainer.core.schedule.drill_kind import Fit
from trainer.core.schedule.drills import drill_named
from trainer.core.schedule.stages import STAGES
from trainer.core.units import parse_quantity, require_range

STOCK_CARRY = re.compile(r"stock carry of (?:the |my )?(.+)", re.IGNORECASE)
OWN_CLUB = re.compile(r"my (.+)", re.IGNORECASE)
LONGEST_ID = 60
_SLUG = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_LEAST_TARGET_M, _MOST_TARGET_M = 5.0, 350.0

MEASURES: dict[str, str] = {
    "median error": "fraction",
    "mean error": "fraction",
    "clean strikes": "fraction",
    "under the line": "fraction",
    "starts in the gap": "fraction",
    "covers": "fraction",
    "called ranges held": "fraction",
    "height ratio": "fraction",
    "interval width": "length",
    "side spread": "length",
    "guess error": "length",
    "wind error": "speed",
    "direction error": "angle",
}
"""What an aim may be about, and the kind of quantity that its bound is."""


def _require(check: Callable[[], object]) -> None:
    """Run `check`; an InputError becomes the ValueError that pydantic collects."""
    try:
        check()
    except InputError as error:
        raise ValueError(f"{error.what}, {error.remedy}") from error


def slug(text: str) -> str:
    """`text` if it is lower-case words joined by hyphens, at most `LONGEST_ID` characters."""
    if not _SLUG.fullmatch(text) or len(text) > LONGEST_ID:
        raise ValueError(f"'{text}' is not an id, write lower-case letters and digits joined by hyphens")
    return text


def club(text: str) -> str:
    """`text` if it names a usual club or, as `my …`, one by the player's own name."""
    if not is_usual_club(canonical_club(text)) and not OWN_CLUB.fullmatch(text):
        raise ValueError(f"'{text}' is not a club, write such as 7 iron, or 'my {text}' for a club by your own name")
    return text


def club_meant(text: str) -> str:
    """The club's name without the `my` of an own name."""
    own = OWN_CLUB.fullmatch(text)
    return canonical_club(own[1] if own else text)


def drill(text: str) -> str:
    """`text` if it names a drill."""
    _require(lambda: drill_named(text))
    return text


def swing(text: str) -> str:
    """`text` if it names a swing."""
    _require(lambda: swing_named(text))
    return text


def grip_down(text: str) -> str:
    """`text` if it is a length that hands can be down the grip."""
    _require(lambda: require_grip_down(parse_quantity(text, "length", None)))
    return text


def wind_speed(text: str) -> str:
    """`text` if it is a wind speed from 0 to 40 m/s."""
    _require(lambda: require_range(parse_quantity(text, "speed", None), 0.0, GREATEST_WIND_MPS, "m/s", "a wind"))
    return text


def target(text: str) -> str:
    """`text` if it is a distance, or `stock carry of 8 iron`."""
    stock = STOCK_CARRY.fullmatch(text)
    if stock:
        club(stock[1])
        return text
    try:
        target_m = parse_quantity(text, "length", None)
        require_range(target_m, _LEAST_TARGET_M, _MOST_TARGET_M, "m", "a target")
    except InputError as error:
        raise ValueError(f"{error.what}, write such as 140 yd or stock carry of 8 iron (5 to 350 m)") from error
    return text


def bound(text: str, kind: str) -> str:
    """`text` if it is a quantity of `kind` that is not negative."""
    _require(lambda: parse_quantity(text, kind, None))
    if parse_quantity(text, kind, None) < 0:
        raise ValueError(f"'{text}' is below zero, give 0 or more")
    return text


def plain(text: str) -> str:
    """`text` if it holds no control character that could steer a terminal; line ends and tabs may stand in a note."""
    bad = next((letter for letter in text if unicodedata.category(letter) == "Cc" and letter not in "\n\t"), None)
    if bad is not None:
        raise ValueError(f"there is a control character (U+{ord(bad):04X}) in it, retype it")
    return text


def _one_of(names: tuple[str, ...], what: str) -> Callable[[str], str]:
    def _check(text: str) -> str:
        if text not in names:
            raise ValueError(f"'{text}' is not {what}, use one of {'; '.join(names)}")
        return text

    return _check


Words = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=500), AfterValidator(plain)]
Slug = Annotated[str, AfterValidator(slug)]
ClubName = Annotated[Words, AfterValidator(club)]
DrillName = Annotated[Words, AfterValidator(drill)]
SwingName = Annotated[Words, AfterValidator(swing)]
GripDown = Annotated[Words, AfterValidator(grip_down)]
WindSpeed = Annotated[Words, AfterValidator(wind_speed)]
Target = Annotated[Words, AfterValidator(target)]
StageName = Annotated[str, AfterValidator(_one_of(tuple(stage.value for stage in STAGES), "a stage"))]
FitName = Annotated[str, AfterValidator(_one_of(tuple(fit.value for fit in Fit), "a fit"))]
Measure = Annotated[str, AfterValidator(_one_of(tuple(MEASURES), "a measure"))]
LooseTuple = Strict(False)
"""TOML arrays are lists; a frozen plan holds tuples. Only the container is read loosely, never what is in it."""
