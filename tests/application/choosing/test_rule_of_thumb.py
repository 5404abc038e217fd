"""What the rule of thumb plays a target as: one yard a mph of headwind on, half a yard of tailwind off."""

from __future__ import annotations

import pytest

from trainer.application.choosing.options import rule_of_thumb_m
from trainer.core.conditions import CALM_WIND, UNKNOWN_WIND, Wind, WindKnowledge
from trainer.core.units import to_si

TARGET_M = to_si(150, "yd")


@pytest.mark.parametrize(("from_deg", "yards"), [(0, 15.0), (180, -7.5), (90, 0.0), (60, 7.5)])
def test_only_what_blows_along_counts(from_deg: float, yards: float) -> None:
    wind = Wind(WindKnowledge.STATED, to_si(15, "mph"), to_si(from_deg, "deg"))
    assert rule_of_thumb_m(TARGET_M, wind) == pytest.approx(TARGET_M + to_si(yards, "yd"), abs=1e-6)


@pytest.mark.parametrize("wind", [CALM_WIND, UNKNOWN_WIND])
def test_a_wind_that_does_not_blow_or_is_not_known_counts_for_nothing(wind: Wind) -> None:
    assert rule_of_thumb_m(TARGET_M, wind) == TARGET_M
