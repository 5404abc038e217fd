"""Moments and days as columns hold them: ISO 8601 text."""

from __future__ import annotations

from datetime import date, datetime


class DamagedValueError(ValueError):
    """A column holds what can have been written by nobody."""


def moment(text: str) -> datetime:
    """The moment that a column holds. Raises DamagedValueError for any other text."""
    try:
        return datetime.fromisoformat(text)
    except (TypeError, ValueError) as error:
        raise DamagedValueError(f"{text!r} is no moment") from error


def moment_of(text: str | None) -> datetime | None:
    """The moment that a column holds, None where it holds none. Raises DamagedValueError for what is no moment."""
    return None if text is None else moment(text)


def day(text: str) -> date:
    """The day that a column holds. Raises DamagedValueError for what is none."""
    try:
        return date.fromisoformat(text)
    except (TypeError, ValueError) as error:
        raise DamagedValueError(f"{text!r} is no day") from error
