"""Times in table cells: dates in local orders, joined with a time of day or apart from it, clocks of 12 or 24 hours.

`03/05/2025` is the third of May or the fifth of March: which of the two is never guessed. The rows decide where one
of them shows a number above twelve; else it is asked.
"""

from __future__ import annotations

import re
from datetime import date, datetime, time
from enum import StrEnum
from functools import lru_cache

from trainer.core.errors import InputError
from trainer.exchange.plain_text import shown_text


class DayOrder(StrEnum):
    """In which order a date in figures is written."""

    DAY_FIRST = "day first"
    MONTH_FIRST = "month first"
    YEAR_FIRST = "year first"


ANY_ORDER = frozenset(DayOrder)

FIRST_YEAR, LAST_YEAR = 1990, 2099
"""No ball of a shot table or a group's evening is older or younger."""

_LONGEST = 60
_FIGURES = re.compile(r"(\d{1,4})([-/. ])(\d{1,2})\2(\d{1,4})\.?")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_NAMED_MONTH = re.compile(
    r"(?:[a-z]{3,9},?\s+)?(?:(\d{1,2})\.?[\s\-]+([a-z]{3,9})\.?|([a-z]{3,9})\.?\s+(\d{1,2})),?[\s\-]+(\d{4})"
)
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,](\d{1,6}))?)?(?:\s*([ap])\.?\s?m\.?)?")
_SPLIT = re.compile(r"(.*?)[\sT,]+(\d{1,2}:.*)", re.DOTALL)


def plausible_moment(text: str) -> datetime:
    """The moment in an ISO text, with its offset if it has one. Raises ValueError for none, and out of the years."""
    moment = datetime.fromisoformat(text)
    if not FIRST_YEAR <= moment.year <= LAST_YEAR:
        raise ValueError(f"the year {moment.year} is out of range")
    return moment


def split_moment(cell: str) -> tuple[str, str]:
    """(date, clock) of a cell, either of them empty."""
    text = cell.strip()
    if ":" not in text or len(text) > _LONGEST:
        return text, ""
    if match := _SPLIT.fullmatch(text):
        return match[1].strip(), match[2].strip()
    return "", text


@lru_cache(maxsize=4096)
def orders_that_fit(written_date: str) -> frozenset[DayOrder]:
    """The orders in which a date in figures is a day; all of them where the date leaves no choice or is none."""
    match = _FIGURES.fullmatch(written_date.strip())
    if match is None or len(match[1]) > 2:
        return ANY_ORDER
    return frozenset(order for order in DayOrder if _day_in_figures(match, order) is not None)


def leaves_choice(written_date: str) -> bool:
    """Whether a date is in figures that more than one order might read."""
    match = _FIGURES.fullmatch(written_date.strip())
    return match is not None and len(match[1]) <= 2


def _day_in_figures(match: re.Match[str], order: DayOrder) -> date | None:
    first, second, third = match[1], match[3], match[4]
    if order is DayOrder.YEAR_FIRST:
        year, month, day = first, second, third
    elif order is DayOrder.DAY_FIRST:
        day, month, year = first, second, third
    else:
        month, day, year = first, second, third
    if len(year) not in (2, 4) or len(day) > 2 or len(month) > 2:
        return None
    return _day(int(year) + (2000 if len(year) == 2 else 0), int(month), int(day))


def _day(year: int, month: int, day: int) -> date | None:
    if not FIRST_YEAR <= year <= LAST_YEAR:
        return None
    try:
        return date(year, month, day)
    except ValueError:
        return None


@lru_cache(maxsize=4096)
def parse_day(text: str, order: DayOrder | None) -> date:
    """The day that `text` writes; `order` reads one in figures. Raises InputError for no day, and an open order."""
    folded = " ".join(text.lower().split())
    found: date | None = None
    if match := _FIGURES.fullmatch(folded):
        year_first = len(match[1]) == 4
        if not year_first and order is None:
            raise InputError(f"'{shown_text(text)}' could be two days", remedy="say which is first, day or month")
        found = _day_in_figures(match, DayOrder.YEAR_FIRST if year_first or order is None else order)
    elif re.fullmatch(r"\d{8}", folded):
        found = _day(int(folded[:4]), int(folded[4:6]), int(folded[6:]))
    elif match := _NAMED_MONTH.fullmatch(folded):
        name = (match[2] or match[3])[:3]
        if name in _MONTHS:
            found = _day(int(match[5]), _MONTHS.index(name) + 1, int(match[1] or match[4]))
    if found is None:
        raise InputError(f"'{shown_text(text)}' is no date", remedy="write such as 2025-05-03")
    return found


def parse_clock(text: str, *, twelve_hours: bool = False) -> time:
    """The time of day that `text` writes, with `am` or `pm` or in 24 hours.

    `twelve_hours` says that other rows write am or pm: one without is refused then. Raises InputError.
    """
    match = _CLOCK.fullmatch(text.strip().lower()) if len(text) <= _LONGEST else None
    refused = InputError(f"'{shown_text(text)}' is no time of day", remedy="write such as 18:30 or 6:30 PM")
    if match is None:
        raise refused
    hour, half = int(match[1]), match[5]
    if half is None and twelve_hours:
        raise InputError(f"'{shown_text(text)}' lacks am or pm, which other rows have", remedy="write it")
    if half is not None:
        if not 1 <= hour <= 12:
            raise refused
        hour = hour % 12 + (12 if half == "p" else 0)
    try:
        return time(hour, int(match[2]), int(match[3] or 0), int((match[4] or "0").ljust(6, "0")))
    except ValueError:
        raise refused from None


def has_half(clock: str) -> bool:
    """Whether a clock writes am or pm."""
    return clock.rstrip(". ")[-1:] in ("m", "M")


def parse_moment(
    written_date: str, clock: str, order: DayOrder | None, *, twelve_hours: bool, day: date | None
) -> datetime:
    """The moment of a row from its date and its clock as `split_moment` parts them.

    Without a clock it is the start of the day; without a date it is on `day`. An offset from UTC is kept. Raises
    InputError for what is neither, and where the day is nowhere.
    """
    if not clock:
        return datetime.combine(parse_day(written_date, order), time())
    offset = re.fullmatch(r"(.*\d)\s*(z|[+\-]\d{2}:?\d{2})", clock, re.IGNORECASE)
    at = parse_clock(offset[1] if offset else clock, twelve_hours=twelve_hours)
    if not written_date and day is None:
        raise InputError(f"'{shown_text(clock)}' has no day", remedy="say on which day it was")
    on = parse_day(written_date, order) if written_date else day
    moment = datetime.combine(on or date.min, at)
    if offset is None:
        return moment
    try:
        return datetime.fromisoformat(f"{moment.isoformat()}{offset[2].upper()}")
    except ValueError:
        raise InputError(f"'{shown_text(clock)}' has no known offset", remedy="write such as +02:00") from None
