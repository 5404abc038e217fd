"""`trainer setup`: a player and a whole bag, from one carry or a profile."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from tests.cli.program import Program, cell_of, half_width

YARD_M = 0.9144


def test_a_bag_is_proposed_from_one_carry(program: Program) -> None:
    data = program.json("setup", "--from-carry", "7 iron=150yd")
    carries = {club["club"]: club["stock_carry_m"] / YARD_M for club in data["clubs"]}
    assert {"5 iron", "6 iron", "7 iron", "8 iron", "9 iron", "pitching wedge"} <= set(carries)
    assert carries["7 iron"] == pytest.approx(150)
    # Common practice, no source: neighbouring irons are 8 to 15 yd apart.
    irons = [carries[f"{number} iron"] for number in range(5, 10)]
    assert all(6 <= longer - shorter <= 16 for longer, shorter in itertools.pairwise(irons))
    assert (data["hand"], data["ball"], data["surface"]) == ("right", "playing", "grass")
    assert (data["sees"], data["seen"]) == ("landing", "eye")


def test_the_units_follow_the_known_carry(program: Program) -> None:
    assert program.json("setup", "--from-carry", "7 iron=140m")["units"]["distance"] == "m"
    assert program.json("setup", "--from-carry", "7 iron=150")["units"]["distance"] == "m"
    other = program.json("setup", "--from-carry", "7 iron=150", "--player", "kim")
    assert other["units"]["distance"] == "yd"


def test_a_remembered_carry_is_believed_less_and_a_little_shorter(program: Program) -> None:
    program("setup", "--from-carry", "7 iron=150yd", "--player", "measured")
    program("setup", "--from-belief", "7 iron=150yd", "--player", "remembered")
    measured = cell_of(program.json("gaps", "--player", "measured"), "7 iron")["still_air_carry_m"]
    remembered = cell_of(program.json("gaps", "--player", "remembered"), "7 iron")["still_air_carry_m"]
    assert measured["median"] / YARD_M == pytest.approx(150, abs=1.5)
    assert remembered["median"] / YARD_M == pytest.approx(142.5, abs=1.5)
    assert half_width(remembered) > half_width(measured)


@pytest.mark.parametrize(
    "wrong",
    [
        ("--from-carry", "7 iron"),
        ("--from-carry", "7 iron=abc"),
        ("--from-carry", "7 iron=0yd"),
        ("--from-carry", "7 iron=-150yd"),
        ("--from-carry", "7 iron=900yd"),
        ("--from-carry", "lob wedge=250yd"),
        ("--from-carry", "spoon=150yd"),
        ("--from-carry", "7 iron=150mph"),
        ("--from-carry", "7 iron=150yd", "--from-belief", "7 iron=150yd"),
        ("--from-carry", "7 iron=150yd", "--hand", "both"),
        ("--from-carry", "7 iron=150yd", "--speed-unit", "yd"),
        ("--from-carry", "7 iron=150yd", "--club", "7 iron=34deg"),
        ("--from-carry", "7 iron=150yd", "--without", "2 wood"),
        ("--profile", "no-such-file.toml"),
        (),
    ],
)
def test_what_is_wrong_is_refused_and_no_player_is_made(program: Program, wrong: tuple[str, ...]) -> None:
    program("setup", *wrong).refused()
    assert program("--json").data["players"] == []


def test_every_line_can_be_put_right(program: Program) -> None:
    data = program.json(
        "setup", "--from-carry", "7 iron=150yd", "--club", "8 iron=37deg, 36.5in, 139yd", "--without", "driver",
        "--hand", "left", "--ball", "range", "--sees", "finish", "--seen", "flag", "--speed-unit", "km/h",
    )  # fmt: skip
    clubs = {club["club"]: club for club in data["clubs"]}
    assert clubs["8 iron"]["stock_carry_m"] == pytest.approx(139 * YARD_M)
    assert clubs["8 iron"]["loft_deg"] == pytest.approx(37)
    assert "driver" not in clubs
    assert (data["hand"], data["ball"], data["sees"], data["seen"]) == ("left", "range", "finish", "flag")
    assert data["units"]["speed"] == "km/h"


def test_a_profile_goes_out_and_comes_in_the_same(program: Program, tmp_path: Path) -> None:
    written = tmp_path / "me.toml"
    out = program.json("setup", "--from-belief", "6 iron=148m", "--hand", "left", "--write", str(written))
    other = Program(tmp_path / "other" / "store.db")
    back = other.json("setup", "--profile", str(written))
    same = set(out) - {"store", "clubs", "known_carry"}
    assert {key: out[key] for key in same} == {key: back[key] for key in same}
    for one, two in zip(out["clubs"], back["clubs"], strict=True):
        assert one["club"] == two["club"]
        assert one["stock_carry_m"] == pytest.approx(two["stock_carry_m"], rel=1e-6)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "format = 1\n",
        "format = 2\n[known_carry]\nclub = '7 iron'\ncarry = '150 yd'\n",
        "format = 1\nnose = 'long'\n[known_carry]\nclub = '7 iron'\ncarry = '150 yd'\n",
        "format = 1\n[known_carry]\nclub = '7 iron'\ncarry = '150 mph'\n",
        "format = 1\n[known_carry]\nclub = '7 iron'\ncarry = 150\n",
        "a = " + "[" * 5000,
        "not toml at all",
    ],
)
def test_a_wrong_profile_is_refused_by_name(program: Program, tmp_path: Path, text: str) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(text)
    assert "bad.toml" in program("setup", "--profile", str(path)).refused()


def test_a_changed_club_keeps_the_shots_of_the_old_one_apart(player: Program) -> None:
    player.hit(*["7 iron: 150"] * 3, options=("--calm",))
    assert cell_of(player.json("gaps"), "7 iron")["shots"] == 3
    player("setup", "--club", "7 iron=31deg, 37in, 158yd")
    after = player.json("gaps")
    assert cell_of(after, "7 iron")["shots"] == 0
    assert after["left_out"] == {"a club since changed": 3}


def test_an_age_band_is_kept_and_asked_for_by_name(player: Program, tmp_path: Path) -> None:
    assert player.json("setup")["age_band"] is None
    assert player.json("setup", "--age-band", "11-13")["age_band"] == "11-13"
    assert player.json("setup", "--hand", "left")["age_band"] == "11-13"
    path = tmp_path / "p.toml"
    player("setup", "--write", str(path))
    assert 'age_band = "11-13"' in path.read_text()
    assert "adult" in player("setup", "--age-band", "12").refused()
    assert player.json("setup", "--age-band", "adult")["age_band"] == "adult"
    assert player.json("setup", "--profile", str(path))["age_band"] == "11-13"


def test_a_club_that_could_not_carry_so_far_is_refused_by_its_name(program: Program) -> None:
    said = program("setup", "--from-carry", "7 iron=150yd", "--club", "9 iron=5deg, 36in, 320m").refused()
    assert "9 iron" in said
    program("setup", "--from-carry", "7 iron=150yd")
    assert "9 iron" in program("setup", "--club", "9 iron=5deg, 36in, 320m").refused()
    assert program.json("gaps")["cells"]
