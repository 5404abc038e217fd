from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.conditions import CALM_WIND, UNKNOWN_WIND, ReadingMethod, Wind, WindKnowledge, WindPlace
from trainer.core.errors import InputError
from trainer.core.profile import RangeFlag, Sees
from trainer.core.units import UnitChoice
from trainer.exchange.typed_line import (
    BlankLine,
    FlagLine,
    InsteadLine,
    Line,
    ShotLine,
    SkipLine,
    ThunderLine,
    WindLine,
    parse_line,
)
from trainer.exchange.typed_shot import parse_typed_shot
from trainer.exchange.wind_text import parse_direction, parse_wind

YARDS = UnitChoice()
MPH = 0.44704  # NIST SP 811


def line(text: str, bearing_rad: float | None = None) -> Line:
    return parse_line(text, YARDS, Sees.LANDING, bearing_rad)


def wind(text: str, bearing_rad: float | None = None) -> Wind:
    return parse_wind(text, YARDS, bearing_rad)


@pytest.mark.parametrize("text", ["", "  \t", "#", "# 142 6L", "  # dusk", "\n", "\r\n"])
def test_blank_lines_and_remarks(text: str) -> None:
    assert line(text) == BlankLine()


def test_a_line_that_starts_with_a_tag_is_a_shot() -> None:
    assert line("#closer 142") == ShotLine(None, parse_typed_shot("142 #closer", YARDS, Sees.LANDING))


def test_the_cell_stands_before_the_colon() -> None:
    assert line("7 iron, 1 in: 142 6L\n") == ShotLine("7 iron, 1 in", parse_typed_shot("142 6L", YARDS, Sees.LANDING))
    for text in (": 142", "7 iron:", "7 iron: 142: 6L", "7 iron 142"):
        with pytest.raises(InputError):
            line(text)


def test_flags() -> None:
    assert line("flag red 150yd 10deg") == FlagLine(RangeFlag("red", 150 * 0.9144, math.radians(10)))
    assert line("FLAG Big-Oak 150") == FlagLine(RangeFlag("big-oak", 150 * 0.9144, 0.0))
    assert line("flag red 137m -10") == FlagLine(RangeFlag("red", 137.0, math.radians(-10)))


def test_another_shot_in_place_of_the_next_ball_and_why() -> None:
    assert line("instead 7 iron, 1 in, half: knee  hurts") == InsteadLine("7 iron, 1 in, half", "knee hurts")
    assert line("INSTEAD 9i: wind: too much") == InsteadLine("9i", "wind: too much")
    assert line("skip too far for me") == SkipLine("too far for me")


def test_thunder_stands_alone() -> None:
    assert line("Thunder\n") == ThunderLine()
    with pytest.raises(InputError):
        line("thunder 18:40")


@pytest.mark.parametrize(
    "text", ["instead", "instead 7 iron", "instead 7 iron:", "instead : tired", "skip", f"skip {'x' * 81}"]
)
def test_a_ball_is_not_changed_without_a_shot_and_a_short_reason(text: str) -> None:
    with pytest.raises(InputError):
        line(text)


@pytest.mark.parametrize(
    "text",
    ["flag", "flag red", "flag red 0", "flag red 500", "flag red 150 100deg", "flag 5 150", "flag red-5 150",
     "flag red 150 10mph", "flag red 150 10 3"],
)  # fmt: skip
def test_flags_that_are_refused(text: str) -> None:
    with pytest.raises(InputError):
        line(text)


def test_a_wind_as_it_is_mostly_typed() -> None:
    expected = Wind(WindKnowledge.READ, 14 * MPH, math.radians(30), 2.0, ReadingMethod.METER, WindPlace.OPEN, None)
    for text in ("14mph 1h", "14 1h", "14 mph from 30 deg", "1h 14mph", "14 meter 1h", "14mph 1.0h meter open"):
        assert wind(text) == expected
    assert line("Wind 14MPH 1H") == WindLine(expected)


def test_all_that_a_wind_can_say() -> None:
    expected = Wind(
        WindKnowledge.READ, 6.0, math.radians(135), 8.0, ReadingMethod.FORECAST, WindPlace.BAY, gust_mps=9.0
    )
    assert wind("6m/s 4.5h gust 9m/s at 8m forecast bay") == expected
    assert wind("bay forecast at 8 m gust 9 m/s 4.5 h 6 m/s") == expected


@pytest.mark.parametrize(("method", "height_m"), [("meter", 2.0), ("felt", 2.0), ("forecast", 10.0)])
def test_the_height_that_is_not_said(method: str, height_m: float) -> None:
    assert wind(f"14 1h {method}").height_m == height_m


def test_winds_without_a_number() -> None:
    assert wind("calm") == CALM_WIND
    assert wind("0") == CALM_WIND
    assert wind("0mph 3h") == CALM_WIND
    assert wind("unknown") == UNKNOWN_WIND


@pytest.mark.parametrize(
    ("compass", "bearing_deg", "from_deg"),
    [("240deg", 240, 0), ("240deg", 150, 90), ("w", 90, 180), ("nne", 90, 292.5)],
)
def test_a_compass_wind_is_turned_by_the_targets_bearing(compass: str, bearing_deg: float, from_deg: float) -> None:
    given_wind = wind(f"12mph compass {compass}", math.radians(bearing_deg))
    assert given_wind.from_rad == pytest.approx(math.radians(from_deg))


@pytest.mark.parametrize(
    ("text", "at_fault"),
    [
        ("", "wind"),
        ("14mph", "14mph"),
        ("14 30", "30"),
        ("14 1h gust 12", "12"),
        ("14 1h gust 14", "14"),
        ("0 gust 14", "14"),
        ("14 to 1h", "to"),
        ("14 towards 1h", "towards"),
        ("-14 1h", "-14"),
        ("41m/s 1h", "41m/s"),
        ("14 13h", "13h"),
        ("14 0h", "0h"),
        ("14 1.25h", "1.25h"),
        ("14 361deg", "361deg"),
        ("14 -30deg", "-30deg"),
        ("14 1h 2h", "2h"),
        ("14mph 15mph 1h", "15mph"),
        ("14 1h calm", "calm"),
        ("14 1h gust", "gust"),
        ("14 1h at", "at"),
        ("14 1h at 0m", "0m"),
        ("14 1h at 900m", "900m"),
        ("14m 1h", "14m"),
        ("14 1h meter felt", "felt"),
        ("14 1h bay open", "open"),
        ("14 1h breezy", "breezy"),
        ("12 compass 240deg", "240deg"),
        ("6m/s 1h gust 20", "20"),
    ],
)
def test_a_wind_that_leaves_a_question_is_asked_about(text: str, at_fault: str) -> None:
    with pytest.raises(InputError) as refused:
        wind(text)
    assert refused.value.where == at_fault
    assert refused.value.remedy


@given(st.integers(1, 12), st.booleans())
def test_an_hour_is_thirty_degrees(hour: int, half: bool) -> None:
    degrees = hour % 12 * 30 + 15 * half
    assert parse_direction(f"{hour}{'.5' if half else ''}h") == pytest.approx(math.radians(degrees))
    assert parse_direction(f"{degrees}") == pytest.approx(math.radians(degrees))


def test_a_whole_turn_is_none() -> None:
    assert parse_direction("360deg") == parse_direction("12h") == parse_direction("0") == 0.0


@given(st.integers(0, 359), st.integers(0, 359))
def test_directions_stay_within_one_turn(compass_deg: int, bearing_deg: int) -> None:
    from_rad = wind(f"12mph compass {compass_deg}deg", math.radians(bearing_deg)).from_rad
    assert 0 <= from_rad < 2 * math.pi
    assert math.cos(from_rad) == pytest.approx(math.cos(math.radians(compass_deg - bearing_deg)))
    assert math.sin(from_rad) == pytest.approx(math.sin(math.radians(compass_deg - bearing_deg)))
