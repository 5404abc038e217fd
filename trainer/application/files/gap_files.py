"""The gapping table as rows for a file, and as Markdown for a person."""

from __future__ import annotations

import re
from collections.abc import Sequence

from trainer.application.estimates.gapping import cell_words
from trainer.application.estimates.snapshot import CellFigures, Range80
from trainer.core.bag import Cell, Swing
from trainer.core.units import UnitChoice, change_from_si, whole
from trainer.exchange.export_table import GapRow

_MARKS = re.compile(r"([\\`*_\[\]<>|~&])")


def gap_rows(cells: Sequence[CellFigures]) -> tuple[GapRow, ...]:
    """A row a cell, in the order given."""
    return tuple(_row(figures) for figures in cells)


def _row(figures: CellFigures) -> GapRow:
    still, today = figures.still_air_carry_m, figures.carry_today_m
    return GapRow(
        club=figures.cell.club,
        grip_down_m=figures.cell.grip_down_m,
        swing=str(figures.cell.swing),
        still_air_carry_m=still.median,
        still_air_low80_m=still.low80,
        still_air_high80_m=still.high80,
        carry_today_m=today.median,
        today_low80_m=today.low80,
        today_high80_m=today.high80,
        run_m=figures.run_m,
        apex_m=figures.apex_m,
        shot_spread_m=figures.shot_spread_m,
        shots=figures.shots,
        days=figures.days,
        trust=str(figures.trust) if figures.shots else "",
        wind_share=figures.wind_share,
    )


def gaps_markdown(rows: Sequence[GapRow], units: UnitChoice, title: str, notes: Sequence[str]) -> str:
    """The table in the player's units, to the unit, each carry with the range that holds 8 in 10; then `notes`."""
    unit = units.distance
    lines = [
        f"# {markdown(title)}",
        "",
        f"Carries in {unit}; in brackets the range that holds 8 in 10. Trust is empty where nothing was hit.",
        "",
        "| shot | still air | today | run | hit | trust |",
        "|---|---:|---:|---:|---:|---|",
        *(_line(row, units) for row in rows),
        "",
        *(f"- {markdown(note)}" for note in notes),
    ]
    return "\n".join(lines).rstrip("\n") + "\n"


def _line(row: GapRow, units: UnitChoice) -> str:
    name = markdown(cell_words(Cell(row.club, row.grip_down_m, Swing(row.swing)), units))
    still = Range80(row.still_air_carry_m, row.still_air_low80_m, row.still_air_high80_m).words(units)
    today = Range80(row.carry_today_m, row.today_low80_m, row.today_high80_m).words(units)
    run = whole(change_from_si(row.run_m, units.distance))
    return f"| {name} | {still} | {today} | {run} | {row.shots} | {row.trust} |"


def markdown(text: str) -> str:
    """`text` on one line, with nothing in it that Markdown or the HTML made of it would read as a mark."""
    shown = "".join(letter if letter.isprintable() else " " for letter in text)
    return _MARKS.sub(r"\\\1", shown)
