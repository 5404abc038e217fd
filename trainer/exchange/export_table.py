"""Every recorded shot as a CSV table: SI with the unit in the column's name, full precision, a row a shot.

Text that a spreadsheet would run as a formula is written with an apostrophe before it (CWE-1236).
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable
from dataclasses import dataclass, fields
from datetime import datetime

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")


@dataclass(frozen=True, slots=True)
class ExportRow:
    """One shot, its columns in the table's order. None is an empty cell: not seen, not known, or not set.

    `side_m` is right positive; `wind_from_deg` is relative to the shot's target line; `zone` is such as `long left`.
    """

    session: str
    time: datetime
    club: str
    grip_down_m: float
    swing: str
    carry_m: float | None = None
    total_m: float | None = None
    side_m: float | None = None
    mishit: bool = False
    unseen: bool = False
    zone: str = ""
    flag: str = ""
    flag_offset_m: float | None = None
    apex_m: float | None = None
    hang_s: float | None = None
    ball_speed_mps: float | None = None
    launch_deg: float | None = None
    spin_rpm: float | None = None
    resolution_m: float | None = None
    carry_is: str = ""
    ball: str = ""
    surface: str = ""
    seen: str = ""
    wind_knowledge: str = ""
    wind_mps: float | None = None
    wind_from_deg: float | None = None
    wind_height_m: float | None = None
    wind_method: str = ""
    wind_place: str = ""
    gust_mps: float | None = None
    temperature_k: float | None = None
    pressure_pa: float | None = None
    target_m: float | None = None
    drill: str = ""
    stage: str = ""
    tags: tuple[str, ...] = ()
    note: str = ""
    player: str = ""
    shot: str = ""


COLUMNS = tuple(field.name for field in fields(ExportRow))
"""The header, in order."""


def write_shots(rows: Iterable[ExportRow]) -> str:
    """`rows` as CSV with a header (comma, CRLF as in RFC 4180), in the order given.

    Numbers are written so that they read back exactly, true and false in words, times in ISO 8601. Raises ValueError
    for a number that is not finite: none may be stored, so one here is a defect of the caller.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for row in rows:
        writer.writerow([_cell(name, getattr(row, name)) for name in COLUMNS])
    return out.getvalue()


def _cell(name: str, value: str | float | bool | datetime | tuple[str, ...] | None) -> str:
    match value:
        case None:
            return ""
        case bool():
            return "true" if value else "false"
        case datetime():
            return value.isoformat()
        case tuple():
            return " ".join(f"#{tag}" for tag in value)
        case str():
            return harmless(value)
    if not math.isfinite(value):
        raise ValueError(f"{name} is {value}")
    return repr(float(value))


def harmless(text: str) -> str:
    """`text`, with an apostrophe before it where a spreadsheet would take it for a formula."""
    return f"'{text}" if text.startswith(_FORMULA_STARTS) else text
