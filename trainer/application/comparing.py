"""Two shots side by side in one wind: how high, how steep, how far each runs, and what the wind costs it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np

from trainer.application.cells import Bench, lay_out
from trainer.application.conditions import StatedConditions
from trainer.application.estimates import CellFigures, Range80, snapshot, todays_conditions
from trainer.application.flying import side_view
from trainer.application.gapping import cell_words
from trainer.application.history import History
from trainer.application.reports import cell_data, range_data, wind_data, wind_words
from trainer.core.bag import Cell
from trainer.core.conditions import Conditions
from trainer.core.flight.still_air import misreading_m
from trainer.core.flight.trajectory import FlightPath, Launch, fly_path
from trainer.core.flight.wind import wind_field
from trainer.core.units import UnitChoice, change_from_si, from_si, to_si, whole

MISREAD_MPS = to_si(5, "mph")
"""What a wind is easily misread by."""


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two shots: its estimate, its calculated flight, and its carry where the wind is misread.

    `wind_cost_m` is negative where the conditions take carry away; `misread_m` the change of carry where the wind is
    stronger than stated by `MISREAD_MPS`, None in a calm, which has no direction to be stronger in.
    """

    figures: CellFigures
    descent_deg: float
    flight_s: float
    side_m: float
    wind_cost_m: float
    misread_m: float | None
    path: FlightPath


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two shots in one set of conditions."""

    conditions: Conditions
    one: Side
    other: Side


def compare(history: History, cells: tuple[Cell, Cell], stated: StatedConditions, as_of: datetime) -> Comparison:
    """Two cells of one player in the stated conditions, or today's."""
    conditions, _ = todays_conditions(history, stated, as_of)
    bench = lay_out(history.profile.bag, [*(shot.cell for shot in history.shots), *cells])
    table = snapshot(history, stated, as_of, asked=cells)
    one, other = (_side(cell, bench, conditions, table.figures(cell)) for cell in cells)
    return Comparison(conditions, one, other)


def _side(cell: Cell, bench: Bench, conditions: Conditions, figures: CellFigures) -> Side:
    i = bench.index[cell]
    effects = bench.effects_in(conditions)
    launch = bench.deliveries.launch
    own = Launch(*(float(np.asarray(value).ravel()[i]) for value in (
        launch.ball_speed_mps, launch.launch_rad, launch.spin_rad_s
    )))  # fmt: skip
    field = wind_field(conditions.wind)
    misread_m = None
    if conditions.wind.speed_mps > 0:
        wrong = misreading_m(own, field.along_mps, field.across_mps, MISREAD_MPS, field.height_m, conditions.air)
        misread_m = float(wrong)
    return Side(
        figures=figures,
        descent_deg=math.degrees(float(effects.descent_rad[i])),
        flight_s=float(effects.flight_s[i]),
        side_m=float(effects.side_m[i]),
        wind_cost_m=float(effects.effect_m[i]),
        misread_m=misread_m,
        path=fly_path(own, field, conditions.air),
    )


def comparison_data(comparison: Comparison) -> dict[str, Any]:
    """Both shots in SI."""
    return {
        "wind": wind_data(comparison.conditions.wind),
        "cells": [_side_data(side) for side in (comparison.one, comparison.other)],
    }


def _side_data(side: Side) -> dict[str, Any]:
    figures = side.figures
    return {
        **cell_data(figures.cell),
        "still_air_carry_m": range_data(figures.still_air_carry_m),
        "carry_m": range_data(figures.carry_today_m),
        "apex_m": figures.apex_m,
        "descent_deg": side.descent_deg,
        "flight_s": side.flight_s,
        "run_m": figures.run_m,
        "side_m": side.side_m,
        "wind_cost_m": side.wind_cost_m,
        "misread_5mph_m": side.misread_m,
        "trust": str(figures.trust),
        "shots": figures.shots,
    }


def comparison_text(comparison: Comparison, units: UnitChoice) -> str:
    """Both shots in two columns with their flights drawn one over the other."""
    sides = (comparison.one, comparison.other)
    unit = units.distance
    rows: list[tuple[str, list[str]]] = [
        ("", [cell_words(side.figures.cell, units) for side in sides]),
        (f"carry here, {unit}", [_range_words(side.figures.carry_today_m, units) for side in sides]),
        (f"in still air, {unit}", [_range_words(side.figures.still_air_carry_m, units) for side in sides]),
        (f"wind and air, {unit}", [_signed(side.wind_cost_m, units) for side in sides]),
        (f"wind 5 mph more, {unit}", [_misread(side, units) for side in sides]),
        (f"drift, {unit}", [_drift(side.side_m, units) for side in sides]),
        (f"peak height, {units.height}", [f"{from_si(side.figures.apex_m, units.height):.0f}" for side in sides]),
        ("in the air, s", [f"{side.flight_s:.1f}" for side in sides]),
        ("comes down at", [f"{side.descent_deg:.0f}°" for side in sides]),
        (f"run, {unit}", [whole(from_si(side.figures.run_m, unit)) for side in sides]),
        ("balls, trust", [f"{side.figures.shots}, {side.figures.trust}" for side in sides]),
    ]
    table = [f"{name:20}{values[0]:>26}{values[1]:>34}" for name, values in rows]
    return "\n".join(
        [
            f"In {wind_words(comparison.conditions.wind, units)}:",
            *table,
            "",
            *side_view(comparison.one.path, comparison.other.path),
            f"  * {cell_words(sides[0].figures.cell, units)}   . {cell_words(sides[1].figures.cell, units)}",
            "Height, drift, run and the wind's cost are calculated; carries are your estimates,",
            "their ranges hold 8 in 10.",
        ]
    )


def _range_words(carry: Range80, units: UnitChoice) -> str:
    median, low, high = (whole(from_si(value, units.distance)) for value in (carry.median, carry.low80, carry.high80))
    return f"{median} ({low}–{high})"


def _misread(side: Side, units: UnitChoice) -> str:
    return "-" if side.misread_m is None else _signed(side.misread_m, units)


def _signed(change_m: float, units: UnitChoice) -> str:
    value = round(change_from_si(change_m, units.distance))
    return "0" if value == 0 else f"{value:+d}".replace("-", "−")


def _drift(side_m: float, units: UnitChoice) -> str:
    value = round(change_from_si(abs(side_m), units.distance))
    return "none" if value == 0 else f"{value} {'right' if side_m > 0 else 'left'}"
