"""Six windy evenings of an invented golfer, and what is written down of them: readings, carries, sides, marks.

An evening has 45 balls in three stretches of wind, each read once before it. The wind that a ball meets gusts about
its stretch's; the reading is 15 % off (a meter) or only felt. Eyes have a bias of their day, and every way of seeing
errs more the farther a ball flies. What comes out is a history as the store would give it, so that the evidence is
gathered the product's own way.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from tests.evidence.season_golfers import Form, Golfer, bad_strikes, scatter, spoilt, struck
from trainer.application.evidence.history import History
from trainer.core.bag import Cell
from trainer.core.conditions import Air, ReadingMethod, Seen, Turf, Wind, WindKnowledge
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.flight.trajectory import fly
from trainer.core.flight.wind import WindField
from trainer.core.shot import CarryOrigin, ShotEntry
from trainer.store.records import (
    PlayerRecord,
    ReadingRecord,
    SessionRecord,
    ShotRecord,
    Source,
)

PLANS = (
    "first-windy-evening",
    "low-shot-weeks-1",
    "full-against-low",
    "club-down-ladder-night",
    "gapping-round",
    "low-shot-weeks-3",
)
"""Shipped plans, one an evening."""

EVENINGS, BALLS, STRETCHES = len(PLANS), 45, 3
GUSTS = 0.20
"""S.d. of the wind of one ball over its stretch's mean (WMO/TD-1555 gives 0.16 to 0.24 over open ground at 2 m)."""

READ_OFF_BY, _NEVER_OFF_BY = 0.15, 0.5
_FIRST = datetime(2026, 4, 1, 18, 30)
_YARD_M = 0.9144
_SEEN_YD = {Seen.EYE: 6.0, Seen.FLAG: 4.0, Seen.LASER: 3.0}
_STEP_YD = {Seen.EYE: 5.0, Seen.FLAG: 1.0, Seen.LASER: 1.0}
_EYE_DAY_SD = 0.02
_UNSEEN_SHARE, _NOTICED_SHARE = 0.04, 2 / 3
_SHORTEST_M = 8.0


@dataclass(frozen=True, slots=True)
class Stretch:
    """A third of an evening: the mean wind that blows and the one that is read."""

    true: Wind
    read: Wind


@dataclass(frozen=True, slots=True)
class EveningTruth:
    """One evening: when, its air, its stretches, the golfer's form and his eyes' log bias."""

    number: int
    when: datetime
    air: Air
    stretches: tuple[Stretch, ...]
    form: Form
    eye_log: float

    def tired(self, golfer: Golfer, ball: Floats) -> Floats:
        """Log ball speed of the balls numbered `ball`, from 0: the day's form, less what the session has cost."""
        return np.asarray(self.form.log_speed - golfer.habits.tires_log_speed * ball / (BALLS - 1))

    def middle_form(self, golfer: Golfer) -> Form:
        """How he swung that evening on the whole."""
        return replace(self.form, log_speed=self.tired(golfer, np.array([(BALLS - 1) / 2])))


def evenings(golfer: Golfer, rng: np.random.Generator) -> tuple[EveningTruth, ...]:
    """A week apart each: two of three blow into the face, the others from behind."""
    return tuple(_evening(golfer, number, rng) for number in range(EVENINGS))


def _evening(golfer: Golfer, number: int, rng: np.random.Generator) -> EveningTruth:
    speed = rng.uniform(3.5, 7.5)
    from_rad = (0.0 if rng.random() < 2 / 3 else math.pi) + math.radians(rng.normal(0, 25))
    stretches = []
    for _ in range(STRETCHES):
        blows = speed * math.exp(rng.normal(0, 0.15))
        true = Wind(WindKnowledge.READ, blows, (from_rad + math.radians(rng.normal(0, 8))) % (2 * math.pi))
        stretches.append(Stretch(true, _read(golfer, true, rng)))
    form = Form(rng.normal(0, golfer.habits.form_log_speed), math.radians(rng.normal(0, 0.5)))
    eye_log = rng.normal(0, _EYE_DAY_SD) if golfer.habits.seen is Seen.EYE else 0.0
    air = Air(273.15 + round(rng.uniform(8, 22)), 100 * round(rng.normal(1013, 8)))
    return EveningTruth(number, _FIRST + timedelta(weeks=number), air, tuple(stretches), form, eye_log)


def _read(golfer: Golfer, true: Wind, rng: np.random.Generator) -> Wind:
    """A reading 15 % off, a part of it steady; or felt, with the golfer's own bias."""
    felt = golfer.habits.method is ReadingMethod.FELT
    own = 0.20 if felt else math.sqrt(READ_OFF_BY**2 - 0.09**2)
    off = float(np.clip(golfer.habits.reads_high + rng.normal(0, own), -_NEVER_OFF_BY, _NEVER_OFF_BY))
    speed = true.speed_mps * math.exp(off)
    from_rad = (true.from_rad + math.radians(rng.normal(0, 15 if felt else 8))) % (2 * math.pi)
    gust = None if felt else speed * (1 + 2.58 * GUSTS)
    return Wind(WindKnowledge.READ, speed, from_rad, method=golfer.habits.method, gust_mps=gust)


@dataclass(frozen=True, slots=True)
class Aimed:
    """A ball to hit: its cell, and the target with its flag where there is one."""

    cell: Cell
    target_m: float | None = None
    flag: str | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Diary:
    """What was written down so far: readings (with the reading of every stretch), shots, sessions."""

    sessions: tuple[SessionRecord, ...] = ()
    readings: tuple[ReadingRecord, ...] = ()
    shots: tuple[ShotRecord, ...] = ()

    def history(self, golfer: Golfer) -> History:
        """As the store would give it."""
        return History(
            player=PlayerRecord(1, "season", golfer.profile),
            club_ids=frozenset(range(1, len(golfer.profile.bag.clubs) + 1)),
            sessions={session.id: session for session in self.sessions},
            readings={reading.id: reading for reading in self.readings},
            shots=self.shots,
        )

    def opened(self, evening: EveningTruth, plan_id: str) -> Diary:
        """With the session of `evening` begun and its first reading taken."""
        number = evening.number + 1
        session = SessionRecord(
            id=number, uid=f"{number}", player_id=1, started_at=evening.when, ended_at=None, plan_id=plan_id,
            seed=None, air=evening.air, air_stated=True, turf=Turf.MEDIUM, note="", undone=False,
        )  # fmt: skip
        begun = replace(self, sessions=(*self.sessions, session))
        return begun.with_reading(evening, 0)

    def with_reading(self, evening: EveningTruth, stretch: int) -> Diary:
        """With the reading of `stretch`."""
        number = reading_id(evening, stretch)
        reading = ReadingRecord(
            number, f"{number}", evening.number + 1, evening.when + timedelta(minutes=10 * stretch),
            evening.stretches[stretch].read, undone=False,
        )  # fmt: skip
        return replace(self, readings=(*self.readings, reading))


def reading_id(evening: EveningTruth, stretch: int) -> int:
    """The readings of all evenings count on."""
    return 1 + STRETCHES * evening.number + stretch


def play(
    golfer: Golfer, diary: Diary, evening: EveningTruth, aimed: Sequence[Aimed], rng: np.random.Generator
) -> Diary:
    """The evening's balls hit and written down, its later readings taken on the way."""
    bearings = {flag.name: flag.bearing_rad for flag in golfer.profile.flags}
    turned = np.array([bearings.get(ball.flag or "", 0.0) for ball in aimed])
    stretch = np.arange(len(aimed)) * STRETCHES // max(len(aimed), 1)
    entries = _entries(golfer, evening, _landed(golfer, evening, aimed, stretch, turned, rng), rng)
    clubs = [club.name for club in golfer.profile.bag.clubs]
    first = len(diary.shots)
    shots = [
        ShotRecord(
            id=first + i + 1, uid=f"{first + i}", session_id=evening.number + 1, number=i + 1,
            at=evening.when + timedelta(seconds=40 * i), cell=ball.cell, club_id=clubs.index(ball.cell.club) + 1,
            entry=entry, agenda_number=None, reading_id=reading_id(evening, int(stretch[i])), target_m=ball.target_m,
            target_bearing_rad=float(turned[i]), ball=golfer.habits.ball, surface=golfer.profile.surface,
            seen=golfer.habits.seen, carry_origin=CarryOrigin.SEEN, called_50_m=None, called_80_m=None, mark=None,
            source=Source.TYPED, import_id=None, undone=False,
        )
        for i, (ball, entry) in enumerate(zip(aimed, entries, strict=True))
    ]  # fmt: skip
    for later in range(1, STRETCHES):
        diary = diary.with_reading(evening, later)
    return replace(diary, shots=(*diary.shots, *shots))


@dataclass(frozen=True, slots=True)
class _Landed:
    """Balls (n,) as they came down, m, and the log ball speed that bad strikes lost."""

    carry_m: Floats
    side_m: Floats
    lost_log: Floats


def _landed(
    golfer: Golfer, evening: EveningTruth, aimed: Sequence[Aimed], stretch: Ints, turned: Floats,
    rng: np.random.Generator,
) -> _Landed:  # fmt: skip
    cells = np.array([golfer.bench.index[ball.cell] for ball in aimed], dtype=np.int64)
    count = len(cells)
    form = replace(evening.form, log_speed=evening.tired(golfer, np.arange(float(count))))
    wrong = bad_strikes(golfer, rng, (count,))
    launch = spoilt(struck(golfer, cells, form, scatter(rng, (count,))), wrong)
    speed = np.array([evening.stretches[s].true.speed_mps for s in stretch.tolist()])
    from_rad = np.array([evening.stretches[s].true.from_rad for s in stretch.tolist()]) - turned
    # A gust stands as an eddy of a few balls' time: each ball meets half of the one before it.
    gust = np.clip(1 + GUSTS * _lingering(count, rng), 0.2, 2.2)
    from_rad = from_rad + math.radians(8) * _lingering(count, rng)
    wind = WindField(-speed * gust * np.cos(from_rad), -speed * gust * np.sin(from_rad), 2.0, golfer.roughness_m)
    flight = fly(launch, wind, evening.air, golfer.balls[golfer.habits.ball], coefficients=golfer.coefficients)
    return _Landed(np.maximum(flight.carry_m, _SHORTEST_M), flight.side_m, wrong.lost_log)


def _lingering(count: int, rng: np.random.Generator) -> Floats:
    """A standard series (n,) in which a value keeps half of the last."""
    values = rng.standard_normal(count)
    for i in range(1, count):
        values[i] = 0.5 * values[i - 1] + math.sqrt(0.75) * values[i]
    return values


def _entries(golfer: Golfer, evening: EveningTruth, landed: _Landed, rng: np.random.Generator) -> list[ShotEntry]:
    """What is typed of balls: carries as they were seen; sides where he has more than his eyes to tell them by."""
    seen, count = golfer.habits.seen, len(landed.carry_m)
    off_m = _SEEN_YD[seen] / 150 * landed.carry_m * rng.standard_normal(count)
    step_m = _STEP_YD[seen] * _YARD_M
    carry_m = step_m * np.rint((landed.carry_m * math.exp(evening.eye_log) + off_m) / step_m)
    side_m = landed.side_m + 0.5 * _SEEN_YD[seen] / 150 * landed.carry_m * rng.standard_normal(count)
    unseen = rng.random(count) < _UNSEEN_SHARE
    noticed = (landed.lost_log > 0.03) & (rng.random(count) < _NOTICED_SHARE)
    return [
        ShotEntry(unseen=True, mishit=bool(noticed[i]))
        if unseen[i]
        else ShotEntry(
            carry_m=float(max(carry_m[i], step_m)),
            side_m=None if seen is Seen.EYE else float(side_m[i]),
            mishit=bool(noticed[i]),
            resolution_m=_YARD_M,
        )
        for i in range(count)
    ]
