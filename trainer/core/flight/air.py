"""Density and viscosity of moist air, and pressure by altitude. SI."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from trainer.core.conditions import Air
from trainer.core.constants import ZERO_CELSIUS_K
from trainer.core.flight.limits import Floats, require_limit

GAS_CONSTANT_J_PER_MOL_K = 8.314462618
"""Molar gas constant (CODATA 2018, exact)."""

DRY_AIR_KG_PER_MOL = 28.96546e-3
"""Molar mass of dry air at 400 µmol/mol of CO2 (CIPM-2007; Picard et al. 2008, Metrologia 45, 149)."""

WATER_KG_PER_MOL = 18.01528e-3
"""Molar mass of water (CIPM-2007)."""

SUTHERLAND_PA_S_PER_SQRT_K = 1.458e-6
SUTHERLAND_K = 110.4
"""Sutherland's constants for air (ISO 2533:1975)."""

_LAPSE_K_PER_M = 0.0065
_SEA_LEVEL_K = 288.15
_SEA_LEVEL_PA = 101325.0
_EARTH_RADIUS_M = 6356766.0
_PRESSURE_EXPONENT = 5.255877  # g0·M / (R*·lapse), ISO 2533


def saturation_vapour_pressure_pa(temperature_k: ArrayLike) -> Floats:
    """Saturation vapour pressure over water, Pa. Source: WMO-No. 8, annex 4.B; stated for −45…60 °C."""
    celsius = require_limit(temperature_k, "air temperature") - ZERO_CELSIUS_K
    return np.asarray(611.2 * np.exp(17.62 * celsius / (243.12 + celsius)))


def air_density_kg_m3(air: Air) -> float:
    """Density of moist air, kg/m³: an ideal mixture of dry air and water vapour.

    Within 6e-4 (relative) of CIPM-2007 over 0…35 °C and 85…101 kPa. Raises InputError outside `LIMITS`.
    """
    temperature_k = float(require_limit(air.temperature_k, "air temperature"))
    pressure_pa = float(require_limit(air.pressure_pa, "air pressure"))
    humidity = float(require_limit(air.relative_humidity, "relative humidity"))
    vapour = humidity * float(saturation_vapour_pressure_pa(temperature_k)) / pressure_pa
    molar_mass = DRY_AIR_KG_PER_MOL - vapour * (DRY_AIR_KG_PER_MOL - WATER_KG_PER_MOL)
    return pressure_pa * molar_mass / (GAS_CONSTANT_J_PER_MOL_K * temperature_k)


def dynamic_viscosity_pa_s(temperature_k: ArrayLike) -> Floats:
    """Dynamic viscosity of air by Sutherland's law, Pa·s. Source: ISO 2533:1975."""
    kelvin = require_limit(temperature_k, "air temperature")
    return np.asarray(SUTHERLAND_PA_S_PER_SQRT_K * kelvin**1.5 / (kelvin + SUTHERLAND_K))


def standard_pressure_pa(altitude_m: ArrayLike) -> Floats:
    """Pressure of the standard atmosphere at a geometric altitude, Pa. Source: ISO 2533:1975, troposphere."""
    ratio = 1 - _LAPSE_K_PER_M * _geopotential_m(altitude_m) / _SEA_LEVEL_K
    return np.asarray(_SEA_LEVEL_PA * ratio**_PRESSURE_EXPONENT)


def _geopotential_m(altitude_m: ArrayLike) -> Floats:
    altitude = require_limit(altitude_m, "altitude")
    return np.asarray(_EARTH_RADIUS_M * altitude / (_EARTH_RADIUS_M + altitude))
