"""The course's own offset: a normal prior, normal approaches, and what they share."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.decide.course import PRIOR_SD_LOG, course_offset


def test_without_an_approach_it_is_the_prior() -> None:
    nothing = course_offset(np.zeros(0), np.zeros((0, 0)))
    assert (nothing.mean_log, nothing.approaches) == (0.0, 0)
    assert nothing.sd_log == pytest.approx(PRIOR_SD_LOG)
    assert not nothing.clear


@given(st.lists(st.floats(-0.3, 0.3), min_size=1, max_size=8), st.floats(0.02, 0.2))
def test_independent_approaches_give_the_textbook_posterior(differences: list[float], sd: float) -> None:
    # conjugate normal with known variance (textbook closed form)
    n = len(differences)
    found = course_offset(np.array(differences), sd**2 * np.eye(n))
    precision = 1 / PRIOR_SD_LOG**2 + n / sd**2
    assert found.sd_log == pytest.approx(1 / math.sqrt(precision))
    assert found.mean_log == pytest.approx(sum(differences) / sd**2 / precision, abs=1e-12)
    assert found.high80_log - found.low80_log == pytest.approx(2 * 1.2816 * found.sd_log, rel=1e-4)


def test_what_all_approaches_share_is_not_averaged_away() -> None:
    shared, own = 0.03, 0.05
    sds = []
    for n in (5, 50, 500):
        covariance = shared**2 * np.ones((n, n)) + own**2 * np.eye(n)
        sds.append(course_offset(np.full(n, -0.05), covariance).sd_log)
    least = 1 / math.sqrt(1 / PRIOR_SD_LOG**2 + 1 / shared**2)
    assert sds[0] > sds[1] > sds[2] > least
    assert sds[2] == pytest.approx(least, rel=0.02)


def test_it_agrees_with_the_joint_normal_conditioned() -> None:
    rng = np.random.default_rng(3)
    root = rng.normal(size=(4, 4))
    covariance, seen = 0.01 * root @ root.T + 0.001 * np.eye(4), rng.normal(0, 0.05, 4)
    joint = covariance + PRIOR_SD_LOG**2 * np.ones((4, 4))
    gain = PRIOR_SD_LOG**2 * np.ones(4) @ np.linalg.inv(joint)
    found = course_offset(seen, covariance)
    assert found.mean_log == pytest.approx(float(gain @ seen), rel=1e-9)
    variance = PRIOR_SD_LOG**2 - float(gain @ np.full(4, PRIOR_SD_LOG**2))
    assert found.sd_log == pytest.approx(math.sqrt(variance), rel=1e-9)
