import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.conditions import Ball
from trainer.core.constants import BALL_DIAMETER_M
from trainer.core.errors import InputError
from trainer.core.flight.aerodynamics import (
    BALL_CLASSES,
    COEFFICIENT_SETS,
    SCRATCH_ROWS,
    BallFactors,
    bearman_harvey,
    drag_coefficient,
    lift_coefficient,
)
from trainer.core.flight.trajectory import Launch, fly

# Bearman and Harvey 1976, Aeronautical Quarterly 27, 112, figs 7 and 8, digitised: rpm, m/s, C_D, C_L
MEASURED = [
    (2000, 38.4, 0.253, 0.198),
    (2000, 71.9, 0.247, 0.136),
    (3000, 29.9, 0.317, 0.305),
    (3000, 46.9, 0.266, 0.207),
    (3000, 71.9, 0.255, 0.158),
    (4000, 21.6, 0.400, 0.364),
    (4000, 38.4, 0.308, 0.286),
    (4000, 55.2, 0.271, 0.215),
    (5000, 29.9, 0.373, 0.350),
    (5000, 46.9, 0.306, 0.270),
    (5000, 71.9, 0.271, 0.203),
    (6000, 21.6, 0.441, 0.423),
    (6000, 38.4, 0.352, 0.339),
    (6000, 55.2, 0.308, 0.266),
]
REYNOLDS = st.floats(2e4, 3.5e5)
SPIN_RATIO = st.floats(0.0, 1.5)


def flow_of(rpm: float, speed_mps: float) -> tuple[float, float]:
    return speed_mps * BALL_DIAMETER_M / 1.46e-5, rpm * np.pi / 30 * BALL_DIAMETER_M / 2 / speed_mps


@pytest.mark.parametrize(("rpm", "speed_mps", "drag", "lift"), MEASURED)
def test_fit_against_the_measurements(rpm: float, speed_mps: float, drag: float, lift: float) -> None:
    # tolerance: the greatest residual of the fit over all trusted points, 0.011 and 0.023
    flow = flow_of(rpm, speed_mps)
    assert float(drag_coefficient(*flow)) == pytest.approx(drag, abs=0.011)
    assert float(lift_coefficient(*flow)) == pytest.approx(lift, abs=0.023)


def test_fit_is_unbiased_over_the_measurements() -> None:
    rows = np.array(MEASURED)
    reynolds, ratio = flow_of(rows[:, 0], rows[:, 1])  # type: ignore[arg-type]  # arrays broadcast as numbers do
    assert abs((drag_coefficient(reynolds, ratio) - rows[:, 2]).mean()) < 0.003
    assert abs((lift_coefficient(reynolds, ratio) - rows[:, 3]).mean()) < 0.006


def test_second_digitisation_of_lift() -> None:
    # C_L about 0.08 + 0.66·S for S from 0.05: a straight line through the same figures, so no nearer than 0.04
    ratio = np.linspace(0.1, 0.3, 9)
    np.testing.assert_allclose(lift_coefficient(1.5e5, ratio), 0.08 + 0.66 * ratio, atol=0.04)


@given(REYNOLDS, SPIN_RATIO, st.floats(1e-4, 0.5))
def test_spin_adds_lift_and_drag(reynolds: float, ratio: float, more: float) -> None:
    assert float(lift_coefficient(reynolds, ratio + more)) > float(lift_coefficient(reynolds, ratio))
    assert float(drag_coefficient(reynolds, ratio + more)) > float(drag_coefficient(reynolds, ratio))


@given(st.floats(0.0, 1e6), st.floats(0.0, 1e4))
def test_bounded_everywhere(reynolds: float, ratio: float) -> None:
    assert 0.0 <= float(lift_coefficient(reynolds, ratio)) < 0.5
    assert 0.2 < float(drag_coefficient(reynolds, ratio)) < 0.9


@given(REYNOLDS)
def test_no_lift_without_spin(reynolds: float) -> None:
    assert float(lift_coefficient(reynolds, 0.0)) == 0.0


def test_irons_past_the_table() -> None:
    # a pitching wedge spins at S 0.4 at launch and above 0.5 at the end, at Re 6e4…1.2e5: lift levels off and does
    # not run away; the table's own greatest C_L is 0.43
    lift = lift_coefficient(1e5, np.array([0.3, 0.4, 0.5, 0.6]))
    steps = np.diff(lift)
    assert (steps > 0).all()
    assert (np.diff(steps) < 0).all()
    assert lift[-1] < 0.45


@given(st.lists(st.tuples(st.floats(0.01, 4.0), st.floats(0.0, 2.0)), min_size=1, max_size=20))
def test_in_place_sums_equal_the_formulas(points: list[tuple[float, float]]) -> None:
    reynolds, ratio = np.array(points).T
    out = np.empty((2, len(points)))
    bearman_harvey(np.stack([ratio, reynolds]), out, np.empty((SCRATCH_ROWS, len(points))))
    np.testing.assert_allclose(out[0], drag_coefficient(reynolds * 1e5, ratio), rtol=1e-12)
    np.testing.assert_allclose(out[1], lift_coefficient(reynolds * 1e5, ratio), rtol=1e-12, atol=1e-15)


@pytest.mark.parametrize("name", list(COEFFICIENT_SETS))
def test_published_sets_agree_on_a_driver(name: str) -> None:
    # where all were made for: S 0.1, Re 1.7e5; published C_D 0.24…0.28 and C_L 0.14…0.22
    out = np.empty((2, 1))
    COEFFICIENT_SETS[name](np.array([[0.1], [1.7]]), out, np.empty((SCRATCH_ROWS, 1)))
    assert 0.24 <= out[0, 0] <= 0.32
    assert 0.13 <= out[1, 0] <= 0.23


@pytest.mark.parametrize(("reynolds", "ratio"), [(np.nan, 0.1), (1e5, np.inf), (-1.0, 0.1), (1e5, -0.1)])
def test_impossible_flow_is_refused(reynolds: float, ratio: float) -> None:
    with pytest.raises(InputError):
        lift_coefficient(reynolds, ratio)


def test_playing_balls_differ_as_measured() -> None:
    # Lyu, Kensrud and Smith 2018, Proceedings 2, 238: 13 models, carry spread 18 m. The range of 13 normals is 3.34
    # s.d. (tables of the range), and a range from 13 has itself an s.d. of a quarter
    playing = BALL_CLASSES[Ball.PLAYING]
    rng = np.random.default_rng(8)
    factors = BallFactors(1 + rng.normal(0, playing.drag_sd, 4000), 1 + rng.normal(0, playing.lift_sd, 4000))
    carry = fly(Launch(68.0, 0.19, 280.0), ball=factors).carry_m
    assert 3.34 * carry.std() == pytest.approx(18.0, rel=0.25)


def test_a_range_ball_flies_shorter() -> None:
    # common practice: 5…10 % of carry
    short = fly(Launch(68.0, 0.19, 280.0), ball=BALL_CLASSES[Ball.RANGE].factors).carry_m
    assert 0.90 < float(short / fly(Launch(68.0, 0.19, 280.0)).carry_m) < 0.96
