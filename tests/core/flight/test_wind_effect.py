import numpy as np
import pytest

from trainer.core.bag import Swing
from trainer.core.conditions import Air, Turf
from trainer.core.errors import InputError
from trainer.core.flight.aerodynamics import BALL_CLASSES, BallFactors
from trainer.core.flight.delivery import Delivery, reference_delivery
from trainer.core.flight.trajectory import fly
from trainer.core.flight.wind import WindField
from trainer.core.flight.wind_effect import misreading_m, wind_effects

YARD = 0.9144
INCH = 0.0254
MPH = 0.44704
DEGREE = np.pi / 180


def cells() -> Delivery:
    return reference_delivery(
        np.array([34.0, 30.0, 27.0])[:, None] * DEGREE,
        np.array([137.0, 147.0, 157.0])[:, None],
        np.array([0.0, INCH, INCH])[:, None],
        np.array([Swing.FULL, Swing.THREE_QUARTER, Swing.HALF], dtype=object)[:, None],
    )


def test_effect_is_the_carry_less_the_still_air_carry() -> None:
    along, across = np.array([-8.0, -3.0, 0.0, 5.0]), np.array([0.0, 2.0, 0.0, -4.0])
    effects = wind_effects(cells(), along, across, turf=Turf.FIRM)
    flight = fly(cells().launch, WindField(along, across))
    assert effects.effect_m.shape == (3, 4)
    np.testing.assert_allclose(effects.carry_m, flight.carry_m, rtol=1e-9)
    np.testing.assert_allclose(effects.side_m, flight.side_m, rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(effects.apex_m, flight.apex_m, rtol=1e-9)
    still = fly(cells().launch).carry_m
    np.testing.assert_allclose(effects.carry_still_m, np.broadcast_to(still, (3, 4)), rtol=1e-9)
    np.testing.assert_allclose(effects.effect_m, effects.carry_m - still, atol=1e-9)


def test_no_wind_no_effect() -> None:
    effects = wind_effects(cells(), 0.0)
    np.testing.assert_allclose(effects.effect_m, 0.0, atol=0.005)
    np.testing.assert_allclose(effects.side_m, 0.0, atol=1e-9)


@pytest.mark.parametrize(("along", "across"), [(-9.0, 3.0), (-2.0, 0.0), (0.0, 0.0), (6.0, -5.0)])
def test_slopes_are_those_of_the_flight(along: float, across: float) -> None:
    effects = wind_effects(cells(), along, across)
    step = 0.05
    for name, field in (("along", (step, 0.0)), ("across", (0.0, step))):
        ahead = fly(cells().launch, WindField(along + field[0], across + field[1]))
        behind = fly(cells().launch, WindField(along - field[0], across - field[1]))
        carry = (ahead.carry_m - behind.carry_m) / (2 * step)
        side = (ahead.side_m - behind.side_m) / (2 * step)
        np.testing.assert_allclose(getattr(effects, f"slope_{name}_m_per_mps"), carry, atol=0.05)
        np.testing.assert_allclose(getattr(effects, f"side_slope_{name}_m_per_mps"), side, atol=0.05)


def test_a_low_cell_loses_less_into_the_wind_than_a_full_one() -> None:
    # arithmetic: a wind that takes a fifth off a full mid iron takes about a fourteenth off its low shot of two clubs
    along = np.linspace(-12.0, 0.0, 49)
    effects = wind_effects(cells(), along)
    share = -effects.effect_m / effects.carry_still_m
    at = int(np.argmin(np.abs(share[0] - 0.20)))
    assert share[2, at] == pytest.approx(1 / 14, abs=0.02)
    assert share[1, at] < 0.75 * share[0, at]


def test_air_and_ball_count_in_the_effect_or_not() -> None:
    thin = wind_effects(cells(), 0.0, air=Air(pressure_pa=85e3))
    assert (thin.effect_m > 0).all()
    ranged = wind_effects(cells(), 0.0, ball=BALL_CLASSES[next(b for b in BALL_CLASSES if b == "range")].factors)
    np.testing.assert_allclose(ranged.effect_m, 0.0, atol=0.005)
    assert (ranged.carry_still_m < wind_effects(cells(), 0.0).carry_still_m).all()


def test_heights_roughness_and_factors_broadcast() -> None:
    effects = wind_effects(
        cells(),
        -5.0,
        1.0,
        np.array([2.0, 10.0]),
        roughness_m=np.array([0.03, 0.1]),
        ball=BallFactors(np.array([1.0, 1.05])),
    )
    assert effects.effect_m.shape == (3, 2)
    assert effects.slope_along_m_per_mps.shape == (3, 2)


def test_a_wind_at_the_limit_still_has_slopes() -> None:
    assert np.isfinite(wind_effects(cells(), 40.0).slope_along_m_per_mps).all()


@pytest.mark.parametrize("along", [41.0, np.nan])
def test_an_impossible_wind_is_refused(along: float) -> None:
    with pytest.raises(InputError):
        wind_effects(cells(), along)


def test_cost_of_misreading_a_headwind() -> None:
    # worked out: wrong by 5 mph at 18 (at 10 m): a full 7 iron about −12 yd, a low 5 iron about −4
    cost = misreading_m(cells(), -18 * MPH, 0.0, 5 * MPH, 10.0)[:, 0] / YARD
    assert cost[0] == pytest.approx(-12.0, abs=1.5)
    assert cost[2] == pytest.approx(-4.5, abs=1.5)


def test_misreading_agrees_with_the_slope() -> None:
    along = -6.0
    cost = misreading_m(cells(), along, 0.0, 0.1)
    np.testing.assert_allclose(cost, -0.1 * wind_effects(cells(), along).slope_along_m_per_mps, atol=0.02)


@pytest.mark.parametrize(("along", "wrong"), [(0.0, 1.0), (-3.0, -4.0), (np.nan, 1.0)])
def test_a_misreading_needs_a_wind(along: float, wrong: float) -> None:
    with pytest.raises(InputError):
        misreading_m(cells(), along, 0.0, wrong)
