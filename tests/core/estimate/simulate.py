"""Players drawn from the model's own prior, and their balls: a generator that shares no code with the sampler."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from trainer.core.estimate.evidence import CellSet, Floats, Ints
from trainer.core.estimate.observations import Observations, Readings
from trainer.core.estimate.priors import ClubPriors


def bag(lofts_deg: tuple[float, ...] = (24.0, 30.0, 36.0, 43.0), grips_in: tuple[float, ...] = (0.0, 1.0)) -> CellSet:
    """An invented bag: every club × grip × swing."""
    rows = [(c, g, t, h) for c in range(len(lofts_deg)) for g in grips_in for t, h in ((0, 0), (1, 0), (0, 1))]
    club, grip, three, half = (np.array(column) for column in zip(*rows, strict=True))
    loft = np.array(lofts_deg)
    return CellSet(loft, 200.0 - 2.0 * loft, club, grip.astype(float), three.astype(float), half.astype(float))


@dataclass(frozen=True, slots=True)
class Truth:
    eta: Floats
    kappa: float
    range_ball: float
    mat: float
    computed: float
    loss: float
    share: float
    mark_rate: float
    log_spread: Floats
    log_spread_mean: float
    tau: Floats
    day: Floats
    eye_day: Floats
    along: Floats
    across: Floats
    instrument: Floats
    drift: Floats
    own_response: float
    flown: Floats


def player(rng: np.random.Generator, cells: CellSet, plan: Observations, priors: ClubPriors) -> Truth:
    """Everything unknown of one player, from the prior as it is written down."""
    clubs = len(cells.loft_deg)
    tau = np.abs(rng.normal(0, [priors.club_sd, priors.club_grip_sd, priors.club_swing_sd, priors.cell_sd]))
    knots = np.array([15.0, 30.0, 45.0, 60.0])

    def kernel(a: Floats, b: Floats) -> Floats:
        return np.asarray(np.exp(-0.5 * ((a[:, None] - b) / priors.loft_length_deg) ** 2))

    at = kernel(cells.loft_deg, knots)
    cov = priors.loft_curve_sd**2 * at @ np.linalg.inv(kernel(knots, knots)) @ at.T
    curve = rng.multivariate_normal(np.zeros(clubs), cov, method="eigh")
    level = rng.normal(priors.alpha.mean, priors.alpha.sd) + curve + rng.normal(0, tau[0], clubs)
    grip = rng.normal(priors.grip_per_in.mean, priors.grip_per_in.sd) + rng.normal(0, tau[1], clubs)
    three = rng.normal(priors.three_quarter.mean, priors.three_quarter.sd) + rng.normal(0, tau[2], clubs)
    half = rng.normal(priors.half.mean, priors.half.sd) + rng.normal(0, tau[2], clubs)
    k = cells.club
    eta = level[k] + grip[k] * cells.grip_down_in + three[k] * cells.three_quarter + half[k] * cells.half
    eta = eta + rng.normal(0, tau[3], len(cells))
    centre = rng.normal(priors.log_spread.mean, priors.log_spread.sd)
    ages = np.sort(plan.age_days)
    steps = rng.normal(size=(len(ages), clubs)) * np.sqrt(np.diff(ages, prepend=0.0) / 365.25)[:, None]
    drift = np.zeros((len(ages), clubs))
    drift[np.argsort(plan.age_days, kind="stable")] = priors.walk_sd_per_root_year * np.cumsum(steps, axis=0)
    readings, days = plan.readings, len(ages)
    response = priors.wind_response
    own_response = rng.normal(response.mean, priors.own_flight_response_sd)
    rest = np.sqrt(response.sd**2 - priors.own_flight_response_sd**2)
    return Truth(
        eta, own_response + rng.normal(0, rest),
        rng.normal(priors.range_ball.mean, priors.range_ball.sd), rng.normal(priors.mat.mean, priors.mat.sd),
        rng.normal(priors.computed.mean, priors.computed.sd),
        rng.normal(priors.mishit_loss.mean, priors.mishit_loss.sd), rng.beta(*priors.mishit_share),
        rng.beta(*priors.mark_rate), rng.normal(centre, priors.club_log_spread_sd, clubs), centre, tau,
        rng.normal(0, priors.day_sd, days), rng.normal(0, priors.eye_day_sd, days),
        rng.normal(0, readings.own_sd_mps), rng.normal(0, readings.across_sd_mps),
        rng.normal(size=int(readings.instrument.max(initial=-1)) + 1), drift, own_response,
        rng.normal(priors.flown.mean, priors.flown.sd, 2),
    )  # fmt: skip


def plan(
    rng: np.random.Generator, cells: CellSet, shots: int, days: int = 2, readings_a_day: int = 2,
    cells_hit: int = 10,
) -> Observations:  # fmt: skip
    """What is hit, `cells_hit` cells at most, and in which wind; nothing is seen yet."""
    day = np.sort(rng.integers(0, days, shots))
    reading = day * readings_a_day + rng.integers(0, readings_a_day, shots)
    chosen = rng.choice(len(cells), min(len(cells), cells_hit), replace=False)
    cell: Ints = chosen[rng.integers(0, len(chosen), shots)]
    wind = rng.normal(0, 5, days * readings_a_day)[reading]
    slope = 0.012 + 0.004 * cells.half[cell] - 0.0002 * wind
    none = np.zeros(shots)
    return Observations(
        cell, reading, day, none, np.full(shots, np.inf), slope * wind, slope, none.copy(),
        0.05 + 0.02 * cells.half[cell], np.full(shots, 0.02), none.copy(), none.copy(), none.copy(),
        np.zeros(shots, dtype=bool), np.zeros(shots, dtype=bool), none.copy(), none.copy(), none.copy(),
        Readings.of(np.full(days * readings_a_day, 1.0)), np.zeros(days),
    )  # fmt: skip


def hit(
    rng: np.random.Generator, cells: CellSet, seen: Observations, truth: Truth, priors: ClubPriors
) -> Observations:
    """The same balls with their carries seen, launch data where `flown_m` asks for them, and some mishits marked."""
    n = len(seen)
    strike = (
        truth.eta[seen.cell] + truth.day[seen.day] + truth.range_ball * seen.range_ball + truth.mat * seen.mat
        + truth.drift[seen.day, cells.club[seen.cell]]
    )  # fmt: skip
    along = truth.along + np.append(truth.instrument, 0.0)[seen.readings.instrument] * seen.readings.shared_mps
    wind = (
        truth.kappa * seen.wind_log + truth.own_response * seen.own_wind_log
        + seen.wind_slope_per_mps * along[seen.reading] + seen.across_slope_per_mps * truth.across[seen.reading]
        + truth.eye_day[seen.day] * seen.by_eye + truth.computed * seen.computed
    )  # fmt: skip
    bad = rng.random(n) < truth.share
    sd = np.where(bad, priors.mishit_sd, seen.spread_log * np.exp(truth.log_spread[cells.club[seen.cell]]))
    still = strike - truth.loss * bad + sd * rng.normal(size=n)
    stock = cells.stock_carry_m[cells.club[seen.cell]]
    carry = stock * np.exp(still + wind + seen.seen_sd_log * rng.normal(size=n))
    factor = np.where(seen.range_ball > 0, truth.flown[1], truth.flown[0])
    flown = stock * np.exp(still + factor + seen.flown_sd_log * rng.normal(size=n))
    marked = bad & (rng.random(n) < truth.mark_rate)
    told = seen.told
    meant = told.along * along[told.reading] + told.across * truth.across[told.reading]
    said = replace(told, value_mps=meant + told.sd_mps * rng.normal(size=len(told)))
    flown = np.where(seen.flown, flown, 0.0)
    exceeds = truth.kappa - truth.own_response + seen.response.sd * rng.normal(size=len(seen.response))
    return replace(
        seen, low_m=carry, high_m=carry.copy(), marked=marked, flown_m=flown, told=said,
        response=replace(seen.response, value=exceeds),
    )  # fmt: skip


def as_zones(
    seen: Observations, target_m: Floats, pin_m: float, which: np.ndarray[tuple[int], np.dtype[np.bool_]]
) -> Observations:
    """The shots of `which` seen only as short of, at or past a target."""
    depth = np.digitize(seen.low_m - target_m, [-pin_m, pin_m])
    low = np.select([depth == 0, depth == 1], [0.0, target_m - pin_m], target_m + pin_m)
    high = np.select([depth == 0, depth == 1], [target_m - pin_m, target_m + pin_m], np.inf)
    return replace(seen, low_m=np.where(which, low, seen.low_m), high_m=np.where(which, high, seen.high_m))
