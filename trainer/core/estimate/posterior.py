"""From observations to draws of everything unknown, with the word of the diagnostics on them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from trainer.core.estimate.columns import COMPUTED, KAPPA, LOSS, MAT, RANGE_BALL
from trainer.core.estimate.design import Design, build_design
from trainer.core.estimate.diagnostics import Diagnostics, diagnose
from trainer.core.estimate.evidence import CellSet, Floats
from trainer.core.estimate.observations import Observations
from trainer.core.estimate.priors import MEASURED_CARRY, ClubPriors
from trainer.core.estimate.sampler import State, all_cells, start, sweep

MODEL_VERSION = "club-2"
"""Changes whenever the same evidence and seed would give other draws; part of the key a posterior is kept by."""


@dataclass(frozen=True, slots=True)
class Sampling:
    """How long to run: `groups` of `chains // groups` chains with a common start, `warm_up` sweeps, then `kept`.

    Where the diagnostics say no, twice as many sweeps are kept, up to `most`.
    """

    chains: int = 64
    groups: int = 8
    warm_up: int = 60
    kept: int = 64
    most: int = 2048


STANDARD = Sampling()
LONG_HISTORY = Sampling(chains=16, groups=4, warm_up=60, kept=256, most=2048)
"""For hundreds of shots: fewer chains spend less of their time on warming up."""

LONG_HISTORY_SHOTS = 300


@dataclass(frozen=True, slots=True)
class Draws:
    """Joint draws (n, …) of one player's unknowns.

    `eta` (n, c) log still-air carry over stock of every cell; `along`, `across` (n, r) errors of the wind readings,
    m/s, to be added to what they say; `day`, `eye_day` (n, d) the days' offsets; `instrument` (n, t); `log_spread`
    (n, k) a club's factor on the flight's scatter; `tau` (n, 4). `weights` (n, z) and `own` (n, c) take the cells'
    prior apart and `drift` (n, w) is the clubs' drift by age, so that a chain can start from a draw. `own_response`
    (n,) is the wind response of a ball whose own flight is known, `flown` (n, 2) the log of the flight's own factor
    for a playing and for a range ball.
    """

    eta: Floats
    wind_response: Floats
    range_ball: Floats
    mat: Floats
    computed: Floats
    mishit_loss: Floats
    mishit_share: Floats
    mark_rate: Floats
    log_spread: Floats
    log_spread_mean: Floats
    tau: Floats
    along: Floats
    across: Floats
    own_along: Floats
    instrument: Floats
    day: Floats
    eye_day: Floats
    weights: Floats
    drift: Floats
    own_response: Floats
    flown: Floats

    def __len__(self) -> int:
        return len(self.eta)


@dataclass(frozen=True, slots=True)
class Posterior:
    """Draws with their weights (n,), which sum to 1, and the evidence they are of.

    `current` is false where new shots only reweighted older draws. `diagnostics` are those of the sampling run.
    """

    cells: CellSet
    priors: ClubPriors
    observations: Observations
    draws: Draws
    weights: Floats
    diagnostics: Diagnostics
    current: bool = True

    @property
    def effective_size(self) -> float:
        """Kish's effective number of draws under the weights."""
        return float(1.0 / np.sum(self.weights**2))


def fit(
    cells: CellSet,
    observations: Observations,
    rng: np.random.Generator,
    priors: ClubPriors = MEASURED_CARRY,
    sampling: Sampling | None = None,
) -> Posterior:
    """The posterior of one player's clubs; a pure function of its arguments and the generator's seed.

    Raises InputError where an observation cannot be used. Where the chains do not agree the posterior still comes
    back, and everything that would report from it raises UnreliableEstimateError.
    """
    if sampling is None:
        sampling = LONG_HISTORY if len(observations) > LONG_HISTORY_SHOTS else STANDARD
    design = build_design(cells, [observations], priors)
    state = start(design, sampling.chains, rng, groups=sampling.groups)
    for _ in range(sampling.warm_up):
        state = sweep(design, state, rng)
    kept: list[Kept] = []
    wanted = sampling.kept
    while True:
        for _ in range(wanted - len(kept)):
            state = sweep(design, state, rng)
            kept.append(keep(design, state, rng))
        run = together(kept)
        diagnostics = judged(design, run, sampling.groups)
        if diagnostics.reliable or wanted >= sampling.most:
            break
        # What came before the chains agreed is warm-up.
        kept = kept[len(kept) // 2 :]
        wanted *= 2
    draws = player_draws(design, run, 0, slice(None), observations, rng)
    return Posterior(cells, priors, observations, draws, np.full(len(draws), 1.0 / len(draws)), diagnostics)


def fit_players(
    cells: CellSet,
    players: Sequence[Observations],
    rng: np.random.Generator,
    priors: ClubPriors = MEASURED_CARRY,
    *,
    warm_up: int = 60,
    kept: int = 850,
) -> tuple[Posterior, ...]:
    """The posteriors of many players who share a bag, in one batch with one chain a player."""
    design = build_design(cells, players, priors)
    state = start(design, len(players), rng)
    for _ in range(warm_up):
        state = sweep(design, state, rng)
    states: list[Kept] = []
    for _ in range(kept):
        state = sweep(design, state, rng)
        states.append(keep(design, state, rng))
    run = together(states)
    return tuple(_one_of(cells, priors, seen, design, run, k, rng) for k, seen in enumerate(players))


def _one_of(
    cells: CellSet, priors: ClubPriors, seen: Observations, design: Design, run: Kept, k: int,
    rng: np.random.Generator,
) -> Posterior:  # fmt: skip
    chain = slice(k, k + 1)
    draws = player_draws(design, run, k, chain, seen, rng)
    diagnostics = judged(design, run, 0, k)
    return Posterior(cells, priors, seen, draws, np.full(len(draws), 1.0 / len(draws)), diagnostics)


@dataclass(frozen=True, slots=True)
class Kept:
    """What is kept of a state (b, …), or of a run of them (b, n, …): `eta` of every cell, `hit` that of those hit."""

    eta: Floats
    hit: Floats
    shared: Floats
    local: Floats
    weights: Floats
    tau: Floats
    mishit_share: Floats
    mark_rate: Floats
    log_spread_mean: Floats
    log_spread: Floats


def keep(design: Design, state: State, rng: np.random.Generator) -> Kept:
    """`state` as it is kept: what no shot touches is drawn from its prior given the rest."""
    whole, eta = all_cells(design, state, rng)
    at, mixture = whole.at, whole.mixture
    return Kept(
        eta, at.eta, at.shared, at.local, whole.weights, whole.tau, mixture.share, mixture.mark_rate,
        mixture.log_spread_mean, mixture.log_spread,
    )  # fmt: skip


def together(kept: Sequence[Kept]) -> Kept:
    """States kept one after another as one run, chain by chain."""
    return Kept(*(np.stack([getattr(each, field.name) for each in kept], axis=1) for field in fields(Kept)))


def judged(design: Design, run: Kept, groups: int, player: int | None = None) -> Diagnostics:
    """Diagnostics over all that the shots touch: cells hit, shared effects, mixture, scales."""
    rows = slice(None) if player is None else slice(player, player + 1)
    at = 0 if player is None else player
    own = design.own[at]
    parts = (
        run.hit[rows][..., own], run.shared[rows][..., [KAPPA, LOSS]], run.mishit_share[rows, :, None],
        run.log_spread[rows], run.tau[rows],
    )  # fmt: skip
    cells = [f"cell {c + 1}" for c in design.hit[at][own]]
    clubs = [f"spread of club {k + 1}" for k in range(design.prior.clubs)]
    scales = [f"scale of {what}" for what in ("clubs", "grips", "swings", "cells")]
    names = (*cells, "wind response", "mishit loss", "mishit share", *clubs, *scales)
    return diagnose(np.concatenate(parts, axis=2), names, groups)


def player_draws(
    design: Design, run: Kept, player: int, chains: slice, seen: Observations, rng: np.random.Generator
) -> Draws:
    """A run of one player's chains as one set of draws, chain by chain."""

    def end_to_end(values: Floats) -> Floats:
        return values[chains].reshape(-1, *values.shape[2:])

    shared, local = end_to_end(run.shared), end_to_end(run.local)
    places = design.places
    instrument = shared[:, places.instruments]
    own, across, day, eye_day = _day_effects(design, player, local, seen, rng)
    own_response, flown = own_flight(design, shared, rng)
    tool = seen.readings.instrument
    steady = np.concatenate([instrument, np.zeros((len(shared), 1))], axis=1)[:, tool] * seen.readings.shared_mps
    return Draws(
        eta=end_to_end(run.eta), wind_response=shared[:, KAPPA], range_ball=shared[:, RANGE_BALL],
        mat=shared[:, MAT], computed=shared[:, COMPUTED], mishit_loss=shared[:, LOSS],
        mishit_share=end_to_end(run.mishit_share),
        mark_rate=end_to_end(run.mark_rate), log_spread=end_to_end(run.log_spread),
        log_spread_mean=end_to_end(run.log_spread_mean), tau=end_to_end(run.tau), along=own + steady, across=across,
        own_along=own, instrument=instrument, day=day, eye_day=eye_day, weights=end_to_end(run.weights),
        drift=shared[:, places.drift], own_response=own_response, flown=flown,
    )  # fmt: skip


def own_flight(design: Design, shared: Floats, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Wind response of known flights and the flight's own factors, from the prior where no flight is known."""
    if design.shape.own_flight:
        own, playing, ranged = design.places.own_flight
        return shared[:, own], shared[:, [playing, ranged]]
    priors, n = design.priors, len(shared)
    part = (priors.own_flight_response_sd / priors.wind_response.sd) ** 2
    centre = priors.wind_response.mean + part * (shared[:, KAPPA] - priors.wind_response.mean)
    rest = priors.own_flight_response_sd * np.sqrt(1.0 - part)
    own_response = centre + rest * rng.standard_normal(n)
    return own_response, priors.flown.mean + priors.flown.sd * rng.standard_normal((n, 2))


def _day_effects(
    design: Design, player: int, local: Floats, seen: Observations, rng: np.random.Generator
) -> tuple[Floats, Floats, Floats, Floats]:
    """Errors of the readings along and across, days' and eyes' offsets; prior draws where no shot spoke."""
    n, slots, priors = len(local), design.local_slots[player], design.priors
    own = seen.readings.own_sd_mps * rng.standard_normal((n, len(seen.readings)))
    across = seen.readings.across_sd_mps * rng.standard_normal((n, len(seen.readings)))
    day = priors.day_sd * rng.standard_normal((n, len(seen.age_days)))
    eye_day = priors.eye_day_sd * rng.standard_normal((n, len(seen.age_days)))
    for at, block in slots.block_of_day.items():
        day[:, at] = local[:, block, 0]
        if slots.eye is not None:
            eye_day[:, at] = local[:, block, slots.eye]
    # A reading that two days share has an error on each; the later day's is the one that is asked for.
    for target, where in ((own, slots.along), (across, slots.across)):
        for (block, reading), slot in sorted(where.items()):
            target[:, reading] = local[:, block, slot]
    return own, across, day, eye_day
