from __future__ import annotations

import contextlib
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.errors import InputError
from trainer.core.units import (
    UNITS,
    UnitChoice,
    from_si,
    parse_quantity,
    range_words,
    require_range,
    to_si,
    unit_named,
    whole,
)


@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        # Exact by definition (NIST SP 811, appendix B).
        ("1yd", "length", 0.9144),
        ("1 ft", "length", 0.3048),
        ("1in", "length", 0.0254),
        ("1mph", "speed", 0.44704),
        ("1 kn", "speed", 1852 / 3600),
        ("1 ft/s", "speed", 0.3048),
        ("36 km/h", "speed", 10.0),
        ("32F", "temperature", 273.15),
        ("212°F", "temperature", 373.15),
        ("0C", "temperature", 273.15),
        ("1013.25hPa", "pressure", 101325.0),
        ("29.92126 inHg", "pressure", 101325.0),
        ("180deg", "angle", math.pi),
        ("60rpm", "spin", 2 * math.pi),
        ("60%", "fraction", 0.6),
        ("−4yd", "length", -3.6576),
        (".5m", "length", 0.5),
        ("49.70700480137488m/s", "speed", 49.70700480137488),
        ("1.5e-05m", "length", 1.5e-5),
    ],
)
def test_text_with_a_unit_is_read_as_si(text: str, kind: str, si: float) -> None:
    assert parse_quantity(text, kind, None) == pytest.approx(si, rel=1e-6)


@pytest.mark.parametrize("text", ["", "yd", "12", "12mph", "1 2yd", "nan yd", "inf m", "1e9999m", "1,5yd", "0x10m"])
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        parse_quantity(text, "length", None)


@given(st.floats(-1e6, 1e6), st.sampled_from(sorted(UNITS)))
def test_a_value_comes_back_from_si(value: float, unit: str) -> None:
    assert from_si(to_si(value, unit), unit) == pytest.approx(value, rel=1e-9, abs=1e-6)


@given(st.floats(1e-30, 1e4) | st.floats(-1e4, -1e-30), st.sampled_from(sorted(set(UNITS) - {"1"})))
def test_a_printed_quantity_reads_back(value: float, unit: str) -> None:
    assert parse_quantity(f"{value!r}{unit}", UNITS[unit].kind, None) == pytest.approx(to_si(value, unit))


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    with contextlib.suppress(InputError):
        assert math.isfinite(parse_quantity(text, "length", "yd"))


def test_units_have_one_printed_name_each() -> None:
    assert unit_named("Yards") == unit_named("yd") == "yd"
    assert unit_named("furlong") is None


def test_a_range_is_told_in_the_unit_asked_for() -> None:
    assert require_range(10.0, 0.0, 20.0, "m", "height") == 10.0
    with pytest.raises(InputError, match="give 0 to 20 m"):
        require_range(21.0, 0.0, 20.0, "m", "height")
    with pytest.raises(InputError):
        require_range(math.nan, 0.0, 20.0, "m", "height")


@given(
    st.floats(-500, 500),
    st.floats(1, 500),
    st.sampled_from(["yd", "m", "ft", "in", "mph", "km/h", "C", "F", "deg", "rpm"]),
)
def test_what_a_refusal_says_may_be_given_is_taken(low: float, width: float, unit: str) -> None:
    high = low + width
    for refused in (low - 1.0, high + 1.0):
        _, least, most = range_words(refused, low, high, unit)
        for told in (least, most):
            if float(least) <= float(most):
                assert low - 1e-6 <= to_si(float(told), unit) <= high + 1e-6


def test_limits_are_told_to_the_whole_unit() -> None:
    assert range_words(1.0, to_si(20, "yd"), to_si(350, "yd"), "m") == ("1", "19", "320")
    assert range_words(1.0, to_si(20, "yd"), to_si(350, "yd"), "yd")[1:] == ("20", "350")
    assert range_words(2.0, 0.7, 1.3, "m")[1:] == ("0.7", "1.3")
    assert range_words(200.0, 243.15, 323.15, "F")[1:] == ("-22", "122")


def test_people_read_whole_yards() -> None:
    units = UnitChoice()
    assert units.shown_distance(to_si(142.4, "yd")) == "142 yd"
    assert whole(-0.2) == "0"
    assert units.shown_grip(0.0254) == "1 in"
    assert UnitChoice.following("m").shown_speed(6.0) == "6.0 m/s"
