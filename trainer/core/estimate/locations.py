"""The joint draw of every location, given weights and scales, for all chains at once.

The system is solved exactly: a day's own effects are eliminated day by day, then cells and shared effects together.
A draw comes from perturbing the right-hand side, so that solving it *is* the draw (Papandreou & Yuille 2010, NIPS 23,
"Gaussian sampling by local perturbations"). b chains; the other axes are those of `design`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from trainer.core.estimate.design import Design
from trainer.core.estimate.evidence import Floats, Ints

AT_ONCE = 65_536
"""Numbers of one array, half a megabyte: measured from 60 to 20,000 shots; more and less are slower."""


@dataclass(frozen=True, slots=True)
class Locations:
    """`eta` (b, c) of the cells hit, `shared` (b, g), `local` (b, s, m)."""

    eta: Floats
    shared: Floats
    local: Floats


@dataclass(frozen=True, slots=True)
class Core:
    """Normal equations of cells and shared effects with the days' effects eliminated, data part only.

    `precision` (b, c + g, c + g); `pull` (b, c + g) and `noisy` the same with the perturbation in. `gain`
    (b, s, m, x + d) and `offset` (b, s, m) give the days' effects back from the rest.
    """

    precision: Floats
    pull: Floats
    noisy: Floats
    gain: Floats
    offset: Floats


def chains_at_once(design: Design, chains: int, numbers: int) -> Iterator[slice]:
    """Slices of the chains of which `numbers` numbers each stay in the processor's cache; one slice for many players.

    What every chain does by itself may be done a few chains at a time, which draws a long history half as fast again.
    """
    step = chains if design.players > 1 else min(max(AT_ONCE // max(numbers, 1), 1), chains)
    for first in range(0, chains, step):
        yield slice(first, first + step)


def gather(values: Floats, index: Ints) -> Floats:
    """`values` (b, k) at `index` (p, …): (b, …), each chain by its player's index."""
    if index.shape[0] == 1:
        return np.asarray(values[:, index[0]])
    flat = index.reshape(index.shape[0], -1)
    return np.take_along_axis(values, flat, axis=1).reshape(len(values), *index.shape[1:])


def expected(design: Design, at: Locations) -> Floats:
    """Expected log ratio (b, n) of every shot if struck."""
    b = len(at.eta)
    core = np.concatenate([at.eta, at.shared, np.zeros((b, 1))], axis=1)
    weights = np.concatenate([gather(core, design.core_index), at.local], axis=2)
    rows = np.matmul(design.x[:, :, : design.rows], weights[..., None])[..., 0]
    return gather(rows.reshape(b, -1), design.shot_row)


def binned(index: Ints, values: Floats, size: int) -> Floats:
    """Sums (size,) of `values` by `index`, both flattened."""
    return np.asarray(np.bincount(index.ravel(), values.ravel(), size), dtype=np.float64)


def row_sums(design: Design, mishit: Floats, weight: Floats, z: Floats) -> tuple[Floats, Floats]:
    """Sums (b, s, 2 r) of the weights and of weight × z over each row's shots."""
    b, n = weight.shape
    days, rows = design.x.shape[1], design.rows
    cells = days * 2 * rows
    index = design.stat_row + rows * mishit.astype(np.int64) + cells * np.arange(b)[:, None]
    flat = np.broadcast_to(index, (b, n))
    shape = (b, days, 2 * rows)
    return binned(flat, weight, b * cells).reshape(shape), binned(flat, weight * z, b * cells).reshape(shape)


def eliminate_days(design: Design, total: Floats, pull: Floats, rng: np.random.Generator) -> Core:
    """The core's normal equations, plain and perturbed."""
    sides = np.stack([pull, pull + np.sqrt(total) * rng.standard_normal(total.shape)], axis=-1)
    local = design.local_precision
    prior = np.sqrt(local) * rng.standard_normal((len(total), *local.shape[1:]))
    parts = [
        _without_days(design, total[of], sides[of], prior[of])
        for of in chains_at_once(design, len(total), design.x[0].size)
    ]
    return Core(*(np.concatenate(each) for each in zip(*parts, strict=True)))


def _without_days(
    design: Design, total: Floats, sides: Floats, prior: Floats
) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """The arrays of a `Core`, of `sides` (b, s, 2 r, 2) plain and perturbed and the days' perturbation `prior`."""
    b, days = total.shape[:2]
    x = design.x
    width = x.shape[3]
    keep = design.core_index.shape[2]
    across = np.swapaxes(x, 2, 3)
    normal = np.matmul(across, x * total[..., None])
    sides = np.matmul(across, sides)
    diagonal = np.arange(keep, width)
    normal[:, :, diagonal, diagonal] += design.local_precision
    sides[:, :, keep:, 1] += prior
    solved = np.linalg.solve(
        normal[:, :, keep:, keep:], np.concatenate([normal[:, :, keep:, :keep], sides[:, :, keep:]], axis=3)
    )
    cross = normal[:, :, :keep, keep:]
    reduced = np.concatenate([normal[:, :, :keep, :keep], sides[:, :, :keep]], axis=3) - np.matmul(cross, solved)
    precision, plain, perturbed = _scattered(design, reduced.reshape(b, days, keep, keep + 2))
    return precision, plain, perturbed, solved[..., :keep], solved[..., keep + 1]


def _scattered(design: Design, reduced: Floats) -> tuple[Floats, Floats, Floats]:
    """Add the days' parts (b, s, x + d, x + d + 2) into the core."""
    b = len(reduced)
    size = design.hit.shape[1] + design.shared
    if design.plain_core:
        whole = reduced[:, 0]
        return whole[..., :size], whole[..., size], whole[..., size + 1]
    wide = size + 1
    row = design.core_index
    columns = np.concatenate([row, np.broadcast_to([wide, wide + 1], (*row.shape[:2], 2))], axis=2)
    index = row[..., :, None] * (wide + 2) + columns[..., None, :]
    flat = index + (np.arange(b) * wide * (wide + 2))[:, None, None, None]
    filled = binned(flat, reduced, b * wide * (wide + 2)).reshape(b, wide, wide + 2)
    return filled[:, :size, :size], filled[:, :size, wide], filled[:, :size, wide + 1]


def draw_locations(design: Design, core: Core, cell_precision: Floats, rng: np.random.Generator) -> Locations:
    """One exact joint draw, `cell_precision` (b, c, c) being the inverse prior covariance of the cells hit."""
    b, c, _ = cell_precision.shape
    matrix = core.precision.copy()
    matrix[:, :c, :c] += cell_precision
    matrix[:, c:, c:] += design.shared_precision
    right = core.noisy.copy()
    right[:, :c] += np.matmul(cell_precision, np.broadcast_to(design.mean, (b, c))[..., None])[..., 0]
    root = np.linalg.cholesky(cell_precision)
    right[:, :c] += np.matmul(root, rng.standard_normal((b, c, 1)))[..., 0]
    right[:, c:] += prior_pull(design, rng.standard_normal((b, design.shared)))
    core_draw = np.asarray(np.linalg.solve(matrix, right[..., None])[..., 0], dtype=np.float64)
    return Locations(core_draw[:, :c], core_draw[:, c:], _days(design, core, core_draw))


def prior_pull(design: Design, noise: Floats) -> Floats:
    """Perturbed prior part (b, g) of the shared effects' right-hand side."""
    mean = np.matmul(design.shared_precision, design.shared_mean[..., None])[..., 0]
    return np.asarray(mean + np.matmul(design.shared_root, noise[..., None])[..., 0])


def _days(design: Design, core: Core, core_draw: Floats) -> Floats:
    wide = np.concatenate([core_draw, np.zeros((len(core_draw), 1))], axis=1)
    rest = gather(wide, design.core_index)
    return np.asarray(core.offset - np.matmul(core.gain, rest[..., None])[..., 0])
