from __future__ import annotations

import numpy as np
import pytest

from tests.core.estimate.calibration import NAMES, calibrate

# One chance in a hundred that a right sampler fails a whole run, shared among the quantities (Bonferroni).
BOUND = 0.01 / len(NAMES)


def test_ranks_are_uniform_with_everything_the_model_knows() -> None:
    least, whose = calibrate(240, 3, full=True).smallest_p()
    assert least > BOUND, whose


@pytest.mark.proof
@pytest.mark.parametrize("full", [False, True], ids=["plain carries", "everything"])
def test_three_thousand_players(full: bool) -> None:
    parts = [calibrate(500, seed, full=full) for seed in range(100, 106)]
    ranks = np.concatenate([part.ranks for part in parts])
    whole = type(parts[0])(ranks)
    least, whose = whole.smallest_p()
    coverage = whole.coverage80()
    print({name: round(float(c), 3) for name, c in zip(NAMES, coverage, strict=True)}, least, whose)  # noqa: T201 - kept in the table of proofs
    assert least > BOUND, whose
    cells = coverage[:3]
    assert np.all((cells >= 0.78) & (cells <= 0.82)), cells
