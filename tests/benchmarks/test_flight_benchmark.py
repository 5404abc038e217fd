"""How fast flights are, beside scipy's solve_ivp flying the same shots one by one in the same run."""

import math

import numpy as np
import pytest

from tests.benchmarks.told import at_least, at_most, best_s, tell
from tests.reference.numerical_flight import Shot, fly_one
from trainer.core.bag import Swing
from trainer.core.flight.delivery import reference_delivery
from trainer.core.flight.inverse import still_air_carry
from trainer.core.flight.trajectory import Launch, fly
from trainer.core.flight.wind import WindField

pytestmark = pytest.mark.benchmark


def shots(count: int) -> tuple[Launch, WindField]:
    rng = np.random.default_rng(2)
    launch = Launch(rng.uniform(30, 72, count), rng.uniform(0.12, 0.5, count), rng.uniform(250, 900, count))
    return launch, WindField(rng.uniform(-10, 10, count), rng.uniform(-6, 6, count))


def peer_s() -> float:
    """Seconds of one flight by scipy's DOP853 at rtol 1e-6, which is good to the same centimetre."""
    launch, wind = shots(20)
    rows = np.array([launch.ball_speed_mps, launch.launch_rad, launch.spin_rad_s, wind.along_mps, wind.across_mps]).T
    flown = [
        Shot(speed, angle, spin, along_mps=along, across_mps=across, roughness_m=0.03)
        for speed, angle, spin, along, across in rows.tolist()
    ]
    return best_s(lambda: [fly_one(shot, 1e-6) for shot in flown], 3) / len(flown)


def test_ten_thousand_flights() -> None:
    launch, wind = shots(10_000)
    each_s, peer = best_s(lambda: fly(launch, wind), 5) / 10_000, peer_s()
    assert tell(
        "10,000 flights at once", 1 / each_s, "flights/s", wanted=at_least(80_000),
        ratio=peer / each_s, of="speed", peer="scipy's solve_ivp one by one", goal=at_least(300),
    )  # fmt: skip


def test_one_flight() -> None:
    launch, wind = Launch(55.0, math.radians(16.0), 600.0), WindField(-6.0, 2.0)
    one, peer = best_s(lambda: fly(launch, wind), 20), peer_s()
    assert tell(
        "one flight", one * 1e3, "ms", wanted=at_most(5),
        ratio=peer / one, of="speed", peer="scipy's solve_ivp", goal=at_least(0.5),
    )  # fmt: skip


def test_six_hundred_inversions() -> None:
    rng = np.random.default_rng(3)
    swings = rng.choice(np.array(list(Swing), dtype=object), 600)
    lofts = rng.choice(np.radians([22.0, 26.0, 30.0, 34.0, 38.0, 42.0, 46.0]), 600)
    delivery = reference_delivery(lofts, 250.0 - 3.3 * np.degrees(lofts), 0.0, swings)
    wind = WindField(rng.uniform(-7, 7, 600), rng.uniform(-5, 5, 600))
    seen = fly(delivery.launch, wind).carry_m * np.exp(rng.normal(0, 0.04, 600))
    all_s, peer = best_s(lambda: still_air_carry(seen, delivery, wind), 5), peer_s()
    assert tell(
        "600 carries turned into still air", all_s * 1e3, "ms", wanted=at_most(60),
        ratio=600 * peer / all_s, of="speed", peer="scipy's solve_ivp, one flight each", goal=at_least(30),
    )  # fmt: skip
