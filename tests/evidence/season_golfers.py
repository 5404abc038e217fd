"""Invented golfers for whole seasons, tour to 30 handicap, from a generator that is not the club model.

Nothing of a golfer comes from the model's priors or from its reference deliveries: ball speeds fall with loft, launch
and spin follow formulae of their own, strikes scatter with heavier tails than normal in ball speed, launch and spin,
bad ones lose by a skewed amount, and every ball is flown through a published lift-and-drag set that the trainer's
flight was not fitted to. All sizes are common practice, no source, unless one is named.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from trainer.application.evidence.cells import Bench, lay_out
from trainer.application.setup.proposed_bag import propose_bag
from trainer.core.bag import Bag, Swing
from trainer.core.conditions import REFERENCE_AIR, Air, Ball, ReadingMethod, Seen
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.flight.aerodynamics import COEFFICIENT_SETS, BallFactors, CoefficientSet
from trainer.core.flight.trajectory import Launch, fly
from trainer.core.flight.wind import STILL, WindField
from trainer.core.profile import CarryBasis, KnownCarry, Profile, RangeFlag

AERODYNAMICS = ("Smits and Smith 1994", "Lieberman lift")
"""Golfers fly by the one and the other in turn; the trainer's own flight is the fit to Bearman and Harvey 1976."""

CLUBS = ("5 iron", "6 iron", "7 iron", "8 iron", "9 iron", "pitching wedge")
MIDDLE_STRIKES = 128
_DEGREE, _INCH_M, _YARD_M = math.pi / 180, 0.0254, 0.9144
_RPM = 2 * math.pi / 60
_TAIL_DF = 6
"""Approach patterns have heavier tails than the normal's; t and mixtures fit better (Ko 2012, thesis, Columbia)."""


@dataclass(frozen=True, slots=True)
class Strikes:
    """How strikes stray: s.d. of log ball speed, launch (rad), log spin, start direction and axis tilt (rad).

    `bad_share` of them lose ball speed by a gamma of mean `bad_loss`: skewed, never a gain.
    """

    log_speed: float
    launch_rad: float
    log_spin: float
    direction_rad: float
    tilt_rad: float
    bad_share: float
    bad_loss: float


@dataclass(frozen=True, slots=True)
class Habits:
    """How a golfer practises: how he reads the wind and sees a ball land, what he hits, how he tires.

    `reads_high` is the steady log error of his instrument or skin, `form_log_speed` the s.d. of a day's form,
    `tires_log_speed` what the last ball of an evening has lost.
    """

    method: ReadingMethod
    reads_high: float
    seen: Seen
    ball: Ball
    form_log_speed: float
    tires_log_speed: float


@dataclass(frozen=True, slots=True, eq=False)
class Golfer:
    """The truth. `launch` (c,) of every cell's middle strike, `loose` (c,) its factor on the scatter."""

    skill: float
    profile: Profile
    bench: Bench
    launch: Launch
    loose: Floats
    strikes: Strikes
    habits: Habits
    coefficients: CoefficientSet
    balls: dict[Ball, BallFactors]
    roughness_m: float

    @property
    def measured(self) -> bool:
        """Whether his one known carry was measured."""
        return self.profile.known_carry.basis is CarryBasis.MEASURED


@dataclass(frozen=True, slots=True)
class Form:
    """A golfer's form: log ball speed and launch (rad) beside his own middle; arrays broadcast with the balls."""

    log_speed: Floats | float = 0.0
    launch_rad: float = 0.0


FRESH = Form()


def wanted(bench: Bench) -> Ints:
    """Every club full at the normal grip, and low: three-quarter, an inch down."""
    return np.flatnonzero([
        abs(cell.grip_down_m - _INCH_M) < 1e-9 if cell.swing is Swing.THREE_QUARTER
        else cell.swing is Swing.FULL and cell.grip_down_m == 0
        for cell in bench.cells
    ]).astype(np.int64)  # fmt: skip


def invent(number: int, rng: np.random.Generator) -> Golfer:
    """Golfer `number` of a field; skills are spread evenly over it, 0 on tour and 1 at 30 handicap."""
    skill = float((number * 0.6180339887 + 0.25 * rng.random()) % 1.0)
    stated_over_true, basis = _stated(number, rng)
    speed_mps = 54.0 - 17.0 * skill + rng.normal(0, 1.5)
    coefficients = COEFFICIENT_SETS[AERODYNAMICS[number % 2]]
    drag, lift = rng.uniform(0.96, 1.05), rng.uniform(0.92, 1.05)
    own = BallFactors(drag, lift)
    ranged = BallFactors(drag * rng.uniform(1.0, 1.12), lift * rng.uniform(0.85, 1.0))
    # The one carry he knows needs his own launches, and these a bag: any bag of these clubs has the same cells.
    some = KnownCarry("7 iron", 140.0, basis)
    cells = lay_out(_bag(some))
    launch = _launches(cells, speed_mps, rng)
    bare = Golfer(
        skill, Profile("", _bag(some), some), cells, launch,
        _loose(cells, rng), _strikes(skill, rng), _habits(number, skill, rng), coefficients,
        {Ball.PLAYING: own, Ball.RANGE: ranged}, float(np.exp(rng.uniform(math.log(0.01), math.log(0.1)))),
    )  # fmt: skip
    true_m = float(middle_carry_m(bare, np.array([_stock(cells, "7 iron")]))[0])
    known = KnownCarry("7 iron", true_m * stated_over_true, basis)
    profile = Profile(
        f"golfer {number + 1}", _bag(known), known, ball=bare.habits.ball, seen=bare.habits.seen, flags=_flags(true_m)
    )
    return replace(bare, profile=profile, bench=lay_out(profile.bag))


def _stated(number: int, rng: np.random.Generator) -> tuple[float, CarryBasis]:
    """Stated over true carry: a measured one is off either way, memory keeps the good ones."""
    if number // 2 % 2 == 0:
        return float(np.exp(rng.normal(0, 0.03))), CarryBasis.MEASURED
    return float(np.exp(rng.gamma(2.0, 0.03))), CarryBasis.REMEMBERED


def _bag(known: KnownCarry) -> Bag:
    return Bag(tuple(club for club in propose_bag(known).clubs if club.name in CLUBS))


def _flags(seven_iron_m: float) -> tuple[RangeFlag, ...]:
    names = (("red", 0.75, -4.0), ("blue", 0.9, 3.0), ("white", 1.05, 0.0))
    return tuple(RangeFlag(name, seven_iron_m * share, bearing * _DEGREE) for name, share, bearing in names)


def _stock(bench: Bench, club: str) -> int:
    return next(i for i, cell in enumerate(bench.cells) if cell.club == club and cell.is_stock)


def _launches(bench: Bench, seven_iron_mps: float, rng: np.random.Generator) -> Launch:
    """Ball speed by loft (12.5 % a ten degrees), launch and spin by loft, each swing and grip lower and slower."""
    arrays = bench.arrays
    clubs, loft = len(arrays.loft_deg), arrays.loft_deg
    grip_in, three, half = arrays.grip_down_in, arrays.three_quarter, arrays.half

    def of_club(low: float, high: float, own_sd: float) -> Floats:
        """A player's figure with what each club has beside it."""
        return np.asarray(rng.uniform(low, high) + rng.normal(0, own_sd, clubs))[arrays.club]

    log_speed = math.log(seven_iron_mps) - 0.0125 * (loft - 34.0) + rng.normal(0, 0.012, clubs)
    log_speed = log_speed[arrays.club] + rng.normal(0, 0.008, len(arrays))
    log_speed = log_speed + of_club(-0.03, -0.01, 0.004) * grip_in
    log_speed = log_speed + of_club(-0.10, -0.04, 0.015) * three + of_club(-0.22, -0.12, 0.02) * half
    higher_when_slow = 0.25 * (54.0 - seven_iron_mps)
    launch_deg = 2.5 + 0.42 * loft + higher_when_slow + rng.uniform(-1.5, 1.5) + rng.normal(0, 0.4, clubs)
    lower = of_club(-0.02, 0.0, 0.005) * grip_in + of_club(-0.20, -0.08, 0.02) * three
    launch_deg = launch_deg[arrays.club] * (1 + lower + of_club(-0.22, -0.05, 0.02) * half)
    log_spin = np.log(206.0 * loft * _RPM)[arrays.club] + rng.normal(0, 0.1) + rng.normal(0, 0.03, clubs)[arrays.club]
    log_spin = log_spin + 0.5 * (log_speed - math.log(54.0)) + of_club(-0.15, -0.03, 0.03) * three
    log_spin = log_spin + of_club(-0.2, -0.05, 0.03) * half
    return Launch(np.exp(log_speed), launch_deg * _DEGREE, np.exp(log_spin))


def _loose(bench: Bench, rng: np.random.Generator) -> Floats:
    """Smaller swings are not tighter (James and Rees 2008, IJSSC 3: relative error grows below full swings)."""
    arrays = bench.arrays
    three, half = rng.uniform(0.85, 1.15), rng.uniform(1.0, 1.4)
    return np.asarray(np.where(arrays.three_quarter > 0, three, np.where(arrays.half > 0, half, 1.0)))


def _strikes(skill: float, rng: np.random.Generator) -> Strikes:
    return Strikes(
        log_speed=(0.012 + 0.020 * skill) * rng.uniform(0.85, 1.15),
        launch_rad=(0.7 + 0.9 * skill) * _DEGREE,
        log_spin=0.05 + 0.06 * skill,
        direction_rad=(1.3 + 1.6 * skill) * _DEGREE,
        tilt_rad=(2.5 + 3.0 * skill) * _DEGREE,
        bad_share=0.03 + 0.12 * skill,
        bad_loss=0.08 + 0.05 * skill,
    )


def _habits(number: int, skill: float, rng: np.random.Generator) -> Habits:
    """Two in three read a meter, the third only feels the wind; half see by eye; half hit range balls."""
    felt = number % 3 == 2
    return Habits(
        method=ReadingMethod.FELT if felt else ReadingMethod.METER,
        reads_high=rng.normal(0, 0.25 if felt else 0.09),
        seen=(Seen.EYE, Seen.FLAG, Seen.EYE, Seen.LASER)[(number + number // 4) % 4],
        ball=Ball.RANGE if rng.random() < 0.5 else Ball.PLAYING,
        form_log_speed=0.013,
        tires_log_speed=rng.uniform(0.0, 0.02) * (1 + skill),
    )


def struck(golfer: Golfer, cells: Ints, form: Form, normals: Floats) -> Launch:
    """Launches of well struck balls of `cells`, whose standard scatter is `normals` (5, …, c)."""
    by, spread = golfer.loose[cells], golfer.strikes
    middle = golfer.launch
    return Launch(
        np.asarray(middle.ball_speed_mps)[cells] * np.exp(form.log_speed + by * spread.log_speed * normals[0]),
        np.asarray(middle.launch_rad)[cells] + form.launch_rad + by * spread.launch_rad * normals[1],
        np.asarray(middle.spin_rad_s)[cells] * np.exp(by * spread.log_spin * normals[2]),
        by * spread.direction_rad * normals[3],
        by * spread.tilt_rad * normals[4],
    )


def scatter(rng: np.random.Generator, shape: tuple[int, ...]) -> Floats:
    """Scatter (5, …) of unit s.d. with heavier tails than the normal's, cut where nobody counts it as struck."""
    return np.clip(rng.standard_t(_TAIL_DF, (5, *shape)) / math.sqrt(_TAIL_DF / (_TAIL_DF - 2)), -4.0, 4.0)


@dataclass(frozen=True, slots=True)
class Bad:
    """Strikes (…,) that went wrong: whether, and the ball speed they lost on the log scale."""

    bad: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
    lost_log: Floats


def bad_strikes(golfer: Golfer, rng: np.random.Generator, shape: tuple[int, ...]) -> Bad:
    """Which strikes (…,) go wrong, and by how much: 3 to 15 in a hundred, skewed to the short side."""
    bad = rng.random(shape) < golfer.strikes.bad_share
    return Bad(bad, np.where(bad, rng.gamma(1.5, golfer.strikes.bad_loss / 1.5, shape), 0.0))


def spoilt(launch: Launch, wrong: Bad) -> Launch:
    """`launch` as it leaves the club where the strike went wrong: slower and lower."""
    lower = np.clip(np.asarray(launch.launch_rad) - 0.25 * wrong.lost_log, 3 * _DEGREE, None)
    return replace(launch, ball_speed_mps=launch.ball_speed_mps * np.exp(-wrong.lost_log), launch_rad=lower)


def middle_carry_m(
    golfer: Golfer, cells: Ints, wind: WindField = STILL, air: Air = REFERENCE_AIR, form: Form = FRESH,
    ball: Ball = Ball.PLAYING,
) -> Floats:  # fmt: skip
    """The middle of his well struck carries (c,), m, geometric: what an estimate of a cell is of."""
    half = scatter(np.random.default_rng(5), (MIDDLE_STRIKES // 2, 1))
    both = np.concatenate([half, -half], axis=1)
    flight = fly(struck(golfer, cells, form, both), wind, air, golfer.balls[ball], coefficients=golfer.coefficients)
    return np.asarray(np.exp(np.log(flight.carry_m).mean(axis=0)))
