"""`trainer flight`: the outer face of the flight calculation."""

from __future__ import annotations

import math

import pytest

from tests.cli.program import Program

KEYS = {
    "ball_speed_mps", "carry_m", "side_m", "apex_m", "descent_deg", "flight_s", "landing_speed_mps", "run_m",
    "total_m", "still_air_carry_m", "wind_effect_m",
}  # fmt: skip
IRON = ("flight", "--launch", "16deg", "--spin", "5500rpm")


def test_all_keys_are_there_without_a_player(program: Program) -> None:
    data = program.json(*IRON, "--ball-speed", "50m/s")
    assert data.keys() >= KEYS
    assert not program.store.exists()


def test_wind_effect_is_carry_less_still_air_carry(program: Program) -> None:
    data = program.json(*IRON, "--ball-speed", "50m/s", "--wind", "5m/s", "--wind-from", "0", "--profile", "uniform")
    assert data["wind_effect_m"] == pytest.approx(data["carry_m"] - data["still_air_carry_m"])
    # 141.1 m calm and 128.1 m into 5 m/s: the same shot flown through the table of Bearman & Harvey 1976 (computed).
    assert data["still_air_carry_m"] == pytest.approx(141.1, abs=1.5)
    assert data["carry_m"] == pytest.approx(128.1, abs=1.5)


def test_a_wind_from_the_right_pushes_left(program: Program) -> None:
    from_right = program.json(*IRON, "--ball-speed", "50m/s", "--wind", "5m/s", "--wind-from", "90")
    from_left = program.json(*IRON, "--ball-speed", "50m/s", "--wind", "5m/s", "--wind-from", "270")
    assert from_right["side_m"] < -5
    assert from_left["side_m"] == pytest.approx(-from_right["side_m"], rel=1e-6)


def test_a_solved_ball_speed_carries_what_was_asked(program: Program) -> None:
    wind = ("--wind", "4m/s", "--wind-from", "0")
    solved = program.json(*IRON, "--carry", "120m", *wind)
    flown = program.json(*IRON, "--ball-speed", f"{solved['ball_speed_mps']:.9f}m/s", *wind)
    assert solved["carry_m"] == pytest.approx(120.0, abs=0.01)
    assert flown["carry_m"] == pytest.approx(120.0, abs=0.01)


def test_a_carry_that_cannot_be_told_is_refused(program: Program) -> None:
    # Into a strong wind with much spin more speed stops carrying further: there is no one answer.
    wind = ("--wind", "12m/s", "--wind-from", "0")
    fastest = max(
        float(program.json("flight", "--launch", "20", "--spin", "9500", "--ball-speed", f"{v}m/s", *wind)["carry_m"])
        for v in range(30, 100, 5)
    )
    program("flight", "--launch", "20", "--spin", "9500", "--carry", f"{fastest + 20:.1f}m", *wind).refused()
    program("flight", "--launch", "20", "--spin", "9500", "--carry", f"{fastest - 0.5:.3f}m", *wind).refused()


@pytest.mark.parametrize(
    "wrong",
    [
        ("--ball-speed", "300mph"),
        ("--ball-speed", "-10mph"),
        ("--ball-speed", "nan"),
        ("--ball-speed", "50m/s", "--launch", "80deg"),
        ("--ball-speed", "50m/s", "--spin", "50000"),
        ("--ball-speed", "50m/s", "--axis-tilt", "85"),
        ("--ball-speed", "50m/s", "--start-direction", "60"),
        ("--ball-speed", "50m/s", "--profile", "steep"),
        ("--ball-speed", "50m/s", "--carry", "100m"),
        (),
    ],
)
def test_what_no_golf_ball_does_is_refused(program: Program, wrong: tuple[str, ...]) -> None:
    program(*IRON, *wrong).refused()


def test_numbers_are_never_rounded_for_programs(program: Program) -> None:
    data = program.json(*IRON, "--ball-speed", "50m/s")
    assert data["carry_m"] != round(data["carry_m"], 3)
    assert all(math.isfinite(value) for value in data.values())


def test_the_picture_fits_the_screen(program: Program) -> None:
    text = program(*IRON, "--ball-speed", "50m/s", "--wind", "20mph", "--wind-from", "0").out
    assert max(map(len, text.splitlines())) <= 100
    assert "*" in text
