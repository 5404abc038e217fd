"""Laws that every flight obeys, whatever the coefficients are."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.core.flight.trajectory import Launch, fly
from trainer.core.flight.wind import WindField

SPEED = st.floats(15, 80)
LAUNCH = st.floats(0.05, 0.8)
SPIN = st.floats(100, 1000)
DIRECTION = st.floats(-0.3, 0.3)
TILT = st.floats(-0.6, 0.6)
WIND = st.floats(-12, 12)


@settings(max_examples=50, deadline=None)
@given(SPEED, LAUNCH, SPIN, DIRECTION, TILT, WIND, WIND)
def test_mirror(
    speed: float, launch: float, spin: float, direction: float, tilt: float, along: float, across: float
) -> None:
    """Left and right change places, and nothing else does."""
    both = np.array([1.0, -1.0])
    flight = fly(Launch(speed, launch, spin, both * direction, both * tilt), WindField(along, both * across))
    assert flight.carry_m[0] == pytest.approx(flight.carry_m[1], rel=1e-12)
    assert flight.side_m[0] == pytest.approx(-flight.side_m[1], rel=1e-12, abs=1e-12)
    assert flight.apex_m[0] == pytest.approx(flight.apex_m[1], rel=1e-12)


@settings(max_examples=50, deadline=None)
@given(st.floats(30, 75), st.floats(0.1, 0.6), SPIN, st.floats(-8, 8))
def test_galilean_shift_in_a_uniform_wind(speed: float, launch: float, spin: float, along: float) -> None:
    """Seen from the moving air the flight is one in still air; the air has moved by wind × time."""
    level, up = speed * math.cos(launch) - along, speed * math.sin(launch)
    seen = Launch(math.hypot(level, up), math.atan2(up, level), spin)
    moved, still = fly(Launch(speed, launch, spin), WindField(along, profile="uniform")), fly(seen)
    assert float(moved.flight_s) == pytest.approx(float(still.flight_s), abs=1e-6)
    assert float(moved.apex_m) == pytest.approx(float(still.apex_m), abs=1e-6)
    assert float(moved.carry_m) == pytest.approx(float(still.carry_m) + along * float(still.flight_s), abs=1e-5)


@settings(max_examples=30, deadline=None)
@given(SPEED, LAUNCH, SPIN, TILT)
def test_energy_never_rises_in_still_air(speed: float, launch: float, spin: float, tilt: float) -> None:
    """On the way down the ball is slower for its height at every lower height, and slower than it was struck."""
    strike = Launch(speed, launch, spin, 0.0, tilt)
    apex = float(fly(strike).apex_m)
    heights = np.linspace(0.95, 0.0, 12) * min(apex, 60.0)
    down = fly(strike, target_height_m=heights)
    energy = 0.5 * down.landing_speed_mps**2 + 9.80665 * heights
    assert energy[0] < 0.5 * speed**2
    assert (np.diff(energy) < 0).all()


@settings(max_examples=30, deadline=None)
@given(SPEED, LAUNCH, SPIN, TILT, WIND, WIND)
def test_spin_decays_and_stays(
    speed: float, launch: float, spin: float, tilt: float, along: float, across: float
) -> None:
    flight = fly(Launch(speed, launch, spin, 0.0, tilt), WindField(along, across))
    assert 0 < float(flight.landing_spin_rad_s) < spin


@settings(max_examples=30, deadline=None)
@given(SPEED, LAUNCH, SPIN, st.floats(0.05, 0.6))
def test_axis_tilted_right_curves_right(speed: float, launch: float, spin: float, tilt: float) -> None:
    assert float(fly(Launch(speed, launch, spin, 0.0, tilt)).side_m) > 0


@settings(max_examples=30, deadline=None)
@given(SPEED, LAUNCH, SPIN, st.floats(1.0, 12.0))
def test_wind_from_the_left_pushes_right(speed: float, launch: float, spin: float, across: float) -> None:
    assert float(fly(Launch(speed, launch, spin), WindField(0.0, across)).side_m) > 0


@settings(max_examples=30, deadline=None)
@given(SPEED, LAUNCH, SPIN, DIRECTION)
def test_starting_to_the_right_turns_the_flight(speed: float, launch: float, spin: float, direction: float) -> None:
    """In still air a start direction only turns the plane of the flight."""
    straight, turned = fly(Launch(speed, launch, spin)), fly(Launch(speed, launch, spin, direction))
    carry = float(straight.carry_m)
    assert float(turned.carry_m) == pytest.approx(carry * math.cos(direction), rel=1e-9)
    assert float(turned.side_m) == pytest.approx(carry * math.sin(direction), rel=1e-9, abs=1e-9)


@settings(max_examples=30, deadline=None)
@given(SPEED, LAUNCH, SPIN, WIND, st.floats(2.0, 20.0))
def test_the_same_wind_read_at_another_height(
    speed: float, launch: float, spin: float, along: float, height: float
) -> None:
    """A reading carried along the profile to another height is the same wind."""
    low = WindField(along, 0.0, 2.0)
    there = WindField(along * math.log1p((height / 0.03) ** 2) / math.log1p((2.0 / 0.03) ** 2), 0.0, height)
    strike = Launch(speed, launch, spin)
    assert float(fly(strike, low).carry_m) == pytest.approx(float(fly(strike, there).carry_m), abs=1e-6)


@settings(max_examples=20, deadline=None)
@given(SPEED, st.floats(0.2, 0.8), SPIN, WIND)
def test_a_lower_target_is_further(speed: float, launch: float, spin: float, along: float) -> None:
    """The ball flies on past its own level: longer in the air, in a uniform wind so that the wind is the same."""
    flight = fly(
        Launch(speed, launch, spin), WindField(along, profile="uniform"), target_height_m=np.array([0.0, -5.0])
    )
    assert flight.flight_s[1] > flight.flight_s[0]
