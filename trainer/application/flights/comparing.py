"""Two shots side by side in one wind: how high, how steep, how far each runs, and what the wind costs it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np

from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.gapping import cell_words
from trainer.application.estimates.learning import Known, learn
from trainer.application.estimates.snapshot import CellFigures, Range80, setting_of, snapshot, todays_conditions
from trainer.application.estimates.traits_seen import traits_of
from trainer.application.evidence.cells import Bench
from trainer.application.evidence.history import History
from trainer.application.flights.cell_flights import MISREAD_MPS
from trainer.application.flights.flying import side_view
from trainer.application.views.folding import folded
from trainer.application.views.words import cell_data, range_data, wind_data, wind_words
from trainer.core.bag import Cell
from trainer.core.conditions import Conditions
from trainer.core.estimate import report
from trainer.core.estimate.evidence import Floats
from trainer.core.flight.trajectory import FlightPath, Launch, fly_path
from trainer.core.flight.wind import wind_field
from trainer.core.flight.wind_effect import misreading_m
from trainer.core.units import UnitChoice, change_from_si, from_si, whole


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two shots: its estimate, its calculated flight, and its carry where the wind is misread.

    Carry, total and descent are of the middle of its balls, each with what is not known of it.
    `wind_cost_m` is negative where the conditions take carry away; `misread_m` the change of carry where the wind is
    stronger than stated by `MISREAD_MPS`, None in a calm, which has no direction to be stronger in.
    """

    figures: CellFigures
    total_m: Range80
    descent_deg: float
    descent_low80_deg: float
    descent_high80_deg: float
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
    conditions, reading = todays_conditions(history, stated, as_of)
    known = learn(history, as_of, cells)
    bench = known.bench
    table = snapshot(history, stated, as_of, asked=cells, known=known)
    rng = np.random.default_rng(known.seed)
    setting = setting_of(known, conditions, reading, stated, bench.effects_in(conditions), as_of)
    carry_log = report.log_carry_in(known.posterior, setting, rng)
    run_log = traits_of(history, known, rng).run.log_ratio
    totals = [
        _total(carry_log[:, bench.index[cell]], run_log[:, bench.index[cell]], bench.index[cell], known, conditions)
        for cell in cells
    ]
    one, other = (
        _side(cell, bench, conditions, table.figures(cell), total) for cell, total in zip(cells, totals, strict=True)
    )
    return Comparison(conditions, one, other)


def _total(carry_log: Floats, run_log: Floats, at: int, known: Known, conditions: Conditions) -> Range80:
    """Where the middle of the balls of cell number `at` stops, m: draws of its carry (n,) and of its run (k,)."""
    posterior, bench = known.posterior, known.bench
    stock_m = posterior.cells.stock_carry_m[posterior.cells.club[at]]
    run_m = float(bench.effects_in(conditions).run_m[at])
    runs_m = run_m * np.exp(run_log[np.arange(len(carry_log)) % len(run_log)])
    total_m = stock_m * np.exp(carry_log) + runs_m
    low, median, high = report.quantiles(total_m, posterior.weights, (0.1, 0.5, 0.9)).tolist()
    return Range80(median, low, high)


def _side(cell: Cell, bench: Bench, conditions: Conditions, figures: CellFigures, total_m: Range80) -> Side:
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
    descent = bench.descents_in(conditions, strikes=False)
    return Side(
        figures=figures,
        total_m=total_m,
        descent_deg=math.degrees(float(effects.descent_rad[i])),
        descent_low80_deg=math.degrees(float(descent.low80_rad[i])),
        descent_high80_deg=math.degrees(float(descent.high80_rad[i])),
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
        "total_m": range_data(side.total_m),
        "apex_m": figures.apex_m,
        "descent_deg": {
            "median": side.descent_deg,
            "low80": side.descent_low80_deg,
            "high80": side.descent_high80_deg,
        },
        "flight_s": side.flight_s,
        "run_m": figures.run_m,
        "side_m": side.side_m,
        "wind_cost_m": side.wind_cost_m,
        "misread_5mph_m": side.misread_m,
        "trust": str(figures.trust),
        "shots": figures.shots,
    }


def comparison_rows(comparison: Comparison, units: UnitChoice) -> tuple[tuple[str, str, str], ...]:
    """What is compared, and the words of either shot for it; the first row names the two."""
    sides = (comparison.one, comparison.other)
    unit = units.distance
    rows: list[tuple[str, list[str]]] = [
        ("", [cell_words(side.figures.cell, units) for side in sides]),
        (f"carry here, {unit}", [side.figures.carry_today_m.words(units) for side in sides]),
        (f"total here, {unit}", [side.total_m.words(units) for side in sides]),
        (f"in still air, {unit}", [side.figures.still_air_carry_m.words(units) for side in sides]),
        (f"wind and air, {unit}", [_signed(side.wind_cost_m, units) for side in sides]),
        (f"wind {units.shown_speed(MISREAD_MPS)} more, {unit}", [_misread(side, units) for side in sides]),
        (f"drift, {unit}", [_drift(side.side_m, units) for side in sides]),
        (f"peak height, {units.height}", [f"{from_si(side.figures.apex_m, units.height):.0f}" for side in sides]),
        ("in the air, s", [f"{side.flight_s:.1f}" for side in sides]),
        ("comes down at", [_descent_words(side) for side in sides]),
        (f"run, {unit}", [whole(from_si(side.figures.run_m, unit)) for side in sides]),
        ("balls, trust", [f"{side.figures.shots}, {side.figures.trust}" for side in sides]),
    ]
    return tuple((name, one, other) for name, (one, other) in rows)


def comparison_text(comparison: Comparison, units: UnitChoice) -> str:
    """Both shots in two columns with their flights drawn one over the other."""
    sides = (comparison.one, comparison.other)
    table = [f"{name:20}{one:>26}{other:>34}" for name, one, other in comparison_rows(comparison, units)]
    return "\n".join(
        [
            *folded(f"In {wind_words(comparison.conditions.wind, units)}:"),
            *table,
            "",
            *side_view(comparison.one.path, comparison.other.path),
            *folded(
                f"  * {cell_words(sides[0].figures.cell, units)}   . {cell_words(sides[1].figures.cell, units)}",
                hanging="  ",
            ),
            *folded(
                "Height, drift, run and the wind's cost are calculated; carries are your estimates. "
                "Brackets hold the middle of your balls 8 times in 10; single balls scatter more."
            ),
        ]
    )


def _descent_words(side: Side) -> str:
    return f"{side.descent_deg:.0f}° ({side.descent_low80_deg:.0f}–{side.descent_high80_deg:.0f})"


def _misread(side: Side, units: UnitChoice) -> str:
    return "-" if side.misread_m is None else _signed(side.misread_m, units)


def _signed(change_m: float, units: UnitChoice) -> str:
    value = round(change_from_si(change_m, units.distance))
    return "0" if value == 0 else f"{value:+d}".replace("-", "−")


def _drift(side_m: float, units: UnitChoice) -> str:
    value = round(change_from_si(abs(side_m), units.distance))
    return "none" if value == 0 else f"{value} {'right' if side_m > 0 else 'left'}"
