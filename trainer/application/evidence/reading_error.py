"""How far a wind reading may be off, by how it was made, and how the wind gusts about it."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from trainer.core.conditions import (
    CALM_WIND_SD_MPS,
    GREATEST_WIND_MPS,
    UNKNOWN_WIND_SD_MPS,
    ReadingMethod,
    Wind,
    WindKnowledge,
    WindPlace,
)
from trainer.core.estimate.observations import Readings
from trainer.core.flight import wind as flight_wind

OWN_SD_MPS = {ReadingMethod.FORECAST: 2.0, ReadingMethod.FELT: 2.5}
METER_RELATIVE_SD, METER_LEAST_SD_MPS = 0.15, 1.0
"""S.d. of a reading by its method; a hand meter's scatters ±10–20 % (common practice)."""

STEADY_SHARE = 0.36
"""Share of a reading's error variance that the same instrument, or the same skin, repeats on every day (common
practice, no source)."""

INSTRUMENTS = tuple(ReadingMethod)
UNKNOWN_INSTRUMENT = -1


def reading_sd_mps(wind: Wind) -> float:
    """S.d. of a wind's component along any line, m/s, by how it is known."""
    if wind.knowledge is WindKnowledge.UNKNOWN:
        return UNKNOWN_WIND_SD_MPS
    if wind.knowledge is WindKnowledge.CALM:
        return CALM_WIND_SD_MPS
    if wind.knowledge is WindKnowledge.STATED:
        return 0.0
    sheltered = flight_wind.SHELTER_FACTOR_SD * wind.speed_mps if wind.place is WindPlace.BAY else 0.0
    if wind.method is ReadingMethod.METER:
        own = max(METER_RELATIVE_SD * wind.speed_mps, METER_LEAST_SD_MPS)
    else:
        own = OWN_SD_MPS[wind.method]
    return math.hypot(own, sheltered)


def readings_of(winds: Sequence[Wind | None]) -> Readings:
    """The readings' errors for the model; None stands for the wind of balls that no reading is left of.

    An instrument's steady part goes with what it read along the line, so it is the same way round on every day.
    """
    sds = np.array([UNKNOWN_WIND_SD_MPS if wind is None else reading_sd_mps(wind) for wind in winds])
    read = np.array([wind is not None and wind.knowledge is WindKnowledge.READ for wind in winds], dtype=bool)
    along = np.array(
        [0.0 if wind is None or wind.speed_mps == 0 else wind.along_mps / wind.speed_mps for wind in winds]
    )
    steady = np.where(read, math.sqrt(STEADY_SHARE) * sds * along, 0.0)
    own = np.maximum(np.sqrt(np.maximum(sds**2 - steady**2, 0.0)), 1e-3)
    instrument = [
        INSTRUMENTS.index(wind.method) if wind is not None and is_read else UNKNOWN_INSTRUMENT
        for wind, is_read in zip(winds, read, strict=True)
    ]
    return Readings(own, steady, np.array(instrument, dtype=np.int64), np.maximum(sds, 1e-3))


def gust_sd_mps(wind: Wind, *, marked: bool) -> float:
    """S.d. of the wind that one ball meets about its reading, m/s.

    A ball marked as hit in a gust or a lull met a wind that is less sure by half.
    """
    if wind.knowledge in (WindKnowledge.UNKNOWN, WindKnowledge.CALM):
        return 0.0
    gust_mps = None if wind.gust_mps is None else min(max(wind.gust_mps, wind.speed_mps), GREATEST_WIND_MPS)
    own = flight_wind.gust_sd_mps(
        Wind(wind.knowledge, wind.speed_mps, wind.from_rad, wind.height_m, wind.method, wind.place, gust_mps)
    )
    return 1.5 * own if marked else own
