"""Every result as plain text for a person and as JSON-ready data for a program: SI with the unit in the key."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from trainer.application.estimates.gapping import advice, cell_words, gaps_between, overlaps_among, rows_that_matter
from trainer.application.estimates.snapshot import CellFigures, Range80, SaidWind, Snapshot
from trainer.application.views.folding import folded, wrapped
from trainer.core.bag import Bag, Cell
from trainer.core.conditions import Air, Conditions, Wind, WindKnowledge, clock_hour
from trainer.core.profile import Profile
from trainer.core.units import UnitChoice, change_from_si, counted, from_si, whole
from trainer.store.records import SessionRecord


def wind_words(wind: Wind, units: UnitChoice) -> str:
    """`14 mph from 1h (30°), gusts 20 mph, meter at 2 m`."""
    if wind.knowledge is WindKnowledge.UNKNOWN:
        return "wind unknown"
    if wind.knowledge is WindKnowledge.CALM or wind.speed_mps == 0:
        return "no wind"
    degrees = math.degrees(wind.from_rad) % 360
    hour = clock_hour(wind.from_rad)
    gust = "" if wind.gust_mps is None else f", gusts {units.shown_speed(wind.gust_mps)}"
    how = f"{wind.method} at {wind.height_m:g} m" + (", read in the bay" if wind.place == "bay" else "")
    return f"{units.shown_speed(wind.speed_mps)} from {hour}h ({degrees:.0f}°){gust}, {how}"


def air_words(air: Air, units: UnitChoice) -> str:
    """`59 °F, 1013 hPa`."""
    temperature = whole(from_si(air.temperature_k, units.temperature))
    return f"{temperature} °{units.temperature}, {air.pressure_pa / 100:.0f} hPa"


def cell_data(cell: Cell) -> dict[str, Any]:
    """A cell's three keys."""
    return {"club": cell.club, "grip_down_m": cell.grip_down_m, "swing": str(cell.swing)}


def wind_data(wind: Wind) -> dict[str, Any]:
    """A wind in SI, its direction in degrees relative to the target line; numbers null where it is unknown."""
    known = wind.knowledge is not WindKnowledge.UNKNOWN
    return {
        "knowledge": str(wind.knowledge),
        "speed_mps": wind.speed_mps if known else None,
        "from_deg": math.degrees(wind.from_rad) if known else None,
        "height_m": wind.height_m,
        "method": str(wind.method),
        "where": str(wind.place),
        "gust_mps": wind.gust_mps,
    }


def range_data(carry: Range80) -> dict[str, float]:
    """A carry's three keys, m."""
    return {"median": carry.median, "low80": carry.low80, "high80": carry.high80}


def gaps_data(snapshot: Snapshot, profile: Profile) -> dict[str, Any]:
    """The gapping table with every cell."""
    rows = rows_that_matter(snapshot, profile.bag)
    return {
        "as_of": snapshot.as_of.isoformat(),
        "wind": wind_data(snapshot.conditions.wind),
        "wind_is_reading": snapshot.reading is not None,
        "cells": [_cell_figures_data(figures) for figures in snapshot.cells],
        "wind_share": snapshot.wind_share,
        "wind_response_learned": snapshot.wind_response_learned,
        "gaps": [
            {"shorter": cell_data(gap.shorter), "longer": cell_data(gap.longer), "apart_m": gap.apart_m}
            for gap in gaps_between(rows)
        ],
        "overlaps": [
            {"cells": [cell_data(cell) for cell in overlap.cells], "carry_m": overlap.carry_m}
            for overlap in overlaps_among(rows)
        ],
        "asked_about": list(snapshot.asked),
        "wind_from_balls": said_wind_data(snapshot.said_wind),
        "left_out": {**snapshot.left_out, **snapshot.silent},
        "called": {
            "balls": snapshot.calls.balls,
            "held_50": snapshot.calls.held_50,
            "held_80": snapshot.calls.held_80,
        },
        "advice": list(advice(snapshot, profile.units)),
    }


def said_wind_data(said: SaidWind | None) -> dict[str, float] | None:
    """What a reading and the balls hit in it say of the wind along the line, m/s from behind."""
    if said is None:
        return None
    return {"read_along_mps": said.read_mps, "balls_along_mps": said.balls_mps, "sd_mps": said.sd_mps}


def _cell_figures_data(figures: CellFigures) -> dict[str, Any]:
    return {
        **cell_data(figures.cell),
        "still_air_carry_m": range_data(figures.still_air_carry_m),
        "carry_today_m": range_data(figures.carry_today_m),
        "run_m": figures.run_m,
        "apex_m": figures.apex_m,
        "flight": {
            "run_m": range_data(figures.flight.run),
            "apex_m": range_data(figures.flight.apex),
            "side_m": range_data(figures.flight.side),
            "side_spread_m": figures.flight.side_spread_m,
            "seen": {"runs": figures.flight.runs, "heights": figures.flight.heights, "sides": figures.flight.sides},
        },
        "shot_spread_m": figures.shot_spread_m,
        "shots": figures.shots,
        "days": figures.days,
        "trust": str(figures.trust),
        "wind_share": figures.wind_share,
        "wind_floor_m": figures.wind_floor_m,
    }


def conditions_words(snapshot: Snapshot, units: UnitChoice) -> str:
    """The line that says what today's figures are for."""
    conditions: Conditions = snapshot.conditions
    source = "your last reading, with its error" if snapshot.reading is not None else "as stated"
    if snapshot.reading is None and conditions.wind.knowledge is WindKnowledge.CALM:
        source = "none read today"
    return f"{wind_words(conditions.wind, units)} ({source}); {air_words(conditions.air, units)}"


def gaps_text(snapshot: Snapshot, profile: Profile, *, every_cell: bool) -> str:
    """The gapping table: cells hit and their neighbours, or every cell; 80 columns."""
    units = profile.units
    rows = snapshot.cells if every_cell else rows_that_matter(snapshot, profile.bag)
    lines = [
        f"How far each shot carries, {snapshot.as_of:%d %b %Y}; {units.distance}, ranges hold 8 in 10",
        *folded(f"Today: {conditions_words(snapshot, units)}"),
        "",
        f"{'':32}{'still air':>14}{'today':>14}{'run':>4}{'hit':>4}  trust",
    ]
    lines += [_gap_row(row, units) for row in rows]
    lines += ["", *_spacing_lines(rows, units), *wrapped(advice(snapshot, units))]
    if not every_cell:
        lines.append(f"({len(rows)} of {len(snapshot.cells)} cells; the rest with --all)")
    return "\n".join(lines)


def _gap_row(row: CellFigures, units: UnitChoice) -> str:
    name = cell_words(row.cell, units)
    run = whole(from_si(row.run_m, units.distance))
    word = str(row.trust) if row.shots else "-"
    return (
        f"{name:32.32}{row.still_air_carry_m.words(units):>14}{row.carry_today_m.words(units):>14}"
        f"{run:>4}{row.shots:>4}  {word}"
    )


def _spacing_lines(rows: Sequence[CellFigures], units: UnitChoice) -> list[str]:
    said = []
    for gap in gaps_between(rows):
        apart = whole(change_from_si(gap.apart_m, units.distance))
        between = f"{cell_words(gap.shorter, units)} and {cell_words(gap.longer, units)}"
        said.append(f"Gap today: {apart} {units.distance} between {between}.")
    for overlap in overlaps_among(rows):
        names = "; ".join(cell_words(cell, units) for cell in overlap.cells)
        said.append(f"About {units.shown_distance(overlap.carry_m)} today, choose by flight: {names}.")
    return wrapped(said)


def bag_text(bag: Bag, units: UnitChoice) -> str:
    """The bag, one line a club."""
    lines = [f"{'club':16}{'loft':>6}{'length':>9}{'carry':>9}"]
    lines += [
        f"{club.name:16.16}{club.loft_deg:>5.1f}°{from_si(club.length_m, 'in'):>6.2f} in"
        f"{units.shown_distance(club.stock_carry_m):>9}"
        for club in bag.clubs
    ]
    return "\n".join(lines)


def mapping_lines(values: Mapping[str, str]) -> str:
    """`name: value` lines with the values in one column."""
    width = max((len(name) for name in values), default=0) + 2
    return "\n".join(f"{name + ':':{width}}{value}" for name, value in values.items())


SummaryRow = tuple[str, tuple[SessionRecord, ...], int]
"""A player's alias, his sessions and how many shots he has."""


def summary_data(rows: Sequence[SummaryRow]) -> dict[str, Any]:
    """The players of a store with what each has recorded."""
    return {
        "players": [
            {
                "player": alias,
                "sessions": len(sessions),
                "shots": shots,
                "last_session": sessions[-1].started_at.isoformat() if sessions else None,
            }
            for alias, sessions, shots in rows
        ]
    }


def summary_text(rows: Sequence[SummaryRow]) -> str:
    """One line a player, and what to ask next."""
    lines = []
    for alias, sessions, shots in rows:
        last = f"last on {sessions[-1].started_at:%d %b %Y}" if sessions else "none yet"
        lines.append(f"{alias}: {counted(shots, 'shot')} in {counted(len(sessions), 'session')}, {last}")
    lines += folded(
        "Next: trainer agenda (plan a session), trainer record (note one), trainer gaps (how far each goes)."
    )
    return "\n".join(lines)
