"""Struck or mishit, where in its zone a ball fell, how much a club scatters: all given the locations.

    z | struck ~ N(l, (f·exp(theta_club))² + seen²)        z | mishit ~ N(l − m, mishit_sd² + seen²)

A mishit is marked with a chance of its own (`mark_rate`); a struck ball never is, so a mark is certain and its lack
says a little too. f is what the flight makes of an ordinary strike's scatter in that wind.

A shot with two carries, calculated from launch data and seen, has the device's error in both: the label is drawn with
the error summed out, then the error itself, so that every row is once more of one number.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainer.core.estimate import normal
from trainer.core.estimate.design import Design
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.estimate.locations import gather

LONGEST_STEP = 2.0
"""A Newton step is shortened to this many proposal s.d.: from far out the curvature misleads."""


@dataclass(frozen=True, slots=True)
class Mixture:
    """`share`, `mark_rate` and `log_spread_mean` (b,), `log_spread` (b, k) of every club."""

    share: Floats
    mark_rate: Floats
    log_spread_mean: Floats
    log_spread: Floats


@dataclass(frozen=True, slots=True)
class NewtonPoint:
    """Log density (b,) at `x` (b, q), and the normal proposal from it: the `root` L of its precision L·Lᵀ.

    Its centre is x + L⁻ᵀ·`pull`.
    """

    density: Floats
    x: Floats
    root: Floats
    pull: Floats

    def propose(self, rng: np.random.Generator) -> Floats:
        """A draw (b, q) of the proposal."""
        noise = self.pull + rng.standard_normal(self.pull.shape)
        return np.asarray(self.x + np.linalg.solve(np.swapaxes(self.root, 1, 2), noise[..., None])[..., 0])

    def log_proposal(self, to: Floats) -> Floats:
        """Log density (b,), up to a constant, of proposing `to` (b, q) from here."""
        size = np.matmul(np.swapaxes(self.root, 1, 2), (to - self.x)[..., None])[..., 0] - self.pull
        scale = np.log(np.diagonal(self.root, axis1=1, axis2=2)).sum(axis=1)
        return np.asarray(scale - 0.5 * np.sum(size**2, axis=1))


def newton_point(density: Floats, x: Floats, slope: Floats, info: Floats) -> NewtonPoint:
    """The proposal from `x` (b, q) with curvature `info` (b, q, q); a long step is shortened."""
    root, pull = normal.whitened(info, slope)
    length = np.sqrt(np.maximum(np.sum(pull**2, axis=1), 1e-12))
    return NewtonPoint(density, x, root, pull * np.minimum(1.0, LONGEST_STEP / length)[:, None])


@dataclass(frozen=True, slots=True)
class Imputed:
    """Of each shot (b, n): `mishit` (0 or 1), log ratio `z`, variances `struck_var` and `mishit_var`."""

    mishit: Floats
    z: Floats
    struck_var: Floats
    mishit_var: Floats

    @property
    def weight(self) -> Floats:
        """Precision of each shot given whether it was mishit."""
        return np.asarray(1.0 / np.where(self.mishit > 0, self.mishit_var, self.struck_var))


def struck_variance(design: Design, log_spread: Floats) -> Floats:
    """Variance (b, n) of a struck shot about its mean."""
    return np.asarray((design.spread * gather(np.exp(log_spread), design.club)) ** 2 + design.seen_var)


def impute(design: Design, mixture: Mixture, mean: Floats, loss: Floats, rng: np.random.Generator) -> Imputed:
    """Draw whether each shot was mishit and where in its zone it fell, `mean` (b, n) if struck, `loss` (b,)."""
    struck_var = struck_variance(design, mixture.log_spread)
    mishit_var = np.broadcast_to(design.priors.mishit_sd**2 + design.seen_var, struck_var.shape)
    low = mean - loss[:, None]
    odds = mishit_log_odds(design, mixture, mean, low, struck_var, mishit_var)
    if design.paired:
        pairs = _Pairs.of(design, mean)
        odds = odds + pairs.log_likelihoods(low, mishit_var) - pairs.log_likelihoods(mean, struck_var)
    chance = 1.0 / (1.0 + np.exp(-np.clip(odds, -700, 700)))
    mishit = ((rng.random(mean.shape) < chance) | design.marked) & design.counted
    zone = ~design.exact & design.bounded
    z = np.broadcast_to(np.where(design.exact, design.low, 0.0), mean.shape)
    if design.paired:
        z = z + pairs.errors(np.where(mishit, low, mean), np.where(mishit, mishit_var, struck_var), rng)
    if bool(zone.any()):
        centre = np.where(mishit, low, mean)
        sd = np.sqrt(np.where(mishit, mishit_var, struck_var))
        drawn = normal.truncated((design.low - centre) / sd, (design.high - centre) / sd, rng.random(mean.shape))
        z = np.where(zone, centre + sd * drawn, z)
    return Imputed(mishit.astype(np.float64), z, struck_var, np.asarray(mishit_var))


def mishit_log_odds(
    design: Design, mixture: Mixture, mean: Floats, low: Floats, struck_var: Floats, mishit_var: Floats
) -> Floats:
    """Log odds (b, n) that an unmarked shot was mishit."""
    prior = np.log(mixture.share) - np.log1p(-mixture.share) + np.log1p(-mixture.mark_rate)
    return np.asarray(
        prior[:, None] + log_likelihoods(design, low, mishit_var) - log_likelihoods(design, mean, struck_var)
    )


@dataclass(frozen=True, slots=True)
class _Pairs:
    """The shots with two carries (q): where they sit and where their differences (b, q)."""

    design: Design
    player: Ints
    shot: Ints
    partner: Ints
    gap: Floats

    @classmethod
    def of(cls, design: Design, mean: Floats) -> _Pairs:
        """With `mean` (b, n) of every row; `gap` is by how much a difference exceeds its mean."""
        player, shot = np.nonzero(design.partner >= 0)
        partner = design.partner[player, shot]
        gap = design.low[player, partner] - mean[_chains(design, player), partner]
        return cls(design, player, shot, partner, gap)

    def log_likelihoods(self, mean: Floats, variance: Floats) -> Floats:
        """Log likelihood (b, n) of the differences given the calculated carries, less than a constant apart."""
        device, seen = self._variances()
        share = device / (self._at(variance) + device)
        ahead = share * (self._carry() - self._at(mean))
        left = seen + device * (1.0 - share)
        out = np.zeros_like(mean)
        out[_chains(self.design, self.player), self.shot] = -0.5 * ((self.gap + ahead) ** 2 / left + np.log(left))
        return out

    def errors(self, mean: Floats, variance: Floats, rng: np.random.Generator) -> Floats:
        """What to add to every row (b, n): the device's error is drawn and goes from one row to the other."""
        device, seen = self._variances()
        share = device / (self._at(variance) + device)
        ahead, own = share * (self._carry() - self._at(mean)), device * (1.0 - share)
        precision = 1.0 / own + 1.0 / seen
        drawn = (ahead / own - self.gap / seen) / precision
        drawn = drawn + rng.standard_normal(drawn.shape) / np.sqrt(precision)
        out = np.zeros_like(mean)
        chains = _chains(self.design, self.player)
        out[chains, self.shot], out[chains, self.partner] = -drawn, drawn
        return out

    def _variances(self) -> tuple[Floats, Floats]:
        """The device's variance (q,) and that of seeing the carry."""
        return self.design.device_var[self.player, self.shot], self.design.seen_var[self.player, self.partner]

    def _carry(self) -> Floats:
        return np.asarray(self.design.low[self.player, self.shot])

    def _at(self, values: Floats) -> Floats:
        return np.asarray(values[_chains(self.design, self.player), self.shot])


def _chains(design: Design, player: Ints) -> Ints | slice:
    """Whose chains a shot concerns: every chain where all work on one player, else the player's own."""
    return slice(None) if design.players == 1 else player


def log_likelihoods(design: Design, mean: Floats, variance: Floats) -> Floats:
    """Log likelihood (b, n) of what was seen of each shot: a density, a zone's probability, 0 if unseen."""
    z = np.where(design.exact, design.low, 0.0)
    variance = variance + design.device_var
    dense = -0.5 * ((z - mean) ** 2 / variance + np.log(variance)) - normal.LOG_ROOT_TWO_PI
    zone = ~design.exact & design.bounded
    out = np.where(design.exact, dense, 0.0)
    if bool(zone.any()):
        sd = np.sqrt(variance)
        inside = normal.interval_probability((design.low - mean) / sd, (design.high - mean) / sd)
        out = np.where(zone, np.log(inside), out)
    return np.asarray(out)


def draw_shares(design: Design, imputed: Imputed, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Mishit share and mark rate (b,), conjugate."""
    bad = imputed.mishit.sum(axis=1)
    good = design.counted.sum(axis=1) - bad
    marked = (design.marked & design.counted).sum(axis=1)
    a, b = design.priors.mishit_share
    c, d = design.priors.mark_rate
    share = np.clip(rng.beta(a + bad, b + good), 1e-12, 1 - 1e-12)
    return share, np.clip(rng.beta(c + marked, d + bad - marked), 1e-12, 1 - 1e-12)


def draw_log_spread(
    design: Design, imputed: Imputed, mixture: Mixture, mean: Floats, rng: np.random.Generator
) -> tuple[Floats, Floats]:
    """All clubs' log spreads (b, k) by one Metropolis step from a Newton proposal, then their mean (b,).

    The mean is integrated out of the step: with it held, the clubs hardly move against it.
    """
    counts = (1.0 - imputed.mishit) * design.known
    residual = (imputed.z - mean) ** 2
    precision = log_spread_precision(design)
    now = mixture.log_spread
    here = _newton(design, now, precision, residual, counts)
    moved = here.propose(rng)
    there = _newton(design, moved, precision, residual, counts)
    gain = there.density - here.density + there.log_proposal(now) - here.log_proposal(moved)
    accepted = np.log(rng.random(len(now))) < gain
    drawn = np.where(accepted[:, None], moved, now)
    return drawn, _draw_log_spread_mean(design, drawn, rng)


def per_club(design: Design, values: Floats) -> Floats:
    """Sums (b, …, k) of `values` (b, …, n) over each club's shots of which anything was seen."""
    if design.players == 1:
        return np.asarray(values @ design.clubs[0])
    if values.ndim == 2:
        return np.asarray(np.matmul(values[:, None, :], design.clubs)[:, 0])
    return np.asarray(np.matmul(values, design.clubs))


def log_spread_precision(design: Design) -> Floats:
    """Prior precision (k, k) of the clubs' log spreads, their common mean integrated out (Sherman–Morrison)."""
    own, common, clubs = design.priors.club_log_spread_sd**2, design.priors.log_spread.sd**2, design.prior.clubs
    return np.asarray((np.eye(clubs) - common / (own + clubs * common)) / own)


def _newton(design: Design, log_spread: Floats, precision: Floats, residual: Floats, counts: Floats) -> NewtonPoint:
    """Log density of the clubs' log spreads, and the proposal from here by Fisher scoring."""
    b, clubs = log_spread.shape
    own = (design.spread * gather(np.exp(log_spread), design.club)) ** 2
    variance = own + design.seen_var
    ratio = residual / variance
    share = own / variance
    gap = log_spread - design.priors.log_spread.mean
    pressed = gap @ precision
    density = np.sum(-0.5 * (np.log(variance) + ratio) * counts, axis=1) - 0.5 * np.sum(gap * pressed, axis=1)
    info = np.broadcast_to(precision, (b, clubs, clubs)).copy()
    info[:, np.arange(clubs), np.arange(clubs)] += per_club(design, 2.0 * share**2 * counts)
    return newton_point(density, log_spread, per_club(design, share * (ratio - 1.0) * counts) - pressed, info)


def _draw_log_spread_mean(design: Design, log_spread: Floats, rng: np.random.Generator) -> Floats:
    """The player's mean log spread (b,) given the clubs'; clubs not hit are left out and follow it."""
    prior, sd = design.priors.log_spread, design.priors.club_log_spread_sd
    hit = (design.clubs.sum(axis=1) > 0).astype(np.float64)
    precision = hit.sum(axis=1) / sd**2 + prior.sd**-2
    mean = (np.sum(log_spread * hit, axis=1) / sd**2 + prior.mean / prior.sd**2) / precision
    return np.asarray(mean + rng.standard_normal(len(log_spread)) / np.sqrt(precision))
