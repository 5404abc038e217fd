from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.core.estimate.simulate import bag, hit, plan, player
from trainer.core.errors import InputError
from trainer.core.estimate.design import build_design
from trainer.core.estimate.observations import Observations, require_observations
from trainer.core.estimate.priors import ClubPriors


@pytest.fixture
def seen() -> Observations:
    rng = np.random.default_rng(1)
    cells, priors = bag(), ClubPriors()
    asked = plan(rng, cells, 12)
    return hit(rng, cells, asked, player(rng, cells, asked, priors), priors)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("low_m", -1.0), ("low_m", np.nan), ("low_m", np.inf), ("high_m", 0.0), ("high_m", 1.0), ("cell", 24),
        ("cell", -1), ("reading", 99), ("day", 7), ("wind_log", np.nan), ("spread_log", 0.0), ("spread_log", np.inf),
        ("seen_sd_log", -0.1), ("seen_sd_log", np.nan), ("across_slope_per_mps", np.inf),
        ("flown_m", np.nan), ("flown_m", -1.0), ("flown_sd_log", -0.1), ("own_wind_log", np.nan),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_the_shot(seen: Observations, field: str, value: Any) -> None:
    array = getattr(seen, field).copy()
    array[4] = value
    with pytest.raises(InputError, match="shot 5"):
        require_observations(replace(seen, **{field: array}), 24)


def test_a_day_after_the_as_of_moment_is_refused(seen: Observations) -> None:
    with pytest.raises(InputError, match="day 2"):
        require_observations(replace(seen, age_days=np.array([0.0, -1.0])), 24)


def test_no_player_is_refused() -> None:
    with pytest.raises(InputError, match="player"):
        build_design(bag(), [], ClubPriors())


def test_shots_that_share_everything_share_a_row() -> None:
    cells = bag()
    asked = plan(np.random.default_rng(1), cells, 300, days=1, readings_a_day=1)
    design = build_design(cells, [replace(asked, low_m=asked.low_m + 100, high_m=np.full(300, 100.0))], ClubPriors())
    assert design.rows == len(np.unique(asked.cell))
