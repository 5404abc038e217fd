"""Which ball tells most of what a player wants known, in the wind that blows.

Shapes: c cells, w directions, x = w·c candidate shots (direction by direction), t wanted cells, d days. With eta the
log still-air carry over stock of a cell and l_x the log carry over stock that is expected of shot x in today's wind,

    gain(x) = Σ_t min(carry_t²·Cov(eta_t, l_x)² / (Var(l_x) + sigma_x²/(1 − pi)), excess_t)
    excess_t = max(carry_t²·Var(eta_t) − goal², 0)

with every variance and covariance taken *given the days' own offsets*: what a day hides no number of its balls can
tell, so a goal is stated beyond it. Only variance above the goal counts, so no ball is spent where enough is
known. What the wind hides stays in: balls in another direction do lower it.

Assumptions: what is believed is jointly Gaussian on the log scale; of the balls only the struck share 1 − pi tells.
Source: Bayesian experimental design for the linear model (Chaloner & Verdinelli 1995, Statist. Sci. 10, 273–304); the
greedy sequence is updated by rank-one steps of the joint covariance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trainer.core.bag import Cell
from trainer.core.constants import YARD_M, Z80
from trainer.core.errors import InputError
from trainer.core.estimate.evidence import Floats, Ints

Bools = NDArray[np.bool_]


GOAL_HALF_WIDTH_M = 4 * YARD_M
"""How well a carry is to be known beyond the floor, ± at 80 % (common practice)."""

MANY = 1000.0
"""Balls of every offered shot that stand for "any number"."""

NOTHING_M2 = 1e-4
"""A gain below a square centimetre is none."""

NARROWER = 0.9
"""Past the goal the next one is a tenth narrower than what is least sure."""


@dataclass(frozen=True, slots=True)
class Direction:
    """A line that balls can be hit along, with the flags that stand on it.

    `offered` is false where it is only compared with what is offered: a calm day, another wind.
    """

    name: str
    bearing_rad: float = 0.0
    flags: tuple[str, ...] = ()
    offered: bool = True


@dataclass(frozen=True, slots=True, eq=False)
class Beliefs:
    """What is believed of the cells and of every candidate shot, as one joint Gaussian on the log scale.

    `stock_m` (c,) turns log ratios into metres. `still_mean` (c,) and `shot_mean` (w, c) are the means of eta and of
    l_x. `covariance` (c + x, c + x) is that of both, eta first, given the days' offsets; what the days add to it is
    `day_root` (c + x, d) times its transpose. `ball_var` (w, c) is the variance of one struck ball about l_x, seeing
    included; `mishit_share` the share of balls that tell nothing.
    """

    cells: tuple[Cell, ...]
    directions: tuple[Direction, ...]
    stock_m: Floats
    still_mean: Floats
    shot_mean: Floats
    covariance: Floats
    day_root: Floats
    ball_var: Floats
    mishit_share: float

    @property
    def still_carry_m(self) -> Floats:
        """Median still-air carry (c,), m."""
        return np.asarray(self.stock_m * np.exp(self.still_mean))

    @property
    def still_half_width_m(self) -> Floats:
        """Half-width (c,) of the 80 % interval of the still-air carry, m, the days' part included."""
        return np.asarray(Z80 * self.still_carry_m * np.sqrt(self._variance[: len(self.cells)]))

    @property
    def shot_var(self) -> Floats:
        """Variance (w, c) of l_x, the day's part included."""
        return np.asarray(self._variance[len(self.cells) :].reshape(self.shot_mean.shape))

    @property
    def _variance(self) -> Floats:
        return np.asarray(np.maximum(np.diag(self.covariance), 0.0) + np.sum(self.day_root**2, axis=1))

    @property
    def offered(self) -> Bools:
        """Which candidates (x,) can be hit."""
        return np.repeat([direction.offered for direction in self.directions], len(self.cells))

    def position(self, cell: Cell) -> int:
        """The place of `cell`; raises InputError where nothing is believed of it."""
        if cell not in self.cells:
            raise InputError(
                f"nothing is known of {cell.club}", "agenda", "add the shot to the bag's grips and swings"
            )
        return self.cells.index(cell)


def beliefs_from_gaussian(
    cells: tuple[Cell, ...],
    directions: tuple[Direction, ...],
    *,
    stock_m: Floats,
    mean: Floats,
    covariance: Floats,
    days: Ints,
    still_rows: Floats,
    shot_rows: Floats,
    ball_var: Floats,
    mishit_share: float,
) -> Beliefs:
    """Beliefs from a Gaussian posterior of effects: `mean` (p,), `covariance` (p, p), `days` (d,) the days' places.

    `still_rows` (c, p) read eta, `shot_rows` (w, c, p) the log carry of a shot in a direction. Raises InputError for
    values that are not finite.
    """
    rows = np.concatenate([still_rows, shot_rows.reshape(-1, len(mean))])
    spread = rows @ covariance
    hidden = spread[:, days]
    root = np.linalg.cholesky(covariance[np.ix_(days, days)])
    day_root = np.linalg.solve(root, hidden.T).T
    joint = spread @ rows.T - day_root @ day_root.T
    return _checked(cells, directions, stock_m, rows @ mean, joint, day_root, ball_var, mishit_share)


def beliefs_from_draws(
    cells: tuple[Cell, ...],
    directions: tuple[Direction, ...],
    *,
    stock_m: Floats,
    still: Floats,
    shots: Floats,
    days: Floats,
    ball_var: Floats,
    mishit_share: float,
    weights: Floats | None = None,
) -> Beliefs:
    """Beliefs from joint draws: `still` (n, c) of eta, `shots` (n, w, c) of the log carry of a shot, `days` (n, d).

    The days' part is what linear regression on their draws explains. `weights` (n,) are even where they are None.
    Raises InputError for values that are not finite.
    """
    share = np.full(len(still), 1.0 / len(still)) if weights is None else weights / np.sum(weights)
    draws = np.concatenate([still, shots.reshape(len(shots), -1)], axis=1)
    middle = share @ draws
    centred = np.sqrt(share)[:, None] * (draws - middle)
    causes = np.sqrt(share)[:, None] * (days - share @ days)
    size = 1.0 / float(np.sum(share**2))
    orthogonal, _ = np.linalg.qr(causes)
    day_root = (orthogonal.T @ centred).T
    rest = centred - orthogonal @ day_root.T
    joint = rest.T @ rest * (size / max(size - days.shape[1] - 1.0, 1.0))
    return _checked(cells, directions, stock_m, middle, joint, day_root, ball_var, mishit_share)


def _checked(
    cells: tuple[Cell, ...],
    directions: tuple[Direction, ...],
    stock_m: Floats,
    mean: Floats,
    joint: Floats,
    day_root: Floats,
    ball_var: Floats,
    mishit_share: float,
) -> Beliefs:
    finite = all(bool(np.all(np.isfinite(values))) for values in (stock_m, mean, joint, day_root, ball_var))
    if not (finite and bool(np.all(stock_m > 0)) and bool(np.all(ball_var > 0)) and 0.0 <= mishit_share < 1.0):
        raise InputError("an estimate is not a number that a shot can have", "agenda", "check the clubs' carries")
    count = len(cells)
    shot_mean = mean[count:].reshape(len(directions), count)
    joint = (joint + joint.T) / 2
    return Beliefs(cells, directions, stock_m, mean[:count], shot_mean, joint, day_root, ball_var, mishit_share)


def floor_half_width_m(beliefs: Beliefs, wanted: Ints) -> Floats:
    """Half-width (t,), m, of the wanted 80 % intervals that any number of the offered balls of this day would leave.

    The day's own part is in: on one day it cannot be told from the club.
    """
    count = len(beliefs.cells)
    shots = count + np.flatnonzero(beliefs.offered)
    joint = beliefs.covariance + beliefs.day_root @ beliefs.day_root.T
    variance = np.diag(joint)[wanted]
    if len(shots):
        inner = joint[np.ix_(shots, shots)] + np.diag(beliefs.ball_var.ravel()[shots - count] / MANY)
        across = np.linalg.solve(np.linalg.cholesky(inner), joint[np.ix_(shots, wanted)])
        variance = variance - np.einsum("xt,xt->t", across, across)
    return np.asarray(Z80 * beliefs.still_carry_m[wanted] * np.sqrt(np.maximum(variance, 0.0)))


class Outlook:
    """What is left to learn while balls are chosen one after another; their results are not needed for that."""

    def __init__(self, beliefs: Beliefs, wanted: Ints, goal_half_width_m: float = GOAL_HALF_WIDTH_M) -> None:
        count = len(beliefs.cells)
        self._joint = beliefs.covariance[count:, count:]
        self._cross = beliefs.covariance[wanted, count:].copy()
        self._shot_var = np.diag(self._joint).copy()
        self._noise = beliefs.ball_var.ravel() / (1.0 - beliefs.mishit_share)
        self._scale = beliefs.still_carry_m[wanted] ** 2
        self._still_var = np.diag(beliefs.covariance)[wanted].copy()
        self._enough_m2 = (goal_half_width_m / Z80) ** 2
        self._steps: list[Floats] = []

    @property
    def half_width_m(self) -> Floats:
        """Half-width (t,) of the wanted 80 % intervals beyond the days, m, after the balls chosen so far."""
        return np.asarray(Z80 * np.sqrt(self._scale * np.maximum(self._still_var, 0.0)))

    @property
    def excess_m2(self) -> Floats:
        """How much of the variance (t,), m², is above the goal."""
        return np.asarray(np.maximum(self._scale * self._still_var - self._enough_m2, 0.0))

    @property
    def is_done(self) -> bool:
        """Whether all that is wanted is within the goal."""
        return float(self.excess_m2.max(initial=0.0)) <= NOTHING_M2

    def falls_m2(self, shot: int) -> Floats:
        """Fall (t,) of each wanted carry's variance by one ball of `shot`, m², what is above the goal alone."""
        falls = self._scale * self._cross[:, shot] ** 2 / (self._shot_var[shot] + self._noise[shot])
        return np.asarray(np.minimum(falls, self.excess_m2))

    def gains_m2(self) -> Floats:
        """Summed fall (x,) by one ball of each candidate, m²."""
        return self._gains_m2(self._enough_m2)

    def _gains_m2(self, enough_m2: float) -> Floats:
        excess = self._scale * self._still_var - enough_m2
        open_ = np.flatnonzero(excess > 0)
        falls = self._cross[open_] ** 2
        falls *= self._scale[open_, None]
        falls /= self._shot_var + self._noise
        np.minimum(falls, excess[open_, None], out=falls)
        return np.asarray(falls.sum(axis=0))

    def best(self, can: Bools, *, past_goal: bool = False) -> tuple[int, float]:
        """The candidate among those that `can` (x,) be hit whose ball tells most, and its gain, m².

        With `past_goal`, where none gains any more, the one that tells most of what is least sure.
        """
        gains = np.where(can, self.gains_m2(), 0.0)
        if past_goal and float(gains.max(initial=0.0)) <= NOTHING_M2:
            widest_m2 = float(np.max(self._scale * self._still_var, initial=0.0))
            gains = np.where(can, self._gains_m2(NARROWER**2 * widest_m2), 0.0)
        best = int(np.argmax(gains))
        return best, float(gains[best])

    def hit(self, shot: int) -> None:
        """Take one ball of `shot` as hit: a rank-one step."""
        column = self._joint[:, shot].copy()
        for step in self._steps:
            column -= step[shot] * step
        root = np.sqrt(self._shot_var[shot] + self._noise[shot])
        step, told = column / root, self._cross[:, shot] / root
        self._cross -= told[:, None] * step
        self._still_var -= told**2
        self._shot_var -= step**2
        self._steps.append(step)


@dataclass(frozen=True, slots=True)
class Choice:
    """One ball chosen for what it tells.

    `cell` and `direction` are places in the beliefs, `tells_of` the place of the wanted cell that it narrows most.
    `half_width_m` is that carry's ± at 80 % beyond the days before the ball.
    """

    cell: int
    direction: int
    tells_of: int
    half_width_m: float


def choose_balls(
    beliefs: Beliefs,
    wanted: Ints,
    balls: int,
    *,
    goal_half_width_m: float = GOAL_HALF_WIDTH_M,
    allowed: Bools | None = None,
    most_a_cell: int | None = None,
    already: tuple[int, ...] = (),
    past_goal: bool = False,
) -> tuple[Choice, ...]:
    """The greedy sequence of at most `balls` among the `allowed` candidates (x,), the offered ones where it is None.

    `already` are candidates to be hit whatever they tell. It ends early where every wanted carry is within the goal,
    or with `past_goal` goes on to what narrows them most beyond it.
    """
    outlook = Outlook(beliefs, wanted, goal_half_width_m)
    for shot in already:
        outlook.hit(shot)
    can = beliefs.offered if allowed is None else allowed & beliefs.offered
    return choose_on(outlook, beliefs, wanted, balls, can, most_a_cell=most_a_cell, past_goal=past_goal)


def choose_on(
    outlook: Outlook, beliefs: Beliefs, wanted: Ints, balls: int, can: Bools, *, most_a_cell: int | None = None,
    past_goal: bool = False,
) -> tuple[Choice, ...]:  # fmt: skip
    """The same from `outlook` on, of those that `can` (x,) be hit; `outlook` holds the chosen balls afterwards."""
    count = len(beliefs.cells)
    left = np.full(count, balls if most_a_cell is None else most_a_cell)
    chosen: list[Choice] = []
    for _ in range(balls):
        best, gain = outlook.best(can & np.tile(left > 0, len(beliefs.directions)), past_goal=past_goal)
        if gain <= NOTHING_M2:
            break
        most = int(np.argmax(outlook.falls_m2(best)))
        direction, cell = divmod(best, count)
        chosen.append(Choice(cell, direction, int(wanted[most]), float(outlook.half_width_m[most])))
        outlook.hit(best)
        left[cell] -= 1
    return tuple(chosen)


def excess_left_m2(
    beliefs: Beliefs, wanted: Ints, balls: int, direction: int, goal_half_width_m: float = GOAL_HALF_WIDTH_M
) -> float:
    """Summed variance above the goal, m², that the best `balls` along one direction leave; offered or not."""
    outlook = Outlook(beliefs, wanted, goal_half_width_m)
    here = np.repeat(np.arange(len(beliefs.directions)) == direction, len(beliefs.cells))
    for _ in range(balls):
        best, gain = outlook.best(here)
        if gain <= NOTHING_M2:
            break
        outlook.hit(best)
    return float(outlook.excess_m2.sum())
