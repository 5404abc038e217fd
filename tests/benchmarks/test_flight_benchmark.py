"""How fast flights are, beside scipy's solve_ivp flying the same shots one by one in the same run."""

import math
import time
from collections.abc import Callable

import numpy as np
import pytest

from tests.reference.numerical_flight import Shot, fly_one
from trainer.core.bag import Swing
from trainer.core.flight.delivery import reference_delivery
from trainer.core.flight.inverse import still_air_carry
from trainer.core.flight.trajectory import Launch, fly
from trainer.core.flight.wind import WindField

pytestmark = pytest.mark.benchmark


def best_s(work: Callable[[], object], repeats: int) -> float:
    work()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


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


def test_ten_thousand_flights(capsys: pytest.CaptureFixture[str]) -> None:
    launch, wind = shots(10_000)
    each_s, peer = best_s(lambda: fly(launch, wind), 5) / 10_000, peer_s()
    with capsys.disabled():
        print(f"\n10,000 flights: {1 / each_s:,.0f} a second, {peer / each_s:,.0f} times scipy one by one")  # noqa: T201  # the benchmark's result
    assert peer / each_s > 300


def test_one_flight(capsys: pytest.CaptureFixture[str]) -> None:
    launch, wind = Launch(55.0, math.radians(16.0), 600.0), WindField(-6.0, 2.0)
    one, peer = best_s(lambda: fly(launch, wind), 20), peer_s()
    with capsys.disabled():
        print(f"\none flight: {one * 1e3:.2f} ms, {peer / one:.2f} times scipy")  # noqa: T201  # the benchmark's result
    assert peer / one > 0.5


def test_six_hundred_inversions(capsys: pytest.CaptureFixture[str]) -> None:
    rng = np.random.default_rng(3)
    swings = rng.choice(np.array(list(Swing), dtype=object), 600)
    lofts = rng.choice(np.radians([22.0, 26.0, 30.0, 34.0, 38.0, 42.0, 46.0]), 600)
    delivery = reference_delivery(lofts, 250.0 - 3.3 * np.degrees(lofts), 0.0, swings)
    wind = WindField(rng.uniform(-7, 7, 600), rng.uniform(-5, 5, 600))
    seen = fly(delivery.launch, wind).carry_m * np.exp(rng.normal(0, 0.04, 600))
    all_s, peer = best_s(lambda: still_air_carry(seen, delivery, wind), 5), peer_s()
    with capsys.disabled():
        print(f"\n600 inversions: {all_s * 1e3:.1f} ms, {600 * peer / all_s:,.0f} times one scipy flight each")  # noqa: T201  # the benchmark's result
    assert 600 * peer / all_s > 30
