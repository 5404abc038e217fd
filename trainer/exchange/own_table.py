"""A shot table that the trainer's own export wrote, known by its header: units and signs need no asking.

Numbers are SI at full precision, a side is positive to the right, text that a spreadsheet would run has an
apostrophe before it. Each row says also what it was hit from and in which wind.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from trainer.core.bag import Cell, require_grip_down, swing_named
from trainer.core.conditions import (
    AIR_PRESSURE_PA,
    AIR_TEMPERATURE_K,
    GREATEST_WIND_MPS,
    REFERENCE_AIR,
    UNKNOWN_WIND,
    Air,
    Ball,
    ReadingMethod,
    Seen,
    Surface,
    Wind,
    WindKnowledge,
    WindPlace,
)
from trainer.core.errors import InputError
from trainer.core.shot import CarryOrigin, Depth, ShotEntry, Width
from trainer.exchange.plain_text import Word, shown_text, word_named
from trainer.exchange.shot_limits import require_limit
from trainer.exchange.spreadsheet_text import given_back
from trainer.exchange.table_columns import Column, ColumnMap
from trainer.exchange.table_times import DayOrder, plausible_moment
from trainer.exchange.table_words import Field, SideSign
from trainer.exchange.typed_shot import tags_in
from trainer.exchange.wind_text import DEFAULT_HEIGHT_M, GREATEST_GUST_MPS, GREATEST_HEIGHT_M, LEAST_HEIGHT_M

DOCUMENTED = ("session", "time", "club", "grip_down_m", "swing", "carry_m", "total_m", "side_m", "mishit")
"""The columns that an export begins with: by them it is known, whatever follows."""

_UNITS = {
    Field.GRIP_DOWN: ("grip_down_m", "m"),
    Field.CARRY: ("carry_m", "m"),
    Field.TOTAL: ("total_m", "m"),
    Field.SIDE: ("side_m", "m"),
    Field.APEX: ("apex_m", "m"),
    Field.HANG: ("hang_s", "s"),
    Field.BALL_SPEED: ("ball_speed_mps", "m/s"),
    Field.LAUNCH: ("launch_deg", "deg"),
    Field.SPIN: ("spin_rpm", "rpm"),
}
_TEXTS = {field: (field.value, None) for field in (Field.TIME, Field.CLUB, Field.SWING, Field.MISHIT, Field.PLAYER)}
_RANGES = {
    "resolution_m": (1e-9, 100.0),
    "target_m": (1e-9, 500.0),
    "wind_mps": (0.0, GREATEST_WIND_MPS),
    "wind_from_deg": (-720.0, 720.0),
    "wind_height_m": (LEAST_HEIGHT_M, GREATEST_HEIGHT_M),
    "gust_mps": (0.0, GREATEST_GUST_MPS),
    "temperature_k": AIR_TEMPERATURE_K,
    "pressure_pa": AIR_PRESSURE_PA,
}
"""What an evening can be: a number beyond would be kept, and then no estimate could be worked out of the store."""


@dataclass(frozen=True, slots=True)
class OwnSetting:
    """What an exported row says beside the shot. None in `air`: it was not stated. `session` is the exporter's id."""

    session: str
    ball: Ball
    surface: Surface
    seen: Seen
    carry_is: CarryOrigin
    target_m: float | None
    wind: Wind
    air: Air | None


def is_own_header(header: Sequence[str]) -> bool:
    """Whether the header is that of our export."""
    return tuple(header[: len(DOCUMENTED)]) == DOCUMENTED


def own_column_map(header: Sequence[str]) -> ColumnMap:
    """The column map of our export: nothing in it is a question."""
    columns = [
        Column(field, name, unit)
        for field in Field
        for name, unit in [{**_UNITS, **_TEXTS}.get(field, ("", None))]
        if name in header
    ]
    return ColumnMap(tuple(columns), SideSign.RIGHT, CarryOrigin.SEEN, DayOrder.YEAR_FIRST)


def own_cell(row: Mapping[str, str]) -> Cell:
    """The cell of an exported row. Raises InputError."""
    if not row["club"]:
        raise InputError("no club is named")
    grip_down_m = require_grip_down(_number(row, "grip_down_m") or 0.0, "grip_down_m")
    return Cell(given_back(row["club"]), grip_down_m, swing_named(row["swing"] or "full", "swing"))


def own_time(row: Mapping[str, str]) -> datetime:
    """The moment of an exported row. Raises InputError."""
    try:
        return plausible_moment(row["time"])
    except ValueError:
        raise InputError(f"'{shown_text(row['time'])}' is no date and time", "time") from None


def own_entry(row: Mapping[str, str]) -> ShotEntry:
    """What was seen of an exported row's ball, as it was stored. Raises InputError."""
    if row.get("kind") == "course":
        raise InputError("an approach of a round, kept apart from range balls", "kind", "type it in the course log")
    numbers: dict[str, Any] = {
        name: _limited(row, name)
        for name in ("carry_m", "total_m", "side_m", "flag_offset_m", "apex_m", "hang_s", "ball_speed_mps")
    }
    launch_deg, spin_rpm = _number(row, "launch_deg"), _number(row, "spin_rpm")
    zone = row.get("zone", "").split()
    if unknown := [word for word in zone if word not in (*Depth, *Width)]:
        raise InputError(f"'{shown_text(unknown[0])}' is no zone", "zone", "write it as the export did")
    return ShotEntry(
        **numbers,
        flag=given_back(row.get("flag", "")) or None,
        depth=_in_zone(Depth, zone),
        width=_in_zone(Width, zone),
        launch_rad=_held("launch_rad", None if launch_deg is None else math.radians(launch_deg)),
        spin_rad_s=_held("spin_rad_s", None if spin_rpm is None else spin_rpm * math.pi / 30),
        mishit=_flag(row, "mishit"),
        unseen=_flag(row, "unseen"),
        tags=tags_in(row.get("tags", "")),
        resolution_m=_ranged(row, "resolution_m"),
    )


def own_setting(row: Mapping[str, str]) -> OwnSetting:
    """What an exported row says beside the shot. Raises InputError."""
    return OwnSetting(
        session=row["session"],
        ball=_word(Ball, row, "ball", Ball.PLAYING),
        surface=_word(Surface, row, "surface", Surface.GRASS),
        seen=_word(Seen, row, "seen", Seen.DEVICE),
        carry_is=_word(CarryOrigin, row, "carry_is", CarryOrigin.SEEN),
        target_m=_ranged(row, "target_m"),
        wind=_wind(row),
        air=_air(row),
    )


def _wind(row: Mapping[str, str]) -> Wind:
    knowledge = _word(WindKnowledge, row, "wind_knowledge", WindKnowledge.UNKNOWN)
    if knowledge is WindKnowledge.UNKNOWN:
        return UNKNOWN_WIND
    speed_mps, from_deg = _ranged(row, "wind_mps"), _ranged(row, "wind_from_deg")
    if knowledge is not WindKnowledge.CALM and (speed_mps is None or from_deg is None):
        lacking = "wind_mps" if speed_mps is None else "wind_from_deg"
        raise InputError("a wind was read, and this is not said of it", lacking, "write it as the export did")
    method = _word(ReadingMethod, row, "wind_method", ReadingMethod.METER)
    height_m = _ranged(row, "wind_height_m")
    return Wind(
        knowledge=knowledge,
        speed_mps=speed_mps or 0.0,
        from_rad=math.radians(from_deg or 0.0) % (2 * math.pi),
        height_m=DEFAULT_HEIGHT_M[method] if height_m is None else height_m,
        method=method,
        place=_word(WindPlace, row, "wind_place", WindPlace.OPEN),
        gust_mps=_ranged(row, "gust_mps"),
    )


def _air(row: Mapping[str, str]) -> Air | None:
    temperature_k, pressure_pa = _ranged(row, "temperature_k"), _ranged(row, "pressure_pa")
    if temperature_k is None and pressure_pa is None:
        return None
    return Air(
        REFERENCE_AIR.temperature_k if temperature_k is None else temperature_k,
        REFERENCE_AIR.pressure_pa if pressure_pa is None else pressure_pa,
        REFERENCE_AIR.relative_humidity,  # a shot's row does not say it
    )


def _number(row: Mapping[str, str], name: str) -> float | None:
    cell = row.get(name, "")
    if not cell:
        return None
    try:
        value = float(cell)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise InputError(f"'{shown_text(cell)}' is no number", name, "write it as the export did")
    return value


def _ranged(row: Mapping[str, str], name: str) -> float | None:
    value = _number(row, name)
    if value is not None and not _RANGES[name][0] <= value <= _RANGES[name][1]:
        raise InputError(f"{value:.6g} is out of range", name, "write it as the export did")
    return value


def _limited(row: Mapping[str, str], name: str) -> float | None:
    return _held(name, _number(row, name))


def _held(name: str, value: float | None) -> float | None:
    return None if value is None else require_limit(name, value, name)


def _flag(row: Mapping[str, str], name: str) -> bool:
    cell = row.get(name, "")
    if cell.lower() not in ("", "true", "false"):
        raise InputError(f"'{shown_text(cell)}' is neither true nor false", name, "write it as the export did")
    return cell.lower() == "true"


def _word(kind: type[Word], row: Mapping[str, str], name: str, usual: Word) -> Word:
    return word_named(kind, cell, name) if (cell := row.get(name, "")) else usual


def _in_zone(kind: type[Word], zone: Sequence[str]) -> Word | None:
    return next((member for member in kind if member.value in zone), None)
