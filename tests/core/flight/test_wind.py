import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.conditions import GREATEST_WIND_MPS, ReadingMethod, Wind, WindKnowledge, WindPlace
from trainer.core.errors import InputError
from trainer.core.flight.wind import (
    GUST_PEAK_FACTOR,
    SHELTER_FACTOR,
    WindField,
    checked_wind,
    gust_sd_mps,
    profile_shape,
    turbulence_intensity,
    wind_field,
)


@pytest.mark.parametrize(("roughness_m", "ratio"), [(0.01, 0.767), (0.03, 0.723), (0.10, 0.651)])
def test_wind_at_two_metres_by_roughness(roughness_m: float, ratio: float) -> None:
    # the logarithmic law of WMO-No. 8, ln(2/z0)/ln(10/z0), to three places; the smooth ground adds up to 6e-4
    found = profile_shape(2.0, roughness_m) / profile_shape(10.0, roughness_m)
    assert float(found) == pytest.approx(ratio, abs=1.1e-3)


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


@pytest.mark.parametrize(("intensity", "factor"), [(0.25, 1.66), (0.20, 1.52), (0.15, 1.38)])
def test_published_gust_factors(intensity: float, factor: float) -> None:
    # Harper, Kepert and Ginger 2010, WMO/TD-1555; one peak factor fits the three within 0.02
    height_m = 0.03 * math.exp(1 / intensity)
    assert float(turbulence_intensity(height_m)) == pytest.approx(intensity)
    assert 1 + GUST_PEAK_FACTOR * intensity == pytest.approx(factor, abs=0.02)


def test_a_reading_in_the_bay_means_more_wind_outside() -> None:
    outside, inside = (
        wind_field(Wind(WindKnowledge.READ, 6.0, 0.3, 2.0, ReadingMethod.METER, place)) for place in WindPlace
    )
    assert np.asarray(inside.along_mps) == pytest.approx(np.asarray(outside.along_mps) / SHELTER_FACTOR)
    assert np.asarray(inside.across_mps) == pytest.approx(np.asarray(outside.across_mps) / SHELTER_FACTOR)


@given(st.floats(0, GREATEST_WIND_MPS), st.floats(0, 2 * math.pi), st.sampled_from(WindPlace))
def test_every_wind_that_may_be_read_can_be_flown_in(speed: float, from_rad: float, place: WindPlace) -> None:
    field = checked_wind(wind_field(Wind(WindKnowledge.READ, speed, from_rad, place=place)))
    assert float(np.hypot(field.along_mps, field.across_mps)) >= speed * (1 - 1e-12)


@given(st.floats(0, 20), st.floats(0, 2 * math.pi))
def test_field_agrees_with_the_components_of_a_wind(speed: float, from_rad: float) -> None:
    field = wind_field(Wind(WindKnowledge.STATED, speed, from_rad))
    assert float(np.asarray(field.along_mps)) == pytest.approx(-speed * math.cos(from_rad), abs=1e-12)
    assert float(np.asarray(field.across_mps)) == pytest.approx(-speed * math.sin(from_rad), abs=1e-12)


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
        checked_wind(field)


def test_gustiness_of_a_reading() -> None:
    mean_only = Wind(WindKnowledge.READ, 6.0, 0.0)
    usual = 6.0 * (1 + GUST_PEAK_FACTOR * float(turbulence_intensity(2.0)))
    with_gust = Wind(WindKnowledge.READ, 6.0, 0.0, gust_mps=usual)
    assert gust_sd_mps(mean_only) == pytest.approx(6.0 * float(turbulence_intensity(2.0)))
    assert gust_sd_mps(with_gust) == pytest.approx(gust_sd_mps(mean_only))
    assert gust_sd_mps(Wind(WindKnowledge.READ, 6.0, 0.0, gust_mps=6.0)) == 0.0


@pytest.mark.parametrize("gust", [5.0, 50.0, math.nan])
def test_an_impossible_gust_is_refused(gust: float) -> None:
    with pytest.raises(InputError):
        gust_sd_mps(Wind(WindKnowledge.READ, 6.0, 0.0, gust_mps=gust))
