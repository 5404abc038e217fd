"""What the balls of a block say of the measure that its aim is about: a value with its interval, from how many."""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from trainer.application.estimates.own_calls import SHOWS_A_DIRECTION_MPS
from trainer.application.evidence.known_tags import (
    IN_THE_GAP,
    OUTSIDE_THE_GAP,
    OVER_THE_LINE,
    UNDER_THE_LINE,
)
from trainer.core.bag import Swing
from trainer.core.conditions import WindKnowledge, turned_by_rad
from trainer.core.constants import Z80
from trainer.core.schedule.aim import Ends, median_interval, share_interval, spread_interval
from trainer.core.schedule.progress import mean_interval
from trainer.core.units import to_si
from trainer.store.records import OwnCall, ReadingRecord, ShotRecord

FRONT_M = to_si(10, "yd")
"""How far short of the target the line lies that is to be carried, as the drill says."""

FEWEST = 5
"""Fewer numbers have no interval to speak of (common practice)."""

Readings = Mapping[int, ReadingRecord]


@dataclass(frozen=True, slots=True)
class Found:
    """An estimate of an aim's measure with its interval, from so many balls of so many sessions."""

    value: float
    ends: Ends
    balls: int
    sessions: int


@dataclass(frozen=True, slots=True)
class TooFew:
    """So many balls that say something of the measure, too few for a number."""

    balls: int


def measured(
    measure: str, shots: Sequence[ShotRecord], readings: Readings, said: Sequence[OwnCall]
) -> Found | TooFew:
    """What balls say of a measure. `said` are the player's own calls."""
    if measure in _SHARES:
        judge = _SHARES[measure]
        judged = [(shot, judge(shot)) for shot in shots]
        told = [(shot, good) for shot, good in judged if good is not None]
        if not told:
            return TooFew(0)
        count = sum(good for _, good in told)
        return _found(count / len(told), share_interval(count, len(told)), [shot for shot, _ in told])
    if measure == "height ratio":
        return _height_ratio(shots)
    values = _values(measure, shots, readings, said)
    return _of_numbers(measure, values) if len(values) >= FEWEST else TooFew(len(values))


def _of_numbers(measure: str, values: Sequence[tuple[float, ShotRecord]]) -> Found:
    """A median, a spread or a mean of enough numbers."""
    numbers, of = [value for value, _ in values], [shot for _, shot in values]
    if measure == "median error":
        return _found(statistics.median(numbers), median_interval(numbers), of)
    if measure == "side spread":
        low, high = spread_interval(numbers)
        return _found(2 * Z80 * statistics.stdev(numbers), (2 * Z80 * low, 2 * Z80 * high), of)
    return _found(math.fsum(numbers) / len(numbers), mean_interval(numbers), of)


def _found(value: float, ends: Ends, shots: Sequence[ShotRecord]) -> Found:
    return Found(value, ends, len(shots), len({shot.session_id for shot in shots}))


def _tagged(good: str, bad: str) -> Callable[[ShotRecord], bool | None]:
    def judge(shot: ShotRecord) -> bool | None:
        said = {good, bad} & set(shot.entry.tags)
        return said == {good} if len(said) == 1 else None

    return judge


def _covers(shot: ShotRecord) -> bool | None:
    carry_m = shot.entry.carry_m
    return None if carry_m is None or shot.target_m is None else carry_m >= shot.target_m - FRONT_M


def _held(shot: ShotRecord) -> bool | None:
    carry_m = shot.entry.carry_m
    if carry_m is None or shot.called_80_m is None:
        return None
    return shot.called_80_m[0] <= carry_m <= shot.called_80_m[1]


_SHARES: dict[str, Callable[[ShotRecord], bool | None]] = {
    "clean strikes": lambda shot: not shot.entry.mishit,
    "under the line": _tagged(UNDER_THE_LINE, OVER_THE_LINE),
    "starts in the gap": _tagged(IN_THE_GAP, OUTSIDE_THE_GAP),
    "covers": _covers,
    "called ranges held": _held,
}
UNTOLD = {
    "under the line": f"tag each ball #{UNDER_THE_LINE} or #{OVER_THE_LINE}",
    "starts in the gap": f"tag each ball #{IN_THE_GAP} or #{OUTSIDE_THE_GAP}",
    "height ratio": "type a height, such as ^22, for both the full and the low ball",
    "side spread": "type how far left or right, such as 6L",
    "guess error": "say the carry before each ball",
    "wind error": "guess the wind before each reading",
    "direction error": "guess the wind before each reading",
}
"""What makes a measure known that no ball tells of by itself."""


def _values(
    measure: str, shots: Sequence[ShotRecord], readings: Readings, said: Sequence[OwnCall]
) -> list[tuple[float, ShotRecord]]:
    """What each ball adds to a measure that is a mean, a median or a spread.

    Raises ValueError for a measure that is none of these: every one in `plan.words.MEASURES` has its own.
    """
    if measure == "side spread":
        return [(shot.entry.side_m, shot) for shot in shots if shot.entry.side_m is not None]
    if measure == "guess error":
        guesses = {each.shot_id: each.carry_m for each in said if each.carry_m is not None}
        pairs = [(guesses.get(shot.id), shot.entry.carry_m, shot) for shot in shots]
        return [(abs(guess - carry), shot) for guess, carry, shot in pairs if guess is not None and carry is not None]
    if measure in ("wind error", "direction error"):
        return _wind_errors(measure, shots, readings, said)
    if measure in ("median error", "mean error"):
        return [
            (abs(shot.entry.carry_m - shot.target_m) / shot.target_m, shot)
            for shot in shots
            if shot.entry.carry_m is not None and shot.target_m
        ]
    raise ValueError(f"no ball is counted for the measure '{measure}'")


def _wind_errors(
    measure: str, shots: Sequence[ShotRecord], readings: Readings, said: Sequence[OwnCall]
) -> list[tuple[float, ShotRecord]]:
    """Each guess against its reading, told with the first ball hit in that.

    A reading that says the wind is not known tells nothing, and a wind too weak to have a direction none.
    """
    first = {shot.reading_id: shot for shot in reversed(shots)}
    found = []
    for each in said:
        reading = readings.get(each.reading_id or 0)
        if each.wind_mps is None or reading is None or each.reading_id not in first:
            continue
        if reading.wind.knowledge is WindKnowledge.UNKNOWN:
            continue
        if measure == "direction error" and min(each.wind_mps, reading.wind.speed_mps) < SHOWS_A_DIRECTION_MPS:
            continue
        turned = abs(turned_by_rad(each.wind_from_rad or 0.0, reading.wind.from_rad))
        error = abs(each.wind_mps - reading.wind.speed_mps) if measure == "wind error" else turned
        found.append((error, first[each.reading_id]))
    return found


def _height_ratio(shots: Sequence[ShotRecord]) -> Found | TooFew:
    """How high the low balls fly as a share of the full ones: the interval of a difference of logarithms."""
    high, low = (
        [
            (math.log(shot.entry.apex_m), shot)
            for shot in shots
            if shot.entry.apex_m and (shot.cell.swing is Swing.FULL) is full
        ]
        for full in (True, False)
    )
    if min(len(high), len(low)) < FEWEST:
        return TooFew(len(high) + len(low))
    ends = [mean_interval([value for value, _ in each]) for each in (low, high)]
    middle = sum(ends[0]) / 2 - sum(ends[1]) / 2
    half = math.hypot(*((end[1] - end[0]) / 2 for end in ends))
    ratio = (math.exp(middle - half), math.exp(middle + half))
    return _found(math.exp(middle), ratio, [shot for _, shot in (*low, *high)])
