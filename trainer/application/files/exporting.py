"""Everything of a player as files, by name: what leaves is readable without the trainer."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.gapping import advice, rows_that_matter
from trainer.application.estimates.snapshot import Snapshot, snapshot
from trainer.application.evidence.history import History, read_history
from trainer.application.files.gap_files import gap_rows, gaps_markdown
from trainer.application.files.nameless import ALIAS, Nameless, nameless_from
from trainer.application.session.shot_list import ShotList, export_rows, list_shots, shots_data
from trainer.application.views.words import conditions_words, gaps_data
from trainer.core.conditions import WindKnowledge
from trainer.core.profile import Profile
from trainer.exchange.export_table import (
    ExportRow,
    GapRow,
    ReadingRow,
    SessionRow,
    columns_markdown,
    write_csv,
    write_json_lines,
)
from trainer.exchange.profile_toml import write_profile
from trainer.store.records import ReadingRecord, SessionRecord
from trainer.store.store import Store

COLUMNS_FILE = "columns.md"
_TABLES = {
    "shots.csv, shots.jsonl": ExportRow,
    "readings.csv": ReadingRow,
    "sessions.csv": SessionRow,
    "gaps.csv": GapRow,
}
_FOOT = (
    "Numbers are in the units above and read back exactly. An empty cell (null in `shots.jsonl`) means not seen or "
    "not known, never zero. Each shot's wind is turned to its own target; `readings.csv` holds it as it was read.",
    "In the CSV files a text that a spreadsheet would run as a formula has an apostrophe before it; "
    "`trainer import` takes it away again.",
)
_FOOT_NAMED = ("`shots.json`, `gaps.json` and `profile.toml` hold the same and more, for programs.",)
_FOOT_NAMELESS = (
    "Nameless: no alias, note, plan or own tag; own names of clubs and flags, sessions, readings and shots are "
    "numbered. Dates were moved together so that the first day is 1 January 2000; days between and times of day "
    "are true.",
)


@dataclass(frozen=True, slots=True)
class _Tables:
    shots: tuple[ExportRow, ...]
    readings: tuple[ReadingRow, ...]
    sessions: tuple[SessionRow, ...]
    gaps: tuple[GapRow, ...]
    gaps_that_matter: tuple[GapRow, ...]


def export_files(store: Store, alias: str | None, now: datetime, *, nameless: bool = False) -> Mapping[str, str]:
    """Texts by file name, `columns.md` among them; shots have a row each in recorded order.

    `nameless` leaves out all that tells who hit them (see `application.files.nameless`): the profile, and the JSON
    files that hold the store's own marks, are not among the files then.
    """
    listed = list_shots(store, alias)
    history = read_history(store, alias)
    table = snapshot(history, StatedConditions(), now)
    tables = _tables(listed, table, history.profile)
    if not nameless:
        return {
            **_files(tables, history, table, now, (*_FOOT, *_FOOT_NAMED)),
            "shots.json": json.dumps(shots_data(listed), allow_nan=False, ensure_ascii=False, indent=1),
            "profile.toml": write_profile(history.profile),
            "gaps.json": json.dumps(gaps_data(table, history.profile), allow_nan=False, ensure_ascii=False, indent=1),
        }
    moments = [row.time for row in tables.shots] + [row.time for row in tables.readings]
    hidden = nameless_from(moments + [row.began for row in tables.sessions])
    return _files(_hidden(tables, hidden), history, None, hidden.moment(now), (*_FOOT, *_FOOT_NAMELESS))


def _tables(listed: ShotList, table: Snapshot, profile: Profile) -> _Tables:
    return _Tables(
        shots=tuple(export_rows(listed)),
        readings=tuple(_reading_row(each) for each in listed.readings.values()),
        sessions=tuple(_session_row(each) for each in listed.sessions.values()),
        gaps=gap_rows(table.cells),
        gaps_that_matter=gap_rows(rows_that_matter(table, profile.bag)),
    )


def _hidden(tables: _Tables, hidden: Nameless) -> _Tables:
    sessions = tuple(hidden.session(row) for row in tables.sessions)  # first: they are numbered in their own order
    return replace(
        tables,
        sessions=sessions,
        shots=tuple(hidden.shot(row) for row in tables.shots),
        readings=tuple(hidden.reading(row) for row in tables.readings),
        gaps=tuple(hidden.gap(row) for row in tables.gaps),
        gaps_that_matter=tuple(hidden.gap(row) for row in tables.gaps_that_matter),
    )


def _files(
    tables: _Tables, history: History, table: Snapshot | None, as_of: datetime, foot: tuple[str, ...]
) -> dict[str, str]:
    """The files that both kinds of export have; `table` is None where its words may tell a name."""
    units = history.profile.units
    who = ALIAS if table is None else history.profile.alias
    notes = () if table is None else (f"Today: {conditions_words(table, units)}.", *advice(table, units))
    title = f"How far each shot carries: {who}, {as_of:%d %b %Y}"
    return {
        "shots.csv": write_csv(ExportRow, tables.shots),
        "shots.jsonl": write_json_lines(tables.shots),
        "readings.csv": write_csv(ReadingRow, tables.readings),
        "sessions.csv": write_csv(SessionRow, tables.sessions),
        "gaps.csv": write_csv(GapRow, tables.gaps),
        "gaps.md": gaps_markdown(tables.gaps_that_matter, units, title, notes),
        COLUMNS_FILE: columns_markdown(_TABLES, foot),
    }


def _reading_row(reading: ReadingRecord) -> ReadingRow:
    wind = reading.wind
    known = wind.knowledge is not WindKnowledge.UNKNOWN
    return ReadingRow(
        session=str(reading.session_id),
        reading=str(reading.id),
        time=reading.at,
        wind_knowledge=str(wind.knowledge),
        wind_mps=wind.speed_mps if known else None,
        wind_from_deg=math.degrees(wind.from_rad) if known else None,
        wind_height_m=wind.height_m if known else None,
        wind_method=str(wind.method) if known else "",
        wind_place=str(wind.place) if known else "",
        gust_mps=wind.gust_mps,
    )


def _session_row(session: SessionRecord) -> SessionRow:
    return SessionRow(
        session=str(session.id),
        kind=str(session.kind),
        began=session.started_at,
        ended=session.ended_at,
        plan=session.plan_id or "",
        seed=session.seed,
        temperature_k=session.air.temperature_k,
        pressure_pa=session.air.pressure_pa,
        relative_humidity=session.air.relative_humidity,
        air_stated=session.air_stated,
        turf=str(session.turf),
        note=session.note,
    )
