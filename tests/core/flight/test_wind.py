import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.conditions import ReadingMethod, Wind, WindKnowledge, WindPlace
from trainer.core.errors import InputError
from trainer.core.flight.wind import (
    SHELTER_FACTOR,
    WindField,
    at_height,
    beaufort,
    beaufort_speed_mps,
    clock_from_rad,
    components_mps,
    gust_factor,
    gust_sd_mps,
    mean_from_gust_mps,
    profile_shape,
    relative_from_rad,
    turbulence_intensity,
    wind_at,
    wind_field,
)

MPH = 0.44704


@pytest.mark.parametrize(("roughness_m", "ratio"), [(0.01, 0.767), (0.03, 0.723), (0.10, 0.651)])
def test_wind_at_two_metres_by_roughness(roughness_m: float, ratio: float) -> None:
    # the logarithmic law of WMO-No. 8, ln(2/z0)/ln(10/z0), to three places; the smooth ground adds up to 6e-4
    assert float(at_height(1.0, 10.0, 2.0, roughness_m)) == pytest.approx(ratio, abs=1.1e-3)


def test_wind_is_zero_at_the_ground_and_the_stated_one_at_its_height() -> None:
    along, across = wind_at(WindField(-6.0, 3.0, 2.0), np.array([0.0, 2.0]))
    np.testing.assert_allclose(along, [0.0, -6.0], atol=1e-12)
    np.testing.assert_allclose(across, [0.0, 3.0], atol=1e-12)


@given(st.floats(1e-4, 0.3), st.floats(0.0, 60.0), st.floats(1e-6, 5.0))
def test_wind_grows_with_height(roughness_m: float, z_m: float, more_m: float) -> None:
    assert float(profile_shape(z_m + more_m, roughness_m)) > float(profile_shape(z_m, roughness_m))


def test_profile_is_smooth_to_the_ground() -> None:
    # even in z with a bounded second derivative: no corner that would cost the integrator its order
    z = np.linspace(-0.2, 0.2, 4001)
    shape = profile_shape(z, 0.03)
    np.testing.assert_allclose(shape, shape[::-1], atol=1e-15)
    curvature = np.diff(shape, 2) / (z[1] - z[0]) ** 2
    assert np.abs(curvature).max() == pytest.approx(1 / 0.03**2, rel=1e-3)
    assert np.abs(np.diff(curvature)).max() < 0.02 * np.abs(curvature).max()


def test_profile_of_a_uniform_wind() -> None:
    along, _ = wind_at(WindField(5.0, profile="uniform"), np.array([0.0, 1.0, 40.0]))
    np.testing.assert_array_equal(along, 5.0)


@pytest.mark.parametrize(("intensity", "factor"), [(0.25, 1.66), (0.20, 1.52), (0.15, 1.38)])
def test_published_gust_factors(intensity: float, factor: float) -> None:
    # Harper, Kepert and Ginger 2010, WMO/TD-1555; one peak factor fits the three within 0.02
    height_m = 0.03 * math.exp(1 / intensity)
    assert float(turbulence_intensity(height_m)) == pytest.approx(intensity)
    assert float(gust_factor(height_m)) == pytest.approx(factor, abs=0.02)


def test_gusts_over_open_grass() -> None:
    # about 1.44 at 10 m and 1.61 at 2 m, worked out from the published form
    assert float(gust_factor(10.0)) == pytest.approx(1.44, abs=0.01)
    assert float(gust_factor(2.0)) == pytest.approx(1.61, abs=0.01)
    assert float(mean_from_gust_mps(gust_factor(2.0) * 7.0, 2.0)) == pytest.approx(7.0)


@pytest.mark.parametrize(
    ("mph", "number"),
    [(4, 2), (7, 2), (8, 3), (12, 3), (13, 4), (18, 4), (19, 5), (24, 5), (25, 6), (31, 6), (32, 7), (46, 8)],
)
def test_beaufort(mph: float, number: int) -> None:
    # WMO, the miles per hour of the land table
    assert beaufort(mph * MPH) == number


@given(st.integers(0, 11))
def test_beaufort_round_trip(number: int) -> None:
    assert beaufort(beaufort_speed_mps(number)) == number


@pytest.mark.parametrize("number", [-1, 12, 20])
def test_beaufort_out_of_range(number: int) -> None:
    with pytest.raises(InputError):
        beaufort_speed_mps(number)


@pytest.mark.parametrize(
    ("compass", "bearing", "relative"), [(0, 0, 0), (270, 0, 270), (0, 90, 270), (350, 10, 340), (45, 225, 180)]
)
def test_compass_wind_is_turned_by_the_target_bearing(compass: float, bearing: float, relative: float) -> None:
    found = relative_from_rad(math.radians(compass), math.radians(bearing))
    assert math.degrees(found) == pytest.approx(relative)


@pytest.mark.parametrize(
    ("hour", "along", "across"), [(12, -10, 0), (3, 0, -10), (6, 10, 0), (9, 0, 10), (1.5, -7.0711, -7.0711)]
)
def test_clock_and_components(hour: float, along: float, across: float) -> None:
    # a wind from 3 o'clock comes from the right and blows to the left
    found = components_mps(10.0, clock_from_rad(hour))
    assert [float(value) for value in found] == pytest.approx([along, across], abs=1e-4)


@pytest.mark.parametrize("hour", [-1, 12.5, math.nan])
def test_no_hour_of_the_clock(hour: float) -> None:
    with pytest.raises(InputError):
        clock_from_rad(hour)


def test_a_reading_in_the_bay_means_more_wind_outside() -> None:
    outside, inside = (
        wind_field(Wind(WindKnowledge.READ, 6.0, 0.3, 2.0, ReadingMethod.METER, place)) for place in WindPlace
    )
    assert np.asarray(inside.along_mps) == pytest.approx(np.asarray(outside.along_mps) / SHELTER_FACTOR)
    assert np.asarray(inside.across_mps) == pytest.approx(np.asarray(outside.across_mps) / SHELTER_FACTOR)


@given(st.floats(0, 20), st.floats(0, 2 * math.pi))
def test_field_agrees_with_the_components_of_a_wind(speed: float, from_rad: float) -> None:
    field = wind_field(Wind(WindKnowledge.STATED, speed, from_rad))
    along, across = components_mps(speed, from_rad)
    assert float(np.asarray(field.along_mps)) == pytest.approx(float(along), abs=1e-12)
    assert float(np.asarray(field.across_mps)) == pytest.approx(float(across), abs=1e-12)


@pytest.mark.parametrize(
    "field",
    [
        WindField(30.0, 30.0),
        WindField(math.nan),
        WindField(5.0, height_m=0.0),
        WindField(5.0, roughness_m=0.0),
        WindField(5.0, profile="power"),  # type: ignore[arg-type]  # the wrong word is the point
    ],
)
def test_impossible_wind_is_refused(field: WindField) -> None:
    with pytest.raises(InputError):
        wind_at(field, 2.0)


def test_wind_broadcasts() -> None:
    along, _ = wind_at(WindField(np.array([[3.0], [4.0]]), 0.0, np.array([2.0, 10.0, 2.0])), 20.0)
    assert along.shape == (2, 3)


def test_gustiness_of_a_reading() -> None:
    mean_only = Wind(WindKnowledge.READ, 6.0, 0.0)
    usual = float(gust_factor(2.0)) * 6.0
    with_gust = Wind(WindKnowledge.READ, 6.0, 0.0, gust_mps=usual)
    assert gust_sd_mps(mean_only) == pytest.approx(6.0 * float(turbulence_intensity(2.0)))
    assert gust_sd_mps(with_gust) == pytest.approx(gust_sd_mps(mean_only))
    assert gust_sd_mps(Wind(WindKnowledge.READ, 6.0, 0.0, gust_mps=6.0)) == 0.0


@pytest.mark.parametrize("gust", [5.0, 50.0, math.nan])
def test_an_impossible_gust_is_refused(gust: float) -> None:
    with pytest.raises(InputError):
        gust_sd_mps(Wind(WindKnowledge.READ, 6.0, 0.0, gust_mps=gust))
