import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.core.bag import Swing
from trainer.core.errors import InputError
from trainer.core.flight.delivery import reference_delivery
from trainer.core.flight.refine import with_launch_data
from trainer.core.flight.sighting import Sight, strike_from_sight
from trainer.core.flight.still_air import wind_effects
from trainer.core.flight.trajectory import Flight, Launch, fly
from trainer.core.flight.wind import WindField

DEGREE = np.pi / 180


def second(flight: Flight, sight: Sight) -> np.ndarray:
    return flight.flight_s if sight is Sight.HANG else flight.apex_m


@settings(max_examples=60, deadline=None)
@given(
    st.floats(22, 48), st.sampled_from([Swing.FULL, Swing.THREE_QUARTER]), st.floats(0.88, 1.1), st.floats(0.75, 1.3),
    st.floats(-7, 7), st.floats(-5, 5), st.sampled_from(Sight),
)  # fmt: skip
def test_round_trip(
    loft: float, swing: Swing, speed: float, launch: float, along: float, across: float, sight: Sight
) -> None:
    """A strike's carry and its time or height give the strike back, and with it its still-air carry."""
    delivery = reference_delivery(loft * DEGREE, 250.0 - 3.3 * loft, 0.0, swing)
    own, wind = delivery.launch, WindField(along, across)
    strike = Launch(
        np.asarray(own.ball_speed_mps) * speed, np.asarray(own.launch_rad) * launch,
        np.asarray(own.spin_rad_s) * speed * launch,
    )  # fmt: skip
    flight = fly(strike, wind)
    found = strike_from_sight(flight.carry_m, second(flight, sight), sight, delivery, wind)
    assert found.can_tell
    assert float(found.carry_m) == pytest.approx(float(fly(strike).carry_m), abs=0.02)
    assert float(found.launch_rad) == pytest.approx(float(np.asarray(strike.launch_rad)), abs=2e-4)
    assert float(found.ball_speed_mps) == pytest.approx(float(np.asarray(strike.ball_speed_mps)), rel=2e-4)


@pytest.mark.parametrize("sight", list(Sight))
def test_slopes(sight: Sight) -> None:
    delivery, wind = reference_delivery(34 * DEGREE, 140.0), WindField(-5.0)
    flight = fly(delivery.launch, wind)
    carry, seen = float(flight.carry_m), float(second(flight, sight))
    step = 0.02
    middle = strike_from_sight(carry, seen, sight, delivery, wind)
    by_carry = strike_from_sight(carry + np.array([-0.5, 0.5]), seen, sight, delivery, wind).carry_m
    by_seen = strike_from_sight(carry, seen + np.array([-step, step]), sight, delivery, wind).carry_m
    assert float(middle.slope_carry) == pytest.approx(by_carry[1] - by_carry[0], abs=0.05)
    assert float(middle.slope_seen) == pytest.approx((by_seen[1] - by_seen[0]) / (2 * step), rel=0.1, abs=0.3)


def test_hang_time_narrows_the_wind_effect() -> None:
    # without it the launch is the prior's, 2° either way; ten balls, each timed to 0.15 s, leave a fraction of that
    delivery, wind = reference_delivery(34 * DEGREE, 140.0), WindField(-6.0)
    own = delivery.launch
    low, high = (np.asarray(own.launch_rad) + sign * 2.0 * DEGREE for sign in (-1, 1))
    between = wind_effects(Launch(own.ball_speed_mps, np.stack([low, high]), own.spin_rad_s), -6.0).effect_m
    seen = fly(own, wind)
    timed = float(seen.flight_s) + np.array([-0.15, 0.15]) / np.sqrt(10)
    told = strike_from_sight(seen.carry_m, timed, Sight.HANG, delivery, wind)
    strikes = Launch(told.ball_speed_mps, told.launch_rad, told.spin_rad_s)
    left = wind_effects(strikes, -6.0).effect_m
    assert abs(left[1] - left[0]) < 0.4 * abs(between[1] - between[0])


def test_what_no_strike_explains_is_not_told() -> None:
    delivery = reference_delivery(34 * DEGREE, 140.0)
    found = strike_from_sight(np.array([140.0, 140.0]), np.array([0.3, 30.0]), Sight.HANG, delivery, WindField(-4.0))
    assert not found.can_tell.any()
    assert (found.carry_m == 0).all()


@pytest.mark.parametrize(("carry", "seen"), [(np.nan, 5.0), (140.0, 0.0), (140.0, np.nan), (0.0, 5.0)])
def test_impossible_sights_are_refused(carry: float, seen: float) -> None:
    with pytest.raises(InputError):
        strike_from_sight(carry, seen, Sight.HANG, reference_delivery(34 * DEGREE, 140.0), WindField())


def test_no_launch_data_leaves_the_prior() -> None:
    prior = reference_delivery(np.array([27.0, 34.0]) * DEGREE, 140.0)
    after = with_launch_data(prior, Launch(60.0, 0.1, 300.0), 0)
    np.testing.assert_allclose(np.asarray(after.launch.ball_speed_mps), np.asarray(prior.launch.ball_speed_mps))
    np.testing.assert_allclose(np.asarray(after.launch.launch_rad), np.asarray(prior.launch.launch_rad))
    np.testing.assert_allclose(after.launch_sd_rad, prior.launch_sd_rad)


@pytest.mark.parametrize("balls", [1, 5, 50])
def test_launch_data_takes_over(balls: int) -> None:
    prior = reference_delivery(34 * DEGREE, 140.0)
    after = with_launch_data(prior, Launch(52.0, 15 * DEGREE, 520.0), balls)
    # a normal mean: prior s.d. 2°, strikes scatter by 1.2°
    weight = balls / 1.2**2 / (balls / 1.2**2 + 1 / 2.0**2)
    first = float(np.asarray(prior.launch.launch_rad)) / DEGREE
    assert float(np.asarray(after.launch.launch_rad)) / DEGREE == pytest.approx(first + weight * (15 - first))
    assert float(after.launch_sd_rad) < float(prior.launch_sd_rad)
    assert float(after.log_spin_sd) < float(prior.log_spin_sd)


def test_a_worse_instrument_counts_less() -> None:
    prior = reference_delivery(34 * DEGREE, 140.0)
    measured = Launch(52.0, 15 * DEGREE, 520.0)
    sharp, blunt = (with_launch_data(prior, measured, 5, launch_error_rad=error) for error in (0.0, 4 * DEGREE))
    assert float(blunt.launch_sd_rad) > float(sharp.launch_sd_rad)


@pytest.mark.parametrize("balls", [-1, np.nan])
def test_impossible_numbers_of_balls_are_refused(balls: float) -> None:
    with pytest.raises(InputError):
        with_launch_data(reference_delivery(34 * DEGREE, 140.0), Launch(52.0, 0.3, 500.0), balls)
