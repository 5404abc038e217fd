"""The gapping table as a screen draws it: every shot a bar on one axis of distance, gaps and overlaps in words."""

from __future__ import annotations

import string
from collections.abc import Sequence
from dataclasses import replace

from trainer.application.estimates.gapping import (
    advice,
    cell_words,
    gaps_between,
    overlaps_among,
    rows_that_matter,
)
from trainer.application.estimates.snapshot import CellFigures, Range80, Snapshot
from trainer.application.views.axis import Axis
from trainer.application.views.look import GapRow, GapsView, GapTable, Hole
from trainer.application.views.practice import harmless
from trainer.application.views.wind import view_wind
from trainer.application.views.words import conditions_words, gaps_text
from trainer.core.bag import Cell, Swing
from trainer.core.profile import Profile
from trainer.core.units import UnitChoice, change_from_si, counted, from_si, whole

NOT_HIT = "not hit"
_SWINGS = {Swing.FULL: "full", Swing.THREE_QUARTER: "¾", Swing.HALF: "½"}


def gaps_view(snapshot: Snapshot, profile: Profile) -> GapsView:
    """The table in the snapshot's wind: four tables, few or every shot, in still air or today."""
    few, every = rows_that_matter(snapshot, profile.bag), snapshot.cells
    units = profile.units
    return GapsView(
        unit=units.distance,
        wind=view_wind(snapshot.conditions.wind, units),
        wind_words=conditions_words(snapshot, units),
        few_still=_table(few, units, still=True),
        few_today=_table(few, units, still=False),
        every_still=_table(every, units, still=True),
        every_today=_table(every, units, still=False),
        advice=tuple(advice(snapshot, units)),
        text_few=harmless(gaps_text(snapshot, profile, every_cell=False), keep_lines=True),
        text_every=harmless(gaps_text(snapshot, profile, every_cell=True), keep_lines=True),
    )


def short_cell(cell: Cell, units: UnitChoice) -> str:
    """A cell in at most 18 characters for the usual clubs: `7 iron 1 in ¾`, `p wedge full`."""
    words = cell.club.split()
    club = f"{words[0][0]} wedge" if len(words) == 2 and words[1] == "wedge" else cell.club
    grip = f" {units.shown_grip(cell.grip_down_m)}" if cell.grip_down_m else ""
    return harmless(f"{club}{grip} {_SWINGS[cell.swing]}")


def trust_word(figures: CellFigures) -> str:
    """The word for how far it may be trusted; a shot never hit has none of the four."""
    return str(figures.trust) if figures.shots else NOT_HIT


def _table(rows: Sequence[CellFigures], units: UnitChoice, *, still: bool) -> GapTable:
    # Gaps and overlaps are looked for in what is called today's carry: in still air that is the still-air one.
    shown = [replace(row, carry_today_m=row.still_air_carry_m) for row in rows] if still else list(rows)
    shown.sort(key=lambda row: row.carry_today_m.median)
    ends = [value for row in rows for each in (row.still_air_carry_m, row.carry_today_m) for value in _ends(each)]
    axis = Axis.around((from_si(value, units.distance) for value in ends), least=10.0)
    holes, twins, spacing = _spacing(shown, units, axis, when="in still air" if still else "today")
    return GapTable(
        rows=tuple(
            _row(row, units, axis, holes.get(row.cell), twins.get(row.cell, ("", "")), still=still) for row in shown
        ),
        ticks=axis.ticks(),
        spacing=tuple(spacing),
    )


def _ends(carry: Range80) -> tuple[float, float]:
    return carry.low80, carry.high80


def _spacing(
    rows: Sequence[CellFigures], units: UnitChoice, axis: Axis, *, when: str
) -> tuple[dict[Cell, Hole], dict[Cell, tuple[str, str]], list[str]]:
    """The gap behind a cell, the letter and sentence of those that do the same job, and all of it in sentences."""
    carry = {row.cell: from_si(row.carry_today_m.median, units.distance) for row in rows}
    holes, twins, said = {}, {}, []
    for gap in gaps_between(rows):
        words = f"{whole(change_from_si(gap.apart_m, units.distance))} {units.distance} gap"
        holes[gap.shorter] = Hole(axis.share(carry[gap.shorter]), axis.share(carry[gap.longer]), words)
        said.append(f"{words} {when} between {cell_words(gap.shorter, units)} and {cell_words(gap.longer, units)}.")
    for letter, overlap in zip(_letters(), overlaps_among(rows), strict=False):
        names = "; ".join(cell_words(cell, units) for cell in overlap.cells)
        sentence = f"{letter}: about {units.shown_distance(overlap.carry_m)} {when}, choose by flight: {names}."
        twins.update(dict.fromkeys(overlap.cells, (letter, sentence)))
        said.append(sentence)
    return holes, twins, said


def _letters() -> list[str]:
    return [*string.ascii_uppercase, *(f"{one}{other}" for one in "ABC" for other in string.ascii_uppercase)]


def _row(
    figures: CellFigures, units: UnitChoice, axis: Axis, beyond: Hole | None, twin: tuple[str, str], *, still: bool
) -> GapRow:
    name, trust = harmless(cell_words(figures.cell, units)), trust_word(figures)
    bar = axis.bar(figures.carry_today_m, units)
    low, high = (whole(from_si(value, units.distance)) for value in _ends(figures.carry_today_m))
    middle = units.shown_distance(figures.carry_today_m.median)
    carry = f"{middle} {'in still air' if still else 'today'}, 8 in 10 within {low}–{high}"
    held = balls_words(figures)
    run = round(change_from_si(figures.run_m, units.distance))
    rolls = f"runs {run} {units.distance}" if run >= 0 else f"spins back {-run} {units.distance}"
    height = f"{from_si(figures.apex_m, units.height):.0f} {units.height}"
    spread = whole(change_from_si(figures.shot_spread_m, units.distance))
    detail = [
        f"{name}: {carry}; {held}.",
        f"Today it peaks at {height} and {rolls}; two struck balls in three within ±{spread}.",
        *([f"{beyond.words} to the next longer shot."] if beyond else []),
        *([twin[1]] if twin[1] else []),
    ]
    marks = [
        *([f"{beyond.words} to the next longer shot"] if beyond else []),
        *([f"does the same job as others: {twin[0]}"] if twin[0] else []),
    ]
    return GapRow(
        cell=figures.cell,
        name=short_cell(figures.cell, units),
        trust=trust,
        bar=bar,
        beyond=beyond,
        twins=twin[0],
        words="; ".join([f"{name}: {carry}", held, *marks]),
        detail=tuple(detail),
    )


def balls_words(figures: CellFigures) -> str:
    """How often it was hit, and how far that may be trusted."""
    if figures.shots == 0:
        return "not hit, worked out from others"
    return f"{counted(figures.shots, 'ball')} on {counted(figures.days, 'day')}, {figures.trust}"
