"""The words that the club model and its readers share: the cells to estimate, an interval, a setting.

Shapes: k clubs, c cells, n shots, r wind readings, d days. A shot's wind effect comes from the flight of its cell's
reference delivery, never from the shot's own carry: a mishit would otherwise explain itself.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class CellSet:
    """The cells to estimate: per club `loft_deg` and `stock_carry_m` (k,), per cell the rest (c,)."""

    loft_deg: Floats
    stock_carry_m: Floats
    club: Ints
    grip_down_in: Floats
    three_quarter: Floats
    half: Floats

    def __len__(self) -> int:
        return len(self.club)


@dataclass(frozen=True, slots=True)
class Interval:
    """Median and central 80 % of a quantity, in metres, one entry a cell (c,)."""

    median: Floats
    low80: Floats
    high80: Floats


@dataclass(frozen=True, slots=True)
class Setting:
    """The wind and day a carry is asked for, per cell (c,).

    `reading` and `day` are indices into the evidence where the wind is one of its readings (so that what the shots
    say of its error counts), else None; `wind_sd_mps` is then the stated wind's own s.d.
    """

    wind_log: Floats
    wind_slope_per_mps: Floats
    wind_sd_mps: float = 0.0
    reading: int | None = None
    day: int | None = None
    range_ball: bool = False
    mat: bool = False
