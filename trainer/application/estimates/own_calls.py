"""The player's own calls: a carry said before its ball, a wind guessed before its reading, held against what came."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np

from trainer.application.evidence.history import History, local
from trainer.application.evidence.reading_error import reading_sd_mps
from trainer.core.bag import CARRY_RANGE_M
from trainer.core.conditions import Wind, WindKnowledge, turned_by_rad
from trainer.core.decide.change import Level, level_of
from trainer.core.decide.scoring import LEVELS
from trainer.core.units import UnitChoice, change_from_si, counted, require_range
from trainer.store.records import OwnCall, ShotRecord
from trainer.store.store import Store

SHOWS_A_DIRECTION_MPS = 1.0
"""A weaker wind has no direction that one could be wrong about."""

_MIDDLE = LEVELS.index(0.5)


@dataclass(frozen=True, slots=True)
class SaidCarries:
    """Carries said before the ball, m: how far off (size, and said less seen), and how far off the called middle was.

    `against_called` is the size of the player's error less the called range's, on balls that have both. Each is None
    below five balls.
    """

    balls: int
    off_m: Level | None
    signed_m: Level | None
    called_off_m: Level | None
    against_called_m: Level | None


@dataclass(frozen=True, slots=True)
class GuessedWinds:
    """Winds guessed before they were read: guess less reading in m/s, and size of the angle between, rad.

    `reading_sd_mps` is what the readings themselves may be off by on the mean; no guess can be told closer.
    """

    readings: int
    speed_mps: Level | None
    direction_rad: Level | None
    reading_sd_mps: float


@dataclass(frozen=True, slots=True)
class OwnCalls:
    """What the player said himself; None where he said none."""

    carries: SaidCarries | None = None
    winds: GuessedWinds | None = None


NOTHING_SAID = OwnCalls()


def say_carry(store: Store, session_id: int, carry_m: float, at: datetime, units: UnitChoice) -> OwnCall:
    """Keep the carry that the player expects of his next ball. Raises InputError for one that no ball has."""
    require_range(carry_m, *CARRY_RANGE_M, units.distance, "a carry", "say")
    return store.add_own_call(session_id, at, carry_m=carry_m)


def guess_wind(store: Store, session_id: int, wind: Wind, at: datetime) -> OwnCall:
    """Keep the wind that the player feels, before its reading is shown to him."""
    return store.add_own_call(session_id, at, wind=wind)


def own_calls_of(said: Sequence[OwnCall], history: History) -> OwnCalls:
    """The player's calls against what was seen and read, for balls and readings that stand."""
    shots = {shot.id: shot for shot in history.shots}
    pairs = [
        (each.carry_m, shots[each.shot_id])
        for each in said
        if each.carry_m is not None and each.shot_id is not None and each.shot_id in shots
    ]
    return OwnCalls(_carries(pairs), _winds(said, history))


def _carries(pairs: Sequence[tuple[float, ShotRecord]]) -> SaidCarries | None:
    seen = [(said, shot, shot.entry.carry_m or shot.entry.total_m) for said, shot in pairs]
    rows = [(said, shot, there) for said, shot, there in seen if there is not None]
    if not rows:
        return None
    days = np.array([local(shot.at).toordinal() for _, shot, _ in rows], dtype=np.int64)
    signed = np.array([said - there for said, _, there in rows])
    called = np.array([
        abs(shot.called_shape_m[_MIDDLE] - there) if shot.called_shape_m and shot.entry.carry_m else np.nan
        for _, shot, there in rows
    ])  # fmt: skip
    both = np.isfinite(called)
    return SaidCarries(
        balls=len(rows),
        off_m=level_of(np.abs(signed), days),
        signed_m=level_of(signed, days),
        called_off_m=level_of(called[both], days[both]),
        against_called_m=level_of(np.abs(signed[both]) - called[both], days[both]),
    )


def _winds(said: Sequence[OwnCall], history: History) -> GuessedWinds | None:
    rows = [
        (each.wind_mps, each.wind_from_rad or 0.0, history.readings[each.reading_id])
        for each in said
        if each.wind_mps is not None and each.reading_id is not None and each.reading_id in history.readings
    ]
    rows = [row for row in rows if row[2].wind.knowledge in (WindKnowledge.READ, WindKnowledge.CALM)]
    if not rows:
        return None
    days = np.array([local(reading.at).toordinal() for *_, reading in rows], dtype=np.int64)
    speeds = np.array([guess - reading.wind.speed_mps for guess, _, reading in rows])
    blows = np.array([
        min(guess, reading.wind.speed_mps) >= SHOWS_A_DIRECTION_MPS for guess, _, reading in rows
    ], dtype=bool)  # fmt: skip
    angles = np.array([
        abs(turned_by_rad(from_rad, reading.wind.from_rad)) for _, from_rad, reading in rows
    ])  # fmt: skip
    return GuessedWinds(
        readings=len(rows),
        speed_mps=level_of(speeds, days),
        direction_rad=level_of(angles[blows], days[blows]),
        reading_sd_mps=float(np.mean([reading_sd_mps(reading.wind) for *_, reading in rows])),
    )


def own_calls_data(own: OwnCalls) -> dict[str, Any]:
    """The player's calls in SI, angles in degrees; null where there are none, or too few for a level."""
    carries, winds = own.carries, own.winds
    return {
        "carry": None
        if carries is None
        else {
            "balls": carries.balls,
            "off_m": _level(carries.off_m),
            "said_less_seen_m": _level(carries.signed_m),
            "called_off_m": _level(carries.called_off_m),
            "off_less_called_off_m": _level(carries.against_called_m),
        },
        "wind": None
        if winds is None
        else {
            "readings": winds.readings,
            "guess_less_reading_mps": _level(winds.speed_mps),
            "direction_off_deg": _level(winds.direction_rad, 180 / math.pi),
            "reading_sd_mps": winds.reading_sd_mps,
        },
    }


def _level(level: Level | None, factor: float = 1.0) -> dict[str, float] | None:
    if level is None:
        return None
    return {"mean": factor * level.mean, "low95": factor * level.low95, "high95": factor * level.high95}


def own_calls_sentences(own: OwnCalls, units: UnitChoice) -> list[str]:
    """A sentence for the carries said and one for the winds guessed; none where nothing was said."""
    said = []
    if own.carries is not None:
        said.append(f"Say it first: {_carry_words(own.carries, units)}")
    if own.winds is not None:
        said.append(f"Read the wind: {_wind_words(own.winds, units)}")
    return said


def _carry_words(carries: SaidCarries, units: UnitChoice) -> str:
    head = counted(carries.balls, "ball")
    if carries.off_m is None or carries.signed_m is None:
        return f"{head}, too few to tell."
    unit = units.distance

    def shown(metres: float) -> str:
        return f"{change_from_si(metres, unit):.0f}"

    low, mean, high = (shown(value) for value in (carries.off_m.low95, carries.off_m.mean, carries.off_m.high95))
    words = f"{head}, off by {mean} {unit} ({low}–{high})"
    signed = carries.signed_m
    if not signed.low95 <= 0 <= signed.high95:
        words += f", {shown(abs(signed.mean))} too {'long' if signed.mean > 0 else 'short'} on the mean"
    if carries.called_off_m is None or carries.against_called_m is None:
        return f"{words}."
    against = carries.against_called_m
    verdict = "yours are closer" if against.mean < 0 else "the called ones are closer"
    if against.low95 <= 0 <= against.high95:
        verdict = "no clear difference"
    return f"{words}; the called middle by {shown(carries.called_off_m.mean)}: {verdict}."


def _wind_words(winds: GuessedWinds, units: UnitChoice) -> str:
    head = f"{winds.readings} guess{'es' if winds.readings != 1 else ''}"
    if winds.speed_mps is None:
        return f"{head}, too few to tell."
    speed = winds.speed_mps
    half = (speed.high95 - speed.low95) / 2
    by, doubt = (f"{change_from_si(abs(value), units.speed):.1f}" for value in (speed.mean, half))
    words = f"{head}, {by} ± {doubt} {units.speed} too {'much' if speed.mean > 0 else 'little'}"
    if speed.low95 <= 0 <= speed.high95:
        words += " (not shown yet)"
    if winds.direction_rad is not None:
        words += f"; direction off by {math.degrees(winds.direction_rad.mean):.0f}° on the mean"
    sure = f"{change_from_si(winds.reading_sd_mps, units.speed):.1f}"
    return f"{words}. The readings themselves are sure to ±{sure} {units.speed}."
