"""From a player's observations to the arrays that a sweep of the sampler works on.

Shots that share cell, reading, day, ball and all else that enters the mean are one *row*: a sweep needs only their
summed weights. Rows are grouped by day, because what belongs to one day alone (its own offset, the eye's bias, the
errors of its readings) can be eliminated day by day.

Axes: p players (1 where every chain works on the same player), n shots, s days, r rows a day, x cells seen on a day,
c cells hit, g effects shared by all days, m effects of one day. A row's columns are [cells | shared | the day's].
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from trainer.core.errors import InputError
from trainer.core.estimate.cell_prior import SHARED, CellPrior, cell_prior
from trainer.core.estimate.evidence import CellSet, Floats, Ints
from trainer.core.estimate.observations import SMALLEST_READING_SD_MPS, Bools, Observations, require_observations
from trainer.core.estimate.priors import ClubPriors

KAPPA, RANGE_BALL, MAT, COMPUTED, LOSS = range(5)
"""Where the effects shared by all days sit; the instruments follow, then the clubs' drift by age."""

INSTRUMENTS = 5
WALK_EDGES_DAYS = (3.0, 14.0, 42.0, 90.0, 180.0, 365.0, 730.0, 1460.0)
"""Ages are binned for the random walk; what is younger than the first edge counts as now."""

DAYS_PER_YEAR = 365.25


@dataclass(frozen=True, slots=True)
class Design:
    """What stays the same over all sweeps. Shapes in the module's axes; `players` is p.

    `x` (p, s, 2 r, x + g + m) has each row twice: struck, then mishit (with −1 under the mishit's loss).
    """

    priors: ClubPriors
    prior: CellPrior
    cells: int
    hit: Ints  # (p, c) cell of each column of eta
    # of each shot: (p, n)
    shot_row: Ints  # index into (s, r)
    stat_row: Ints  # index of the struck row into (s, 2 r)
    club: Ints
    low: Floats
    high: Floats
    exact: Bools
    bounded: Bools
    counted: Bools
    marked: Bools
    spread: Floats
    seen_var: Floats
    # rows
    x: Floats
    day_cells: Ints  # (p, s, x) index into c, c itself where there is none
    core_index: Ints  # (p, s, x + g) into the core of c + g, c + g where there is none
    local_precision: Floats  # (p, s, m)
    shared_mean: Floats  # (p, g)
    shared_precision: Floats  # (p, g, g)
    shared_root: Floats  # (p, g, g) Cholesky of the precision
    # the cells' prior at the cells hit
    mean: Floats  # (p, c)
    z: Floats  # (p, c, SHARED + 4 k)
    kinds: Floats  # (4, p, c, c) covariance of each scale, plus
    base: Floats  # (p, c, c) the part that is not scaled
    active: Bools  # (p, SHARED + 4 k) columns that a hit cell has
    own: Bools  # (p, c) cells hit, the rest being padding
    local_slots: tuple[LocalSlots, ...]
    instruments: tuple[int, ...]

    @property
    def players(self) -> int:
        """Number of players, 1 where chains share one."""
        return int(self.hit.shape[0])

    @property
    def rows(self) -> int:
        """Rows a day, each counted once."""
        return int(self.x.shape[2]) // 2

    @property
    def shared(self) -> int:
        """Number of effects shared by all days."""
        return int(self.shared_mean.shape[1])


@dataclass(frozen=True, slots=True)
class LocalSlots:
    """Where a player's day effects sit: for each day its block, for each reading (block, slot) pairs."""

    block_of_day: dict[int, int]
    along: dict[tuple[int, int], int]
    across: dict[tuple[int, int], int]
    eye: int | None


@dataclass(frozen=True, slots=True)
class _Player:
    """One player's part before padding."""

    hit: Ints
    shots: dict[str, NDArray[Any]]
    row_day: Ints
    row_cell: Ints
    row_shared: Floats
    row_local: Floats
    local_sd: Floats
    walk: Floats
    slots: LocalSlots


def build_design(cells: CellSet, players: Sequence[Observations], priors: ClubPriors) -> Design:
    """Arrays for `players`, who share the bag `cells`.

    Raises InputError where an observation cannot be used, naming the shot.
    """
    if not players:
        raise InputError("no player was given", "estimate", "give one set of observations a player")
    for seen in players:
        require_observations(seen, len(cells))
    tools = max(int(np.max(seen.readings.instrument, initial=-1)) + 1 for seen in players)
    eye = any(bool(seen.by_eye.any()) for seen in players)
    across = any(bool(np.any(seen.across_slope_per_mps)) for seen in players)
    prior = cell_prior(cells, priors)
    parts = [_player(cells, seen, priors, tools, eye, across) for seen in players]
    return _stacked(cells, priors, prior, parts, tools)


def _player(cells: CellSet, seen: Observations, priors: ClubPriors, tools: int, eye: bool, across: bool) -> _Player:
    stock = cells.stock_carry_m[cells.club[seen.cell]]
    with np.errstate(divide="ignore"):
        low, high = np.log(seen.low_m / stock), np.log(seen.high_m / stock)
    bounded = np.isfinite(low) | np.isfinite(high)
    days, block = np.unique(seen.day, return_inverse=True)
    slots, local, local_sd = _local_columns(seen, days, block, priors, eye, across)
    shared, walk = _shared_columns(cells, seen, priors, tools)
    hit = np.unique(seen.cell)
    cell = np.searchsorted(hit, seen.cell)
    key = np.column_stack([block, cell, shared, local])
    rows, row = np.unique(key, axis=0, return_inverse=True) if len(seen) else (key, np.zeros(0, dtype=np.int64))
    row = row.reshape(-1)
    # One order whatever order the balls were entered in: the same evidence gives the same draws.
    order = np.lexsort((seen.spread_log, seen.seen_sd_log, high, low, seen.marked, row))
    g = shared.shape[1]
    shots: dict[str, NDArray[Any]] = {
        "row": row, "club": cells.club[seen.cell], "low": low, "high": high,
        "exact": seen.low_m == seen.high_m, "bounded": bounded, "counted": np.ones(len(seen), dtype=bool),
        "marked": seen.marked.astype(bool), "spread": seen.spread_log, "seen_var": seen.seen_sd_log**2,
    }  # fmt: skip
    shots = {name: np.asarray(values)[order] for name, values in shots.items()}
    return _Player(
        hit, shots, rows[:, 0].astype(np.int64), rows[:, 1].astype(np.int64), rows[:, 2 : 2 + g], rows[:, 2 + g :],
        local_sd, walk, slots,
    )  # fmt: skip


def _local_columns(
    seen: Observations, days: Ints, block: Ints, priors: ClubPriors, eye: bool, across: bool
) -> tuple[LocalSlots, Floats, Floats]:
    """Columns (n, m) of what belongs to one day, and their s.d. (s, m); 0 where a slot is not used.

    A reading that two days share is taken as two: its error is that of the moment it was made for.
    """
    first = 2 if eye else 1
    pairs = np.unique(np.column_stack([block, seen.reading]), axis=0)
    per_day = np.bincount(pairs[:, 0], minlength=max(len(days), 1))
    deepest = int(per_day.max(initial=0))
    place = np.arange(len(pairs)) - np.concatenate([[0], np.cumsum(per_day)])[pairs[:, 0]]
    along = {(int(b), int(r)): first + int(k) for (b, r), k in zip(pairs, place, strict=True)}
    sideways = {pair: slot + deepest for pair, slot in along.items()} if across else {}
    sd = np.zeros((max(len(days), 1), first + deepest * (2 if across else 1)))
    sd[:, 0] = priors.day_sd
    if eye:
        sd[:, 1] = priors.eye_day_sd
    columns = np.zeros((len(seen), sd.shape[1]))
    columns[:, 0] = 1.0
    if eye:
        columns[:, 1] = seen.by_eye
    for (b, r), slot in along.items():
        of = (block == b) & (seen.reading == r)
        columns[of, slot] = seen.wind_slope_per_mps[of]
        sd[b, slot] = max(seen.readings.own_sd_mps[r], SMALLEST_READING_SD_MPS)
        if across:
            columns[of, slot + deepest] = seen.across_slope_per_mps[of]
            sd[b, slot + deepest] = max(seen.readings.across_sd_mps[r], SMALLEST_READING_SD_MPS)
    blocks = {int(day): k for k, day in enumerate(days)}
    return LocalSlots(blocks, along, sideways, 1 if eye else None), columns, sd


def _shared_columns(cells: CellSet, seen: Observations, priors: ClubPriors, tools: int) -> tuple[Floats, Floats]:
    """Columns (n, g) of what all days share, and the drift's prior covariance (w, w)."""
    n = len(seen)
    columns = np.zeros((n, INSTRUMENTS + tools))
    columns[:, KAPPA] = seen.wind_log
    columns[:, RANGE_BALL] = seen.range_ball
    columns[:, MAT] = seen.mat
    columns[:, COMPUTED] = seen.computed
    for tool in range(tools):
        of = seen.readings.instrument[seen.reading] == tool
        shared = seen.wind_slope_per_mps * seen.readings.shared_mps[seen.reading]
        columns[:, INSTRUMENTS + tool] = np.where(of, shared, 0.0)
    age = seen.age_days[seen.day]
    bins = np.digitize(age, WALK_EDGES_DAYS)
    old = bins > 0
    club = cells.club[seen.cell]
    nodes = np.unique(np.column_stack([club, bins])[old], axis=0)
    ages = np.zeros(len(nodes))
    drift = np.zeros((n, len(nodes)))
    for k, (c, b) in enumerate(nodes):
        of = (club == c) & (bins == b)
        drift[of, k] = 1.0
        # One age a bin and player, not a club, so that a club's ages stay in order.
        ages[k] = age[bins == b].mean()
    same = nodes[:, None, 0] == nodes[None, :, 0]
    years = np.minimum(ages[:, None], ages[None, :]) / DAYS_PER_YEAR
    return np.hstack([columns, drift]), priors.walk_sd_per_root_year**2 * same * years


def _stacked(cells: CellSet, priors: ClubPriors, prior: CellPrior, parts: list[_Player], tools: int) -> Design:
    p = len(parts)
    c = max(1, *(len(part.hit) for part in parts))
    g = max(part.row_shared.shape[1] for part in parts)
    m = max(part.local_sd.shape[1] for part in parts)
    s = max(part.local_sd.shape[0] for part in parts)
    hit = np.stack([_padded_cells(part.hit, c, len(cells)) for part in parts])
    r, wide = _grid_size(parts, s)
    x = np.zeros((p, s, 2 * r, wide + g + m))
    day_cells = np.full((p, s, wide), c)
    place = [_fill_rows(part, x[k], day_cells[k], r, wide, g) for k, part in enumerate(parts)]
    shots = _padded_shots(parts, place)
    core = np.concatenate([day_cells, np.broadcast_to(np.arange(c, c + g), (p, s, g))], axis=2)
    core[:, :, :wide] = np.where(day_cells == c, c + g, day_cells)
    mean, precision = _shared_prior(parts, priors, g, tools)
    z = prior.z[hit]
    base, kinds = _covariances(z, prior.clubs, c)
    own = np.stack([np.arange(c) < len(part.hit) for part in parts])
    root = np.asarray(np.linalg.cholesky(precision), dtype=np.float64)
    return Design(
        priors=priors, prior=prior, cells=len(cells), hit=hit,
        shot_row=shots["day"] * r + shots["row"], stat_row=shots["day"] * 2 * r + shots["row"],
        club=shots["club"], low=shots["low"], high=shots["high"], exact=shots["exact"], bounded=shots["bounded"],
        counted=shots["counted"], marked=shots["marked"], spread=shots["spread"], seen_var=shots["seen_var"],
        x=x, day_cells=day_cells, core_index=core, local_precision=_local_precision(parts, s, m),
        shared_mean=mean, shared_precision=precision, shared_root=root,
        mean=prior.mean[hit], z=z, kinds=kinds, base=base, active=np.any((z != 0) & own[:, :, None], axis=1), own=own,
        local_slots=tuple(part.slots for part in parts), instruments=tuple(range(tools)),
    )  # fmt: skip


def _padded_cells(hit: Ints, count: int, cells: int) -> Ints:
    """`hit` filled up with cells that were not hit."""
    rest = np.setdiff1d(np.arange(cells), hit)
    return np.concatenate([hit, rest[: count - len(hit)]]).astype(np.int64)


def _grid_size(parts: list[_Player], days: int) -> tuple[int, int]:
    """The most rows, and the most cells, that any day has."""
    rows, wide = 1, 1
    for part in parts:
        rows = max(rows, int(np.bincount(part.row_day, minlength=days).max(initial=0)))
        pairs = np.unique(np.column_stack([part.row_day, part.row_cell]), axis=0)
        wide = max(wide, int(np.bincount(pairs[:, 0], minlength=days).max(initial=0)))
    return rows, wide


def _fill_rows(part: _Player, x: Floats, day_cells: Ints, r: int, wide: int, g: int) -> Ints:
    """Lay one player's rows into `x` (s, 2 r, …) and `day_cells` (s, x); give the place (rows, 2) of each."""
    place = np.zeros((len(part.row_day), 2), dtype=np.int64)
    for day in np.unique(part.row_day):
        of = np.flatnonzero(part.row_day == day)
        listed, column = np.unique(part.row_cell[of], return_inverse=True)
        day_cells[day, : len(listed)] = listed
        at = np.arange(len(of))
        place[of] = np.column_stack([np.full(len(of), day), at])
        for shift in (0, r):
            x[day, at + shift, column] = 1.0
            x[day, at + shift, wide : wide + part.row_shared.shape[1]] = part.row_shared[of]
            x[day, at + shift, wide + g : wide + g + part.row_local.shape[1]] = part.row_local[of]
        x[day, at + r, wide + LOSS] = -1.0
    return place


def _padded_shots(parts: list[_Player], places: list[Ints]) -> dict[str, NDArray[Any]]:
    """Shots of all players on one length; a padding shot counts for nothing."""
    n = max(1, *(len(part.shots["row"]) for part in parts))
    fill = {"spread": 1.0, "low": -np.inf, "high": np.inf}
    out: dict[str, list[NDArray[Any]]] = {name: [] for name in ("day", *parts[0].shots)}
    for part, place in zip(parts, places, strict=True):
        at = place[np.asarray(part.shots["row"], dtype=np.int64)].reshape(-1, 2)
        values = part.shots | {"day": at[:, 0], "row": at[:, 1]}
        for name, value in values.items():
            whole = np.full(n, fill.get(name, 0), dtype=np.asarray(value).dtype)
            whole[: len(value)] = value
            out[name].append(whole)
    return {name: np.stack(values) for name, values in out.items()}


def _local_precision(parts: list[_Player], s: int, m: int) -> Floats:
    """Prior precision (p, s, m) of the days' effects; 1 for slots that nothing uses."""
    precision = np.ones((len(parts), s, m))
    for k, part in enumerate(parts):
        used = part.local_sd > 0
        inner = precision[k, : part.local_sd.shape[0], : part.local_sd.shape[1]]
        inner[used] = part.local_sd[used] ** -2.0
    return precision


def _shared_prior(parts: list[_Player], priors: ClubPriors, g: int, tools: int) -> tuple[Floats, Floats]:
    singles = (priors.wind_response, priors.range_ball, priors.mat, priors.computed, priors.mishit_loss)
    mean = np.zeros((len(parts), g))
    mean[:, :INSTRUMENTS] = [prior.mean for prior in singles]
    precision = np.zeros((len(parts), g, g))
    precision[:, np.arange(g), np.arange(g)] = 1.0
    precision[:, np.arange(INSTRUMENTS), np.arange(INSTRUMENTS)] = [prior.sd**-2 for prior in singles]
    start = INSTRUMENTS + tools
    for k, part in enumerate(parts):
        w = len(part.walk)
        if w:
            precision[k, start : start + w, start : start + w] = np.linalg.inv(part.walk)
    return mean, precision


def _covariances(z: Floats, clubs: int, c: int) -> tuple[Floats, Floats]:
    """The unscaled covariance (p, c, c) of the cells hit, and each scale's (4, p, c, c)."""

    def outer(columns: Floats) -> Floats:
        return np.asarray(columns @ columns.transpose(0, 2, 1))

    level, grip, three, half = (z[:, :, SHARED + k * clubs : SHARED + (k + 1) * clubs] for k in range(4))
    own = np.broadcast_to(np.eye(c), (len(z), c, c))
    return outer(z[:, :, :SHARED]), np.stack([outer(level), outer(grip), outer(three) + outer(half), own])
