"""The cells of a bag laid out for the flight and the club model."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from trainer.core.bag import Bag, Cell, Swing
from trainer.core.conditions import REFERENCE_AIR, Air, Conditions, Turf, Wind
from trainer.core.errors import InputError
from trainer.core.estimate.evidence import CellSet, Floats, Ints
from trainer.core.flight.delivery import Delivery, reference_delivery
from trainer.core.flight.descent import Descent, descent_range
from trainer.core.flight.refine import shifted
from trainer.core.flight.scatter import CLUB_GOLFER, Scatter, strike_scatter
from trainer.core.flight.trajectory import Launch
from trainer.core.flight.wind import WindField, wind_field
from trainer.core.flight.wind_effect import WindEffects, wind_effects
from trainer.core.units import to_si


@dataclass(frozen=True, slots=True, eq=False)
class Bench:
    """Cells with their index, their arrays for the model (c,) and their reference deliveries (c,).

    `plain` is the bench that the deliveries were shifted from, None where they were not. One of its kind is made for
    a bag and kept, so benches compare by identity.
    """

    cells: tuple[Cell, ...]
    index: dict[Cell, int]
    arrays: CellSet
    deliveries: Delivery
    plain: Bench | None = None

    @property
    def unshifted(self) -> Bench:
        """The same cells with the deliveries that were expected before any strike was seen."""
        return self.plain or self

    def shifted(self, launch_rad: Floats, log_spin_ratio: Floats) -> Bench:
        """The same cells with deliveries launched higher, and spun more, by so much (c,).

        Shifts are taken in steps, so that one more ball mostly leaves the bench, and what was flown for it, as it is.
        """
        steps = np.rint(launch_rad / LAUNCH_STEP_RAD), np.rint(log_spin_ratio / LOG_SPIN_STEP)
        if not any(step.any() for step in steps):
            return self.unshifted
        return _shifted(self.unshifted, *(tuple(step.astype(int).tolist()) for step in steps))

    def effects(
        self,
        cells: Ints,
        along_mps: ArrayLike,
        across_mps: ArrayLike,
        height_m: ArrayLike,
        air: Air = REFERENCE_AIR,
        turf: Turf = Turf.MEDIUM,
    ) -> WindEffects:
        """What winds do to the reference deliveries of `cells` (n,), one wind each."""
        launch = self.deliveries.launch
        chosen = Launch(*(_taken(value, cells) for value in _fields(launch)))
        return _ahead(wind_effects(chosen, along_mps, across_mps, height_m, air=air, turf=turf))

    def scatter(
        self, cells: Ints, along_mps: Floats, across_mps: Floats, height_m: Floats, air: Air = REFERENCE_AIR
    ) -> Scatter:
        """How the strikes of `cells` (n,) scatter in winds, one each."""
        return strike_scatter(_chosen(self.deliveries, cells), WindField(along_mps, across_mps, height_m), air)

    def descents_in(self, conditions: Conditions, *, strikes: bool) -> Descent:
        """How steeply every cell (c,) comes down in the conditions: one ball, or the middle without `strikes`."""
        return _descents_in(self, conditions.wind, conditions.air, strikes)

    def scatter_in(self, conditions: Conditions) -> Scatter:
        """How ordinary strikes of every cell (c,) scatter in the conditions."""
        return _scatter_in(self, conditions.wind, conditions.air)

    def effects_in(self, conditions: Conditions) -> WindEffects:
        """What the conditions do to every cell (c,)."""
        return _effects_in(self, conditions)


def one_wind(wind: Wind, balls: int) -> tuple[Floats, Floats, Floats]:
    """Along, across (m/s) and height (m) of the one wind that each of `balls` meets, (n,) each."""
    field = wind_field(wind)
    along, across, height = (
        np.full(balls, float(np.asarray(value))) for value in (field.along_mps, field.across_mps, field.height_m)
    )
    return along, across, height


LEAST_CARRY_SHARE, MOST_SLOPE_LOG = 0.05, 0.2


def _ahead(effects: WindEffects) -> WindEffects:
    """`effects` with a carry of a twentieth of the still-air one at least: a gale takes a wedge back, no log does.

    There a slope over so small a carry would be as large as one likes: it is held to a fifth of that carry
    per metre a second.
    """
    carry_m = np.maximum(effects.carry_m, LEAST_CARRY_SHARE * effects.carry_still_m)
    most = MOST_SLOPE_LOG * carry_m
    return replace(
        effects, carry_m=carry_m, slope_along_m_per_mps=np.clip(effects.slope_along_m_per_mps, -most, most),
        slope_across_m_per_mps=np.clip(effects.slope_across_m_per_mps, -most, most),
    )  # fmt: skip


LAUNCH_STEP_RAD, LOG_SPIN_STEP = np.deg2rad(0.5), 0.04
"""A step of either changes a carry into a strong wind by half a hundredth."""


@lru_cache(maxsize=16)
def _shifted(bench: Bench, launch_steps: tuple[int, ...], spin_steps: tuple[int, ...]) -> Bench:
    launch_rad, log_spin = LAUNCH_STEP_RAD * np.array(launch_steps), LOG_SPIN_STEP * np.array(spin_steps)
    deliveries = _as_far_as_it_goes(bench.deliveries, launch_rad, log_spin)
    return replace(bench, deliveries=deliveries, plain=bench)


def _as_far_as_it_goes(deliveries: Delivery, launch_rad: Floats, log_spin: Floats) -> Delivery:
    """The deliveries shifted, or half as far, where a flatter one could not carry as far as its cell does."""
    for share in (1.0, 0.5, 0.25):
        with contextlib.suppress(InputError):
            return shifted(deliveries, share * launch_rad, share * log_spin)
    return deliveries


@lru_cache(maxsize=32)
def _effects_in(bench: Bench, conditions: Conditions) -> WindEffects:
    """Kept: a session asks for the same wind after every ball."""
    every = np.arange(len(bench.cells))
    return bench.effects(every, *one_wind(conditions.wind, len(every)), conditions.air, conditions.turf)


@lru_cache(maxsize=32)
def _scatter_in(bench: Bench, wind: Wind, air: Air) -> Scatter:
    every = np.arange(len(bench.cells))
    return bench.scatter(every, *one_wind(wind, len(every)), air)


@lru_cache(maxsize=8)
def _descents_in(bench: Bench, wind: Wind, air: Air, strikes: bool) -> Descent:
    there = WindField(*one_wind(wind, len(bench.cells)))
    return descent_range(bench.deliveries, there, air, CLUB_GOLFER if strikes else None)


def _chosen(deliveries: Delivery, cells: Ints) -> Delivery:
    launch = Launch(*(_taken(value, cells) for value in _fields(deliveries.launch)))
    rest = (deliveries.launch_sd_rad, deliveries.log_spin_sd, deliveries.log_ball_speed_sd, deliveries.scatter)
    return Delivery(launch, *(_taken(value, cells) for value in rest))


def _fields(launch: Launch) -> tuple[ArrayLike, ...]:
    return (
        launch.ball_speed_mps,
        launch.launch_rad,
        launch.spin_rad_s,
        launch.start_direction_rad,
        launch.axis_tilt_rad,
    )


def _taken(value: ArrayLike, cells: Ints) -> Floats:
    array = np.asarray(value, dtype=np.float64)
    return array[cells] if array.ndim else np.full(len(cells), float(array))


def lay_out(bag: Bag, hit: Sequence[Cell] = ()) -> Bench:
    """Every cell of the bag, then any other cell that was hit with one of its clubs."""
    held = {club.name for club in bag.clubs}
    usual = frozenset(bag.cells())
    return _lay_out(bag, tuple(cell for cell in sorted(set(hit) - usual) if cell.club in held))


def require_flyable(bag: Bag) -> None:
    """Raise InputError, naming the club, where no ball of a club's loft carries what is stated of it."""
    try:
        reference_delivery([club.loft_rad for club in bag.clubs], [club.stock_carry_m for club in bag.clubs])
    except InputError:
        _raise_for_the_club(bag)
        raise


def _raise_for_the_club(bag: Bag) -> None:
    """The same club by club, which takes as many times as long."""
    for club in bag.clubs:
        try:
            reference_delivery(club.loft_rad, club.stock_carry_m)
        except InputError as problem:
            raise InputError(problem.what, club.name, problem.remedy) from problem


@lru_cache(maxsize=16)
def _lay_out(bag: Bag, others: tuple[Cell, ...]) -> Bench:
    """Kept: solving every reference delivery takes longer than the rest of a figure's sums together."""
    cells = (*bag.cells(), *others)
    club_index = {club.name: position for position, club in enumerate(bag.clubs)}
    club = np.array([club_index[cell.club] for cell in cells], dtype=np.int64)
    loft_rad = np.array([each.loft_rad for each in bag.clubs])
    stock_m = np.array([each.stock_carry_m for each in bag.clubs])
    grip_m = np.array([cell.grip_down_m for cell in cells])
    arrays = CellSet(
        loft_deg=np.rad2deg(loft_rad),
        stock_carry_m=stock_m,
        club=club,
        grip_down_in=grip_m / to_si(1, "in"),
        three_quarter=np.array([float(cell.swing is Swing.THREE_QUARTER) for cell in cells]),
        half=np.array([float(cell.swing is Swing.HALF) for cell in cells]),
    )
    swings = np.array([cell.swing for cell in cells], dtype=object)
    try:
        deliveries = reference_delivery(loft_rad[club], stock_m[club], grip_m, swings)
    except InputError:
        _raise_for_the_club(bag)
        raise
    return Bench(cells, {cell: i for i, cell in enumerate(cells)}, arrays, deliveries)
