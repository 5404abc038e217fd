"""After each shot: stored draws are reweighted at once, and refreshed while the player walks to the next ball.

Reweighting is importance sampling with the new shots' own likelihood; a day, reading or instrument that is new is
first drawn for every stored draw from its prior. It stays honest because every unknown, the scales included, is in
the draws.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace

import numpy as np

from trainer.core.errors import InputError
from trainer.core.estimate import normal
from trainer.core.estimate.columns import LOSS, WALK_EDGES_DAYS
from trainer.core.estimate.design import Design, build_design
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.estimate.locations import Locations, expected
from trainer.core.estimate.mixture import Mixture, impute
from trainer.core.estimate.observations import SHOT_FIELDS, Observations, Readings, require_observations
from trainer.core.estimate.posterior import Draws, Kept, Posterior, Sampling, judged, keep, player_draws, together
from trainer.core.estimate.sampler import State, sweep

SMALLEST_EFFECTIVE_SIZE = 400.0
"""Fewer effective draws than these and the ends of an interval wander by more than a twentieth of its width."""

SAME_AGE_DAYS = 0.5

REFRESH = Sampling(chains=64, groups=16, warm_up=8, kept=32, most=1024)
"""2,048 draws from chains that start where the last posterior stood; more where the diagnostics ask for them."""


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a refresh is; `posterior` is there with the last step. `total` grows where more sweeps are needed."""

    done: int
    total: int
    posterior: Posterior | None = None


def continues(earlier: Observations, later: Observations) -> bool:
    """Whether `later` is `earlier` with nothing but shots, readings and days put after it."""
    n, r, d = len(earlier), len(earlier.readings), len(earlier.age_days)
    if len(later) < n or len(later.readings) < r or len(later.age_days) < d:
        return False
    shots = all(np.array_equal(getattr(earlier, f), getattr(later, f)[:n]) for f in SHOT_FIELDS)
    readings = all(
        np.array_equal(getattr(earlier.readings, f.name), getattr(later.readings, f.name)[:r])
        for f in fields(Readings)
    )
    return shots and readings and bool(np.all(np.abs(later.age_days[:d] - earlier.age_days) <= SAME_AGE_DAYS))


def reweighted(posterior: Posterior, observations: Observations, rng: np.random.Generator) -> Posterior:
    """`posterior` with the shots that `observations` has more than it; not `current` until refreshed.

    Raises InputError where the earlier shots changed, or a new one is days old: then only a refresh is right.
    """
    require_observations(observations, len(posterior.cells))
    if not continues(posterior.observations, observations):
        raise InputError("earlier shots or the as-of day changed", "estimate", "refresh instead of reweighting")
    new = np.arange(len(posterior.observations), len(observations))
    added = observations.taken(new)
    if bool(np.any(observations.age_days[added.day] >= WALK_EDGES_DAYS[0])):
        raise InputError("a new shot is days old", "estimate", "refresh instead of reweighting")
    draws = _extended(posterior, observations, rng)
    news = _log_likelihood(posterior, draws, added)
    # What the balls' sides tell of the readings was told anew, not once more.
    news = news + _log_told(draws, observations) - _log_told(draws, posterior.observations)
    with np.errstate(divide="ignore"):
        log_weights = np.log(posterior.weights) + news
    weights = np.exp(log_weights - log_weights.max())
    return replace(posterior, observations=observations, draws=draws, weights=weights / weights.sum(), current=False)


def needs_refresh_now(posterior: Posterior) -> bool:
    """Whether the weights have become too uneven to report from."""
    return posterior.effective_size < SMALLEST_EFFECTIVE_SIZE


def _extended(posterior: Posterior, observations: Observations, rng: np.random.Generator) -> Draws:
    """The draws with readings, instruments and days that are new drawn from their priors."""
    draws, priors, old = posterior.draws, posterior.priors, posterior.observations
    n, readings = len(draws), observations.readings
    more_days = len(observations.age_days) - len(old.age_days)
    fresh = slice(len(old.readings), len(readings))
    tools = max(int(readings.instrument.max(initial=-1)) + 1 - draws.instrument.shape[1], 0)
    if not (more_days or tools or len(readings) > len(old.readings)):
        return draws
    instrument = np.hstack([draws.instrument, rng.standard_normal((n, tools))])
    own_sd, across_sd = readings.own_sd_mps[fresh], readings.across_sd_mps[fresh]
    own = own_sd * rng.standard_normal((n, len(own_sd)))
    across = across_sd * rng.standard_normal((n, len(own_sd)))
    steady = np.hstack([instrument, np.zeros((n, 1))])[:, readings.instrument[fresh]] * readings.shared_mps[fresh]
    return replace(
        draws, instrument=instrument, own_along=np.hstack([draws.own_along, own]),
        along=np.hstack([draws.along, own + steady]), across=np.hstack([draws.across, across]),
        day=np.hstack([draws.day, priors.day_sd * rng.standard_normal((n, more_days))]),
        eye_day=np.hstack([draws.eye_day, priors.eye_day_sd * rng.standard_normal((n, more_days))]),
    )  # fmt: skip


def _log_likelihood(posterior: Posterior, draws: Draws, seen: Observations) -> Floats:
    """Log likelihood (draws,) of the shots `seen`, mishit labels and the errors of launch data summed out."""
    cells, priors = posterior.cells, posterior.priors
    club = cells.club[seen.cell]
    strike = (
        draws.eta[:, seen.cell] + draws.day[:, seen.day]
        + draws.range_ball[:, None] * seen.range_ball + draws.mat[:, None] * seen.mat
    )  # fmt: skip
    wind = _wind_part(draws, seen)
    flown, device = seen.flown, np.where(seen.flown, seen.flown_sd_log, 0.0)
    factor = np.where(seen.range_ball > 0, draws.flown[:, [1]], draws.flown[:, [0]]) * flown
    mean = strike + np.where(flown, factor, wind)
    error = np.where(flown, device, seen.seen_sd_log)
    struck_sd = np.hypot(seen.spread_log * np.exp(draws.log_spread[:, club]), error)
    mishit_sd = np.broadcast_to(np.hypot(priors.mishit_sd, error), struck_sd.shape)
    stock = cells.stock_carry_m[club]
    with np.errstate(divide="ignore"):
        low, high, calculated = (np.log(values / stock) for values in (seen.low_m, seen.high_m, seen.flown_m))
    first, last = np.where(flown, calculated, low), np.where(flown, calculated, high)
    share, mark = draws.mishit_share[:, None], draws.mark_rate[:, None]
    short = mean - draws.mishit_loss[:, None]
    struck = np.log1p(-share) + _log_seen(first, last, mean, struck_sd)
    mishit = np.log(share) + _log_seen(first, last, short, mishit_sd)
    if bool(flown.any()):
        gap = np.where(flown & (low == high), low - first, 0.0) - (wind - factor)
        struck = struck + _log_gap(seen, gap, first - mean, struck_sd)
        mishit = mishit + _log_gap(seen, gap, first - short, mishit_sd)
    both = np.logaddexp(struck, mishit + np.log1p(-mark))
    return np.asarray(np.where(seen.marked, mishit + np.log(mark), both).sum(axis=1))


def _wind_part(draws: Draws, seen: Observations) -> Floats:
    """What turns a still-air log carry into a seen one (draws, n)."""
    return np.asarray(
        draws.wind_response[:, None] * seen.wind_log + draws.own_response[:, None] * seen.own_wind_log
        + draws.along[:, seen.reading] * seen.wind_slope_per_mps
        + draws.across[:, seen.reading] * seen.across_slope_per_mps
        + draws.eye_day[:, seen.day] * seen.by_eye + draws.computed[:, None] * seen.computed
    )  # fmt: skip


def _log_gap(seen: Observations, gap: Floats, ahead: Floats, sd: Floats) -> Floats:
    """Log density of how far apart a shot's two carries are, given the calculated one; 0 for one with one carry."""
    paired = seen.flown & (seen.low_m == seen.high_m)
    share = (seen.flown_sd_log / sd) ** 2
    left = np.where(paired, np.sqrt(seen.seen_sd_log**2 + seen.flown_sd_log**2 * (1.0 - share)), 1.0)
    return np.where(paired, normal.log_density((gap + share * ahead) / left, left), 0.0)


def _log_told(draws: Draws, seen: Observations) -> Floats:
    """Log density (draws,) of what was told of readings and of cells' flights."""
    told, answer = seen.told, seen.response
    exceeds = (draws.wind_response - draws.own_response)[:, None]
    of_flights = normal.log_density((answer.value - exceeds) / answer.sd, answer.sd).sum(axis=1)
    meant = told.along * draws.along[:, told.reading] + told.across * draws.across[:, told.reading]
    of_winds = normal.log_density((told.value_mps - meant) / told.sd_mps, told.sd_mps).sum(axis=1)
    return np.asarray(of_winds + of_flights)


def _log_seen(low: Floats, high: Floats, mean: Floats, sd: Floats) -> Floats:
    """Log density of a number, log probability of a zone, 0 for a ball not seen."""
    exact = low == high
    dense = normal.log_density((np.where(exact, low, 0.0) - mean) / sd, sd)
    if bool(exact.all()):
        return dense
    return np.where(exact, dense, np.log(normal.interval_probability((low - mean) / sd, (high - mean) / sd)))


def _stands_there(posterior: Posterior, observations: Observations) -> bool:
    """Whether the draws, evenly enough weighted, are already those of `observations`."""
    same = len(posterior.observations) == len(observations) and continues(posterior.observations, observations)
    return same and not needs_refresh_now(posterior)


def refresh(
    posterior: Posterior, observations: Observations, rng: np.random.Generator, sampling: Sampling = REFRESH
) -> Iterator[Progress]:
    """Draw anew from where `posterior` stands, one sweep a step, so that the caller keeps the time and may stop.

    Right for any change of evidence, a correction included: its chains forget where they began within `warm_up`.
    Half of that is enough for draws that were reweighted to this very evidence: they only have to part from each
    other (ends of 80 % ranges off by 1.5 % rms of the width with either, over 40 seeds). `kept` more sweeps are
    drawn, and the total grows, until the diagnostics agree or `most` are kept.
    """
    require_observations(observations, len(posterior.cells))
    design = build_design(posterior.cells, [observations], posterior.priors)
    starts = rng.choice(len(posterior.draws), sampling.groups, p=posterior.weights)
    chosen = np.repeat(starts, sampling.chains // sampling.groups)
    state = _state(design, posterior, chosen, rng)
    kept: list[Kept] = []
    warm_up = sampling.warm_up // 2 if _stands_there(posterior, observations) else sampling.warm_up
    done, total = 0, warm_up + sampling.kept
    while True:
        state = sweep(design, state, rng)
        done += 1
        if done > warm_up:
            kept.append(keep(design, state, rng))
        if done == total:
            run = together(kept)
            judgement = judged(design, run, sampling.groups)
            if judgement.reliable or len(kept) >= sampling.most:
                break
            total += sampling.kept
        yield Progress(done, total)
    draws = player_draws(design, run, 0, slice(None), observations, rng)
    weights = np.full(len(draws), 1.0 / len(draws))
    posterior = Posterior(posterior.cells, posterior.priors, observations, draws, weights, judgement)
    yield Progress(done, total, posterior)


def _state(design: Design, posterior: Posterior, chosen: Ints, rng: np.random.Generator) -> State:
    """Chains that start at the draws `chosen`; what the design has new starts at its prior mean."""
    draws = posterior.draws
    b = len(chosen)
    shared = np.broadcast_to(design.shared_mean, (b, design.shared)).copy()
    singles = (draws.wind_response, draws.range_ball, draws.mat, draws.computed, draws.mishit_loss)
    shared[:, : len(singles)] = np.stack(singles, axis=1)[chosen]
    places = design.places
    known = min(draws.instrument.shape[1], design.shape.tools)
    shared[:, places.instruments][:, :known] = draws.instrument[chosen, :known]
    if design.shape.own_flight:
        own, *flown = places.own_flight
        shared[:, own], shared[:, flown] = draws.own_response[chosen], draws.flown[chosen]
    if shared[:, places.drift].shape[1] == draws.drift.shape[1]:
        shared[:, places.drift] = draws.drift[chosen]
    eta = draws.eta[chosen][:, design.hit[0]]
    weights = draws.weights[chosen]
    own = eta - design.mean - weights @ design.z[0].T
    mixture = Mixture(
        draws.mishit_share[chosen], draws.mark_rate[chosen], draws.log_spread_mean[chosen], draws.log_spread[chosen]
    )
    at = Locations(eta, shared, _locals(design, draws, chosen))
    z = impute(design, mixture, expected(design, at), shared[:, LOSS], rng).z
    return State(at, weights, own, draws.tau[chosen], mixture, z)


def _locals(design: Design, draws: Draws, chosen: Ints) -> Floats:
    slots = design.local_slots[0]
    local = np.zeros((len(chosen), *design.local_precision.shape[1:]))
    for day, block in slots.block_of_day.items():
        if day < draws.day.shape[1]:
            local[:, block, 0] = draws.day[chosen, day]
            if slots.eye is not None:
                local[:, block, slots.eye] = draws.eye_day[chosen, day]
    for values, where in ((draws.own_along, slots.along), (draws.across, slots.across)):
        for (block, reading), slot in where.items():
            if reading < values.shape[1]:
                local[:, block, slot] = values[chosen, reading]
    return local
