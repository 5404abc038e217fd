"""The demonstration: an invented player, his bag and three windy days, played through the trainer itself.

The player's truth is not the model: his clubs go a few per cent other than the bag says, his strikes scatter in ball
speed, launch and spin and are flown one by one, his eyes and his wind meter err, one ball in ten is struck badly.
What is typed goes through the same recorder as any player's shots.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import lru_cache

import numpy as np

from trainer.application.conditions.stated import StatedConditions
from trainer.application.planning.agenda import Wish
from trainer.application.session.recording import Recorder, begin
from trainer.application.setup.proposed_bag import propose_bag
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import Air, Ball, Wind, WindKnowledge
from trainer.core.flight.aerodynamics import BallFactors
from trainer.core.flight.delivery import reference_delivery
from trainer.core.flight.trajectory import Launch, fly
from trainer.core.flight.wind import wind_field
from trainer.core.profile import CarryBasis, Hand, KnownCarry, Profile, RangeFlag
from trainer.core.units import from_si, to_si
from trainer.exchange.cell_text import print_cell
from trainer.store.records import PlayerRecord
from trainer.store.store import Store

ALIAS = "Marram"
PLACE = "the range at Saltmere Point"


@dataclass(frozen=True, slots=True)
class DemoDay:
    """One evening: when, which plan, how many balls, the wind that blows and the wind that is read."""

    when: datetime
    plan_id: str
    seed: int
    balls: int
    true_wind: Wind
    read_wind: Wind


def _wind(mph: float, from_deg: float, gust_mph: float | None = None) -> Wind:
    gust = None if gust_mph is None else to_si(gust_mph, "mph")
    return Wind(WindKnowledge.READ, to_si(mph, "mph"), math.radians(from_deg), gust_mps=gust)


DAYS = (
    DemoDay(datetime(2026, 4, 14, 18, 30), "first-windy-evening", 11, 45, _wind(13.0, 10), _wind(14, 15, 19)),
    DemoDay(datetime(2026, 4, 18, 17, 45), "club-down-ladder-night", 12, 45, _wind(9.0, 190), _wind(9, 180, 13)),
    DemoDay(datetime(2026, 4, 25, 18, 0), "full-against-low", 13, 45, _wind(17.0, 20), _wind(15, 15, 22)),
)
"""The three evenings on fixed days, so that what is told of them is the same text whenever it is asked for."""

LAST_EVENING_AGO = timedelta(days=2)


def days_before(now: datetime) -> tuple[DemoDay, ...]:
    """The same evenings as far apart, at the same times of day, the last of them two days before `now`.

    Who looks at them on screens finds his shots as fresh as a player of this week would.
    """
    moved = timedelta(days=(now - LAST_EVENING_AGO).date().toordinal() - DAYS[-1].when.date().toordinal())
    return tuple(replace(day, when=day.when + moved) for day in DAYS)


def demo_profile() -> Profile:
    """The invented player: one remembered 7 iron, a usual bag, three flags, playing balls from grass."""
    known = KnownCarry("7 iron", to_si(150, "yd"), CarryBasis.REMEMBERED)
    flags = (
        RangeFlag("red", to_si(100, "yd"), math.radians(-4)),
        RangeFlag("blue", to_si(130, "yd"), math.radians(3)),
        RangeFlag("white", to_si(150, "yd"), 0.0),
    )
    return Profile(ALIAS, propose_bag(known), known, hand=Hand.RIGHT, ball=Ball.PLAYING, flags=flags)


@lru_cache(maxsize=128)
def _delivered(loft_rad: float, stock_carry_m: float, grip_down_m: float, swing: Swing) -> Launch:
    """Kept: solving a cell's delivery takes some six flights, and every ball of the cell begins with it."""
    return reference_delivery(loft_rad, stock_carry_m, grip_down_m, swing).launch


@dataclass(frozen=True, slots=True)
class Golfer:
    """The truth that the trainer is to find out. Log factors on the still-air carry, relative scatters of strikes."""

    profile: Profile
    bag_log: float = -0.045
    grip_log_per_in: float = -0.03
    three_quarter_log: float = -0.02
    half_log: float = 0.03
    speed_sd: float = 0.02
    launch_sd_rad: float = 0.02
    spin_sd: float = 0.08
    direction_sd_rad: float = 0.03
    mishit_share: float = 0.10
    eye_sd_m: float = 4.0
    day_log_sd: float = 0.015
    ball: BallFactors = BallFactors(1.03, 1.02)

    def struck(self, cell: Cell, day_log: float, count: int, rng: np.random.Generator) -> Launch:
        """How `count` well struck balls of a cell leave the club; arrays (count,)."""
        club = self.profile.bag.club(cell.club)
        delivery = _delivered(club.loft_rad, club.stock_carry_m, cell.grip_down_m, cell.swing)
        shift = self.bag_log + day_log + self.grip_log_per_in * from_si(cell.grip_down_m, "in") / 2
        shift += {Swing.FULL: 0.0, Swing.THREE_QUARTER: self.three_quarter_log, Swing.HALF: self.half_log}[cell.swing]
        # Carry goes with about the 1.4th power of ball speed.
        speed = np.asarray(delivery.ball_speed_mps) * np.exp(shift / 1.4 + rng.normal(0, self.speed_sd, count))
        return Launch(
            speed,
            np.asarray(delivery.launch_rad) + rng.normal(0, self.launch_sd_rad, count),
            np.asarray(delivery.spin_rad_s) * np.exp(rng.normal(0, self.spin_sd, count)),
            rng.normal(0, self.direction_sd_rad, count),
        )

    def strike(self, cell: Cell, wind: Wind, air: Air, day_log: float, rng: np.random.Generator) -> str:
        """Hit one ball and type what is seen of it."""
        launch = self.struck(cell, day_log, 1, rng)
        mishit = rng.random() < self.mishit_share
        if mishit:
            launch = replace(launch, ball_speed_mps=launch.ball_speed_mps * np.exp(-abs(rng.normal(0.12, 0.05))))
        flight = fly(launch, wind_field(wind), air, self.ball)
        carry_yd = round(from_si(float(flight.carry_m[0]) + rng.normal(0, self.eye_sd_m), "yd"))
        side_yd = round(from_si(float(flight.side_m[0]) + rng.normal(0, self.eye_sd_m / 2), "yd"))
        side = "0R" if side_yd == 0 else f"{abs(side_yd)}{'R' if side_yd > 0 else 'L'}"
        # He knows a bad one from a good one two times in three.
        marked = " x" if mishit and rng.random() < 2 / 3 else ""
        return f"{carry_yd} {side}{marked}"


def save_player(store: Store, first: datetime) -> PlayerRecord:
    """Put the invented player into a store, two hours before his first evening."""
    return store.save_profile(demo_profile(), first - timedelta(hours=2))


def play_day(store: Store, day: DemoDay) -> Recorder:
    """Play one evening through the recorder, every ball of its plan typed."""
    rng = np.random.default_rng(day.seed)
    stated = StatedConditions(wind=day.read_wind, temperature_k=to_si(12, "C"))
    recorder = begin(store, ALIAS, stated, day.when, Wish(day.plan_id, balls=day.balls, seed=day.seed))
    golfer = Golfer(recorder.profile)
    day_log = rng.normal(0, golfer.day_log_sd)
    for moment, cell, flag in _balls(recorder, day):
        wind = day.true_wind.turned(0.0 if flag is None else recorder.profile.flag(flag).bearing_rad)
        shot = golfer.strike(cell, replace(wind, gust_mps=None), stated.air(), day_log, rng)
        recorder.line(f"{print_cell(cell, recorder.profile.units)}: {shot}", moment)
    store.end_session(recorder.session.id, day.when + timedelta(minutes=50))
    return recorder


def _balls(recorder: Recorder, day: DemoDay) -> Iterator[tuple[datetime, Cell, str | None]]:
    moment = day.when + timedelta(minutes=8)
    while (ball := recorder.next_ball()) is not None:
        yield moment, ball.ball.cell, ball.ball.flag
        moment += timedelta(seconds=33)


def play_all(store: Store, days: Sequence[DemoDay] = DAYS) -> tuple[Recorder, ...]:
    """The player and all his evenings, oldest first."""
    save_player(store, days[0].when)
    return tuple(play_day(store, day) for day in days)
