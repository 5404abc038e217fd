"""One player's observations as rows of a linear model: what enters each shot's mean, and with which weight.

A shot with launch data and a carry seen has two carries of one strike: what the flight calculates, and what was seen.
Its row tells the cell by the first; a second row, which no cell and no mishit enters, holds their difference and so
tells the wind. The device's error is in both, with opposite signs, and is drawn for each such shot (`mixture`).

Axes: n shots, then rows as in `design`; g effects shared by all days, m effects of one day.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from trainer.core.estimate.evidence import CellSet, Floats, Ints
from trainer.core.estimate.observations import SMALLEST_READING_SD_MPS, Bools, Observations
from trainer.core.estimate.priors import ClubPriors

KAPPA, RANGE_BALL, MAT, COMPUTED, LOSS = range(5)
"""Where the first effects shared by all days sit; `Places` knows the rest."""

_SINGLES = 5
NO_CELL = -1
WALK_EDGES_DAYS = (3.0, 14.0, 42.0, 90.0, 180.0, 365.0, 730.0, 1460.0)
"""Ages are binned for the random walk; what is younger than the first edge counts as now."""

DAYS_PER_YEAR = 365.25
_LEAST_SD_LOG = 1e-4
"""A difference of two carries is known to a hundredth of a yard at best."""


@dataclass(frozen=True, slots=True)
class Shape:
    """What the players of a batch have between them: instruments, eyes, wind across, flights of their own."""

    tools: int
    eye: bool
    across: bool
    own_flight: bool


@dataclass(frozen=True, slots=True)
class Places:
    """Where the shared effects sit: singles, then instruments, own flights' three if there are any, drifts by age."""

    shape: Shape
    size: int

    @property
    def instruments(self) -> slice:
        """The instruments' steady errors."""
        return slice(_SINGLES, _SINGLES + self.shape.tools)

    @property
    def own_flight(self) -> tuple[int, int, int]:
        """Wind response of a known flight, then the flight's own factor for a playing and for a range ball."""
        first = _SINGLES + self.shape.tools
        return first, first + 1, first + 2

    @property
    def drift(self) -> slice:
        """The clubs' drift by age."""
        return slice(_SINGLES + self.shape.tools + (3 if self.shape.own_flight else 0), self.size)


@dataclass(frozen=True, slots=True)
class LocalSlots:
    """Where a player's day effects sit: for each day its block, for each reading (block, slot) pairs."""

    block_of_day: dict[int, int]
    along: dict[tuple[int, int], int]
    across: dict[tuple[int, int], int]
    eye: int | None


@dataclass(frozen=True, slots=True)
class Part:
    """One player's part of a design before padding; `row_cell` is NO_CELL where no cell enters."""

    hit: Ints
    shots: dict[str, NDArray[Any]]
    row_day: Ints
    row_cell: Ints
    row_shared: Floats
    row_local: Floats
    local_sd: Floats
    walk: Floats
    slots: LocalSlots
    paired: bool


def columns_of(cells: CellSet, seen: Observations, priors: ClubPriors, shape: Shape) -> Part:
    """The rows of one player's observations."""
    days, block = np.unique(seen.day, return_inverse=True)
    slots, sd = _slots(seen, days, block, priors, shape)
    wind, walk = _Columns.of_wind(seen, block, slots, sd.shape[1], shape), _walk(cells, seen, priors)
    strike = _Columns.of_strike(seen, walk.columns, sd.shape[1], shape)
    pairs = np.flatnonzero(seen.flown & (seen.low_m == seen.high_m))
    told = _told(seen, slots, sd, shape).and_of_flights(seen, shape)
    first = strike.plus(wind.where(~seen.flown)).plus(_Columns.of_flown(seen, strike, shape))
    second = wind.plus(_Columns.of_flown(seen, strike, shape).scaled(-1.0)).taken(pairs)
    every = _Columns.together(first, second, told.columns)
    shots = _shots(cells, seen, pairs, told)
    hit = np.unique(seen.cell)
    loose = np.full(len(pairs) + len(told.value), NO_CELL)
    cell = np.concatenate([np.searchsorted(hit, seen.cell), loose])
    day = np.concatenate([block.reshape(-1), block.reshape(-1)[pairs], told.block])
    key = np.column_stack([day, cell, every.shared, every.local])
    rows, row = np.unique(key, axis=0, return_inverse=True) if len(key) else (key, np.zeros(0, dtype=np.int64))
    shots["row"] = row.reshape(-1)
    g = every.shared.shape[1]
    return Part(
        hit, _ordered(shots), rows[:, 0].astype(np.int64), rows[:, 1].astype(np.int64), rows[:, 2 : 2 + g],
        rows[:, 2 + g :], sd, walk.covariance, slots, bool(len(pairs)),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Columns:
    """What enters the means of some rows: shared effects (n, g) and those of their day (n, m)."""

    shared: Floats
    local: Floats

    @classmethod
    def of_wind(cls, seen: Observations, block: Ints, slots: LocalSlots, m: int, shape: Shape) -> _Columns:
        """What turns a still-air carry into a seen one: the wind, its reading's error, the eye, the device."""
        n = len(seen)
        places = Places(shape, 0)
        shared, local = np.zeros((n, places.drift.start)), np.zeros((n, m))
        shared[:, KAPPA] = seen.wind_log
        shared[:, COMPUTED] = seen.computed
        if shape.own_flight:
            shared[:, places.own_flight[0]] = seen.own_wind_log
        for tool in range(shape.tools):
            of = seen.readings.instrument[seen.reading] == tool
            steady = seen.wind_slope_per_mps * seen.readings.shared_mps[seen.reading]
            shared[:, places.instruments.start + tool] = np.where(of, steady, 0.0)
        if slots.eye is not None:
            local[:, slots.eye] = seen.by_eye
        for where, slope in ((slots.along, seen.wind_slope_per_mps), (slots.across, seen.across_slope_per_mps)):
            for (b, r), slot in where.items():
                of = (block.reshape(-1) == b) & (seen.reading == r)
                local[of, slot] = slope[of]
        return cls(shared, local)

    @classmethod
    def of_strike(cls, seen: Observations, drift: Floats, m: int, shape: Shape) -> _Columns:
        """What a still-air carry has beside its cell: the ball, the surface, the day, the club's drift."""
        shared = np.zeros((len(seen), Places(shape, 0).drift.start + drift.shape[1]))
        shared[:, RANGE_BALL], shared[:, MAT] = seen.range_ball, seen.mat
        shared[:, Places(shape, 0).drift.start :] = drift
        local = np.zeros((len(seen), m))
        local[:, 0] = 1.0
        return cls(shared, local)

    @classmethod
    def of_flown(cls, seen: Observations, like: _Columns, shape: Shape) -> _Columns:
        """The flight's own factor, where it has calculated a carry."""
        shared = np.zeros_like(like.shared)
        if shape.own_flight:
            _, playing, ranged = Places(shape, 0).own_flight
            shared[:, playing] = seen.flown * (1.0 - seen.range_ball)
            shared[:, ranged] = seen.flown * seen.range_ball
        return cls(shared, np.zeros_like(like.local))

    def plus(self, other: _Columns) -> _Columns:
        """Both together; the narrower shared part is filled up with nothing."""
        wide = max(self.shared.shape[1], other.shared.shape[1])
        return _Columns(_widened(self.shared, wide) + _widened(other.shared, wide), self.local + other.local)

    def where(self, kept: Bools) -> _Columns:
        """Only on the rows `kept` (n,)."""
        return _Columns(self.shared * kept[:, None], self.local * kept[:, None])

    def scaled(self, factor: float) -> _Columns:
        """Every weight times `factor`."""
        return _Columns(factor * self.shared, factor * self.local)

    def taken(self, rows: Ints) -> _Columns:
        """The rows `rows`."""
        return _Columns(self.shared[rows], self.local[rows])

    @classmethod
    def together(cls, *parts: _Columns) -> _Columns:
        """One below the other."""
        wide = max(part.shared.shape[1] for part in parts)
        shared = np.vstack([_widened(part.shared, wide) for part in parts])
        return cls(shared, np.vstack([part.local for part in parts]))


def _widened(values: Floats, wide: int) -> Floats:
    return np.pad(values, ((0, 0), (0, wide - values.shape[1])))


@dataclass(frozen=True, slots=True)
class _Walk:
    """Columns (n, w) of the clubs' drift by age and its prior covariance (w, w)."""

    columns: Floats
    covariance: Floats


def _walk(cells: CellSet, seen: Observations, priors: ClubPriors) -> _Walk:
    age = seen.age_days[seen.day]
    bins = np.digitize(age, WALK_EDGES_DAYS)
    old = bins > 0
    club = cells.club[seen.cell]
    nodes = np.unique(np.column_stack([club, bins])[old], axis=0)
    ages = np.zeros(len(nodes))
    drift = np.zeros((len(seen), len(nodes)))
    for k, (c, b) in enumerate(nodes):
        of = (club == c) & (bins == b)
        drift[of, k] = 1.0
        # One age a bin and player, not a club, so that a club's ages stay in order.
        ages[k] = age[bins == b].mean()
    same = nodes[:, None, 0] == nodes[None, :, 0]
    years = np.minimum(ages[:, None], ages[None, :]) / DAYS_PER_YEAR
    return _Walk(drift, priors.walk_sd_per_root_year**2 * same * years)


def _slots(
    seen: Observations, days: Ints, block: Ints, priors: ClubPriors, shape: Shape
) -> tuple[LocalSlots, Floats]:
    """Where what belongs to one day sits, and its s.d. (s, m); 0 where a slot is not used.

    A reading that two days share is taken as two: its error is that of the moment it was made for.
    """
    first = 2 if shape.eye else 1
    pairs = np.unique(np.column_stack([block.reshape(-1), seen.reading]), axis=0)
    per_day = np.bincount(pairs[:, 0], minlength=max(len(days), 1))
    deepest = int(per_day.max(initial=0))
    place = np.arange(len(pairs)) - np.concatenate([[0], np.cumsum(per_day)])[pairs[:, 0]]
    along = {(int(b), int(r)): first + int(k) for (b, r), k in zip(pairs, place, strict=True)}
    across = {pair: slot + deepest for pair, slot in along.items()} if shape.across else {}
    sd = np.zeros((max(len(days), 1), first + deepest * (2 if shape.across else 1)))
    sd[:, 0] = priors.day_sd
    if shape.eye:
        sd[:, 1] = priors.eye_day_sd
    for where, of in ((along, seen.readings.own_sd_mps), (across, seen.readings.across_sd_mps)):
        for (b, r), slot in where.items():
            sd[b, slot] = max(of[r], SMALLEST_READING_SD_MPS)
    blocks = {int(day): k for k, day in enumerate(days)}
    return LocalSlots(blocks, along, across, 1 if shape.eye else None), sd


@dataclass(frozen=True, slots=True)
class _Told:
    """Rows of what is told of readings: the day's block, value and s.d. of each, and what enters it."""

    block: Ints
    value: Floats
    sd: Floats
    columns: _Columns

    def and_of_flights(self, seen: Observations, shape: Shape) -> _Told:
        """With what is told of cells' flights put after them: no day's effect enters those, so any day will do."""
        n = len(seen.response)
        shared, local = np.zeros((n, Places(shape, 0).drift.start)), np.zeros((n, self.columns.local.shape[1]))
        if shape.own_flight:
            shared[:, KAPPA], shared[:, Places(shape, 0).own_flight[0]] = 1.0, -1.0
        return _Told(
            np.concatenate([self.block, np.zeros(n, dtype=np.int64)]),
            np.concatenate([self.value, seen.response.value]),
            np.concatenate([self.sd, seen.response.sd]),
            _Columns.together(self.columns, _Columns(shared, local)),
        )


def _told(seen: Observations, slots: LocalSlots, sd: Floats, shape: Shape) -> _Told:
    """Where no carry answers to a wind across, its error is summed out of what is told."""
    told, readings = seen.told, seen.readings
    blocks = {reading: block for block, reading in sorted(slots.along)}
    rows = [k for k in range(len(told)) if int(told.reading[k]) in blocks]
    shared = np.zeros((len(rows), Places(shape, 0).drift.start))
    local = np.zeros((len(rows), sd.shape[1]))
    error = told.sd_mps[rows].copy()
    for i, k in enumerate(rows):
        r = int(told.reading[k])
        pair = (blocks[r], r)
        local[i, slots.along[pair]] = told.along[k]
        tool = int(readings.instrument[r])
        if tool >= 0:
            shared[i, Places(shape, 0).instruments.start + tool] = told.along[k] * readings.shared_mps[r]
        if shape.across:
            local[i, slots.across[pair]] = told.across[k]
        else:
            error[i] = np.hypot(error[i], told.across[k] * readings.across_sd_mps[r])
    block = np.array([blocks[int(told.reading[k])] for k in rows], dtype=np.int64)
    return _Told(block, told.value_mps[rows], error, _Columns(shared, local))


def _shots(cells: CellSet, seen: Observations, pairs: Ints, told: _Told) -> dict[str, NDArray[Any]]:
    """What each row's value is and how it errs: the shots, then differences of two carries, then words of winds."""
    n, p, w = len(seen), len(pairs), len(told.value)
    stock = cells.stock_carry_m[cells.club[seen.cell]]
    with np.errstate(divide="ignore"):
        low, high = np.log(seen.low_m / stock), np.log(seen.high_m / stock)
        flown = np.log(seen.flown_m / stock)
    gap = low[pairs] - flown[pairs]
    low, high = np.where(seen.flown, flown, low), np.where(seen.flown, flown, high)
    paired = np.zeros(n, dtype=bool)
    paired[pairs] = True
    partner = np.full(n + p + w, -1)
    partner[pairs] = n + np.arange(p)
    device_var = np.where(paired, np.maximum(seen.flown_sd_log, _LEAST_SD_LOG) ** 2, 0.0)
    seen_var = np.where(seen.flown, np.where(paired, 0.0, seen.flown_sd_log**2), seen.seen_sd_log**2)
    loose_var = np.concatenate([np.maximum(seen.seen_sd_log[pairs], _LEAST_SD_LOG) ** 2, told.sd**2])
    loose = np.concatenate([gap, told.value])
    real = np.arange(n + p + w) < n

    def filled(values: NDArray[Any], rest: float | bool) -> NDArray[Any]:
        return np.concatenate([values, np.full(p + w, rest, dtype=values.dtype)])

    return {
        "club": filled(cells.club[seen.cell], 0),
        "low": np.concatenate([low, loose]),
        "high": np.concatenate([high, loose]),
        "exact": filled(seen.flown | (seen.low_m == seen.high_m), True),
        "bounded": filled(np.isfinite(low) | np.isfinite(high), True),
        "counted": real,
        "marked": filled(seen.marked.astype(bool), False),
        "spread": filled(seen.spread_log, 0.0),
        "seen_var": np.concatenate([seen_var, loose_var]),
        "device_var": filled(device_var, 0.0),
        "partner": partner,
    }


def _ordered(shots: dict[str, NDArray[Any]]) -> dict[str, NDArray[Any]]:
    """One order whatever order the balls were entered in: the same evidence gives the same draws."""
    keys = ("device_var", "spread", "seen_var", "high", "low", "marked", "row")
    partner = shots["partner"]
    beyond = np.where(partner >= 0, shots["low"][partner], 0.0)
    order = np.lexsort((beyond, *(shots[name] for name in keys)))
    place = np.empty(len(order), dtype=np.int64)
    place[order] = np.arange(len(order))
    moved = np.where(partner >= 0, place[partner], -1)
    return {name: np.asarray(values)[order] for name, values in (shots | {"partner": moved}).items()}
