"""What leaves the trainer as tables: shots, wind readings, sessions and gaps, as CSV and as JSON lines.

SI with the unit in the column's name, full precision. Each column is said once, beside its field: the header, the
JSON keys and the list of columns for a reader all come from there.
"""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from datetime import datetime
from typing import TYPE_CHECKING, Any

from trainer.exchange.spreadsheet_text import neutralised, steerless

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

Value = str | int | float | bool | datetime | tuple[str, ...] | None


def _is(unit: str, means: str) -> Mapping[str, str]:
    """What a column is: its unit ("-" where it has none) and its meaning."""
    return {"unit": unit, "means": means}


@dataclass(frozen=True, slots=True)
class ExportRow:
    """One shot, its columns in the table's order. None is an empty cell: not seen, not known, or not set.

    `side_m` is right positive; `wind_from_deg` is relative to the shot's target line; `zone` is such as `long left`.
    """

    session: str = field(metadata=_is("-", "the session's number, as in sessions.csv"))
    time: datetime = field(metadata=_is("ISO 8601, local", "when it was recorded"))
    club: str = field(metadata=_is("-", "the club's name"))
    grip_down_m: float = field(metadata=_is("m", "how far below the normal grip the hands were"))
    swing: str = field(metadata=_is("-", "full, three-quarter or half"))
    carry_m: float | None = field(default=None, metadata=_is("m", "how far it flew to where it landed"))
    total_m: float | None = field(default=None, metadata=_is("m", "how far away it stopped"))
    side_m: float | None = field(default=None, metadata=_is("m", "off the target line, right positive"))
    mishit: bool = field(default=False, metadata=_is("true or false", "struck so badly that its carry says nothing"))
    unseen: bool = field(default=False, metadata=_is("true or false", "hit, and not seen where"))
    zone: str = field(default="", metadata=_is("-", "short, pin or long, and left, straight or right of the target"))
    flag: str = field(default="", metadata=_is("-", "the flag it was measured from"))
    flag_offset_m: float | None = field(default=None, metadata=_is("m", "past that flag; negative short of it"))
    apex_m: float | None = field(default=None, metadata=_is("m", "peak height"))
    hang_s: float | None = field(default=None, metadata=_is("s", "time in the air"))
    ball_speed_mps: float | None = field(default=None, metadata=_is("m/s", "ball speed, from a device"))
    launch_deg: float | None = field(default=None, metadata=_is("degrees", "launch angle, from a device"))
    spin_rpm: float | None = field(default=None, metadata=_is("rev/min", "spin, from a device"))
    resolution_m: float | None = field(default=None, metadata=_is("m", "the step its distance was rounded to"))
    carry_is: str = field(default="", metadata=_is("-", "seen, computed by a device, or corrected for the weather"))
    ball: str = field(default="", metadata=_is("-", "range or playing"))
    surface: str = field(default="", metadata=_is("-", "grass or mat"))
    seen: str = field(default="", metadata=_is("-", "how it was seen: eye, flag, laser or device"))
    wind_knowledge: str = field(default="", metadata=_is("-", "unknown, calm or read"))
    wind_mps: float | None = field(default=None, metadata=_is("m/s", "mean wind"))
    wind_from_deg: float | None = field(
        default=None, metadata=_is("degrees", "where it came from: 0 into the face, 90 from the right of this target")
    )
    wind_height_m: float | None = field(default=None, metadata=_is("m", "height the wind was read at"))
    wind_method: str = field(default="", metadata=_is("-", "meter, forecast or felt"))
    wind_place: str = field(default="", metadata=_is("-", "open or bay"))
    gust_mps: float | None = field(default=None, metadata=_is("m/s", "gusts"))
    temperature_k: float | None = field(default=None, metadata=_is("K", "air temperature; empty where not stated"))
    pressure_pa: float | None = field(default=None, metadata=_is("Pa", "air pressure; empty where not stated"))
    target_m: float | None = field(default=None, metadata=_is("m", "distance of the target"))
    drill: str = field(default="", metadata=_is("-", "the drill of a planned ball"))
    stage: str = field(default="", metadata=_is("-", "its stage: settle, step, mix or test"))
    tags: tuple[str, ...] = field(default=(), metadata=_is("-", "the player's tags"))
    note: str = field(default="", metadata=_is("-", "a note"))
    player: str = field(default="", metadata=_is("-", "the player's alias"))
    shot: str = field(default="", metadata=_is("-", "the shot's own mark, the same in every export"))
    kind: str = field(default="range", metadata=_is("-", "range, or course for an approach of a round"))


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """One wind reading. Numbers are None where the wind is not known."""

    session: str = field(metadata=_is("-", "the session's number"))
    reading: str = field(metadata=_is("-", "the reading's number"))
    time: datetime = field(metadata=_is("ISO 8601, local", "when it was read"))
    wind_knowledge: str = field(metadata=_is("-", "unknown, calm or read"))
    wind_mps: float | None = field(metadata=_is("m/s", "mean wind"))
    wind_from_deg: float | None = field(
        metadata=_is(
            "degrees", "where it came from, relative to the range's line: 0 into the face, 90 from the right"
        )
    )
    wind_height_m: float | None = field(metadata=_is("m", "height it was read at"))
    wind_method: str = field(metadata=_is("-", "meter, forecast or felt"))
    wind_place: str = field(metadata=_is("-", "open or bay"))
    gust_mps: float | None = field(metadata=_is("m/s", "gusts"))


@dataclass(frozen=True, slots=True)
class SessionRow:
    """One session."""

    session: str = field(metadata=_is("-", "the session's number"))
    kind: str = field(metadata=_is("-", "range, or course for approaches of a round"))
    began: datetime = field(metadata=_is("ISO 8601, local", "when it began"))
    ended: datetime | None = field(metadata=_is("ISO 8601, local", "when it ended; empty where it was left open"))
    plan: str = field(metadata=_is("-", "the plan's id; empty for free practice"))
    seed: int | None = field(metadata=_is("-", "the number its order was drawn from"))
    temperature_k: float = field(metadata=_is("K", "air temperature"))
    pressure_pa: float = field(metadata=_is("Pa", "air pressure"))
    relative_humidity: float = field(metadata=_is("0 to 1", "relative humidity"))
    air_stated: bool = field(
        metadata=_is("true or false", "whether the air was stated, not taken for want of better")
    )
    turf: str = field(metadata=_is("-", "soft, medium or firm"))
    note: str = field(metadata=_is("-", "a note"))


@dataclass(frozen=True, slots=True)
class GapRow:
    """One shot of the gapping table. The intervals hold 8 times in 10."""

    club: str = field(metadata=_is("-", "the club's name"))
    grip_down_m: float = field(metadata=_is("m", "how far below the normal grip the hands are"))
    swing: str = field(metadata=_is("-", "full, three-quarter or half"))
    still_air_carry_m: float = field(metadata=_is("m", "median carry in still air"))
    still_air_low80_m: float = field(metadata=_is("m", "it is at least this 9 times in 10"))
    still_air_high80_m: float = field(metadata=_is("m", "it is at most this 9 times in 10"))
    carry_today_m: float = field(metadata=_is("m", "median carry in the conditions of the table"))
    today_low80_m: float = field(metadata=_is("m", "it is at least this 9 times in 10"))
    today_high80_m: float = field(metadata=_is("m", "it is at most this 9 times in 10"))
    run_m: float = field(metadata=_is("m", "run after landing"))
    apex_m: float = field(metadata=_is("m", "peak height"))
    shot_spread_m: float = field(metadata=_is("m", "standard deviation of one ball's carry"))
    shots: int = field(metadata=_is("-", "balls hit, mishits and unseen ones too"))
    days: int = field(metadata=_is("-", "days on which it was hit"))
    trust: str = field(metadata=_is("-", "guess, working, settled or stale"))
    wind_share: float = field(metadata=_is("0 to 1", "share of what is not known that comes from the wind"))


Row = ExportRow | ReadingRow | SessionRow | GapRow
COLUMNS = tuple(each.name for each in fields(ExportRow))
"""The header of the shots, in order."""


def write_csv(kind: type[DataclassInstance], rows: Iterable[Row]) -> str:
    """`rows` (all of one `kind`) as CSV with a header (comma, CRLF as in RFC 4180), in the order given.

    Numbers are written so that they read back exactly, true and false in words, times in ISO 8601. Raises ValueError
    for a number that is not finite: none may be stored, so one here is a defect of the caller.
    """
    columns = [each.name for each in fields(kind)]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_cell(name, getattr(row, name)) for name in columns])
    return out.getvalue()


def _cell(name: str, value: Value) -> str:
    match value:
        case None:
            return ""
        case bool():
            return "true" if value else "false"
        case datetime():
            return value.isoformat()
        case tuple():
            return steerless(" ".join(f"#{tag}" for tag in value))
        case str():
            return neutralised(steerless(value))
    return _number(name, value)


def _number(name: str, value: int | float) -> str:
    if not math.isfinite(value):
        raise ValueError(f"{name} is {value}")
    return str(value) if isinstance(value, int) else repr(float(value))


def write_json_lines(rows: Iterable[Row]) -> str:
    """`rows` as JSON, one object a line with the columns for keys; null where nothing is known, tags as a list."""
    return "".join(f"{json.dumps(_object(row), allow_nan=False, ensure_ascii=False)}\n" for row in rows)


def _object(row: Row) -> dict[str, Any]:
    return {each.name: _json_value(getattr(row, each.name)) for each in fields(row)}


def _json_value(value: Value) -> Any:
    match value:
        case datetime():
            return value.isoformat()
        case str():
            return steerless(value)
    return value


def columns_markdown(tables: Mapping[str, type[DataclassInstance]], foot: Sequence[str]) -> str:
    """What each column of each file is and its unit, as Markdown; `foot` are paragraphs below."""
    lines = ["# The files in this folder", ""]
    for files, kind in tables.items():
        lines += [f"## {files}", "", "| column | unit | what it is |", "|---|---|---|"]
        lines += [f"| `{each.name}` | {each.metadata['unit']} | {each.metadata['means']} |" for each in fields(kind)]
        lines.append("")
    for paragraph in foot:
        lines += [paragraph, ""]
    return "\n".join(lines)
