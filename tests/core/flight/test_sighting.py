import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.core.bag import Swing
from trainer.core.errors import InputError
from trainer.core.flight.delivery import reference_delivery
from trainer.core.flight.refine import shifted
from trainer.core.flight.sighting import Sight, strike_from_sight
from trainer.core.flight.trajectory import Flight, Launch, fly
from trainer.core.flight.wind import WindField
from trainer.core.flight.wind_effect import wind_effects

DEGREE = np.pi / 180


def second(flight: Flight, sight: Sight) -> np.ndarray:
    return flight.flight_s if sight is Sight.HANG else flight.apex_m


@settings(max_examples=25, deadline=None)
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


@pytest.mark.parametrize(("carry", "seen"), [(0.4, 3.0), (140.0, 0.0), (140.0, -1.0), (0.0, 5.0), (401.0, 9.0)])
@pytest.mark.parametrize("sight", Sight)
def test_what_no_flight_could_be_tells_nothing_and_spoils_no_other(carry: float, seen: float, sight: Sight) -> None:
    delivery = reference_delivery(34 * DEGREE, 140.0)
    usual = fly(delivery.launch)
    good = float(usual.carry_m), float(second(usual, sight))
    found = strike_from_sight(np.array([carry, good[0]]), np.array([seen, good[1]]), sight, delivery, WindField())
    assert found.can_tell.tolist() == [False, True]
    assert found.carry_m.tolist() == [0.0, pytest.approx(good[0], abs=0.02)]


@pytest.mark.parametrize(("carry", "seen"), [(np.nan, 5.0), (140.0, np.nan)])
def test_impossible_sights_are_refused(carry: float, seen: float) -> None:
    with pytest.raises(InputError):
        strike_from_sight(carry, seen, Sight.HANG, reference_delivery(34 * DEGREE, 140.0), WindField())


def test_no_shift_leaves_the_delivery() -> None:
    prior = reference_delivery(np.array([27.0, 34.0]) * DEGREE, 140.0)
    after = shifted(prior, 0.0, 0.0)
    for name in ("ball_speed_mps", "launch_rad", "spin_rad_s"):
        found, expected = (np.asarray(getattr(delivery.launch, name)) for delivery in (after, prior))
        np.testing.assert_allclose(found, expected, rtol=1e-4)


def test_a_flatter_delivery_carries_as_far_in_still_air_and_loses_less_to_the_wind() -> None:
    prior = reference_delivery(34 * DEGREE, 140.0)
    flat = shifted(prior, -5 * DEGREE, -0.2)
    assert float(fly(flat.launch).carry_m) == pytest.approx(140.0, abs=0.1)
    into = WindField(-6.0)
    assert float(fly(flat.launch, into).carry_m) > float(fly(prior.launch, into).carry_m) + 3.0


def test_a_carry_that_no_strike_reaches_is_refused() -> None:
    with pytest.raises(InputError, match="too far"):
        shifted(reference_delivery(15 * DEGREE, 230.0), -14 * DEGREE, -1.0)
