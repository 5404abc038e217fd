"""The gate against a brute-force search over winds, and against hand-worked winds."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.conditions import CALM_WIND, Wind, WindKnowledge
from trainer.core.schedule.wind_gate import WindFrom, WindGate
from trainer.core.units import UnitChoice

UNITS = UnitChoice()
bounds = st.one_of(st.just(0.0), st.floats(0.5, 39.0))
gates = st.builds(
    WindGate,
    along_at_least_mps=bounds,
    across_at_least_mps=bounds,
    speed_at_least_mps=bounds,
    speed_at_most_mps=st.floats(0.0, 40.0),
    gust_at_most_mps=st.one_of(st.none(), st.floats(0.0, 60.0)),
    quarter=st.one_of(st.none(), st.sampled_from(WindFrom)),
)
winds = st.builds(
    Wind,
    st.just(WindKnowledge.STATED),
    speed_mps=st.floats(0.0, 40.0),
    from_rad=st.floats(0.0, 2 * math.pi),
    gust_mps=st.one_of(st.none(), st.floats(0.0, 50.0)),
)


def stated(speed_mps: float, from_deg: float, gust_mps: float | None = None) -> Wind:
    return Wind(WindKnowledge.STATED, speed_mps, math.radians(from_deg), gust_mps=gust_mps)


@pytest.mark.parametrize(
    ("gate", "wind", "is_met"),
    [
        (WindGate(along_at_least_mps=3), stated(5, 0), True),
        (WindGate(along_at_least_mps=3), stated(5, 180), True),
        (WindGate(along_at_least_mps=3), stated(5, 90), False),
        (WindGate(across_at_least_mps=3), stated(5, 270), True),
        (WindGate(across_at_least_mps=3), stated(5, 20), False),
        (WindGate(speed_at_most_mps=4), CALM_WIND, True),
        (WindGate(speed_at_least_mps=1), CALM_WIND, False),
        (WindGate(gust_at_most_mps=8), stated(5, 0, 9), False),
        (WindGate(gust_at_most_mps=8), stated(5, 0), True),
        (WindGate(gust_at_most_mps=8), stated(9, 0), False),
        (WindGate(quarter=WindFrom.INTO), stated(5, 40), True),
        (WindGate(quarter=WindFrom.INTO), stated(5, 320), True),
        (WindGate(quarter=WindFrom.INTO), stated(5, 50), False),
        (WindGate(quarter=WindFrom.LEFT), stated(5, 270), True),
        (WindGate(quarter=WindFrom.LEFT), stated(5, 90), False),
        (WindGate(quarter=WindFrom.LEFT), CALM_WIND, False),
    ],
)
def test_hand_worked_winds(gate: WindGate, wind: Wind, is_met: bool) -> None:
    assert (gate.unmet(wind, UNITS) == "") is is_met


@st.composite
def winds_and_gates_they_meet(draw: st.DrawFn) -> tuple[Wind, WindGate, WindGate]:
    """A wind, and two gates drawn loosely around it (a hundredth of room against rounding)."""
    wind = draw(winds.filter(lambda wind: 1.0 < wind.speed_mps < 39.0))
    gust_mps = max(wind.speed_mps, wind.gust_mps or 0.0)
    below, above = st.floats(0.0, 0.99), st.floats(1.01, 2.0)

    def gate() -> WindGate:
        return WindGate(
            along_at_least_mps=draw(below) * abs(wind.along_mps),
            across_at_least_mps=draw(below) * abs(wind.across_mps),
            speed_at_least_mps=draw(below) * wind.speed_mps,
            speed_at_most_mps=draw(above) * wind.speed_mps,
            gust_at_most_mps=draw(st.one_of(st.none(), above.map(lambda by: by * gust_mps))),
            quarter=draw(st.sampled_from([None, nearest_quarter(wind)])),
        )

    return wind, gate(), gate()


def nearest_quarter(wind: Wind) -> WindFrom:
    if abs(wind.along_mps) >= abs(wind.across_mps):
        return WindFrom.INTO if wind.along_mps < 0 else WindFrom.BEHIND
    return WindFrom.RIGHT if wind.across_mps < 0 else WindFrom.LEFT


@given(winds_and_gates_they_meet())
def test_gates_that_one_wind_meets_are_possible_alone_and_together(case: tuple[Wind, WindGate, WindGate]) -> None:
    wind, one, other = case
    assert one.unmet(wind, UNITS) == other.unmet(wind, UNITS) == ""
    assert one.is_possible
    assert other.is_possible
    assert one.is_possible_with(other)
    assert other.is_possible_with(one)


@given(gates)
def test_a_possible_gate_is_met_by_some_wind_found_by_search(gate: WindGate) -> None:
    found = any(
        gate.unmet(stated(speed_mps, tenth / 10), UNITS) == ""
        for speed_mps in (gate.greatest_speed_mps, gate.greatest_speed_mps - 1e-9)
        for tenth in range(0, 3600, 5)
    )
    if gate.least_speed_mps < gate.greatest_speed_mps * 0.98:
        assert found
    if not gate.is_possible and gate.least_speed_mps > gate.greatest_speed_mps * (1 + 1e-6) + 1e-9:
        assert not found


@pytest.mark.parametrize(
    ("one", "other", "together"),
    [
        (WindGate(speed_at_most_mps=3), WindGate(across_at_least_mps=4), False),
        (WindGate(speed_at_most_mps=5), WindGate(across_at_least_mps=4), True),
        (WindGate(quarter=WindFrom.LEFT), WindGate(quarter=WindFrom.RIGHT), False),
        (WindGate(along_at_least_mps=3), WindGate(across_at_least_mps=4, speed_at_most_mps=4.9), False),
        (WindGate(gust_at_most_mps=3), WindGate(speed_at_least_mps=4, gust_at_most_mps=9), False),
    ],
)
def test_gates_together(one: WindGate, other: WindGate, together: bool) -> None:
    assert one.is_possible_with(other) is together


@given(gates)
def test_limits_keep_no_lower_bound(gate: WindGate) -> None:
    limits = gate.limits_only()
    assert limits.least_speed_mps == 0
    assert limits.greatest_speed_mps == gate.greatest_speed_mps
