"""What a person stated of the conditions, and what is taken where he stated nothing."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.core.conditions import (
    REFERENCE_AIR,
    Air,
    Ball,
    Seen,
    Surface,
    Turf,
    Wind,
    WindPlace,
)
from trainer.core.constants import REFERENCE_PRESSURE_PA, REFERENCE_TEMPERATURE_K


@dataclass(frozen=True, slots=True)
class StatedConditions:
    """The conditions as stated; None where nothing was said. SI."""

    wind: Wind | None = None
    temperature_k: float | None = None
    pressure_pa: float | None = None
    altitude_m: float | None = None
    relative_humidity: float | None = None
    turf: Turf | None = None
    ball: Ball | None = None
    surface: Surface | None = None
    seen: Seen | None = None
    place: WindPlace | None = None

    @property
    def air_is_stated(self) -> bool:
        """Whether any part of the air was said."""
        parts = (self.temperature_k, self.pressure_pa, self.altitude_m, self.relative_humidity)
        return any(part is not None for part in parts)

    def air(self) -> Air:
        """The stated air, its unsaid parts from the reference air."""
        if not self.air_is_stated:
            return REFERENCE_AIR
        pressure_pa = REFERENCE_PRESSURE_PA if self.pressure_pa is None else self.pressure_pa
        if self.altitude_m is not None:
            from trainer.core.flight.air import standard_pressure_pa  # noqa: PLC0415 - numpy only where it is needed

            pressure_pa = float(standard_pressure_pa(self.altitude_m))
        return Air(
            REFERENCE_TEMPERATURE_K if self.temperature_k is None else self.temperature_k,
            pressure_pa,
            self.relative_humidity or 0.0,
        )
