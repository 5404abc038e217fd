"""The gapping table's reading: which rows matter, where clubs gap or overlap, and what is still not known."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from trainer.application.estimates.snapshot import CellFigures, Snapshot
from trainer.core.bag import Bag, Cell, Swing
from trainer.core.constants import Z80
from trainer.core.units import UnitChoice, change_from_si, from_si, to_si

WIDE_GAP_M = to_si(16, "yd")
CLOSE_M = to_si(5, "yd")
"""Neighbouring shots further apart leave a hole, nearer ones do each other's work (common practice, no source)."""

HIDDEN_BY_WIND = 0.5
LITTLE_LEARNED = 0.25
FEWEST_CALLS = 10
SWING_ORDER = tuple(Swing)


@dataclass(frozen=True, slots=True)
class Gap:
    """A hole between two shots next to each other in today's carry."""

    shorter: Cell
    longer: Cell
    apart_m: float


@dataclass(frozen=True, slots=True)
class Overlap:
    """Shots that go as far as each other today, within `CLOSE_M`, and where that is."""

    cells: tuple[Cell, ...]
    carry_m: float


def rows_that_matter(snapshot: Snapshot, bag: Bag) -> tuple[CellFigures, ...]:
    """Cells hit and their neighbours; with nothing hit, every club's stock full swing."""
    hit = {figures.cell for figures in snapshot.hit}
    if not hit:
        return tuple(figures for figures in snapshot.cells if figures.cell.is_stock)
    names = [club.name for club in bag.clubs]
    return tuple(
        figures
        for figures in snapshot.cells
        if figures.cell in hit or any(_is_neighbour(figures.cell, other, names, bag.grip_steps_m) for other in hit)
    )


def _is_neighbour(cell: Cell, hit: Cell, names: list[str], grips_m: Sequence[float]) -> bool:
    """One grip step or one swing away with the same club, or the stock shot of the next club or of the same one."""
    if cell.club != hit.club:
        return cell.is_stock and hit.is_stock and abs(names.index(cell.club) - names.index(hit.club)) == 1
    if cell.is_stock:
        return True
    if cell.grip_down_m == hit.grip_down_m:
        return abs(SWING_ORDER.index(cell.swing) - SWING_ORDER.index(hit.swing)) == 1
    if cell.swing != hit.swing:
        return False
    between = [grip for grip in grips_m if min(cell.grip_down_m, hit.grip_down_m) < grip]
    return bool(between) and max(cell.grip_down_m, hit.grip_down_m) <= min(between)


def gaps_between(rows: Sequence[CellFigures]) -> tuple[Gap, ...]:
    """Holes among the shots that count, by today's carry."""
    return tuple(
        Gap(shorter.cell, longer.cell, apart_m)
        for shorter, longer in itertools.pairwise(_that_count(rows))
        if (apart_m := longer.carry_today_m.median - shorter.carry_today_m.median) > WIDE_GAP_M
    )


def overlaps_among(rows: Sequence[CellFigures]) -> tuple[Overlap, ...]:
    """Groups of two or more shots that do the same job today: choose among them by flight, not by distance."""
    groups: list[list[CellFigures]] = []
    for row in _that_count(rows):
        if groups and row.carry_today_m.median - groups[-1][0].carry_today_m.median < CLOSE_M:
            groups[-1].append(row)
        else:
            groups.append([row])
    return tuple(
        Overlap(tuple(row.cell for row in group), math.fsum(row.carry_today_m.median for row in group) / len(group))
        for group in groups
        if len(group) > 1
    )


def _that_count(rows: Sequence[CellFigures]) -> list[CellFigures]:
    """Those hit and the stock ones, nearest first."""
    return sorted((row for row in rows if row.shots or row.cell.is_stock), key=lambda row: row.carry_today_m.median)


def cell_words(cell: Cell, units: UnitChoice) -> str:
    """`7 iron, 1 in down, three-quarter`; the stock shot is `7 iron, full`."""
    grip = f", {units.shown_grip(cell.grip_down_m)} down" if cell.grip_down_m else ""
    return f"{cell.club}{grip}, {cell.swing}"


def advice(snapshot: Snapshot, units: UnitChoice) -> tuple[str, ...]:
    """What is not known yet and what would tell it, in sentences."""
    hit = snapshot.hit
    if not hit:
        none = f"No ball {'of a club as it is now' if snapshot.shots else 'is recorded yet'}"
        return (
            f"{none}: every figure comes from the one known carry and the flight calculation.",
            *_left_out(snapshot),
        )
    said = [
        *_asked_about(snapshot), *_said_of_the_wind(snapshot, units), *_hidden_by_wind(snapshot, hit, units),
        *_left_out(snapshot),
    ]  # fmt: skip
    if snapshot.readings_unknown:
        said.append(
            f"{_balls(snapshot.readings_unknown)} hit in a wind that nobody read: "
            "they tell little. Read the wind next time, even by feel."
        )
    if snapshot.wind_response_learned < LITTLE_LEARNED:
        said.append(
            "How your own flight answers the wind is still the calculation's, not measured: "
            "hit some balls in another wind or direction."
        )
    low = [row for row in hit if row.cell.swing is not Swing.FULL]
    if not low:
        said.append("No shorter swing was hit yet: the low shots' figures are worked out from your full ones.")
    elif not any(row.flight.heights or row.flight.runs for row in low):
        said.append(
            "Height and run of your low shots are calculated, not seen: type a peak height (^22) or a carry and "
            "total (142/151) now and then, or have somebody check that the low shot flies low."
        )
    if snapshot.calls.balls >= FEWEST_CALLS:
        calls = snapshot.calls
        said.append(
            f"Of {calls.balls} balls called before they were hit, {calls.held_80} landed where 8 in 10 should."
        )
    return tuple(said)


def _hidden_by_wind(snapshot: Snapshot, hit: Sequence[CellFigures], units: UnitChoice) -> list[str]:
    if snapshot.wind_share is None or snapshot.wind_share <= HIDDEN_BY_WIND:
        return []
    widest = max(hit, key=lambda row: row.wind_share)
    floor = math.ceil(change_from_si(widest.wind_floor_m, units.distance))
    return [
        f"More balls in this wind cannot narrow the still-air carry of your {cell_words(widest.cell, units)} below "
        f"±{floor} {units.distance}: hit another direction, ten on a calm day, or bring launch data."
    ]


def _said_of_the_wind(snapshot: Snapshot, units: UnitChoice) -> list[str]:
    """Only where the balls contradict the reading: it is worth reading again then."""
    said = snapshot.said_wind
    if said is None or not said.disagrees:
        return []
    read, balls = (from_si(value, units.speed) for value in (said.read_mps, said.balls_mps))
    within = max(1, round(change_from_si(Z80 * said.sd_mps, units.speed)))
    return [
        f"You read {_along(read, units)}; your balls say {_along(balls, units)}, ± {within}: read the wind again."
    ]


def _along(speed: float, units: UnitChoice) -> str:
    """`12 mph into you`, `3 mph from behind`, rounded as a wind is read."""
    whole = round(abs(speed))
    if whole == 0:
        return "no wind along the line"
    return f"{whole} {units.speed} {'from behind' if speed > 0 else 'into you'}"


def _asked_about(snapshot: Snapshot) -> list[str]:
    if not snapshot.asked:
        return []
    ids = ", ".join(map(str, snapshot.asked))
    return [
        f"Shot {ids} flew like a full swing, so it does not teach yet: was it the shot you said? Correct it "
        "(`trainer shots correct`), or type it again with the tag #sure."
    ]


def _left_out(snapshot: Snapshot) -> list[str]:
    counts = {**snapshot.left_out, **snapshot.silent}
    if not counts:
        return []
    parts = ", ".join(f"{count} {why}" for why, count in sorted(counts.items()))
    return [f"Kept, but telling no carry: {parts}."]


def _balls(count: int) -> str:
    return "1 ball was" if count == 1 else f"{count} balls were"
