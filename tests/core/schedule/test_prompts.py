"""Prompts: the thunder timer, wind chill against its published table, juniors, and limits that can be changed."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.schedule.test_agenda import stated
from trainer.core.conditions import CALM_WIND, UNKNOWN_WIND, Air, Conditions, Wind, WindKnowledge
from trainer.core.schedule.prompts import (
    SafetyLimits,
    felt_temperature_k,
    is_feel_only,
    is_no_session,
    prompts_of,
    thunder_note,
)
from trainer.core.units import UnitChoice

NOON = datetime(2026, 6, 1, 12)
UNITS = UnitChoice()


def minutes(number: float) -> timedelta:
    return timedelta(minutes=number)


@given(st.lists(st.floats(0, 300), max_size=6), st.floats(0, 400))
def test_thunder_stops_until_thirty_minutes_after_the_last(heard: list[float], now: float) -> None:
    note = thunder_note([NOON + minutes(each) for each in heard], NOON + minutes(now))
    stopped = bool(heard) and now < max(heard) + 30 - 1e-4
    clear = not heard or now > max(heard) + 30 + 1e-4
    assert bool(note) or not stopped
    assert not note or not clear
    assert not note or "facility" in note


def test_the_earliest_time_is_named_and_the_limit_can_be_longer() -> None:
    assert "12:30" in thunder_note([NOON], NOON + minutes(1))
    longer = SafetyLimits(thunder_wait=minutes(45))
    assert "12:45" in thunder_note([NOON], NOON + minutes(40), longer)


@pytest.mark.parametrize(
    ("air_c", "wind_kmh", "felt_c"), [(5, 10, 3), (0, 20, -5), (-10, 30, -20), (5, 40, -1), (0, 5, -2)]
)
def test_wind_chill(air_c: float, wind_kmh: float, felt_c: float) -> None:
    """Environment Canada's wind chill table (whole degrees, wind at 10 m), from memory."""
    wind = Wind(WindKnowledge.STATED, wind_kmh / 3.6, height_m=10.0)
    felt = felt_temperature_k(Conditions(wind, Air(temperature_k=air_c + 273.15)))
    assert felt - 273.15 == pytest.approx(felt_c, abs=0.6)


def test_no_chill_without_wind_or_in_the_warm() -> None:
    for conditions in (
        Conditions(CALM_WIND, Air(temperature_k=275.0)),
        Conditions(UNKNOWN_WIND, Air(temperature_k=275.0)),
        replace(stated(10.0), air=Air(temperature_k=290.0)),
    ):
        assert felt_temperature_k(conditions) == conditions.air.temperature_k


def test_juniors_stop_at_the_adults_caution() -> None:
    gusty = stated(9.0, gust_mps=11.5)
    adult, junior = (prompts_of(gusty, (), UNITS, junior=young) for young in (False, True))
    assert any("take care" in note for note in adult)
    assert any("juniors stop" in note for note in junior)
    assert not any("take care" in note for note in junior)
    assert any("zones" in note for note in junior)
    assert not any("zones" in note for note in adult)


def test_a_limit_can_be_changed() -> None:
    gusty = stated(9.0, gust_mps=11.5)
    assert any("facility" in note for note in prompts_of(gusty, (), UNITS))
    assert not any("facility" in note for note in prompts_of(gusty, (), UNITS, SafetyLimits(gust_caution_mps=13.0)))


@pytest.mark.parametrize(
    ("mean_mps", "gust_mps", "feel"), [(0.4, None, False), (5.0, None, False), (0.4, 1.6, True), (14.0, None, True)]
)
def test_only_a_gust_that_was_read_makes_a_light_wind_too_gusty(
    mean_mps: float, gust_mps: float | None, feel: bool
) -> None:
    assert is_feel_only(stated(mean_mps, gust_mps=gust_mps).wind) is feel


@pytest.mark.parametrize(
    ("mean_mps", "gust_mps", "stop"), [(9.0, 16.9, False), (9.0, 17.1, True), (17.1, None, True)]
)
def test_no_session_from_gusts_of_38_mph(mean_mps: float, gust_mps: float | None, stop: bool) -> None:
    # Common practice, no source: 38 mph is 16.99 m/s.
    assert is_no_session(stated(mean_mps, gust_mps=gust_mps).wind) is stop
    assert not is_no_session(UNKNOWN_WIND)
