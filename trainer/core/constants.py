"""Physical constants, the ball, and what units are worth in SI, each with its unit and source."""

from __future__ import annotations

import math

YARD_M, INCH_M, MPH_MPS = 0.9144, 0.0254, 0.44704
DEGREE_RAD, RPM_RAD_S = math.pi / 180, math.pi / 30
ZERO_CELSIUS_K = 273.15
"""Exact by definition (NIST SP 811); `units` reads and prints every unit, these are for what is stated in one."""

GRAVITY_MPS2 = 9.80665
"""Standard gravity, m/s² (ISO 80000-3)."""

BALL_MASS_KG = 0.04593
"""Greatest mass of a conforming ball, kg (R&A/USGA Equipment Rules)."""

BALL_DIAMETER_M = 0.04267
"""Least diameter of a conforming ball, m (R&A/USGA Equipment Rules)."""

BALL_RADIUS_M = BALL_DIAMETER_M / 2

REFERENCE_TEMPERATURE_K = 288.15
"""Temperature of the reference air, 15 °C."""

REFERENCE_PRESSURE_PA = 101325.0
"""Pressure of the reference air at sea level, Pa (ISO 2533)."""

OPEN_COURSE_ROUGHNESS_M = 0.03
"""Roughness length of an open course, m (WMO-No. 8, Davenport and Wieringa)."""

Z50, Z80 = 0.6744897501960817, 1.2815515655446004
"""Half-widths of the central 50 and 80 % of a standard normal (scipy.stats.norm.ppf of 0.75 and 0.9)."""
