"""`trainer card`: the winds on it, what is made 8 times in 10, its three forms, and that it agrees with the table."""

from __future__ import annotations

import itertools
from typing import Any
from xml.etree import ElementTree

import pytest

from tests.cli.program import Program, cell_of

MPH_MPS = 0.44704
SVG = "{http://www.w3.org/2000/svg}"
MM_A_POINT = 25.4 / 72


def rows_of(card: dict[str, Any], block: int = 0) -> dict[int, dict[str, Any]]:
    """The rows of a block by headwind in mph."""
    return {round(row["headwind_mps"] / MPH_MPS): row for row in card["blocks"][block]["rows"]}


def test_four_to_six_clubs_and_every_wind(player: Program) -> None:
    card = player.json("card")
    full, low = card["blocks"]
    assert 4 <= len(full["columns"]) <= 6
    assert [c["club"] for c in full["columns"]] == [c["club"] for c in low["columns"]]
    assert set(rows_of(card)) == {20, 15, 10, 5, 0, -10, -20}
    assert card["prepared_before_the_round"] is True
    assert card["prepared"].startswith("2026-05-14")
    for block in card["blocks"]:
        for row in block["rows"]:
            assert all(made < usual for made, usual in zip(row["made_8_in_10_m"], row["carry_m"], strict=True))
        for column in block["columns"]:
            assert column["run_firm_m"] > column["run_soft_m"]
            assert column["drift_m"] > 0
            assert column["trust"] == "guess"


def test_into_the_wind_full_shots_lose_more_than_low_ones(player: Program) -> None:
    card = player.json("card")
    full, low = (rows_of(card, block) for block in (0, 1))
    for rows in (full, low):
        carries = [rows[wind]["carry_m"] for wind in (0, 5, 10, 15, 20)]
        for calmer, windier in itertools.pairwise(carries):
            assert all(less < more for less, more in zip(windier, calmer, strict=True))
    lost = [
        [1 - into / calm for into, calm in zip(rows[15]["carry_m"], rows[0]["carry_m"], strict=True)]
        for rows in (full, low)
    ]
    assert all(high > 1.3 * small for high, small in zip(*lost, strict=True))


def test_it_agrees_with_the_gapping_table_in_the_same_wind(player: Program) -> None:
    player.hit(*["7 iron: 150", "7 iron: 147"] * 4, options=("--calm", "--seen", "laser"))
    card = player.json("card", "--clubs", "7 iron", "--when", "2026-06-14")
    wind = ("--wind", "10mph", "--wind-from", "0", "--wind-read", "forecast")
    table = player.json("gaps", *wind, "--when", "2026-06-14")
    usual = rows_of(card)[10]["carry_m"][0]
    # the card's is the middle of all balls, bad ones in: a little under a struck ball's
    assert usual == pytest.approx(cell_of(table, "7 iron")["carry_today_m"]["median"], rel=0.03)


def test_clubs_are_named_in_any_spelling_and_order(player: Program) -> None:
    card = player.json("card", "--clubs", "PW, 7i", "5-iron")
    assert [c["club"] for c in card["blocks"][0]["columns"]] == ["5 iron", "7 iron", "pitching wedge"]


def test_the_clubs_that_were_hit_are_on_it(player: Program) -> None:
    player.hit("4 hybrid: 170", "sand wedge: 85", options=("--calm",))
    clubs = {c["club"] for c in player.json("card")["blocks"][0]["columns"]}
    assert clubs >= {"4 hybrid", "sand wedge"}
    assert 4 <= len(clubs) <= 6


def test_the_text_fits_and_names_its_basis(player: Program) -> None:
    six = "4 hybrid, 5 iron, 6 iron, 7 iron, 8 iron, pitching wedge"
    text = player("card", "--clubs", six).out
    assert max(map(len, text.splitlines())) <= 80
    for said in ("prepared before the round", "14 May 2026", "4.3a", "local rules", "10 m", "59 °F", "yd", "mph"):
        assert said in " ".join(text.split())


def test_the_svg_is_one_a6_page_of_legible_text(player: Program) -> None:
    drawn = ElementTree.fromstring(player("card", "--format", "svg").out)
    assert (drawn.get("width"), drawn.get("height")) == ("105mm", "148mm")
    texts = list(drawn.iter(f"{SVG}text"))
    assert len(texts) > 100
    for text in texts:
        assert 0 < float(text.get("x", "nan")) < 105
        assert 0 < float(text.get("y", "nan")) < 146
        # six points is the least that print guides call legible (common practice)
        assert float(text.get("font-size", "0")) >= 6 * MM_A_POINT


def test_no_two_rows_of_the_svg_share_a_place(player: Program) -> None:
    drawn = ElementTree.fromstring(player("card", "--format", "svg").out)
    labels = [text for text in drawn.iter(f"{SVG}text") if text.get("text-anchor") == "start"]
    at = sorted({float(text.get("y", "nan")) for text in labels})
    assert all(lower - upper >= 2.3 for upper, lower in itertools.pairwise(at))


def test_html_holds_the_same_page(player: Program) -> None:
    html, svg = player("card", "--format", "html").out, player("card", "--format", "svg").out
    assert svg.strip() in html
    assert html.startswith("<!doctype html>")


def test_a_name_cannot_break_out_of_the_page(program: Program) -> None:
    program("setup", "--from-carry", "7 iron=150yd", "--player", "<b>&x")
    ElementTree.fromstring(program("card", "--format", "svg").out)


def test_metric_players_get_metric_winds(program: Program) -> None:
    program("setup", "--from-carry", "7 iron=137m")
    text = program("card").out
    assert "m/s" in text
    assert "mph" not in text


def test_cold_air_costs_carry(player: Program) -> None:
    warm, cold = (rows_of(player.json("card", "--temperature", t))[0]["carry_m"] for t in ("30C", "0C"))
    assert all(less < more - 2 for less, more in zip(cold, warm, strict=True))


@pytest.mark.parametrize(
    "words", [("--clubs", "spoon"), ("--format", "pdf"), ("--clubs", "driver,3 wood,4 hybrid,5i,6i,7i,8i")]
)
def test_a_wrong_value_is_refused(player: Program, words: tuple[str, ...]) -> None:
    player("card", *words).refused()
