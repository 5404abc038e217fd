import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from trainer.core.bag import Swing
from trainer.core.conditions import Air
from trainer.core.errors import InputError
from trainer.core.flight.delivery import reference_delivery
from trainer.core.flight.inverse import LEAST_SLOPE_SHARE, ball_speed_for_carry, still_air_carry
from trainer.core.flight.trajectory import Launch, fly
from trainer.core.flight.wind import WindField

DEGREE = np.pi / 180
YARD = 0.9144


def scaled(launch: Launch, scale: float) -> Launch:
    return Launch(np.asarray(launch.ball_speed_mps) * scale, launch.launch_rad, np.asarray(launch.spin_rad_s) * scale)


@settings(max_examples=30, deadline=None)
@given(
    st.floats(22, 50), st.floats(90, 170), st.sampled_from(Swing), st.floats(0.85, 1.12),
    st.floats(-9, 9), st.floats(-6, 6),
)  # fmt: skip
def test_round_trip(loft: float, stock: float, swing: Swing, scale: float, along: float, across: float) -> None:
    """Observed → still air → observed, wherever the shot can tell."""
    delivery = reference_delivery(loft * DEGREE, stock, 0.0, swing)
    wind = WindField(along, across)
    strike = scaled(delivery.launch, scale)
    found = still_air_carry(fly(strike, wind).carry_m, delivery, wind)
    assume(bool(found.can_tell))
    slope = float(found.slope)
    assert float(found.carry_m) == pytest.approx(float(fly(strike).carry_m), abs=0.01 * max(1.0, slope))
    again = scaled(delivery.launch, float(found.ball_speed_mps) / float(np.asarray(delivery.launch.ball_speed_mps)))
    assert float(fly(again, wind).carry_m) == pytest.approx(float(fly(strike, wind).carry_m), abs=0.01)


def test_nearly_all_shots_can_tell_in_practice_winds() -> None:
    lofts = np.array([24.0, 30.0, 34.0, 38.0, 46.0])[:, None]
    delivery = reference_delivery(lofts * DEGREE, 260.0 - 3.6 * lofts)
    winds = WindField(np.linspace(-6.0, 6.0, 13))
    found = still_air_carry(fly(delivery.launch, winds).carry_m, delivery, winds)
    assert found.can_tell.all()
    np.testing.assert_allclose(found.carry_m, np.broadcast_to(fly(delivery.launch).carry_m, (5, 13)), atol=0.02)


def test_slope_is_the_change_of_still_air_carry() -> None:
    delivery, wind = reference_delivery(34 * DEGREE, 140.0), WindField(-5.0, 2.0)
    observed = float(fly(delivery.launch, wind).carry_m)
    around = still_air_carry(observed + np.array([-0.5, 0.0, 0.5]), delivery, wind)
    assert around.slope[1] == pytest.approx(around.carry_m[2] - around.carry_m[0], rel=0.01)


def test_in_still_reference_air_a_carry_is_its_own() -> None:
    carries = np.array([90.0, 120.0, 150.0])
    found = still_air_carry(carries, reference_delivery(34 * DEGREE, 140.0), WindField())
    np.testing.assert_allclose(found.carry_m, carries, atol=0.005)
    np.testing.assert_allclose(found.slope, 1.0, atol=0.005)


def folded() -> tuple[Launch, WindField]:
    """A spinny full shot into 15 mph at 2 m: 55, 60 and 65 m/s carry about the same."""
    return Launch(52.0, 20 * DEGREE, 0.30 * 52.0 / 0.021335), WindField(-15 * 0.44704)


def test_carry_into_the_wind_folds() -> None:
    # worked out beside the regression table: 104/106/107/107 m at 50/55/60/65 m/s with spin growing with speed
    launch, wind = folded()
    carry = fly(scaled(launch, np.array([50.0, 55, 60, 65, 70]) / 52.0), wind).carry_m  # type: ignore[arg-type]
    assert (np.diff(carry) < 3.0).all()
    assert carry[4] < carry[3]


def test_past_the_fold_a_shot_cannot_tell() -> None:
    launch, wind = folded()
    most = float(fly(scaled(launch, np.linspace(0.8, 1.4, 200)), wind).carry_m.max())  # type: ignore[arg-type]
    found = still_air_carry(np.array([0.7 * most, most - 0.05, most + 3.0, 1.5 * most]), launch, wind)
    assert found.can_tell.tolist() == [True, False, False, False]
    for values in (found.carry_m, found.slope, found.ball_speed_mps):
        assert (values[1:] == 0).all()
        assert values[0] > 0


def test_dead_slopes_are_exactly_those_under_a_third_of_calm() -> None:
    launch, wind = folded()
    scales = np.linspace(0.6, 1.05, 60)
    carry = fly(scaled(launch, scales), wind).carry_m  # type: ignore[arg-type]
    step = 0.002
    ends = np.stack([scales * (1 - step), scales * (1 + step)])
    slopes = [np.diff(np.log(fly(scaled(launch, ends), w).carry_m), axis=0)[0] for w in (wind, WindField())]  # type: ignore[arg-type]
    share = slopes[0] / slopes[1]
    found = still_air_carry(carry, launch, wind)
    clear = np.abs(share - LEAST_SLOPE_SHARE) > 0.02
    np.testing.assert_array_equal(found.can_tell[clear], (share > LEAST_SLOPE_SHARE)[clear])


def test_hopeless_carries_are_not_told_and_not_numbers() -> None:
    found = still_air_carry(np.array([1.0, 399.0]), reference_delivery(34 * DEGREE, 140.0), WindField(-8.0))
    assert not found.can_tell.any()
    assert np.isfinite(found.carry_m).all()


@pytest.mark.parametrize("carry", [0.0, -5.0, np.nan, 500.0])
def test_impossible_carries_are_refused(carry: float) -> None:
    with pytest.raises(InputError):
        still_air_carry(carry, reference_delivery(34 * DEGREE, 140.0), WindField(-3.0))


def test_shapes_broadcast() -> None:
    delivery = reference_delivery(np.array([30.0, 34.0])[:, None] * DEGREE, 140.0)
    found = still_air_carry(130.0, delivery, WindField(np.array([-3.0, 0.0, 2.0]), 1.0))
    assert found.carry_m.shape == found.can_tell.shape == (2, 3)
    assert still_air_carry(130.0, reference_delivery(34 * DEGREE, 140.0), WindField(-3.0)).carry_m.shape == ()


@settings(max_examples=30, deadline=None)
@given(st.floats(30, 65), st.floats(8, 25), st.floats(2000, 6000), st.floats(-5, 6))
def test_ball_speed_for_carry_round_trip(speed: float, launch_deg: float, rpm: float, along: float) -> None:
    """The speed found carries as far, or the reason is told; and it is the speed that was struck."""
    launch, spin, wind = launch_deg * DEGREE, rpm * np.pi / 30, WindField(along, 1.0)
    carry = float(fly(Launch(speed, launch, spin), wind).carry_m)
    try:
        found = ball_speed_for_carry(carry, launch, spin, wind)
    except InputError:
        return
    assert float(fly(Launch(found, launch, spin), wind).carry_m) == pytest.approx(carry, abs=0.01)
    assert found == pytest.approx(speed, rel=2e-3)


def test_ball_speed_in_thin_air() -> None:
    args = (140.0, 16 * DEGREE, 5500 * np.pi / 30)
    thin = ball_speed_for_carry(*args, WindField(), Air(pressure_pa=75e3))
    assert thin < ball_speed_for_carry(*args)
    flight = fly(Launch(thin, *args[1:]), air=Air(pressure_pa=75e3))
    assert float(flight.carry_m) == pytest.approx(140.0, abs=0.01)


def test_a_carry_that_no_speed_gives_is_refused() -> None:
    with pytest.raises(InputError, match="no ball speed"):
        ball_speed_for_carry(390.0, 16 * DEGREE, 5500 * np.pi / 30)


def test_a_carry_that_two_speeds_give_is_refused() -> None:
    # a high spinning shot into a gale: past 37 m/s of ball speed it is blown further back the harder it is struck
    launch, spin, wind = 40 * DEGREE, 6000 * np.pi / 30, WindField(-9.0)
    slow, fast = (float(fly(Launch(speed, launch, spin), wind).carry_m) for speed in (25.0, 70.0))
    assert slow == pytest.approx(fast, abs=9.0)
    with pytest.raises(InputError, match="more than one"):
        ball_speed_for_carry(0.5 * (slow + fast), launch, spin, wind)


def test_a_carry_on_a_dead_slope_is_refused() -> None:
    launch, spin, wind = 20 * DEGREE, 7500 * np.pi / 30, WindField(-15 * 0.44704)
    speeds = np.array([90.0, 92.0])
    windy, calm = (fly(Launch(speeds, launch, spin), field).carry_m for field in (wind, WindField()))
    assert 0.0 < np.diff(windy)[0] < np.diff(calm)[0] / 3
    with pytest.raises(InputError, match="hardly depends"):
        ball_speed_for_carry(float(windy.mean()), launch, spin, wind)


@pytest.mark.parametrize("value", [np.nan, 0.0, 600.0])
def test_ball_speed_for_an_impossible_carry_is_refused(value: float) -> None:
    with pytest.raises(InputError):
        ball_speed_for_carry(value, 16 * DEGREE, 500.0)
