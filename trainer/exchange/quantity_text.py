"""Numbers with units as short text that reads back as the same number."""

from __future__ import annotations

from trainer.core.units import UNITS, from_si, to_si

MOST_DECIMALS = 9
"""As many as `trainer.core.units.parse_quantity` takes."""

_SHORT = 3
"""Decimals that still read well; beyond them another unit is tried first."""


def decimal_text(value: float, decimals: int) -> str:
    """`value` with so many decimals, never `-0`."""
    text = f"{value:.{decimals}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def exact_quantity(value_si: float, preferred: str) -> tuple[str, str]:
    """`value_si` as (number, unit), with the fewest decimals that give exactly `value_si` back.

    The unit is `preferred` where that is short enough, else another of its kind in which it is, so a value typed as
    `130m` stays 130 m for a player in yards. A value that is exact nowhere is given to 9 decimals.
    """
    kind = UNITS[preferred].kind
    others = [name for name, unit in UNITS.items() if unit.kind == kind and name != preferred]
    for most in (_SHORT, MOST_DECIMALS):
        for unit in (preferred, *others):
            for decimals in range(most + 1):
                text = decimal_text(from_si(value_si, unit), decimals)
                if to_si(float(text), unit) == value_si:
                    return text, unit
    return decimal_text(from_si(value_si, preferred), MOST_DECIMALS), preferred


def quantity_text(value_si: float, preferred: str) -> str:
    """`exact_quantity` as one string with its unit: `142.5 yd`."""
    number, unit = exact_quantity(value_si, preferred)
    return f"{number} {unit}"


def token_text(value_si: float, preferred: str) -> str:
    """`exact_quantity` as one token, the unit written only where it is not `preferred`: `142.5`, `130m`."""
    number, unit = exact_quantity(value_si, preferred)
    return number if unit == preferred else f"{number}{unit}"
