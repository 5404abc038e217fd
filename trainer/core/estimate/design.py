"""From a player's observations to the arrays that a sweep of the sampler works on.

Shots that share cell, reading, day, ball and all else that enters the mean are one *row*: a sweep needs only their
summed weights. Rows are grouped by day, because what belongs to one day alone (its own offset, the eye's bias, the
errors of its readings) can be eliminated day by day.

Axes: p players (1 where every chain works on the same player), n shots, s days, r rows a day, c cells hit, g effects
shared by all days, d of them that enter every day's rows, x cells and other shared effects listed on a day, m effects
of one day. A row's columns are [listed | shared | the day's].
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from trainer.core.errors import InputError
from trainer.core.estimate.cell_prior import SHARED, CellPrior, cell_prior
from trainer.core.estimate.columns import KAPPA, LOSS, LocalSlots, Part, Places, Shape, columns_of
from trainer.core.estimate.evidence import CellSet, Floats, Ints
from trainer.core.estimate.observations import Bools, Observations, require_observations
from trainer.core.estimate.priors import ClubPriors


@dataclass(frozen=True, slots=True)
class Design:
    """What stays the same over all sweeps. Shapes in the module's axes; `players` is p.

    `x` (p, s, 2 r, x + d + m) has each row twice: struck, then mishit (with −1 under the mishit's loss).
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
    known: Floats  # 1 where anything of a counted shot's carry was seen
    clubs: Floats  # (p, n, k) the same at the shot's club
    marked: Bools
    spread: Floats
    seen_var: Floats
    partner: Ints  # the difference of its two carries, for a shot that has two; -1 for none
    device_var: Floats
    paired: bool
    # rows
    x: Floats
    core_index: Ints  # (p, s, x + d) into the core of c + g, c + g where there is none
    plain_core: bool  # whether the one day's columns are the core, in its order
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
    shape: Shape

    @property
    def players(self) -> int:
        """Number of players, 1 where chains share one."""
        return int(self.hit.shape[0])

    @property
    def rows(self) -> int:
        """Rows a day, each counted once."""
        return int(self.x.shape[2]) // 2

    @property
    def places(self) -> Places:
        """Where each kind of shared effect sits."""
        return Places(self.shape, self.shared)

    @property
    def shared(self) -> int:
        """Number of effects shared by all days."""
        return int(self.shared_mean.shape[1])


def build_design(cells: CellSet, players: Sequence[Observations], priors: ClubPriors) -> Design:
    """Arrays for `players`, who share the bag `cells`.

    Raises InputError where an observation cannot be used, naming the shot.
    """
    if not players:
        raise InputError("no player was given", "estimate", "give one set of observations a player")
    for seen in players:
        require_observations(seen, len(cells))
    shape = Shape(
        tools=max(int(np.max(seen.readings.instrument, initial=-1)) + 1 for seen in players),
        eye=any(bool(seen.by_eye.any()) for seen in players),
        across=any(bool(np.any(seen.across_slope_per_mps)) for seen in players),
        own_flight=any(bool(seen.flown.any() or seen.own_wind_log.any() or len(seen.response)) for seen in players),
    )
    parts = [columns_of(cells, seen, priors, shape) for seen in players]
    return _stacked(cells, priors, cell_prior(cells, priors), parts, shape)


def _stacked(cells: CellSet, priors: ClubPriors, prior: CellPrior, parts: list[Part], shape: Shape) -> Design:
    p = len(parts)
    c = max(1, *(len(part.hit) for part in parts))
    g = max(part.row_shared.shape[1] for part in parts)
    m = max(part.local_sd.shape[1] for part in parts)
    s = max(part.local_sd.shape[0] for part in parts)
    hit = np.stack([_padded_cells(part.hit, c, len(cells)) for part in parts])
    dense = Places(shape, g).drift.start
    listed = [_listed(part, c, dense) for part in parts]
    r, wide = _grid_size(parts, listed, s)
    x = np.zeros((p, s, 2 * r, wide + dense + m))
    core = np.full((p, s, wide + dense), c + g)
    core[:, :, wide:] = np.arange(c, c + dense)
    place = [
        _fill_rows(part, days, x[k], core[k, :, :wide], r, dense)
        for k, (part, days) in enumerate(zip(parts, listed, strict=True))
    ]
    shots = _padded_shots(parts, place)
    mean, precision = _shared_prior(parts, priors, g, shape)
    z = prior.z[hit]
    base, kinds = _covariances(z, prior.clubs, c)
    own = np.stack([np.arange(c) < len(part.hit) for part in parts])
    root = np.asarray(np.linalg.cholesky(precision), dtype=np.float64)
    known = ((shots["exact"] | shots["bounded"]) & shots["counted"]).astype(np.float64)
    one_club = shots["club"][:, :, None] == np.arange(prior.clubs)
    return Design(
        priors=priors, prior=prior, cells=len(cells), hit=hit,
        shot_row=shots["day"] * r + shots["row"], stat_row=shots["day"] * 2 * r + shots["row"],
        club=shots["club"], low=shots["low"], high=shots["high"], exact=shots["exact"], bounded=shots["bounded"],
        counted=shots["counted"], known=known, clubs=known[:, :, None] * one_club,
        marked=shots["marked"], spread=shots["spread"], seen_var=shots["seen_var"],
        partner=shots["partner"], device_var=shots["device_var"], paired=any(part.paired for part in parts),
        x=x, core_index=core, plain_core=s == 1 and bool(np.array_equal(core[:, 0], [np.arange(c + g)] * p)),
        local_precision=_local_precision(parts, s, m),
        shared_mean=mean, shared_precision=precision, shared_root=root,
        mean=prior.mean[hit], z=z, kinds=kinds, base=base, active=np.any((z != 0) & own[:, :, None], axis=1), own=own,
        local_slots=tuple(part.slots for part in parts), shape=shape,
    )  # fmt: skip


def _padded_cells(hit: Ints, count: int, cells: int) -> Ints:
    """`hit` filled up with cells that were not hit."""
    rest = np.setdiff1d(np.arange(cells), hit)
    return np.concatenate([hit, rest[: count - len(hit)]]).astype(np.int64)


@dataclass(frozen=True, slots=True)
class _Listed:
    """What of the core enters one day's rows and no other day's need hold: cells hit, and clubs' drifts of its age.

    `index` (x,) into the core; `values` (rows, x) what enters each of the day's rows `of`.
    """

    of: Ints
    index: Ints
    values: Floats


def _listed(part: Part, c: int, dense: int) -> dict[int, _Listed]:
    """For each day with rows, what is listed there; effects that all days share are not."""
    drift = part.row_shared[:, dense:]
    out = {}
    for day in np.unique(part.row_day).tolist():
        of = np.flatnonzero(part.row_day == day)
        cells = np.unique(part.row_cell[of])
        cells = cells[cells >= 0]
        nodes = np.flatnonzero(np.any(drift[of] != 0, axis=0))
        here = (part.row_cell[of][:, None] == cells).astype(np.float64)
        out[day] = _Listed(of, np.concatenate([cells, c + dense + nodes]), np.hstack([here, drift[of][:, nodes]]))
    return out


def _grid_size(parts: list[Part], listed: list[dict[int, _Listed]], days: int) -> tuple[int, int]:
    """The most rows, and the most that is listed, that any day has."""
    rows, wide = 1, 1
    for part, each in zip(parts, listed, strict=True):
        rows = max(rows, int(np.bincount(part.row_day, minlength=days).max(initial=0)))
        wide = max(wide, *(len(day.index) for day in each.values()), 1)
    return rows, wide


def _fill_rows(part: Part, listed: dict[int, _Listed], x: Floats, core: Ints, r: int, dense: int) -> Ints:
    """Lay one player's rows into `x` (s, 2 r, …) and `core` (s, x); give the place (rows, 2) of each."""
    place = np.zeros((len(part.row_day), 2), dtype=np.int64)
    wide = core.shape[1]
    for day, here in listed.items():
        core[day, : len(here.index)] = here.index
        at = np.arange(len(here.of))
        place[here.of] = np.column_stack([np.full(len(at), day), at])
        for shift in (0, r):
            x[day, at + shift, : len(here.index)] = here.values
            x[day, at + shift, wide : wide + dense] = part.row_shared[here.of][:, :dense]
            x[day, at + shift, wide + dense : wide + dense + part.row_local.shape[1]] = part.row_local[here.of]
        x[day, at + r, wide + LOSS] = -1.0
    return place


def _padded_shots(parts: list[Part], places: list[Ints]) -> dict[str, NDArray[Any]]:
    """Shots of all players on one length; a padding shot counts for nothing."""
    n = max(1, *(len(part.shots["row"]) for part in parts))
    fill = {"spread": 1.0, "low": -np.inf, "high": np.inf, "partner": -1}
    out: dict[str, list[NDArray[Any]]] = {name: [] for name in ("day", *parts[0].shots)}
    for part, place in zip(parts, places, strict=True):
        at = place[np.asarray(part.shots["row"], dtype=np.int64)].reshape(-1, 2)
        values = part.shots | {"day": at[:, 0], "row": at[:, 1]}
        for name, value in values.items():
            whole = np.full(n, fill.get(name, 0), dtype=np.asarray(value).dtype)
            whole[: len(value)] = value
            out[name].append(whole)
    return {name: np.stack(values) for name, values in out.items()}


def _local_precision(parts: list[Part], s: int, m: int) -> Floats:
    """Prior precision (p, s, m) of the days' effects; 1 for slots that nothing uses."""
    precision = np.ones((len(parts), s, m))
    for k, part in enumerate(parts):
        used = part.local_sd > 0
        inner = precision[k, : part.local_sd.shape[0], : part.local_sd.shape[1]]
        inner[used] = part.local_sd[used] ** -2.0
    return precision


def _shared_prior(parts: list[Part], priors: ClubPriors, g: int, shape: Shape) -> tuple[Floats, Floats]:
    places = Places(shape, g)
    singles = (priors.wind_response, priors.range_ball, priors.mat, priors.computed, priors.mishit_loss)
    mean = np.zeros((len(parts), g))
    covariance = np.broadcast_to(np.eye(g), (len(parts), g, g)).copy()
    alone = np.arange(len(singles))
    mean[:, alone] = [prior.mean for prior in singles]
    covariance[:, alone, alone] = [prior.sd**2 for prior in singles]
    if shape.own_flight:
        own, playing, ranged = places.own_flight
        mean[:, own], mean[:, [playing, ranged]] = priors.wind_response.mean, priors.flown.mean
        # What the aerodynamics get wrong is in both responses.
        covariance[:, [own, own, KAPPA], [own, KAPPA, own]] = priors.own_flight_response_sd**2
        covariance[:, [playing, ranged], [playing, ranged]] = priors.flown.sd**2
    start = places.drift.start
    for k, part in enumerate(parts):
        w = len(part.walk)
        covariance[k, start : start + w, start : start + w] = part.walk
    return mean, np.asarray(np.linalg.inv(covariance), dtype=np.float64)


def _covariances(z: Floats, clubs: int, c: int) -> tuple[Floats, Floats]:
    """The unscaled covariance (p, c, c) of the cells hit, and each scale's (4, p, c, c)."""

    def outer(columns: Floats) -> Floats:
        return np.asarray(columns @ columns.transpose(0, 2, 1))

    level, grip, three, half = (z[:, :, SHARED + k * clubs : SHARED + (k + 1) * clubs] for k in range(4))
    own = np.broadcast_to(np.eye(c), (len(z), c, c))
    return outer(z[:, :, :SHARED]), np.stack([outer(level), outer(grip), outer(three) + outer(half), own])
