"""Values of options that are no quantities: moments, whole numbers, a file's text."""

from __future__ import annotations

from datetime import datetime, time
from pathlib import Path

from trainer.core.errors import InputError


def parse_when(text: str | None, where: str = "--when", *, end_of_day: bool = False) -> datetime | None:
    """The ISO moment of option `where` as local time without offset; a date alone is its start, or its end where
    `end_of_day`. None for None. Raises InputError."""
    if text is None:
        return None
    try:
        moment = datetime.fromisoformat(text.strip())
    except ValueError:
        raise InputError(f"'{text}' is not a time", where, "write it as 2026-05-14T18:30") from None
    if moment.tzinfo is not None:
        moment = moment.astimezone().replace(tzinfo=None)
    if end_of_day and "T" not in text.upper() and " " not in text.strip():
        moment = datetime.combine(moment.date(), time(23, 59, 59))
    return moment


def whole_number(text: str | None, where: str) -> int | None:
    """`text` as a whole number, None for None. Raises InputError."""
    if text is None:
        return None
    try:
        return int(text)
    except ValueError:
        raise InputError(f"'{text}' is not a whole number", where, "give such as 45") from None


def read_text(path: Path) -> str:
    """A file's text. Raises InputError where it is not UTF-8, OSError where it cannot be read."""
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise InputError("the file is not UTF-8", str(path), "save it as UTF-8") from None
