"""Where the first choice changes with the wind's strength, how surely that is known, and what misreading costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from trainer.core.constants import Z80
from trainer.core.decide.choose import SELDOM_SHORT, Aim, Chances, aim_off, chances, ranked
from trainer.core.decide.outcomes import Balls, CellFlights, Rest, come_to_rest
from trainer.core.decide.target import Target, judge
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.estimate.observations import Bools

HARDLY_WORTH_IT = 0.025
"""A switch worth less than this chance is none: it is half of the 5 % that chances are shown to, and near the draws'
own noise."""

NEARER_BY = 0.05
"""By so much of the mean miss one must be nearer than another to take its place."""

HOPELESS = 0.05
"""Where the first choice does the job seldomer than this there is nothing to switch between."""

CONTENDERS, COARSE = 16, 8
"""Every eighth ball tells which sixteen cells may be the first choice in a wind; only they meet every ball."""

_NEIGHBOURS = 3


@dataclass(frozen=True, slots=True)
class Winds:
    """Winds of rising strength from one direction, and what the flight makes of the cells in some of them.

    `flights` (k, c) are those at `knots_mps` (k,), `near` (k, c) whether a cell's balls may end near the target
    there, `speeds_mps` (w,) the winds to look at; gusts scatter by `gust_share` of the wind.
    """

    flights: CellFlights
    knots_mps: Floats
    near: Bools
    speeds_mps: Floats
    gust_share: float

    def at(self, speed_mps: float) -> tuple[CellFlights, float]:
        """Flights (c,) in a wind of `speed_mps`, and the s.d. of its gusts."""
        return self.flights.between(self.knots_mps, speed_mps), self.gust_share * speed_mps

    def near_at(self, speed_mps: float) -> Ints:
        """The cells whose balls may end near the target in a wind of `speed_mps`."""
        after = int(np.clip(np.searchsorted(self.knots_mps, speed_mps), 0, len(self.knots_mps) - 1))
        return np.flatnonzero(self.near[max(after - 1, 0)] | self.near[after]).astype(np.int64)


@dataclass(frozen=True, slots=True)
class Switch:
    """The first choice changes at `speed_mps` ± `plus_minus_mps` (80 %) from one cell to another (indices)."""

    speed_mps: float
    plus_minus_mps: float
    before: int
    after: int


def first_choices(balls: Balls, winds: Winds, target: Target, aim: Aim, start: int) -> tuple[list[int], Floats]:
    """The first choice in each wind, walking out from wind number `start`, and how often (w,) it does the job.

    One that only the draws' noise would change stays.
    """
    counted = [_counted(balls, winds, target, aim, speed) for speed in winds.speeds_mps.tolist()]
    first = [int(ranked(found, aim)[0]) for found in counted]
    for step, ways in ((1, range(start + 1, len(first))), (-1, range(start - 1, -1, -1))):
        for w in ways:
            if _is_noise(counted[w], aim, first[w - step], first[w]):
                first[w] = first[w - step]
    return first, np.array([found.done[one] for found, one in zip(counted, first, strict=True)])


def _counted(balls: Balls, winds: Winds, target: Target, aim: Aim, speed_mps: float) -> Chances:
    """Chances of every cell (c,) in one wind; one that cannot be the first choice misses by far."""
    near = winds.near_at(speed_mps)
    flights, gust = winds.at(speed_mps)
    coarse = chances(target, come_to_rest(balls.every(COARSE).of(near), flights.of(near), gust))
    near = np.sort(near[ranked(coarse, aim)[:CONTENDERS]])
    found = chances(target, come_to_rest(balls.of(near), flights.of(near), gust))
    whole = {}
    for field in fields(Chances):
        filled = np.full(len(balls.stock_m), np.inf if field.name == "miss_m" else 0.0)
        filled[near] = getattr(found, field.name)
        whole[field.name] = filled
    whole["short"][~np.isin(np.arange(len(balls.stock_m)), near)] = 1.0
    return Chances(**whole)


def _is_noise(found: Chances, aim: Aim, kept: int, other: int) -> bool:
    """Whether `other` is better than `kept` by no more than noise."""
    if aim is Aim.NEAREST:
        return bool(found.miss_m[other] > (1 - NEARER_BY) * found.miss_m[kept])
    gain = found.done[other] - found.done[kept]
    if aim is Aim.NEVER_SHORT:
        short = np.maximum(found.short, 1.0 - found.over)
        if short[kept] > SELDOM_SHORT:
            gain = short[kept] - short[other]
    return bool(gain < HARDLY_WORTH_IT)


def switches(balls: Balls, winds: Winds, target: Target, aim: Aim, start: int) -> tuple[Switch, ...]:
    """Every change of the first choice as the wind rises; `start` is the number of the wind at hand.

    The uncertainty is the delta method's: how far apart the two choices are differs between the players that the
    shots allow (the strikes' own noise taken out), over how fast the wind pulls the two apart.
    """
    first, done = first_choices(balls, winds, target, aim, start)
    found = []
    for w in range(1, len(first)):
        if first[w] != first[w - 1] and max(done[w], done[w - 1]) >= HOPELESS:
            found.append(_switch(balls, winds, target, aim, w, (first[w - 1], first[w])))
    return tuple(found)


def _switch(balls: Balls, winds: Winds, target: Target, aim: Aim, w: int, pair: tuple[int, int]) -> Switch:
    """The switch between a pair of cells that comes between winds w − 1 and w."""
    speeds = winds.speeds_mps
    low, high = max(w - _NEIGHBOURS, 0), min(w + _NEIGHBOURS, len(speeds))
    difference = _apart(balls, winds, target, aim, speeds[low:high], pair)
    slope, level = np.polyfit(speeds[low:high] - speeds[w], difference.mean(axis=1), 1)
    # kept within its own step, so that switches follow each other as the choices do
    at = float(np.clip(speeds[w] - level / slope, speeds[w - 1], speeds[w])) if slope > 0 else float(speeds[w])
    by_player = difference[w - low].reshape(balls.players, -1)
    noise = float(by_player.var(axis=1, ddof=1).mean()) / by_player.shape[1]
    between = max(float(by_player.mean(axis=1).var(ddof=1)) - noise, 0.0)
    widest = float(speeds[-1])
    doubt = min(Z80 * float(np.sqrt(between)) / abs(float(slope)), widest) if slope else widest
    return Switch(at, doubt, *pair)


def _apart(balls: Balls, winds: Winds, target: Target, aim: Aim, speeds_mps: Floats, pair: tuple[int, int]) -> Floats:
    """How much more each ball (w, n) is worth with the second of a pair of cells than with the first."""
    cells = np.array(pair)
    mine = balls.of(cells)
    rows = []
    for speed in speeds_mps.tolist():
        flights, gust = winds.at(speed)
        rest = come_to_rest(mine, flights.of(cells), gust)
        side = rest.side_m + aim_off(rest)
        judged = judge(target, rest.carry_m, rest.along_m, side)
        worth = judged.done
        if aim is Aim.NEAREST:
            worth = -np.hypot(rest.along_m - target.distance_m, side)
        elif aim is Aim.NEVER_SHORT:
            worth = -np.maximum(judged.short, 1.0 - judged.over)
        rows.append(worth[:, 1] - worth[:, 0])
    return np.array(rows)


@dataclass(frozen=True, slots=True)
class Misread:
    """How often each of some cells (c,) does the job as the wind was read, and where it is less or more."""

    wrong_by_mps: float
    as_read: Floats
    less: Floats
    more: Floats

    @property
    def unsure(self) -> Floats:
        """How often where the wind is as likely less, or more, as it is right."""
        return (self.as_read + self.less + self.more) / 3


def misread(
    balls: Balls, winds: Winds, target: Target, cells: Sequence[int], speed_mps: float, wrong_by_mps: float
) -> Misread:
    """What `cells` do where the wind is `wrong_by_mps` less or more than `speed_mps`, aimed as for `speed_mps`."""
    own = np.array(cells)
    mine = balls.of(own)

    def rest_in(speed: float) -> Rest:
        flights, gust = winds.at(speed)
        return come_to_rest(mine, flights.of(own), gust)

    aim = aim_off(rest_in(speed_mps))

    def done(speed: float) -> Floats:
        rest = rest_in(speed)
        return np.asarray(judge(target, rest.carry_m, rest.along_m, rest.side_m + aim).done.mean(axis=0))

    less, more = max(speed_mps - wrong_by_mps, 0.0), min(speed_mps + wrong_by_mps, float(winds.knots_mps[-1]))
    return Misread(wrong_by_mps, done(speed_mps), done(less), done(more))
