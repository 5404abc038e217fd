import numpy as np
import pytest

from trainer.core.conditions import Air
from trainer.core.errors import InputError
from trainer.core.flight.air import (
    air_density_kg_m3,
    dynamic_viscosity_pa_s,
    saturation_vapour_pressure_pa,
    standard_pressure_pa,
)


@pytest.mark.parametrize(
    ("celsius", "pressure_pa", "humidity", "density"),
    [
        (20, 101325, 0.5, 1.19931),
        (15, 101325, 0.0, 1.22552),
        (0, 101325, 0.8, 1.29070),
        (30, 101325, 0.8, 1.15001),
        (35, 101325, 0.6, 1.13138),
        (20, 85000, 0.5, 1.00518),
    ],
)
def test_density_of_moist_air(celsius: float, pressure_pa: float, humidity: float, density: float) -> None:
    # CIPM-2007 (Picard et al. 2008, Metrologia 45, 149); an ideal mixture leaves out compressibility, 4e-4 to 6e-4
    found = air_density_kg_m3(Air(celsius + 273.15, pressure_pa, humidity))
    assert found == pytest.approx(density, rel=6e-4)


@pytest.mark.parametrize(
    ("altitude_m", "kelvin", "pascal", "density"),
    [
        (0, 288.150, 101325.0, 1.22500),
        (500, 284.900, 95461.3, 1.16727),
        (1000, 281.651, 89876.3, 1.11166),
        (2000, 275.154, 79501.4, 1.00655),
        (3000, 268.659, 70121.1, 0.909254),
    ],
)
def test_standard_atmosphere(altitude_m: float, kelvin: float, pascal: float, density: float) -> None:
    # ISO 2533: printed to six figures; its molar mass of air is 28.9644 g/mol, CIPM's 28.9655, hence 1e-4 in density
    assert float(standard_pressure_pa(altitude_m)) == pytest.approx(pascal, rel=2e-6)
    assert air_density_kg_m3(Air(kelvin, pascal, 0.0)) == pytest.approx(density, rel=1e-4)


@pytest.mark.parametrize(
    ("celsius", "viscosity"), [(0, 1.71608e-5), (15, 1.78938e-5), (20, 1.81341e-5), (30, 1.86087e-5)]
)
def test_viscosity(celsius: float, viscosity: float) -> None:
    # Sutherland's law, ISO 2533 constants
    assert float(dynamic_viscosity_pa_s(celsius + 273.15)) == pytest.approx(viscosity, rel=5e-5)


@pytest.mark.parametrize(("celsius", "hectopascal"), [(0, 6.112), (10, 12.260), (20, 23.326), (30, 42.337)])
def test_saturation_vapour_pressure(celsius: float, hectopascal: float) -> None:
    # WMO-No. 8; printed to 0.001 hPa
    assert float(saturation_vapour_pressure_pa(celsius + 273.15)) / 100 == pytest.approx(hectopascal, abs=1.5e-3)


def test_moist_air_is_lighter_than_dry() -> None:
    dry, moist = (air_density_kg_m3(Air(298.15, 101325.0, humidity)) for humidity in (0.0, 1.0))
    assert moist < dry


def test_viscosity_broadcasts() -> None:
    grid = np.array([[280.0, 290.0], [300.0, 310.0]])
    assert dynamic_viscosity_pa_s(grid).shape == (2, 2)


@pytest.mark.parametrize(
    "air", [Air(temperature_k=200.0), Air(pressure_pa=20e3), Air(relative_humidity=1.2), Air(temperature_k=np.nan)]
)
def test_impossible_air_is_refused(air: Air) -> None:
    with pytest.raises(InputError):
        air_density_kg_m3(air)
