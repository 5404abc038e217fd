"""`trainer gaps`: the table's keys, its honesty about the wind, and what it rests on."""

from __future__ import annotations

import math
from datetime import timedelta
from pathlib import Path
from shutil import copytree

import pytest

from tests.cli.program import NOW, Program, cell_of, half_width
from trainer.store.store import open_store

YARD_M = 0.9144
CELL_KEYS = {
    "club", "grip_down_m", "swing", "still_air_carry_m", "carry_today_m", "run_m", "apex_m", "shot_spread_m", "shots",
    "days", "trust", "wind_share",
}  # fmt: skip
HEAD = ("--wind", "12mph", "--wind-from", "0")
TWENTY = ["7 iron: 120"] * 20
"""What a 7 iron of about 150 yd carries into HEAD by the flight; an evening that several tests ask about."""


@pytest.fixture(scope="module")
def four_days(set_up: Path, tmp_path_factory: pytest.TempPathFactory) -> Program:
    """A player with twelve balls on each of four days, the last of them today; no test adds to them."""
    player = Program(tmp_path_factory.mktemp("four") / "data" / "store.db")
    copytree(set_up, player.store.parent)
    for day in reversed(range(4)):
        player.hit(*["7 iron: 150", "7 iron: 148", "7 iron: 152"] * 4, options=("--calm", "--seen", "laser"),
                     now=NOW - timedelta(days=day))  # fmt: skip
    return player


def test_every_cell_of_the_bag_has_every_key(player: Program) -> None:
    bag = player.json("setup", "--write", str(player.store.parent / "p.toml"))["clubs"]
    table = player.json("gaps")
    assert len(table["cells"]) == len(bag) * 3 * 3
    for cell in table["cells"]:
        assert cell.keys() >= CELL_KEYS
        for carry in (cell["still_air_carry_m"], cell["carry_today_m"]):
            assert 0 < carry["low80"] < carry["median"] < carry["high80"] < 400
        assert cell["shots"] == 0
        assert cell["trust"] == "guess"
        assert 0 <= cell["wind_share"] <= 1
    assert table["wind_share"] is None
    assert table["advice"]


def test_a_ball_known_by_its_launch_alone_tells_a_carry(player: Program) -> None:
    player.hit("7 iron: speed=110mph launch=17 spin=6000", options=HEAD)
    table = player.json("gaps")
    assert cell_of(table, "7 iron")["shots"] == 1
    assert table["left_out"] == {}


def test_a_cell_outside_the_bags_steps_joins_when_hit(player: Program) -> None:
    player.hit("7 iron, 1.5 in, half: 95")
    table = player.json("gaps")
    assert cell_of(table, "7 iron", 1.5 * 0.0254, "half")["shots"] == 1


def test_shots_count_mishits_and_unseen_too(player: Program) -> None:
    player.hit("7 iron: 140", "7 iron: 95 x", "7 iron: -", "7 iron: short left", options=HEAD)
    table = player.json("gaps")
    assert cell_of(table, "7 iron")["shots"] == 4
    assert table["left_out"] == {"mishit": 1, "not seen": 1, "zone without a target": 1}


def test_the_wind_is_taken_out_of_the_numbers(player: Program) -> None:
    into = player.json("flight", "--carry", "150yd", "--launch", "18.5", "--spin", "6600")
    speed = f"{into['ball_speed_mps']}m/s"
    seen = player.json("flight", "--ball-speed", speed, "--launch", "18.5", "--spin", "6600", *HEAD)["carry_m"]
    assert f"7 iron: {seen / YARD_M:.0f}" == TWENTY[0]
    player.hit(*TWENTY, options=HEAD)
    cell = cell_of(player.json("gaps"), "7 iron")
    assert seen < 0.9 * 150 * YARD_M
    assert cell["still_air_carry_m"]["median"] / YARD_M == pytest.approx(150, abs=4)
    assert cell["carry_today_m"]["median"] == pytest.approx(seen, rel=0.03)


def test_todays_carry_is_known_better_than_the_still_air_one(player: Program) -> None:
    player.hit(*TWENTY, options=HEAD)
    table = player.json("gaps")
    cell = cell_of(table, "7 iron")
    assert half_width(cell["carry_today_m"]) < 0.7 * half_width(cell["still_air_carry_m"])
    assert cell["wind_share"] > 0.5
    assert table["wind_share"] > 0.5
    assert any("another direction" in sentence for sentence in table["advice"])


def test_two_directions_share_less_with_the_wind_than_one(program: Program) -> None:
    tail = "wind 12mph 6h"
    for alias, lines in (
        ("one", TWENTY),
        ("two", TWENTY[:10] + [tail] + ["7 iron: 158"] * 10),
    ):
        program("setup", "--from-carry", "7 iron=150yd", "--player", alias)
        program.hit(*lines, options=(*HEAD, "--player", alias))
    one, two = (program.json("gaps", "--player", alias) for alias in ("one", "two"))
    assert cell_of(two, "7 iron")["wind_share"] < cell_of(one, "7 iron")["wind_share"]
    assert half_width(cell_of(two, "7 iron")["still_air_carry_m"]) < half_width(
        cell_of(one, "7 iron")["still_air_carry_m"]
    )


def test_cells_share_strength(player: Program) -> None:
    before = cell_of(player.json("gaps"), "8 iron", 0.0254, "three-quarter")
    player.hit(*["7 iron, 1 in, three-quarter: 121"] * 15, options=("--calm",))
    after = cell_of(player.json("gaps"), "8 iron", 0.0254, "three-quarter")
    assert after["shots"] == 0
    assert after["still_air_carry_m"]["median"] < before["still_air_carry_m"]["median"]
    assert half_width(after["still_air_carry_m"]) < half_width(before["still_air_carry_m"])


def test_a_reading_of_another_day_is_not_todays_wind(player: Program) -> None:
    player.hit(*TWENTY, options=HEAD)
    today = player.json("gaps")
    tomorrow = player.json("gaps", now=NOW + timedelta(days=1))
    assert today["wind"]["speed_mps"] == pytest.approx(12 * 0.44704)
    assert tomorrow["wind"]["knowledge"] == "calm"


def test_a_stated_wind_is_exact_and_a_reading_is_not(player: Program) -> None:
    stated = cell_of(player.json("gaps", *HEAD), "7 iron")["carry_today_m"]
    player.hit("pitching wedge: x", options=HEAD)
    read = cell_of(player.json("gaps"), "7 iron")["carry_today_m"]
    assert read["median"] == pytest.approx(stated["median"], rel=0.01)
    assert half_width(read) > half_width(stated)


def test_a_wind_stated_as_unknown_is_not_taken_as_exactly_none(player: Program) -> None:
    unknown, calm = (
        cell_of(player.json("gaps", *wind), "7 iron")["carry_today_m"]
        for wind in (("--wind", "unknown"), ("--calm",))
    )
    assert half_width(unknown) > half_width(calm)


def test_an_unknown_wind_teaches_little_of_still_air(program: Program) -> None:
    for alias, options in (("known", ("--calm",)), ("unknown", ())):
        program("setup", "--from-belief", "7 iron=150yd", "--player", alias)
        program.hit(*["7 iron: 140"] * 15, options=(*options, "--player", alias))
    known, unknown = (
        half_width(cell_of(program.json("gaps", "--player", alias), "7 iron")["still_air_carry_m"])
        for alias in ("known", "unknown")
    )
    assert unknown > 1.4 * known


def test_as_of_leaves_out_what_came_later(four_days: Program) -> None:
    for when, shots in (("2026-05-10", 0), ("2026-05-12", 24), ("2026-05-14T23:00", 48)):
        assert cell_of(four_days.json("gaps", "--when", when), "7 iron")["shots"] == shots


def test_trust_grows_with_shots_and_days_and_goes_stale(four_days: Program) -> None:
    words = [
        cell_of(four_days.json("gaps", "--when", when), "7 iron")["trust"]
        for when in ("2026-05-10", "2026-05-12", "2026-05-14", "2026-09-14")
    ]
    assert words[0] == "guess"
    assert words[1] in ("working", "settled")
    assert words[2] == "settled"
    assert words[3] == "stale"


def test_the_order_of_the_shots_does_not_matter(program: Program) -> None:
    lines = ["7 iron: 140", "8 iron: 131", "7 iron, 1 in, half: 99", "6 iron: 155 x", "7 iron: 147"]
    for alias, typed in (("one", lines), ("two", lines[::-1])):
        program("setup", "--from-carry", "7 iron=150yd", "--player", alias)
        program.hit(*typed, options=(*HEAD, "--player", alias))
    one, two = (program.json("gaps", "--player", alias)["cells"] for alias in ("one", "two"))
    for a, b in zip(one, two, strict=True):
        for key in ("median", "low80", "high80"):
            assert a["still_air_carry_m"][key] == pytest.approx(b["still_air_carry_m"][key], rel=1e-9)


def test_a_ball_corrected_to_another_flag_was_aimed_at_that(program: Program) -> None:
    """The wind is turned to the flag that a ball was hit at: the wrong one would be another wind."""
    flags = ("flag red 130yd -30deg", "flag blue 150yd 20deg")
    for alias in ("right", "corrected"):
        program("setup", "--from-carry", "7 iron=150yd", "--player", alias)
        program.hit(
            *flags, f"7 iron: {'blue-6' if alias == 'right' else 'RED-6'}", options=(*HEAD, "--player", alias)
        )
    (shot,) = program.json("shots", "--player", "corrected")["shots"]

    def aims() -> list[tuple[float | None, float | None, float]]:
        with open_store(program.store, write=False) as store:
            return [(each.entry.carry_m, each.target_m, each.target_bearing_rad) for each in store.shots()]

    red = aims()[1]
    program("shots", "correct", str(shot["id"]), "blue-6", "--player", "corrected")
    right, corrected = aims()
    assert corrected == right != red
    program("shots", "correct", str(shot["id"]), "144", "--player", "corrected")
    assert aims()[1][1:] == right[1:]


def test_entered_and_corrected_equals_entered_right(program: Program) -> None:
    for alias in ("right", "corrected"):
        program("setup", "--from-carry", "7 iron=150yd", "--player", alias)
    program.hit("7 iron: 140", "8 iron: 131", options=(*HEAD, "--player", "right"))
    program.hit("7 iron: 410m", "7 iron: 104", "9 iron: 131", options=(*HEAD, "--player", "corrected"))
    ids = [str(shot["id"]) for shot in program.json("shots", "--player", "corrected")["shots"]]
    program("shots", "correct", ids[0], "140", "--player", "corrected")
    program("shots", "correct", ids[1], "8", "iron:", "131", "--player", "corrected")
    right, corrected = (program.json("gaps", "--player", alias)["cells"] for alias in ("right", "corrected"))
    assert [cell["still_air_carry_m"] for cell in right] == [cell["still_air_carry_m"] for cell in corrected]


@pytest.mark.parametrize(
    "typed",
    [
        ["9 iron: 210", "5 iron: 170"] * 2,
        ["7 iron: x"] * 4,
        ["7 iron: -"] * 4,
        ["7 iron: 5m"],
        ["lob wedge: 20", "7 iron: 399"],
    ],
)
def test_odd_evidence_gives_no_crash_and_no_infinity(player: Program, typed: list[str]) -> None:
    player("record", *HEAD, typed="\n".join(typed))
    for cell in player.json("gaps")["cells"]:
        assert all(math.isfinite(value) and value > 0 for value in cell["still_air_carry_m"].values())


def test_the_text_shows_few_rows_first_and_fits_80_columns(player: Program) -> None:
    player.hit("7 iron: 140", "8 iron: 131", options=HEAD)
    short, long = player("gaps").out, player("gaps", "--all").out
    assert max(map(len, short.splitlines())) <= 80
    assert len(short.splitlines()) < 35 < len(long.splitlines())


def test_a_zone_at_a_target_teaches_its_club(player: Program) -> None:
    plan = ("--plan", "flags-only-evening", "--calm")
    ball = next(b for b in player.json("agenda", *plan)["balls"] if b["stage"] != "warm-up")
    key = (ball["club"], ball["grip_down_m"], ball["swing"])
    before = cell_of(player.json("gaps"), *key)["still_air_carry_m"]
    player.hit(*["short"] * 8, options=plan)
    table = player.json("gaps")
    assert table["left_out"] == {}
    assert cell_of(table, *key)["still_air_carry_m"]["median"] < before["median"] - 1


def test_a_bad_ball_that_nobody_marked_hardly_pulls(program: Program) -> None:
    """Ten good balls and one forty short: the figure stays with the ten, and moves far less than their mean does."""
    good = [f"7 iron: {yards}" for yards in (148, 152, 150, 147, 153, 151, 149, 150, 152, 148)]
    for alias, typed in (("clean", good), ("duffed", [*good, "7 iron: 108"])):
        program("setup", "--from-carry", "7 iron=150yd", "--player", alias)
        program.hit(*typed, options=("--calm", "--seen", "laser", "--player", alias))
    clean, duffed = (
        cell_of(program.json("gaps", "--player", alias), "7 iron")["still_air_carry_m"]["median"]
        for alias in ("clean", "duffed")
    )
    assert abs(clean - duffed) < 1.0


def test_a_low_ball_that_flew_like_a_full_one_is_asked_about_before_it_teaches(player: Program) -> None:
    full = player.json("compare", "7 iron", "7 iron, half", "--calm")["cells"][0]
    hang = f"hang={full['flight_s']:.1f}"
    height = f"^{full['apex_m']:.1f}m"
    player.hit("7 iron, half: 110", f"7 iron, half: 148 {hang} {height}", options=("--calm",))
    table = player.json("gaps")
    assert table["asked_about"] == [2]
    assert table["left_out"] == {"flew like a full one": 1}
    assert any("full swing" in sentence for sentence in table["advice"])
    player("shots", "correct", "2", "148", hang, height, "#sure")
    believed = player.json("gaps")
    assert believed["asked_about"] == []
    half = [cell_of(each, "7 iron", 0.0, "half")["still_air_carry_m"]["median"] for each in (table, believed)]
    assert half[1] > half[0] + 2


def test_one_cell_in_full(player: Program) -> None:
    player.hit("7 iron: 140 3L", "7 iron: 144", "7 iron: 90 x", options=("--wind", "10mph", "--wind-from", "12h"))
    data = player.json("gaps", "--cell", "7 iron")
    assert [ball["mishit"] for ball in data["balls"]] == [False, False, True]
    assert all(ball["still_air_carry_m"] > ball["carry_m"] for ball in data["balls"]), "a headwind cost carry"
    assert data["counterpart"]["swing"] != "full"
    assert data["still_air_carry_m"]["low80"] < data["still_air_carry_m"]["median"]
    text = player("gaps", "--cell", "7 iron").out
    assert "7 iron, full" in text
    assert player("gaps", "--cell", "2 iron").refused()


def test_a_cell_of_no_step_can_be_asked_for(player: Program) -> None:
    assert player("gaps", "--cell", "7 iron, 1.5 in, half").code == 0


@pytest.mark.parametrize("command", [("gaps",), ("choose", "100yd"), ("choose", "100yd", "--slope", "8yd")])
def test_a_gale_that_takes_wedges_backwards_is_answered(player: Program, command: tuple[str, ...]) -> None:
    result = player(*command, "--wind", "45mph", "--wind-from", "12h")
    assert result.code == 0, result.err
    assert "nan" not in result.out


def test_a_ball_in_a_wind_that_its_shot_cannot_carry_into_is_kept_and_tells_nothing(player: Program) -> None:
    gale = ("--wind", "60mph", "--wind-from", "10", "--wind-read", "felt")
    player.hit("sand wedge: 25", options=gale)
    player.hit("7 iron: 118", options=("--calm",))
    table = player.json("gaps")
    assert table["left_out"]["in a wind this shot cannot carry into"] == 1
    assert cell_of(table, "7 iron")["shots"] == 1


def test_where_every_club_hit_was_changed_since_nothing_is_told_to_rest_on_its_balls(player: Program) -> None:
    player.hit("7 iron: 140", "7 iron: 141", options=("--calm",))
    assert player("setup", "--club", "7 iron=31deg, 37in, 150yd").code == 0
    table = player.json("gaps")
    assert table["left_out"] == {"a club since changed": 2}
    assert any("2 a club since changed" in said for said in table["advice"])
    assert not any("No ball is recorded" in said for said in table["advice"])
    assert player.json("card")["shots"] == player.json("choose", "120")["shots"] == 0
