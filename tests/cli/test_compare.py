"""`trainer compare`: full against low in one wind."""

from __future__ import annotations

import pytest

from tests.cli.program import Program

FULL, LOW = "7 iron", "5 iron, 1 in, three-quarter"
HEAD = ("--wind", "15mph", "--wind-from", "12h")


def test_the_low_shot_flies_lower_lands_flatter_and_loses_less(player: Program) -> None:
    full, low = player.json("compare", FULL, LOW, *HEAD)["cells"]
    assert full["still_air_carry_m"]["median"] == pytest.approx(low["still_air_carry_m"]["median"], rel=0.05)
    assert low["apex_m"] < 0.75 * full["apex_m"]
    assert low["descent_deg"]["median"] < full["descent_deg"]["median"] - 5
    for side in (full, low):
        for name in ("descent_deg", "total_m", "carry_m"):
            assert side[name]["low80"] < side[name]["median"] < side[name]["high80"], name
        assert side["total_m"]["median"] == pytest.approx(side["carry_m"]["median"] + side["run_m"], rel=0.02)
    assert low["run_m"] > full["run_m"]
    assert full["wind_cost_m"] < 1.5 * low["wind_cost_m"] < 0
    assert full["misread_5mph_m"] < low["misread_5mph_m"] < 0


def test_a_crosswind_drifts_the_high_shot_more(player: Program) -> None:
    full, low = player.json("compare", FULL, LOW, "--wind", "10mph", "--wind-from", "3h")["cells"]
    assert full["side_m"] < low["side_m"] < 0


def test_in_a_calm_nothing_is_misread(player: Program) -> None:
    for side in player.json("compare", FULL, LOW, "--calm")["cells"]:
        assert side["misread_5mph_m"] is None
        assert side["wind_cost_m"] == pytest.approx(0, abs=0.01)


def test_it_agrees_with_the_gapping_table(player: Program) -> None:
    player.hit("7 iron: 140", "7 iron: 143", options=HEAD)
    side = player.json("compare", FULL, LOW)["cells"][0]
    cell = next(c for c in player.json("gaps")["cells"] if (c["club"], c["grip_down_m"], c["swing"]) == (
        "7 iron", 0.0, "full"))  # fmt: skip
    assert side["carry_m"] == cell["carry_today_m"]
    assert side["shots"] == 2


def test_a_cell_of_no_step_can_be_asked_for(player: Program) -> None:
    assert player.json("compare", "7 iron, 1.5 in, half", FULL)["cells"][0]["grip_down_m"] == pytest.approx(0.0381)


@pytest.mark.parametrize("cells", [("spoon", FULL), (FULL, "7 iron, 9 in"), (FULL, "7 iron, hard")])
def test_a_wrong_cell_is_refused(player: Program, cells: tuple[str, str]) -> None:
    player("compare", *cells).refused()


def test_the_text_fits_the_screen(player: Program) -> None:
    assert max(map(len, player("compare", FULL, LOW, *HEAD).out.splitlines())) <= 90


def test_a_wind_misread_is_told_in_the_players_own_unit(player: Program) -> None:
    assert "mph more" in player("compare", FULL, LOW, *HEAD).out
    assert player("setup", "--speed-unit", "m/s").code == 0
    told = player("compare", FULL, LOW, *HEAD).out
    assert "mph" not in told
    assert "m/s more" in told
