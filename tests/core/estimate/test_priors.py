"""The priors against the flight's own error, as published coefficient sets differ: tests/reference/model_error.py."""

from __future__ import annotations

import numpy as np
import pytest

from tests.reference.model_error import FLIGHT_ERRORS
from trainer.core.bag import Swing
from trainer.core.estimate.priors import ClubPriors
from trainer.core.flight.delivery import reference_delivery
from trainer.core.flight.wind_effect import wind_effects

SHOTS = {"full iron": (34.0, 137.0, 0.0, Swing.FULL), "low iron": (30.0, 146.0, 0.0254, Swing.THREE_QUARTER)}


@pytest.mark.parametrize("name", SHOTS)
def test_the_wind_response_of_a_known_flight_covers_the_published_sets(name: str) -> None:
    loft_deg, stock_m, grip_m, swing = SHOTS[name]
    delivery = reference_delivery(np.deg2rad(loft_deg), stock_m, grip_m, swing)
    slopes = wind_effects(delivery, np.array([-8.0, -5.0, -2.5, 2.5, 5.0, 8.0])).slope_along_m_per_mps
    share = FLIGHT_ERRORS[name].effect_m_per_mps / float(np.mean(np.abs(slopes)))
    priors = ClubPriors()
    # as unsure as the sets, and half as much again for what a ball's own flight leaves unseen
    assert share < priors.own_flight_response_sd < 2 * share
    assert priors.own_flight_response_sd < priors.wind_response.sd


def test_a_carry_calculated_from_launch_data_is_as_unsure_as_the_published_sets() -> None:
    irons = [FLIGHT_ERRORS[name].log_carry for name in SHOTS]
    assert ClubPriors().flown.sd == pytest.approx(np.mean(irons), rel=0.1)
