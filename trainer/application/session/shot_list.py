"""Recorded shots and readings: listed, corrected, exported."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from trainer.application.estimates.gapping import cell_words
from trainer.application.session.ball_seen import resolve_flag
from trainer.application.views.words import cell_data, wind_data, wind_words
from trainer.core.errors import InputError
from trainer.core.profile import Profile, RangeFlag, Sees
from trainer.core.shot import ShotEntry
from trainer.exchange.cell_text import parse_cell
from trainer.exchange.course_line import at_rest
from trainer.exchange.export_table import ExportRow
from trainer.exchange.typed_line import ShotLine, WindLine, parse_line
from trainer.exchange.typed_shot import print_typed_shot
from trainer.exchange.wind_text import parse_wind
from trainer.store.records import (
    AgendaBallRecord,
    ImportRecord,
    PlayerRecord,
    ReadingRecord,
    SessionKind,
    SessionRecord,
    ShotRecord,
)
from trainer.store.store import Store


@dataclass(frozen=True, slots=True)
class ShotList:
    """A player's shots and readings with what they fall under."""

    profile: Profile
    sessions: Mapping[int, SessionRecord]
    readings: Mapping[int, ReadingRecord]
    shots: tuple[ShotRecord, ...]
    imports: tuple[ImportRecord, ...]
    balls: Mapping[tuple[int, int], AgendaBallRecord]

    def reading_of(self, shot: ShotRecord) -> ReadingRecord | None:
        """The reading a shot was hit in."""
        return None if shot.reading_id is None else self.readings.get(shot.reading_id)


def list_shots(
    store: Store, alias: str | None, session_id: int | None = None, *, include_undone: bool = False
) -> ShotList:
    """A player's shots, or those of one session of his. Raises InputError for a session that is not his."""
    player: PlayerRecord = store.player(alias)
    sessions = {session.id: session for session in store.sessions(player.id)}
    if session_id is not None:
        if session_id not in sessions:
            known = ", ".join(map(str, sessions)) or "none"
            raise InputError(f"no session {session_id} is {player.profile.alias}'s", "--session", f"known: {known}")
        sessions = {session_id: sessions[session_id]}
    readings = store.readings(player_id=player.id, include_undone=include_undone)
    shots = store.shots(player_id=player.id, include_undone=include_undone)
    return ShotList(
        profile=player.profile,
        sessions=sessions,
        readings={reading.id: reading for reading in readings if reading.session_id in sessions},
        shots=tuple(shot for shot in shots if shot.session_id in sessions or (include_undone and session_id is None)),
        imports=store.imports(player.id),
        balls={(id, ball.number): ball for id in sessions for ball in store.agenda(id)},
    )


def shot_data(shot: ShotRecord, reading: ReadingRecord | None) -> dict[str, Any]:
    """One shot in SI, angles in degrees."""
    entry = shot.entry
    return {
        "id": shot.id,
        "uid": shot.uid,
        "session": shot.session_id,
        "number": shot.number,
        "time": shot.at.isoformat(),
        **cell_data(shot.cell),
        **entry_data(entry),
        "target_m": shot.target_m,
        "ball": str(shot.ball),
        "surface": str(shot.surface),
        "seen": str(shot.seen),
        "carry_is": str(shot.carry_origin),
        "called_50_m": shot.called_50_m,
        "called_80_m": shot.called_80_m,
        "reading": None if reading is None else f"w{reading.id}",
        "wind": None if reading is None else wind_data(reading.wind.turned(shot.target_bearing_rad)),
        "source": str(shot.source),
        "import": None if shot.import_id is None else f"i{shot.import_id}",
        "undone": shot.undone,
    }


def entry_data(entry: ShotEntry) -> dict[str, Any]:
    """What was seen of a ball, in SI, angles in degrees; null where it was not seen."""
    return {
        "carry_m": entry.carry_m,
        "total_m": entry.total_m,
        "side_m": entry.side_m,
        "flag": entry.flag,
        "flag_offset_m": entry.flag_offset_m,
        "depth": None if entry.depth is None else str(entry.depth),
        "width": None if entry.width is None else str(entry.width),
        "apex_m": entry.apex_m,
        "hang_s": entry.hang_s,
        "ball_speed_mps": entry.ball_speed_mps,
        "launch_deg": None if entry.launch_rad is None else math.degrees(entry.launch_rad),
        "spin_rpm": None if entry.spin_rad_s is None else entry.spin_rad_s * 30 / math.pi,
        "mishit": entry.mishit,
        "unseen": entry.unseen,
        "tags": list(entry.tags),
    }


def reading_data(reading: ReadingRecord) -> dict[str, Any]:
    """One reading in SI."""
    return {
        "id": f"w{reading.id}",
        "uid": reading.uid,
        "session": reading.session_id,
        "time": reading.at.isoformat(),
        **wind_data(reading.wind),
        "undone": reading.undone,
    }


def shots_data(listed: ShotList) -> dict[str, Any]:
    """Shots, readings and imports."""
    return {
        "shots": [shot_data(shot, listed.reading_of(shot)) for shot in listed.shots],
        "readings": [reading_data(reading) for reading in listed.readings.values()],
        "sessions": [
            {"id": session.id, "kind": str(session.kind), "time": session.started_at.isoformat()}
            for session in listed.sessions.values()
        ],
        "imports": [
            {"id": f"i{each.id}", "name": each.name, "shots": each.shots, "undone": each.undone}
            for each in listed.imports
        ],
    }


def shots_text(listed: ShotList) -> str:
    """A line a shot, a line a reading, a heading a session."""
    units = listed.profile.units
    lines: list[str] = []
    session_id = reading_id = -1
    for shot in listed.shots:
        if shot.session_id != session_id:
            session_id, reading_id = shot.session_id, -1
            session = listed.sessions.get(session_id)
            when = shot.at if session is None else session.started_at
            plan = "" if session is None or session.plan_id is None else f", {session.plan_id}"
            of_a_round = session is not None and session.kind is SessionKind.COURSE
            lines.append(f"{'Course log' if of_a_round else 'Session'} {session_id}, {when:%d %b %Y %H:%M}{plan}")
        reading = listed.reading_of(shot)
        if reading is not None and reading.id != reading_id:
            reading_id = reading.id
            lines.append(f"  w{reading.id:<5} {wind_words(reading.wind, units)}")
        words = print_typed_shot(shot.entry, units, listed.profile.sees)
        session = listed.sessions.get(shot.session_id)
        if session is not None and session.kind is SessionKind.COURSE and shot.target_m is not None:
            words = f"to {units.shown_distance(shot.target_m)}: {words}"
        undone = "  (undone)" if shot.undone else ""
        lines.append(f"  {shot.id:<6} {cell_words(shot.cell, units):34} {words}{undone}")
    return "\n".join(lines) if lines else "No shot is recorded yet: see `trainer record --help`."


def correct_shot(store: Store, profile: Profile, shot_id: int, words: str, at: datetime) -> ShotRecord:
    """Put what `words` says in place of a shot: the ball anew, and its cell where one stands before a colon.

    An approach of a round keeps its flag: `flag-6 4L` and `143` are where it came to rest.
    """
    held = store.shot(shot_id)
    if store.session(held.session_id).kind is SessionKind.COURSE and held.target_m is not None:
        return _correct_approach(store, profile, held, words, at)
    line = parse_line(words, profile.units, profile.sees)
    if not isinstance(line, ShotLine):
        raise InputError("this is not a shot", words[:60], "write such as 142 6L, or 8 iron: 142 6L")
    cell = None if line.cell_text is None else parse_cell(line.cell_text, profile.bag, profile.units)
    entry, flag = resolve_flag(line.entry, profile)
    return store.correct_shot(shot_id, at, entry=entry, cell=cell, aimed_at=_aimed_at(held, flag))


def _aimed_at(held: ShotRecord, flag: RangeFlag | None) -> tuple[float | None, float] | None:
    """The target of a ball that is now seen beside another flag, m and rad; an agenda's ball keeps its distance."""
    if flag is None or flag.name.lower() == (held.entry.flag or "").lower():
        return None
    keeps = held.agenda_number is not None and held.target_m is not None
    return (held.target_m if keeps else flag.distance_m, flag.bearing_rad)


def _correct_approach(store: Store, profile: Profile, held: ShotRecord, words: str, at: datetime) -> ShotRecord:
    line = parse_line(words, profile.units, Sees.FINISH)
    if not isinstance(line, ShotLine):
        raise InputError("this is not an approach", words[:60], "write such as flag-6 4L, or 8 iron: flag-6 4L")
    cell = None if line.cell_text is None else parse_cell(line.cell_text, profile.bag, profile.units)
    return store.correct_shot(held.id, at, entry=at_rest(line.entry, held.target_m or 0.0), cell=cell)


def correct_reading(store: Store, profile: Profile, reading_id: int, words: str, at: datetime) -> ReadingRecord:
    """Put the wind that `words` gives in place of a reading; its shots follow."""
    text = words if words.lower().startswith("wind") else f"wind {words}"
    line = parse_line(text, profile.units, profile.sees)
    wind = line.wind if isinstance(line, WindLine) else parse_wind(words, profile.units)
    return store.correct_reading(reading_id, wind, at)


def export_rows(listed: ShotList) -> tuple[ExportRow, ...]:
    """Every shot as a row of the export, in recorded order."""
    return tuple(_export_row(shot, listed) for shot in listed.shots)


def _export_row(shot: ShotRecord, listed: ShotList) -> ExportRow:
    entry = shot.entry
    session = listed.sessions[shot.session_id]
    reading = listed.reading_of(shot)
    wind = None if reading is None else wind_data(reading.wind.turned(shot.target_bearing_rad))
    ball = None if shot.agenda_number is None else listed.balls.get((shot.session_id, shot.agenda_number))
    return ExportRow(
        session=str(shot.session_id),
        time=shot.at,
        club=shot.cell.club,
        grip_down_m=shot.cell.grip_down_m,
        swing=str(shot.cell.swing),
        carry_m=entry.carry_m,
        total_m=entry.total_m,
        side_m=entry.side_m,
        mishit=entry.mishit,
        unseen=entry.unseen,
        zone=" ".join(str(part) for part in (entry.depth, entry.width) if part is not None),
        flag=entry.flag or "",
        flag_offset_m=entry.flag_offset_m,
        apex_m=entry.apex_m,
        hang_s=entry.hang_s,
        ball_speed_mps=entry.ball_speed_mps,
        launch_deg=None if entry.launch_rad is None else math.degrees(entry.launch_rad),
        spin_rpm=None if entry.spin_rad_s is None else entry.spin_rad_s * 30 / math.pi,
        resolution_m=entry.resolution_m,
        carry_is=str(shot.carry_origin),
        ball=str(shot.ball),
        surface=str(shot.surface),
        seen=str(shot.seen),
        **_wind_columns(wind),
        temperature_k=session.air.temperature_k if session.air_stated else None,
        pressure_pa=session.air.pressure_pa if session.air_stated else None,
        target_m=shot.target_m,
        drill="" if ball is None else ball.ball.drill,
        stage="" if ball is None else ball.ball.stage,
        tags=entry.tags,
        player=listed.profile.alias,
        shot=shot.uid,
        kind=str(session.kind),
    )


def _wind_columns(wind: dict[str, Any] | None) -> dict[str, Any]:
    if wind is None:
        return {"wind_knowledge": "unknown"}
    known = wind["knowledge"] != "unknown"
    return {
        "wind_knowledge": wind["knowledge"],
        "wind_mps": wind["speed_mps"],
        "wind_from_deg": wind["from_deg"],
        "wind_height_m": wind["height_m"] if known else None,
        "wind_method": wind["method"] if known else "",
        "wind_place": wind["where"] if known else "",
        "gust_mps": wind["gust_mps"],
    }
