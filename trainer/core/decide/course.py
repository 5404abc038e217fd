"""How a player's shots of a round differ from what his range shots say: one offset for the course, on the log scale.

Assumptions: the offset is one number for all clubs, N(0, 0.03²) before the first approach (half of that of a swing's
ratio; common practice, no source); errors are normal with a known covariance, so that what the approaches share (the
cell's own doubt, the day, the wind's reading) is not averaged away. It is apart from the clubs: they learn nothing.

Source: Lindley & Smith 1972, J. R. Stat. Soc. B 34, 1–41, the linear model with known variances.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from trainer.core.constants import Z80
from trainer.core.estimate.evidence import Floats

PRIOR_SD_LOG = 0.03


@dataclass(frozen=True, slots=True)
class CourseOffset:
    """Mean and s.d. of log(distance on the course / distance that the range shots say), from `approaches`."""

    mean_log: float
    sd_log: float
    approaches: int

    @property
    def low80_log(self) -> float:
        """Lower end of the central 80 %."""
        return self.mean_log - Z80 * self.sd_log

    @property
    def high80_log(self) -> float:
        """Upper end of the central 80 %."""
        return self.mean_log + Z80 * self.sd_log

    @property
    def clear(self) -> bool:
        """Whether the central 80 % leaves out no difference at all."""
        return abs(self.mean_log) > Z80 * self.sd_log


def course_offset(difference_log: Floats, covariance: Floats, prior_sd_log: float = PRIOR_SD_LOG) -> CourseOffset:
    """The offset from differences (n,) whose errors have `covariance` (n, n), positive definite.

    Without differences it is the prior's. Raises numpy.linalg.LinAlgError where the covariance is singular.
    """
    precision, pull = 1 / prior_sd_log**2, 0.0
    if len(difference_log):
        weight = np.linalg.solve(covariance, np.ones(len(difference_log)))
        precision += float(weight.sum())
        pull = float(weight @ difference_log)
    return CourseOffset(pull / precision, math.sqrt(1 / precision), len(difference_log))
