"""A line of a course log, and what the player says before he knows."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.conditions import WindKnowledge
from trainer.core.errors import InputError
from trainer.core.profile import Sees
from trainer.core.shot import Depth
from trainer.core.units import UnitChoice
from trainer.exchange.course_line import ApproachLine, parse_course_line
from trainer.exchange.typed_line import BlankLine, GuessLine, SayLine, WindLine, parse_line

YARD = 0.9144
UNITS = UnitChoice()


def approach(text: str, units: UnitChoice = UNITS) -> ApproachLine:
    line = parse_course_line(text, units)
    assert isinstance(line, ApproachLine)
    return line


def test_an_offset_is_from_the_flag_of_the_line() -> None:
    line = approach("7 iron, three-quarter, to 150yd: red-6 4L")
    assert line.cell_text == "7 iron, three-quarter"
    assert line.flag_m == pytest.approx(150 * YARD)
    assert line.entry.total_m == pytest.approx(144 * YARD)
    assert line.entry.side_m == pytest.approx(-4 * YARD)
    assert line.entry.carry_m is None


def test_a_bare_number_is_where_it_came_to_rest() -> None:
    assert approach("8 iron, to 140: 143").entry.total_m == pytest.approx(143 * YARD)
    metric = approach("to 130, 8 iron: 127", UnitChoice.following("m"))
    assert (metric.cell_text, metric.flag_m, metric.entry.total_m) == ("8 iron", 130.0, 127.0)
    assert approach("8 iron, to 140: 138/143").entry.carry_m == pytest.approx(138 * YARD)
    assert approach("8 iron, to 140: short x").entry.depth is Depth.SHORT


@given(st.integers(40, 250), st.integers(-30, 30))
def test_rest_is_the_flag_and_the_offset(flag: int, offset: int) -> None:
    line = approach(f"7 iron, to {flag}yd: flag{offset:+d}")
    assert line.entry.total_m == pytest.approx((flag + offset) * YARD)
    assert line.entry.flag_offset_m == pytest.approx(offset * YARD)


def test_wind_and_remarks_stand_between() -> None:
    line = parse_course_line("wind 14mph 1h", UNITS)
    assert isinstance(line, WindLine)
    assert line.wind.from_rad == pytest.approx(math.radians(30))
    assert isinstance(parse_course_line("# the ninth", UNITS), BlankLine)


@pytest.mark.parametrize(
    "text",
    [
        "142 6L",
        "7 iron: flag-6",
        "7 iron, to 150yd, to 140yd: flag-6",
        "7 iron, to nowhere: flag-6",
        "7 iron, to 10yd: flag-12",
        "7 iron, to 150yd:",
        "7 iron, to 150yd: zzz",
        "flag red 150yd",
        "say 140",
        "guess 12mph 1h",
        "thunder",
    ],
)
def test_what_is_no_approach_is_refused_in_one_line(text: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_course_line(text, UNITS)
    assert "\n" not in str(caught.value)
    assert caught.value.remedy


def test_what_is_said_first() -> None:
    said = parse_line("say 140", UNITS, Sees.LANDING)
    assert isinstance(said, SayLine)
    assert said.carry_m == pytest.approx(140 * YARD)
    metric = parse_line("SAY 140m", UNITS, Sees.FINISH)
    assert isinstance(metric, SayLine)
    assert metric.carry_m == 140.0
    guess = parse_line("guess 12mph 1h", UNITS, Sees.LANDING)
    assert isinstance(guess, GuessLine)
    assert guess.wind.speed_mps == pytest.approx(12 * 0.44704)
    calm = parse_line("guess calm", UNITS, Sees.LANDING)
    assert isinstance(calm, GuessLine)
    assert calm.wind.knowledge is WindKnowledge.CALM


@pytest.mark.parametrize(
    "text", ["say", "say far", "say 0", "say 900yd", "say 12mph", "guess", "guess unknown", "guess 12"]
)
def test_what_says_nothing_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        parse_line(text, UNITS, Sees.LANDING)
