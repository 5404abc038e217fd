"""Where balls that have not been hit yet come to rest: draws of the player, his strike, the wind and the ground.

Every option meets the same draws (common random numbers), so that a difference between two options is theirs and not
the dice's. Assumptions: effects of a gust and of a misread wind are linear in the wind; gusts are alike along and
across; a mishit loses carry and keeps its line's spread; the run follows the ball's line and has no wind.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from trainer.core.errors import InputError
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.estimate.posterior import Posterior
from trainer.core.estimate.traits import RatioDraws, SideDraws, SidePrior

PLAYERS, STRIKES = 128, 16
"""Draws of the player's unknowns, and balls struck by each: 2,048 balls an option, 1.1 points of chance at worst."""


@dataclass(frozen=True, slots=True)
class CellFlights:
    """What the flight makes of cells (…, c) in winds; slopes are per m/s at the reading's height.

    `log_wind` is log(carry there / still-air carry), the height of the target in; `side_m` is drift, right positive.
    `run_m` follows the ball's last direction.
    """

    log_wind: Floats
    log_slope_along: Floats
    log_slope_across: Floats
    side_m: Floats
    side_slope_along: Floats
    side_slope_across: Floats
    spread_log: Floats
    side_sd_m: Floats
    carry_side_correlation: Floats
    run_m: Floats
    run_spread_m: Floats
    descent_rad: Floats
    apex_m: Floats

    def taken(self, wind: int) -> CellFlights:
        """The cells (c,) in one of the winds of the first axis."""
        return CellFlights(*(getattr(self, field.name)[wind] for field in fields(self)))

    def of(self, cells: Ints) -> CellFlights:
        """The same winds for some of the cells of the last axis."""
        return CellFlights(*(getattr(self, field.name)[..., cells] for field in fields(self)))

    def between(self, speeds_mps: Floats, speed_mps: float) -> CellFlights:
        """The cells (c,) in a wind of `speed_mps`, linear between the winds `speeds_mps` of the first axis."""
        at = int(np.clip(np.searchsorted(speeds_mps, speed_mps) - 1, 0, max(len(speeds_mps) - 2, 0)))
        if len(speeds_mps) == 1:
            return self.taken(0)
        share = (speed_mps - speeds_mps[at]) / (speeds_mps[at + 1] - speeds_mps[at])
        pairs = (getattr(self, field.name) for field in fields(self))
        return CellFlights(*(part[at] + share * (part[at + 1] - part[at]) for part in pairs))


@dataclass(frozen=True, slots=True)
class Doubt:
    """What is not known of the wind and the day. S.d. in m/s, each way.

    `reading` and `day` are indices into the posterior's evidence where it has heard of them, else None.
    """

    along_sd_mps: float = 0.0
    across_sd_mps: float = 0.0
    reading: int | None = None
    day: int | None = None
    range_ball: bool = False
    mat: bool = False


@dataclass(frozen=True, slots=True)
class Traits:
    """What the player does besides carry: draws of his side and of his run."""

    side: SideDraws
    run: RatioDraws


@dataclass(frozen=True, slots=True)
class Balls:
    """The draws that every option meets: k players × s strikes, flat (n = k·s, player by player).

    `mean_log` (n, c) is a struck ball's mean log carry over stock in still air, `spread` (n, c) his factor on the
    flight's scatter (0 for a mishit), `loss` (n,) what a mishit loses and `mishit_sd` (n,) its own scatter.
    `along_mps` and `across_mps` (n,) are what the reading is off by. `gust_along`, `gust_across`, `strike`, `aside`
    and `bounce` (n,) are standard, to be scaled by the wind and flight at hand.
    """

    players: int
    stock_m: Floats
    mean_log: Floats
    wind_response: Floats
    spread: Floats
    loss: Floats
    mishit_sd: Floats
    along_mps: Floats
    across_mps: Floats
    gust_along: Floats
    gust_across: Floats
    strike: Floats
    aside: Floats
    bounce: Floats
    bias_rad: Floats
    side_factor: Floats
    drift_response: Floats
    run_log: Floats

    def of(self, cells: Ints) -> Balls:
        """The same balls for some of the cells."""
        kept = {field.name: getattr(self, field.name) for field in fields(self)}
        for name in ("mean_log", "spread", "bias_rad", "run_log"):
            kept[name] = kept[name][:, cells]
        return Balls(**kept | {"stock_m": self.stock_m[cells]})

    def every(self, step: int) -> Balls:
        """Every so-manieth of the balls of each player; `step` divides how many each struck."""
        kept = {field.name: getattr(self, field.name) for field in fields(self)}
        return Balls(
            **{name: part if name in ("players", "stock_m") else part[::step] for name, part in kept.items()}
        )


@dataclass(frozen=True, slots=True)
class Rest:
    """Where balls (n, c) landed and came to rest, m; `side_m` is right of the target line, no aim-off in."""

    carry_m: Floats
    along_m: Floats
    side_m: Floats


def roll_balls(
    posterior: Posterior,
    traits: Traits,
    doubt: Doubt,
    rng: np.random.Generator,
    *,
    left_handed: bool = False,
    players: int = PLAYERS,
    strikes: int = STRIKES,
) -> Balls:
    """Draw the balls that every option meets. Raises UnreliableEstimateError where the posterior may not be used.

    `traits.side` of a left-handed player is that of his mirror image: his draws are mirrored here, so that a mirrored
    player in a mirrored wind has exactly mirrored chances.
    """
    posterior.diagnostics.require_reliable()
    draws, priors = posterior.draws, posterior.priors
    of = np.repeat(_drawn_by_weight(posterior.weights, players, rng), strikes)
    n, hand = len(of), -1.0 if left_handed else 1.0
    bad = rng.random(n) < draws.mishit_share[of]
    along, across = _misread_by(posterior, doubt, of, players, rng)
    if doubt.reading is None:
        across = hand * across
    offset = _day_and_ground(posterior, doubt, of, players, rng)
    gusts = rng.standard_normal((2, n))
    strike, aside, bounce = rng.standard_normal((3, n))
    other = np.repeat(np.arange(players) % len(traits.side.shot_sd_rad), strikes)
    run = np.repeat(np.arange(players) % len(traits.run.log_ratio), strikes)
    club = posterior.cells.club
    return Balls(
        players=players,
        stock_m=posterior.cells.stock_carry_m[club],
        mean_log=draws.eta[of] + offset[:, None],
        wind_response=draws.wind_response[of],
        spread=np.where(bad[:, None], 0.0, np.exp(draws.log_spread[of][:, club])),
        loss=bad * draws.mishit_loss[of],
        mishit_sd=np.where(bad, priors.mishit_sd, 0.0),
        along_mps=along,
        across_mps=across,
        gust_along=gusts[0],
        gust_across=hand * gusts[1],
        strike=strike,
        aside=hand * aside,
        bounce=bounce,
        bias_rad=hand * traits.side.bias_rad[other][:, club],
        side_factor=traits.side.shot_sd_rad[other] / SidePrior().shot_sd_rad,
        drift_response=traits.side.drift_response[other],
        run_log=traits.run.log_ratio[run],
    )


def _misread_by(
    posterior: Posterior, doubt: Doubt, of: Ints, players: int, rng: np.random.Generator
) -> tuple[Floats, Floats]:
    """What the reading is off by along and across (n,), m/s: one error a player's draw."""
    own, turned = rng.standard_normal((2, players)).repeat(len(of) // players, axis=1)
    if doubt.reading is not None:
        return posterior.draws.along[of, doubt.reading], posterior.draws.across[of, doubt.reading]
    return doubt.along_sd_mps * own, doubt.across_sd_mps * turned


def _day_and_ground(posterior: Posterior, doubt: Doubt, of: Ints, players: int, rng: np.random.Generator) -> Floats:
    """Log offset (n,) of the day, the ball and the surface."""
    draws = posterior.draws
    offset = rng.standard_normal(players).repeat(len(of) // players) * posterior.priors.day_sd
    if doubt.day is not None:
        offset = draws.day[of, doubt.day]
    return np.asarray(offset + doubt.range_ball * draws.range_ball[of] + doubt.mat * draws.mat[of])


def _drawn_by_weight(weights: Floats, count: int, rng: np.random.Generator) -> Ints:
    """Systematic draws (count,) of indices in proportion to `weights`."""
    at = (np.arange(count) + rng.random()) / count
    return np.minimum(np.searchsorted(np.cumsum(weights), at), len(weights) - 1).astype(np.int64)


def come_to_rest(balls: Balls, flights: CellFlights, gust_sd_mps: float = 0.0) -> Rest:
    """Fly and roll every ball with every cell of `flights` (c,) in a wind whose gusts scatter by `gust_sd_mps`.

    Raises InputError where the flights are of other cells than the balls.
    """
    if flights.log_wind.shape != balls.stock_m.shape:
        raise InputError("the flights are of other cells than the balls", "choose", "fly every cell once")
    along = (balls.along_mps + gust_sd_mps * balls.gust_along)[:, None]
    across = (balls.across_mps + gust_sd_mps * balls.gust_across)[:, None]
    log_carry = balls.spread * flights.spread_log + balls.mishit_sd[:, None]
    log_carry *= balls.strike[:, None]
    log_carry += balls.mean_log
    log_carry += balls.wind_response[:, None] * flights.log_wind
    log_carry += flights.log_slope_along * along
    log_carry += flights.log_slope_across * across
    log_carry -= balls.loss[:, None]
    carry = balls.stock_m * np.exp(log_carry)
    rho = flights.carry_side_correlation
    side = flights.side_sd_m * rho * balls.strike[:, None]
    side += flights.side_sd_m * np.sqrt(1 - rho * rho) * balls.aside[:, None]
    side *= balls.side_factor[:, None]
    drift = flights.side_m + flights.side_slope_along * along
    drift += flights.side_slope_across * across
    drift *= balls.drift_response[:, None]
    side += drift
    side += balls.bias_rad * carry
    run = flights.run_m * np.exp(balls.run_log) + flights.run_spread_m * balls.bounce[:, None]
    return Rest(carry, carry + run, side * (1 + run / carry))
