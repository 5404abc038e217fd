"""Simulation-based calibration: where the truth ranks among draws, over many players drawn from the prior.

Source: Talts, Betancourt, Simpson, Vehtari & Gelman 2018, arXiv:1804.06788. If the sampler is right, every rank is
uniform; the bound is Bonferroni's over all quantities looked at.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import stats

from tests.core.estimate.simulate import Truth, as_zones, bag, hit, plan, player
from trainer.core.estimate.design import Design, build_design
from trainer.core.estimate.evidence import CellSet, Floats
from trainer.core.estimate.observations import Observations, ResponseTold, WindTold
from trainer.core.estimate.posterior import own_flight
from trainer.core.estimate.priors import ClubPriors
from trainer.core.estimate.sampler import State, all_cells, start, sweep

WARM_UP, THIN, KEPT, BINS = 150, 15, 39, 10
SHARED = ("kappa", "range ball", "mat", "computed", "loss")
NAMES = (
    "first cell", "eighth cell", "last cell", *SHARED, "day", "reading", "share", "mark rate", "spread 1", "spread 4",
    "spread mean", "tau club", "tau grip", "tau swing", "tau cell", "own response", "flown", "flown range",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Calibration:
    """Ranks (players, quantities) of the truth among `KEPT` draws, those of every cell (players, cells) too."""

    ranks: Floats
    cells: Floats

    def smallest_p(self) -> tuple[float, str]:
        """The least p value over quantities of a χ² test of uniform ranks, and whose it is."""
        counts = np.stack([np.histogram(r, BINS, (-0.5, KEPT + 0.5))[0] for r in self.ranks.T])
        p = stats.chisquare(counts, axis=1).pvalue
        return float(p.min()), NAMES[int(p.argmin())]

    def coverage80(self) -> Floats:
        """Share of players whose truth lies in the central 80 % of ranks, by quantity."""
        return _coverage80(self.ranks)

    def cell_coverage80(self) -> Floats:
        """The same by cell."""
        return _coverage80(self.cells)

    @classmethod
    def together(cls, parts: Sequence[Calibration]) -> Calibration:
        """The players of all `parts`."""
        return cls(np.concatenate([part.ranks for part in parts]), np.concatenate([part.cells for part in parts]))


def _coverage80(ranks: Floats) -> Floats:
    return np.asarray(np.mean((ranks >= 4) & (ranks < KEPT + 1 - 4), axis=0))


def everything(rng: np.random.Generator, asked: Observations) -> Observations:
    """Balls, mats, eyes, shared instruments, a wind across, launch data, flights of their own, words of the wind, and
    a first day more than a year ago.
    """
    n = len(asked)
    readings = replace(asked.readings, instrument=np.array([0, 1, 0, -1]), shared_mps=np.array([0.8, 0.7, -0.9, 0.0]))
    own, flown = rng.random(n) < 0.4, rng.random(n) < 0.3
    told = WindTold(
        np.array([0, 0, 3]), np.array([1.0, 0.6, -0.8]), np.array([0.0, 0.8, 0.6]), np.zeros(3),
        np.array([2.0, 1.5, 1.0]),
    )  # fmt: skip
    return replace(
        asked, range_ball=(rng.random(n) < 0.5).astype(float), mat=(rng.random(n) < 0.5).astype(float),
        by_eye=rng.random(n) < 0.5, across_slope_per_mps=0.004 * rng.normal(size=n), readings=readings,
        age_days=np.array([400.0, 20.0]), own_wind_log=np.where(own | flown, asked.wind_log, 0.0),
        wind_log=np.where(own | flown, 0.0, asked.wind_log), flown_m=flown.astype(float),
        flown_sd_log=np.full(n, 0.02), told=told, response=ResponseTold(np.zeros(2), np.array([0.15, 0.3])),
    )  # fmt: skip


def half_zones(rng: np.random.Generator, cells: CellSet, seen: Observations) -> Observations:
    """Half of the balls seen as zones only, a tenth not seen at all."""
    n = len(seen)
    target = cells.stock_carry_m[cells.club[seen.cell]] * np.where(cells.half[seen.cell] > 0, 0.75, 0.95)
    zoned = as_zones(seen, target, 7.0, rng.random(n) < 0.5)
    gone = rng.random(n) < 0.1
    return replace(zoned, low_m=np.where(gone, 0.0, zoned.low_m), high_m=np.where(gone, np.inf, zoned.high_m))


def calibrate(players: int, seed: int, *, full: bool, shots: int = 40) -> Calibration:
    """Ranks for `players` players, with everything the model knows (`full`) or plain carries only."""
    rng = np.random.default_rng(seed)
    cells, priors = bag(), ClubPriors()
    seen, truths = [], []
    for _ in range(players):
        asked = plan(rng, cells, shots)
        asked = everything(rng, asked) if full else asked
        truths.append(player(rng, cells, asked, priors))
        told = hit(rng, cells, asked, truths[-1], priors)
        seen.append(half_zones(rng, cells, told) if full else told)
    design = build_design(cells, seen, priors)
    true = np.stack([_true(truth, design, k) for k, truth in enumerate(truths)])
    state = start(design, players, rng)
    ranks = np.zeros_like(true)
    for done in range(WARM_UP + THIN * KEPT):
        state = sweep(design, state, rng)
        if done >= WARM_UP and (done - WARM_UP) % THIN == 0:
            ranks += _drawn(design, state, rng) < true
    return Calibration(ranks[:, : len(NAMES)], ranks[:, len(NAMES) :])


def _true(truth: Truth, design: Design, k: int) -> Floats:
    slots = design.local_slots[k]
    day = next(iter(slots.block_of_day))
    reading = next(r for (block, r) in sorted(slots.along) if block == 0)
    return np.array([
        *truth.eta[[0, 7, -1]], truth.kappa, truth.range_ball, truth.mat, truth.computed, truth.loss, truth.day[day],
        truth.along[reading], truth.share, truth.mark_rate, *truth.log_spread[[0, -1]], truth.log_spread_mean,
        *truth.tau, truth.own_response, *truth.flown, *truth.eta,
    ])  # fmt: skip


def _drawn(design: Design, state: State, rng: np.random.Generator) -> Floats:
    _, eta = all_cells(design, state, rng)
    own_response, flown = own_flight(design, state.at.shared, rng)
    slot = min(design.local_slots[0].along.values())
    mixture = state.mixture
    return np.column_stack([
        eta[:, [0, 7, -1]], state.at.shared[:, :5], state.at.local[:, 0, [0, slot]], mixture.share, mixture.mark_rate,
        mixture.log_spread[:, [0, -1]], mixture.log_spread_mean, state.tau, own_response, flown, eta,
    ])  # fmt: skip
