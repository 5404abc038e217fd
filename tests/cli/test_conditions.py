"""CONDITIONS: every option read once for all commands, contradictions asked about and nothing guessed."""

from __future__ import annotations

import pytest

from tests.cli.program import Program

SHOT = ("flight", "--ball-speed", "55m/s", "--launch", "15", "--spin", "5500")


def carry_m(program: Program, *conditions: str) -> float:
    return float(program.json(*SHOT, *conditions)["carry_m"])


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (("--wind", "10m/s", "--wind-from", "0"), ("--wind", "36km/h", "--wind-from", "12h")),
        (("--wind", "10m/s", "--wind-from", "90"), ("--wind", "10mps", "--wind-from", "3h")),
        (
            ("--wind", "8m/s", "--wind-from", "30"),
            ("--wind", "8m/s", "--wind-compass", "270", "--target-bearing", "240"),
        ),
        (("--altitude", "1000m"), ("--pressure", "898.763hPa")),
        (
            (
                "--temperature",
                "50F",
            ),
            ("--temperature", "10C"),
        ),
        (("--humidity", "0.6"), ("--humidity", "60%")),
        (("--calm",), ()),
    ],
)
def test_two_ways_of_saying_the_same(program: Program, one: tuple[str, ...], other: tuple[str, ...]) -> None:
    # 898.763 hPa is the standard atmosphere at 1000 m (ISO 2533).
    assert carry_m(program, *one) == pytest.approx(carry_m(program, *other), abs=0.01)


def test_a_wind_read_low_is_stronger_aloft(program: Program) -> None:
    low = carry_m(program, "--wind", "8m/s", "--wind-from", "0", "--wind-height", "2m")
    high = carry_m(program, "--wind", "8m/s", "--wind-from", "0", "--wind-height", "10m")
    assert low < high


def test_a_forecast_is_for_ten_metres_and_a_meter_for_two(program: Program) -> None:
    wind = ("--wind", "8m/s", "--wind-from", "0")
    assert carry_m(program, *wind, "--wind-read", "forecast") == carry_m(program, *wind, "--wind-height", "10m")
    assert carry_m(program, *wind) == carry_m(program, *wind, "--wind-height", "2m")


def test_thin_warm_air_carries_further(program: Program) -> None:
    assert carry_m(program, "--altitude", "1500m", "--temperature", "30C") > carry_m(program) + 3


@pytest.mark.parametrize(
    "conditions",
    [
        ("--wind", "300mph", "--wind-from", "0"),
        ("--wind", "-5mph", "--wind-from", "0"),
        ("--wind", "abc", "--wind-from", "0"),
        ("--wind", "12yd", "--wind-from", "0"),
        ("--wind", "12mph"),
        ("--wind-from", "1h"),
        ("--gust", "20mph"),
        ("--wind", "12mph", "--wind-from", "13h"),
        ("--wind", "12mph", "--wind-from", "400"),
        ("--wind", "12mph", "--wind-from", "1h", "--wind-compass", "20", "--target-bearing", "0"),
        ("--wind", "12mph", "--wind-compass", "20"),
        ("--wind", "12mph", "--wind-from", "1h", "--wind-height", "0m"),
        ("--wind", "12mph", "--wind-from", "1h", "--wind-read", "guessed"),
        ("--calm", "--wind", "5mph", "--wind-from", "0"),
        ("--temperature", "900C"),
        ("--pressure", "1013"),
        ("--pressure", "10hPa"),
        ("--pressure", "1000hPa", "--altitude", "100m"),
        ("--humidity", "3"),
        ("--turf", "wet"),
        ("--ball", "red"),
        ("--surface", "sand"),
        ("--seen", "drone"),
        ("--wind-where", "roof"),
    ],
)
def test_a_wrong_value_is_refused_by_name(program: Program, conditions: tuple[str, ...]) -> None:
    assert "--" in program(*SHOT, *conditions).refused()


def test_a_gust_typed_as_the_mean_is_asked_about(program: Program) -> None:
    line = program(*SHOT, "--wind", "20mph", "--wind-from", "0", "--gust", "14mph").refused()
    assert "?" in line
    assert "--gust" in line


def test_a_bare_number_is_in_the_players_own_unit(program: Program) -> None:
    program("setup", "--from-carry", "7 iron=140m")
    assert carry_m(program, "--wind", "6", "--wind-from", "0") == pytest.approx(
        carry_m(program, "--wind", "6m/s", "--wind-from", "0")
    )
    assert carry_m(program, "--temperature", "25") == pytest.approx(carry_m(program, "--temperature", "25C"))


def test_a_direction_that_is_none_is_named_and_not_taken_for_a_second_speed(program: Program) -> None:
    line = program(*SHOT, "--wind", "12mph", "--wind-from", "1x").refused()
    assert "--wind-from" in line
    assert "1x" in line
    assert "speed" not in line
