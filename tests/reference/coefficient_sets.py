"""Tabulate how far the published coefficient sets disagree, for full, low and wedge shots in calm and wind.

Run: python -m tests.reference.coefficient_sets
The last two columns are where the constants of `tests.reference.model_error` come from.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping

import numpy as np

from tests.reference.model_error import SetComparison, compare_sets
from trainer.core.bag import Swing
from trainer.core.flight.aerodynamics import COEFFICIENT_SETS
from trainer.core.flight.delivery import Delivery, reference_delivery
from trainer.core.flight.wind import WindField

_YARD = 0.9144
_DEGREE = np.pi / 180
WINDS_MPS = np.array([-8.0, -5.0, -2.5, 2.5, 5.0, 8.0])
"""Along winds at 2 m over an open course."""

SHOTS: Mapping[str, Delivery] = {
    "driver": reference_delivery(10.5 * _DEGREE, 230 * _YARD),
    "full iron": reference_delivery(34 * _DEGREE, 150 * _YARD),
    "low iron": reference_delivery(30 * _DEGREE, 160 * _YARD, 0.0254, Swing.THREE_QUARTER),
    "wedge": reference_delivery(46 * _DEGREE, 122 * _YARD),
}
"""Full, low and wedge shots of a 150 yd 7 iron, and the driver that two of the sets were made for."""


def rows(name: str, comparison: SetComparison) -> list[str]:
    """A line a set, and one of the s.d. between them."""
    lines = []
    for at, title in enumerate(COEFFICIENT_SETS):
        effects = "".join(f"{effect:8.1f}" for effect in comparison.effect_m[at])
        lines.append(f"{name:10} {title:26}{comparison.still_carry_m[at, 0]:8.1f}{effects}")
    spread = "".join(f"{sd:8.1f}" for sd in comparison.effect_sd_m)
    per_mps = float(np.median(comparison.effect_sd_m / np.abs(WINDS_MPS)))
    log_sd = float(comparison.log_carry_sd[0])
    lines.append(f"{name:10} {'s.d. between them':26}{'':8}{spread}{log_sd:10.3f}{per_mps:8.2f}")
    return lines


def table() -> list[str]:
    """Lines: still-air carry with the same launch, wind effects with the same still-air carry, all in m."""
    winds = "".join(f"{wind:+8.1f}" for wind in WINDS_MPS)
    head = f"{'shot':10} {'set':26}{'calm':>8}{winds}{'log sd':>10}{'m/mps':>8}"
    lines = [head]
    for name, delivery in SHOTS.items():
        lines.extend(rows(name, compare_sets(delivery.launch, WindField(WINDS_MPS))))
    return lines


if __name__ == "__main__":
    sys.stdout.write("\n".join(table()) + "\n")
