import numpy as np
import pytest

from tests.reference.coefficient_sets import SHOTS, WINDS_MPS, table
from tests.reference.model_error import FLIGHT_ERRORS, compare_sets
from trainer.core.flight.aerodynamics import COEFFICIENT_SETS
from trainer.core.flight.wind import WindField


@pytest.mark.parametrize("name", list(FLIGHT_ERRORS))
def test_stated_errors_are_those_of_the_published_sets(name: str) -> None:
    comparison = compare_sets(SHOTS[name].launch, WindField(WINDS_MPS))
    stated = FLIGHT_ERRORS[name]
    assert float(comparison.log_carry_sd[0]) == pytest.approx(stated.log_carry, rel=0.25)
    per_mps = np.median(comparison.effect_sd_m / np.abs(WINDS_MPS))
    assert per_mps == pytest.approx(stated.effect_m_per_mps, rel=0.25)


def test_every_set_keeps_the_still_air_carry_it_is_given() -> None:
    comparison = compare_sets(SHOTS["full iron"].launch, WindField(np.array([-1e-6, 3.0])))
    assert comparison.effect_m.shape == (len(COEFFICIENT_SETS), 2)
    np.testing.assert_allclose(comparison.effect_m[:, 0], 0.0, atol=0.01)


def test_a_wind_effect_is_surer_than_a_carry() -> None:
    # the difference between wind and still air depends less on the ball and the set than the carry itself does
    comparison = compare_sets(SHOTS["low iron"].launch, WindField(WINDS_MPS))
    assert (comparison.effect_sd_m < comparison.log_carry_sd * comparison.still_carry_m[0]).all()


def test_the_table_has_a_line_for_each_shot_and_set() -> None:
    assert len(table()) == 1 + len(SHOTS) * (len(COEFFICIENT_SETS) + 1)
