"""`trainer choose`: its keys, its honesty from priors alone, its rule of thumb, and values that make no sense."""

from __future__ import annotations

from typing import Any

import pytest

from tests.cli.program import Program, cell_of

YARD_M, MPH_MPS = 0.9144, 0.44704
INTO = ("--wind", "15mph", "--wind-from", "12h")
OPTION_KEYS = {
    "club", "grip_down_m", "swing", "carry_m", "total_m", "aim_side_m", "p_over", "p_hold", "p_short", "p_long",
    "p_left", "p_right", "trust",
}  # fmt: skip
FIVE = ("p_hold", "p_short", "p_long", "p_left", "p_right")


def first(choice: dict[str, Any]) -> dict[str, Any]:
    return dict(choice["options"][0])


def place_in_bag(player: Program, club: str) -> int:
    """0 for the longest club of the bag."""
    return list(dict.fromkeys(cell["club"] for cell in player.json("gaps")["cells"])).index(club)


def test_every_option_has_every_key_and_five_chances_that_add_to_one(player: Program) -> None:
    choice = player.json("choose", "150yd", *INTO)
    assert choice.keys() >= {"options", "rule_of_thumb_m", "still_air_equivalent_m", "flips"}
    assert choice["rule_of_thumb_m"] == pytest.approx((150 + 15) * YARD_M, abs=1e-6)
    assert len(choice["options"]) >= 3
    assert len({(o["club"], o["grip_down_m"], o["swing"]) for o in choice["options"]}) == len(choice["options"])
    for option in choice["options"]:
        assert option.keys() >= OPTION_KEYS
        assert sum(option[key] for key in FIVE) == pytest.approx(1)
        assert option["p_over"] is None
        for distance in (option["carry_m"], option["total_m"]):
            assert distance["low80"] < distance["median"] < distance["high80"]
    held = [option["p_hold"] for option in choice["options"]]
    assert held == sorted(held, reverse=True)


def test_from_the_priors_alone_it_says_so(player: Program) -> None:
    choice = player.json("choose", "150yd", *INTO)
    assert choice["shots"] == 0
    assert all(option["trust"] == "guess" and option["extrapolated"] for option in choice["options"])
    assert all(option["basis"] == "priors alone" for option in choice["options"])
    player.hit("7 iron: 140", "7 iron: 143", options=INTO)
    after = player.json("choose", "140yd", *INTO)
    hit = next(o for o in after["options"] if (o["club"], o["grip_down_m"], o["swing"]) == ("7 iron", 0.0, "full"))
    assert (hit["basis"], hit["extrapolated"]) == ("hit", False)
    assert {o["basis"] for o in after["options"]} == {"hit", "worked out"}


def test_the_still_air_equivalent_agrees_with_the_gapping_table(player: Program) -> None:
    table = player.json("gaps", *INTO)
    here = cell_of(table, "6 iron")
    choice = player.json("choose", f"{here['carry_today_m']['median']}m", *INTO)
    assert choice["still_air_equivalent_m"] == pytest.approx(here["still_air_carry_m"]["median"], abs=0.5)
    # into a wind everything plays longer
    assert choice["still_air_equivalent_m"] > here["carry_today_m"]["median"] + 10


def test_where_no_full_swing_reaches_there_is_no_equivalent(player: Program) -> None:
    for distance in ("320yd", "20yd"):
        choice = player.json("choose", distance, "--calm")
        assert choice["still_air_equivalent_m"] is None
        assert len(choice["options"]) >= 3
    far = first(player.json("choose", "320yd", "--calm"))
    assert far["p_short"] > 0.8


def test_into_the_wind_a_longer_club_is_the_first_choice(player: Program) -> None:
    places = [
        place_in_bag(player, first(player.json("choose", "140yd", "--wind", "15mph", "--wind-from", way))["club"])
        for way in ("0", "180")
    ]
    assert places[0] < places[1]


def test_a_crosswind_is_aimed_off(player: Program) -> None:
    right = first(player.json("choose", "140yd", "--wind", "12mph", "--wind-from", "3h"))
    left = first(player.json("choose", "140yd", "--wind", "12mph", "--wind-from", "9h"))
    assert right["aim_side_m"] > 3
    assert left["aim_side_m"] < -3


def test_a_left_handed_player_is_the_mirror_image(program: Program) -> None:
    for alias, hand in (("r", "right"), ("l", "left")):
        assert program("setup", "--from-carry", "7 iron=150yd", "--player", alias, "--hand", hand).code == 0
    common = ("140yd", "--wind", "12mph")
    one = program.json("choose", *common, "--wind-from", "60", "--left", "6yd", "--right", "12yd", "--player", "r")
    two = program.json("choose", *common, "--wind-from", "300", "--left", "12yd", "--right", "6yd", "--player", "l")
    for right, left in zip(one["options"], two["options"], strict=True):
        assert left["club"] == right["club"]
        assert left["aim_side_m"] == pytest.approx(-right["aim_side_m"], abs=1e-6)
        assert left["p_left"] == pytest.approx(right["p_right"], abs=1e-9)
        assert left["p_hold"] == pytest.approx(right["p_hold"], abs=1e-9)


def test_a_wider_green_holds_more(player: Program) -> None:
    narrow = player.json("choose", "140yd", *INTO, "--front", "136yd", "--back", "146yd", "--left", "5yd")
    wide = player.json("choose", "140yd", *INTO, "--front", "126yd", "--back", "160yd", "--right", "20yd")
    known = {(o["club"], o["grip_down_m"], o["swing"]): o["p_hold"] for o in wide["options"]}
    for option in narrow["options"]:
        assert known[option["club"], option["grip_down_m"], option["swing"]] >= option["p_hold"]


def test_what_must_be_carried_and_the_aims(player: Program) -> None:
    words = ("140yd", *INTO, "--carry-over", "128yd")
    by = {aim: first(player.json("choose", *words, "--aim", aim)) for aim in ("hold", "never-short", "nearest")}
    assert all(0 <= option["p_over"] <= 1 for option in by.values())
    assert by["never-short"]["p_short"] <= by["hold"]["p_short"]
    assert by["never-short"]["p_over"] >= by["hold"]["p_over"]


def test_a_target_below_plays_shorter_and_a_minus_is_a_value(player: Program) -> None:
    def carry(*words: str) -> float:
        options = player.json("choose", "140yd", "--calm", *words)["options"]
        found = next(o for o in options if (o["club"], o["grip_down_m"], o["swing"]) == ("8 iron", 0.0, "full"))
        return float(found["carry_m"]["median"])

    level, below, above = carry(), carry("--slope", "-8yd"), carry("--slope", "8yd")
    # height over the tangent of a descent of 40…60° (practice: height / tan(descent))
    assert 3 < below - level < 10
    assert 3 < level - above < 12


def test_switches_are_told_with_their_doubt(player: Program) -> None:
    flips = player.json("choose", "140yd", *INTO)["flips"]
    assert flips
    winds = [flip["wind_mps"] for flip in flips]
    assert winds == sorted(winds)
    for flip in flips:
        assert flip["from"] != flip["to"]
        assert flip["plus_minus_mps"] > 0


def test_more_shots_make_the_carries_surer(player: Program) -> None:
    def width() -> float:
        options = player.json("choose", "130yd", *INTO)["options"]
        carry = next(o for o in options if (o["club"], o["swing"], o["grip_down_m"]) == ("7 iron", "full", 0))[
            "carry_m"
        ]
        return float(carry["high80"] - carry["low80"])

    before = width()
    player.hit(*["7 iron: 131", "7 iron: 128", "7 iron: 134"] * 5, options=(*INTO, "--seen", "laser"))
    # most of what is left is the balls' own scatter
    assert width() < 0.97 * before


def test_asking_again_gives_the_same_and_changes_nothing(player: Program) -> None:
    one = player("choose", "150", *INTO, "--json").out
    assert player("choose", "150", *INTO, "--json").out == one
    assert player.json("shots")["shots"] == []


def test_units_and_conditions_are_read_as_everywhere(player: Program) -> None:
    one = player.json("choose", "150", *INTO)
    two = player.json("choose", f"{150 * YARD_M}m", "--wind", f"{15 * MPH_MPS}m/s", "--wind-from", "0")
    assert one["target"]["distance_m"] == pytest.approx(two["target"]["distance_m"])
    assert first(one)["p_hold"] == pytest.approx(first(two)["p_hold"], abs=1e-6)
    cold = player.json("choose", "150yd", *INTO, "--temperature", "0C")
    assert cold["still_air_equivalent_m"] > one["still_air_equivalent_m"]


def test_the_text_shows_three_fits_and_says_what_it_is_for(player: Program) -> None:
    text = player("choose", "140yd", *INTO, "--carry-over", "128yd", "--slope", "-4yd").out
    assert max(map(len, text.splitlines())) <= 80
    assert [line[:2] for line in text.splitlines() if line[:1].isdigit()] == ["1 ", "2 ", "3 "]
    assert "4.3a" in text
    shown = [int(word.rstrip("%,;")) for word in text.replace("<5%", "").split() if word.rstrip(",;").endswith("%")]
    assert shown
    assert all(share % 5 == 0 for share in shown)


@pytest.mark.parametrize(
    "words",
    [
        ("far",), ("150mph",), ("-150yd",), ("0",), ("900yd",), ("150yd", "--front", "160yd"),
        ("150yd", "--back", "1yd"),
        ("150yd", "--aim", "close"), ("150yd", "--carry-over", "-3yd"), ("150yd", "--slope", "300yd"),
        ("150yd", "--left", "-20yd"), ("150yd", "--wind", "15mph"), ("150yd", "--when", "noon"),
        ("60yd", "--slope", "50m"),
    ],
)  # fmt: skip
def test_a_wrong_value_is_refused_in_one_line(player: Program, words: tuple[str, ...]) -> None:
    if words[0].startswith("-"):
        assert player("choose", *words).code in (1, 2)
    else:
        player("choose", *words).refused()


def test_wrong_words_are_refused(player: Program) -> None:
    player("choose").refused(2)
    player("choose", "150yd", "--club", "7 iron").refused(2)


def test_without_a_player_it_is_refused(program: Program) -> None:
    assert program("choose", "150yd").code in (1, 3)
