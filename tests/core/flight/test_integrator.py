"""Numerics of the flight: against an independent method, closed forms, and the order that the method promises."""

import math

import numpy as np
import pytest

from tests.reference.numerical_flight import Shot, fly_one
from trainer.core.conditions import REFERENCE_AIR
from trainer.core.errors import InputError
from trainer.core.flight.air import air_density_kg_m3, dynamic_viscosity_pa_s
from trainer.core.flight.integrator import DEFAULT_STEPS, Steps
from trainer.core.flight.limits import Floats
from trainer.core.flight.trajectory import Flight, Launch, fly
from trainer.core.flight.wind import WindField

DENSITY = air_density_kg_m3(REFERENCE_AIR)
VISCOSITY = float(dynamic_viscosity_pa_s(REFERENCE_AIR.temperature_k))


def random_shots(count: int, seed: int, profile: str, launch_deg: tuple[float, float] = (3.0, 40.0)) -> list[Shot]:
    """Shots across golf and past it, in winds to 15 m/s from anywhere."""
    rng = np.random.default_rng(seed)
    shots = []
    for _ in range(count):
        wind_mps, towards = rng.uniform(0, 15), rng.uniform(0, 2 * math.pi)
        shots.append(
            Shot(
                rng.uniform(20, 80),
                math.radians(rng.uniform(*launch_deg)),
                rng.uniform(1500, 10000) * math.pi / 30,
                math.radians(rng.uniform(-8, 8)),
                math.radians(rng.uniform(-20, 20)),
                wind_mps * math.cos(towards),
                wind_mps * math.sin(towards),
                float(rng.choice([2.0, 10.0])),
                float(rng.choice([0.01, 0.03, 0.10])) if profile == "log" else None,
                float(rng.choice([0.0, 0.0, -12.0])),
                DENSITY,
                VISCOSITY,
            )
        )
    return shots


def fly_all(shots: list[Shot], profile: str, steps: Steps = DEFAULT_STEPS) -> Flight:
    def column(name: str) -> Floats:
        return np.array([getattr(shot, name) for shot in shots], dtype=np.float64)

    launch = Launch(
        *(
            column(name)
            for name in ("ball_speed_mps", "launch_rad", "spin_rad_s", "start_direction_rad", "axis_tilt_rad")
        )
    )
    roughness = np.array([shot.roughness_m or 0.03 for shot in shots])
    wind = WindField(
        column("along_mps"),
        column("across_mps"),
        column("height_m"),
        roughness,
        "log" if profile == "log" else "uniform",
    )
    return fly(launch, wind, target_height_m=column("target_m"), steps=steps)


def assert_agrees(shots: list[Shot], profile: str, off_m: float = 0.010) -> None:
    """A centimetre where it lands, a centimetre at the top, two milliseconds in the air."""
    flown = fly_all(shots, profile)
    expected = [fly_one(shot) for shot in shots]
    off = np.hypot(
        flown.carry_m - np.array([result.carry_m for result in expected]),
        flown.side_m - np.array([result.side_m for result in expected]),
    )
    assert off.max() < off_m
    assert np.abs(flown.apex_m - np.array([result.apex_m for result in expected])).max() < 0.010
    assert np.abs(flown.flight_s - np.array([result.flight_s for result in expected])).max() < 0.002


@pytest.mark.parametrize("profile", ["log", "uniform"])
def test_agrees_with_an_eighth_order_method(profile: str) -> None:
    assert_agrees(random_shots(200, 20240, profile), profile)


@pytest.mark.parametrize("profile", ["log", "uniform"])
def test_skimming_shots(profile: str) -> None:
    # lift may exceed the weight of a ball launched level, so that it rises later; a flat landing doubles the error
    assert_agrees(random_shots(150, 8, profile, (0.2, 4.0)), profile, 0.020)


@pytest.mark.proof
@pytest.mark.parametrize(("profile", "seed"), [("log", 1), ("uniform", 2)])
def test_two_thousand_shots_to_a_centimetre(profile: str, seed: int) -> None:
    assert_agrees(random_shots(1000, seed, profile), profile)


def vacuum(flow: Floats, out: Floats, scratch: Floats) -> None:
    out[...] = 0.0


def test_vacuum_closed_form() -> None:
    speed, angle = 50.0, math.radians(15.0)
    rise = speed * math.sin(angle)
    flight = fly(Launch(speed, angle, 400.0), coefficients=vacuum)
    # v²·sin(2θ)/g to 0.1 mm for g = 9.81 m/s²; the trainer's is the standard 9.80665
    assert float(flight.carry_m) * 9.80665 / 9.81 == pytest.approx(127.4210, abs=5e-5)
    assert float(flight.carry_m) == pytest.approx(speed**2 * math.sin(2 * angle) / 9.80665, rel=1e-12)
    assert float(flight.apex_m) == pytest.approx(rise**2 / (2 * 9.80665), rel=1e-12)
    assert float(flight.flight_s) == pytest.approx(2 * rise / 9.80665, rel=1e-12)
    assert float(flight.descent_rad) == pytest.approx(angle, rel=1e-12)
    assert float(flight.landing_speed_mps) == pytest.approx(speed, rel=1e-12)


def test_vacuum_to_a_target_above_and_below() -> None:
    speed, angle = 40.0, math.radians(30.0)
    for height in (8.0, -8.0):
        flight = fly(Launch(speed, angle, 0.0), target_height_m=height, coefficients=vacuum)
        rise = speed * math.sin(angle)
        time = (rise + math.sqrt(rise**2 - 2 * 9.80665 * height)) / 9.80665
        assert float(flight.flight_s) == pytest.approx(time, rel=1e-12)
        assert float(flight.carry_m) == pytest.approx(speed * math.cos(angle) * time, rel=1e-12)


def halved(steps: Steps, times: int) -> Steps:
    """Every step split in two, `times` over: growth by its half, the share of the time left too."""
    part = 0.5**times
    return Steps(
        steps.largest_s * part, steps.first_s * part, steps.growth * part, steps.share * part, steps.last_s * part
    )


def mean_errors(profile: str, start: Steps, halvings: tuple[int, ...]) -> Floats:
    shots = random_shots(40, 7, profile)
    exact = fly_all(shots, profile, halved(start, 6)).carry_m
    return np.array(
        [np.abs(fly_all(shots, profile, halved(start, times)).carry_m - exact).mean() for times in halvings]
    )


def test_converges_at_its_order() -> None:
    errors = mean_errors("uniform", Steps(0.4, 0.02, 0.6, 0.4, 0.02), (1, 2, 3))
    assert np.log2(errors[:-1] / errors[1:]) == pytest.approx([4.0, 4.0], abs=0.2)


def test_keeps_its_order_through_the_profile_at_the_ground() -> None:
    # once the first steps resolve the wind's rise over a roughness length; a profile with a corner would stay at 2
    errors = mean_errors("log", Steps(0.4, 0.002, 0.6, 0.4, 0.005), (2, 3, 4))
    assert (np.log2(errors[:-1] / errors[1:]) > 3.5).all()


def test_landing_to_the_millimetre() -> None:
    # the last step's share of the error: the same flights with the landing resolved thirty times finer
    shots = random_shots(200, 11, "log")
    fine = Steps(DEFAULT_STEPS.largest_s, DEFAULT_STEPS.first_s, DEFAULT_STEPS.growth, DEFAULT_STEPS.share, 0.001)
    assert np.abs(fly_all(shots, "log").carry_m - fly_all(shots, "log", fine).carry_m).max() < 1e-3


def test_a_flight_does_not_depend_on_its_company() -> None:
    shots = random_shots(30, 3, "log")
    together = fly_all(shots, "log")
    alone = [float(fly_all([shot], "log").carry_m[0]) for shot in shots]
    np.testing.assert_allclose(together.carry_m, alone, rtol=1e-12)


def test_more_flights_than_one_block() -> None:
    speeds = np.linspace(20, 70, 5000)
    flight = fly(Launch(speeds, 0.3, 500.0), WindField(-4.0))
    assert flight.carry_m.shape == (5000,)
    np.testing.assert_allclose(flight.carry_m[::999], fly(Launch(speeds[::999], 0.3, 500.0), WindField(-4.0)).carry_m)


def test_a_target_above_the_flight_is_refused() -> None:
    with pytest.raises(InputError, match="30 m"):
        fly(Launch(30.0, math.radians(20.0), 400.0), target_height_m=30.0)


def test_launched_downwards_lands_where_it_lies() -> None:
    flight = fly(Launch(40.0, math.radians(-3.0), 300.0), WindField(-5.0))
    assert float(flight.carry_m) == pytest.approx(0.0, abs=1e-9)
    assert float(flight.flight_s) == pytest.approx(0.0, abs=1e-9)
    assert float(flight.apex_m) == 0.0


def test_lift_above_the_weight_raises_a_level_shot() -> None:
    flight = fly(Launch(80.0, 0.0, 300.0), WindField(np.array([0.0, -3.0]), profile="uniform"))
    assert (flight.apex_m > 1.0).all()
    assert (flight.carry_m > 100.0).all()
