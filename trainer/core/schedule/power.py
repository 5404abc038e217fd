"""What an evening can prove: balls needed to show a stated change at this player's spread.

All counts are for one of two equal groups, two-sided at 5 %, with 80 % power, balls independent and struck; a change
from one day to another needs several days besides, for a day has an offset of its own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from trainer.core.errors import InputError

LEVEL, POWER = 0.05, 0.80
_Z_LEVEL = NormalDist().inv_cdf(1 - LEVEL / 2)
_Z_SUM = _Z_LEVEL + NormalDist().inv_cdf(POWER)
LEAST_BALLS = 2


def balls_for_difference(change: float, spread: float) -> int:
    """Balls each to show a difference of two means of `change`, both with s.d. `spread`, in one unit.

    n = 2·(z_a + z_b)²·(spread/change)² + z_a²/4, power within 0.01 from five balls on and 0.77 at four. Source:
    Guenther 1981, Am. Stat. 35, 243–244. Raises InputError where either is not positive.
    """
    _require_positive(change, spread)
    return max(LEAST_BALLS, math.ceil(2 * (_Z_SUM * spread / change) ** 2 + _Z_LEVEL**2 / 4))


def balls_for_spread(spread: float, wanted: float) -> int:
    """Balls each to show that a spread of `spread` has become `wanted` (s.d. both, Gaussian).

    n = ((z_a + z_b) / log(spread/wanted))²: the log of a sample s.d. has variance 1/(2n). Source: Lehmann & Romano
    2005, Testing Statistical Hypotheses, sect. 11.3. Raises InputError where they are equal or not positive.
    """
    _require_positive(spread, wanted)
    ratio = math.log(spread / wanted)
    if ratio == 0:
        raise InputError("there is no change to show", "power", "give a spread other than today's")
    return max(LEAST_BALLS, math.ceil((_Z_SUM / ratio) ** 2))


@dataclass(frozen=True, slots=True)
class Question:
    """Something an evening might show, in a few words, and the balls it needs of each kind."""

    words: str
    balls_each: int


def tonight(questions: Sequence[Question], balls_each: int) -> tuple[str, ...]:
    """One plain line a question: balls of each kind, and whether `balls_each` tonight are enough."""
    return tuple(
        f"{question.words}: {question.balls_each} each"
        + ("" if question.balls_each <= balls_each else ", not tonight")
        for question in questions
    )


def _require_positive(*values: float) -> None:
    if not all(math.isfinite(value) and value > 0 for value in values):
        raise InputError("a change or a spread is not a positive number", "power", "give both above 0")
