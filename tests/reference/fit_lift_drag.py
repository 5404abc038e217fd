"""Fit C_D and C_L to the digitised table of Bearman & Harvey 1976 and print the constants and the residuals.

Run: python -m tests.reference.fit_lift_drag TABLE.csv
The table has columns rpm, v_mps, CD, CL; lines that start with # are skipped.

Weights, and why: the slowest column (13.7 m/s) and the two fastest are called doubtful by those who digitised the
figures; the slowest spins at 21.6 m/s disagree with every other point of the same spin ratio.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from trainer.core.constants import BALL_DIAMETER_M
from trainer.core.flight.aerodynamics import DRAG_FIT, LIFT_FIT, drag_of_fit, lift_of_fit

KINEMATIC_VISCOSITY_M2_S = 1.46e-5
"""Air at 15 °C and sea level: the table gives speeds, the fit needs Reynolds numbers."""

Floats = NDArray[np.float64]
Form = Callable[[Floats, Floats, tuple[float, ...]], Floats]


def read_table(path: Path) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Reynolds number, spin ratio, weight, C_D and C_L of each point."""
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    rpm, speed_mps, drag, lift = np.array([line.split(",") for line in lines[1:]], dtype=np.float64).T
    reynolds = speed_mps * BALL_DIAMETER_M / KINEMATIC_VISCOSITY_M2_S
    spin_ratio = rpm * np.pi / 30 * BALL_DIAMETER_M / 2 / speed_mps
    weight = np.ones_like(rpm)
    weight[speed_mps < 20] = 0.15
    weight[speed_mps > 75] = 0.4
    weight[(speed_mps > 20) & (speed_mps < 25) & (rpm < 2400)] = 0.5
    return reynolds, spin_ratio, weight, drag, lift


def report(path: Path) -> list[str]:
    """Lines on both fits: constants as in the code, and as fitted now, and the residuals of each."""
    reynolds, spin_ratio, weight, drag, lift = read_table(path)
    trusted = weight == 1
    lines = []
    for name, form, held, start, measured in (
        ("C_D", drag_of_fit, DRAG_FIT, [0.24, 0.2, 0.1, 0.01, 0.01], drag),
        ("C_L", lift_of_fit, LIFT_FIT, [0.3, 0.1, 0.2, 0.1, 0.5, 10.0], lift),
    ):

        def weighted(p: Floats, form: Form = form, measured: Floats = measured) -> Floats:
            return weight * (form(reynolds, spin_ratio, tuple(p)) - measured)

        found = least_squares(weighted, start, max_nfev=8000).x
        for label, constants in (("in the code", held), ("fitted now", tuple(float(value) for value in found))):
            residual = form(reynolds, spin_ratio, constants) - measured
            lines.append(f"{name} {label}: {[round(value, 4) for value in constants]}")
            for points, which in (("trusted", trusted), ("all", trusted | ~trusted)):
                rms, greatest = residual[which].std(), np.abs(residual[which]).max()
                lines.append(f"  {points} points: rms {rms:.4f}, greatest {greatest:.4f}")
    return lines


if __name__ == "__main__":
    sys.stdout.write("\n".join(report(Path(sys.argv[1]))) + "\n")
