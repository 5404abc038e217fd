"""What the sampled club model is told of one player's balls.

Shapes: n shots, r wind readings, d days. Everything of a shot that comes from the flight (wind effect, its slope, the
scatter) belongs to its cell's reference delivery, never to the shot's own carry: a mishit would otherwise explain
itself. There is no NaN: what was not seen is an open interval.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from trainer.core.errors import InputError
from trainer.core.estimate.evidence import Floats, Ints

Bools = NDArray[np.bool_]

SMALLEST_READING_SD_MPS = 1e-3
"""A wind stated as exact still needs a proper prior; a millimetre a second is none at all."""


@dataclass(frozen=True, slots=True)
class Readings:
    """Wind readings (r,): what each says of the wind may be off.

    The error along the target line is `own_sd_mps` times a standard normal of its own, plus `shared_mps` times one
    that every reading of the same `instrument` shares over all days (−1: none). For a meter that reads a steady part
    high, `shared_mps` is that part times the wind it read along the line, with its sign. `across_sd_mps` is the error
    across the line.
    """

    own_sd_mps: Floats
    shared_mps: Floats
    instrument: Ints
    across_sd_mps: Floats

    def __len__(self) -> int:
        return len(self.own_sd_mps)

    @classmethod
    def of(cls, own_sd_mps: Floats) -> Readings:
        """Readings with an error of their own only, the same along and across."""
        own = np.asarray(own_sd_mps, dtype=np.float64)
        return cls(own, np.zeros(len(own)), np.full(len(own), -1), own.copy())


@dataclass(frozen=True, slots=True)
class WindTold:
    """What was learned of readings elsewhere, as from the sides of balls (w,), independent given the errors.

    `along`·(error along) + `across`·(error across) of `reading` is `value_mps`, with a normal error `sd_mps`.
    """

    reading: Ints
    along: Floats
    across: Floats
    value_mps: Floats
    sd_mps: Floats

    def __len__(self) -> int:
        return len(self.reading)

    @classmethod
    def nothing(cls) -> WindTold:
        """No word of any reading."""
        return cls(np.zeros(0, dtype=np.int64), np.zeros(0), np.zeros(0), np.zeros(0), np.zeros(0))


@dataclass(frozen=True, slots=True)
class ResponseTold:
    """What balls whose own flight is known say of the cells' flights, one word a cell (t,).

    `value` is by how much the own wind effect exceeds the cell's, as a share of it, with its s.d.: so far the wind
    response of balls like them exceeds the response of a known flight.
    """

    value: Floats
    sd: Floats

    def __len__(self) -> int:
        return len(self.value)

    @classmethod
    def nothing(cls) -> ResponseTold:
        """No word of any cell."""
        return cls(np.zeros(0), np.zeros(0))


NOTHING_TOLD = WindTold.nothing()
NO_RESPONSE_TOLD = ResponseTold.nothing()


@dataclass(frozen=True, slots=True)
class Observations:
    """One player's shots (n,), with the readings and days (d,) they fall under.

    `low_m` and `high_m` bound the carry: equal for a number, a zone's edges for a zone (0 and inf are open ends), 0
    and inf for a ball hit and not seen. `wind_log` is log(1 + wind effect / reference carry), `wind_slope_per_mps`
    and `across_slope_per_mps` its change per m/s along and across the target line; all 0 for a still-air figure.
    `spread_log` is the s.d. of the log carry that the flight makes of an ordinary strike's scatter, in that wind.
    `seen_sd_log` holds how the carry was seen, rounding and gusts. `age_days` (d,) is counted back from the as-of
    moment.

    Of a shot whose own flight is known (launch data, or time in the air or height beside its carry) `own_wind_log`
    is its own wind effect in place of `wind_log`, and the slopes are its own. `flown_m` is the still-air carry that
    the flight calculates from launch data, 0 where there are none, and `flown_sd_log` the error that the device's
    make in it: a second observation of the same strike. `told` is what else the balls say of the readings,
    and `response` what they say of their cells' flights.
    """

    cell: Ints
    reading: Ints
    day: Ints
    low_m: Floats
    high_m: Floats
    wind_log: Floats
    wind_slope_per_mps: Floats
    across_slope_per_mps: Floats
    spread_log: Floats
    seen_sd_log: Floats
    range_ball: Floats
    mat: Floats
    computed: Floats
    by_eye: Bools
    marked: Bools
    own_wind_log: Floats
    flown_m: Floats
    flown_sd_log: Floats
    readings: Readings
    age_days: Floats
    told: WindTold = NOTHING_TOLD
    response: ResponseTold = NO_RESPONSE_TOLD

    def __len__(self) -> int:
        return len(self.cell)

    @classmethod
    def of_carries(
        cls,
        cell: Ints,
        carry_m: Floats,
        wind_log: Floats,
        wind_slope_per_mps: Floats,
        *,
        wind_sd_mps: float = 1.0,
        spread_log: float = 0.045,
        seen_sd_log: float = 0.03,
    ) -> Observations:
        """Carries (n,) seen on one day in one wind, read with the error `wind_sd_mps`; all struck from grass.

        `wind_log` and `wind_slope_per_mps` (n,) come from the flight of each shot's cell: log of carry over still-air
        carry, and slope over carry. `spread_log` and `seen_sd_log` are an ordinary iron's and a laser's.
        """
        n = len(cell)
        none, never = np.zeros(n), np.zeros(n, dtype=bool)
        together = np.zeros(n, dtype=np.int64)
        return cls(
            cell=np.asarray(cell, dtype=np.int64), reading=together, day=together, low_m=carry_m, high_m=carry_m,
            wind_log=wind_log, wind_slope_per_mps=wind_slope_per_mps, across_slope_per_mps=none,
            spread_log=np.full(n, spread_log), seen_sd_log=np.full(n, seen_sd_log), range_ball=none, mat=none,
            computed=none, by_eye=never, marked=never, own_wind_log=none, flown_m=none, flown_sd_log=none,
            readings=Readings.of(np.array([wind_sd_mps])), age_days=np.zeros(1),
        )  # fmt: skip

    @property
    def flown(self) -> Bools:
        """Which shots (n,) the flight has a carry of, calculated from launch data."""
        return np.asarray(self.flown_m > 0)

    def taken(self, order: Ints) -> Observations:
        """The shots at `order`, with every reading and day kept."""
        kept = {f.name: getattr(self, f.name) for f in fields(self)}
        for name in SHOT_FIELDS:
            kept[name] = kept[name][order]
        return Observations(**kept)


_NOT_OF_SHOTS = {"readings", "age_days", "told", "response"}
SHOT_FIELDS = tuple(f.name for f in fields(Observations) if f.name not in _NOT_OF_SHOTS)


def require_observations(observations: Observations, cells: int) -> Observations:
    """Give `observations` back if they can be used, else raise InputError saying which shot and why."""
    seen = observations
    _require(seen.low_m >= 0, "a carry is negative or not a number")
    _require(seen.high_m > 0, "a carry is not a positive number")
    _require(seen.low_m <= seen.high_m, "a zone ends before it begins")
    _require(np.isfinite(seen.low_m), "a carry is not finite")
    _require((seen.low_m > 0) | (seen.high_m > seen.low_m), "a carry is not a positive number")
    for name in (
        "wind_log", "wind_slope_per_mps", "across_slope_per_mps", "range_ball", "mat", "computed", "own_wind_log",
    ):  # fmt: skip
        _require(np.isfinite(getattr(seen, name)), f"{name} is not a number")
    _require(np.isfinite(seen.spread_log) & (seen.spread_log > 0), "the flight's scatter is not positive")
    _require(np.isfinite(seen.seen_sd_log) & (seen.seen_sd_log >= 0), "the error of seeing is negative")
    _require(np.isfinite(seen.flown_m) & (seen.flown_m >= 0), "a calculated carry is negative or not a number")
    _require(np.isfinite(seen.flown_sd_log) & (seen.flown_sd_log >= 0), "the error of launch data is negative")
    for index, count, what in (
        (seen.cell, cells, "cell"),
        (seen.reading, len(seen.readings), "wind reading"),
        (seen.day, len(seen.age_days), "day"),
    ):
        _require((index >= 0) & (index < count), f"a shot's {what} is unknown")
    told = seen.told
    finite = np.isfinite(told.along) & np.isfinite(told.across) & np.isfinite(told.value_mps)
    _require(finite & (told.sd_mps > 0), "what is told of a wind is not a number", "word")
    answer = seen.response
    _require(np.isfinite(answer.value) & (answer.sd > 0), "what is told of a flight is not a number", "word")
    _require((told.reading >= 0) & (told.reading < len(seen.readings)), "what is told is of no reading", "word")
    _require(np.isfinite(seen.age_days) & (seen.age_days >= 0), "a day lies after the as-of moment", "day")
    return observations


def _require(right: Bools, what: str, of: str = "shot") -> None:
    if not bool(np.all(right)):
        first = int(np.argmin(right))
        raise InputError(what, f"{of} {first + 1}", "correct or undo it")
