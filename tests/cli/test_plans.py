"""`trainer plan` and `trainer agenda` from outside."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.program import Program

SHIPPED = ["first-windy-evening", "grip-down-gapping", "club-down-ladder-night", "crosswind-start-line"]
BALL_KEYS = {"number", "drill", "club", "grip_down_m", "swing", "target_m", "stage", "reason"}
WIND = ("--wind", "12mph", "--wind-from", "0")


def test_the_four_kinds_of_evening_are_shipped(program: Program) -> None:
    assert set(SHIPPED) <= {plan["id"] for plan in program.json("plan", "list")["plans"]}


@pytest.mark.parametrize("plan_id", SHIPPED)
def test_a_plan_is_shown_in_words(program: Program, plan_id: str) -> None:
    shown = program("plan", "show", plan_id)
    assert shown.code == 0
    assert "Cue:" in shown.out
    assert max(map(len, shown.out.splitlines())) <= 140


def test_a_new_plan_is_one_that_checks(program: Program, tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    assert program("plan", "new", "mine", "--write", str(path)).code == 0
    assert program.json("plan", "check", str(path))["files"] == [{"path": str(path), "ok": True, "errors": []}]
    program("plan", "new", "mine", "--write", str(path)).refused()
    program("plan", "new", "Not A Slug").refused()


def test_checking_names_file_line_and_key(program: Program, tmp_path: Path) -> None:
    good, bad = tmp_path / "good.toml", tmp_path / "bad.toml"
    program("plan", "new", "--write", str(good))
    bad.write_text(good.read_text().replace("balls =", "bals =", 1))
    result = program("plan", "check", str(good), str(bad), "--json")
    assert result.code == 1
    files = result.data["files"]
    assert [file["ok"] for file in files] == [True, False]
    assert any(error.startswith(f"{bad}:") and "bals" in error for error in files[1]["errors"])
    assert not program.store.exists()
    assert program("plan", "check", str(tmp_path / "none.toml")).code == 1


def test_an_own_plan_beside_the_store_is_found(player: Program) -> None:
    folder = player.store.parent / "plans"
    folder.mkdir()
    player("plan", "new", "mine", "--write", str(folder / "mine.toml"))
    assert "mine" in {plan["id"] for plan in player.json("plan", "list")["plans"]}
    assert player.json("agenda", "--plan", "mine", *WIND)["balls"]


@pytest.mark.parametrize("plan_id", SHIPPED)
@pytest.mark.parametrize("balls", [12, 30, 45])
def test_an_agenda_keeps_its_budget_and_says_why(player: Program, plan_id: str, balls: int) -> None:
    agenda = player.json("agenda", "--plan", plan_id, "--balls", str(balls), "--minutes", "30", "--seed", "3", *WIND)
    hit = agenda["balls"]
    assert 0 < len(hit) <= balls
    assert len(hit) * 25 <= 30 * 60
    assert [ball["number"] for ball in hit] == list(range(1, len(hit) + 1))
    assert agenda["seed"] == 3
    for ball in hit:
        assert ball.keys() >= BALL_KEYS
        assert ball["reason"]
        assert ball["stage"] == "warm-up" or ball["target_m"] > 0
        assert (ball["drill"] == "warm-up") == (ball["stage"] == "warm-up")
    assert hit[0]["stage"] == "warm-up"


def test_the_same_seed_gives_the_same_balls(player: Program) -> None:
    one, two, other = (player.json("agenda", "--seed", seed, *WIND)["balls"] for seed in ("1", "1", "2"))
    assert one == two
    assert one != other


def test_what_the_wind_cannot_teach_is_swapped_and_said(player: Program) -> None:
    agenda = player.json("agenda", "--plan", "crosswind-start-line", "--calm")
    assert agenda["swaps"]
    assert all(swap["why"] for swap in agenda["swaps"])


def test_an_unread_wind_swaps_nothing_and_says_so(player: Program) -> None:
    agenda = player.json("agenda", "--plan", "crosswind-start-line")
    assert agenda["swaps"] == []
    assert any("not known" in note for note in agenda["notes"])


@pytest.mark.parametrize(
    "wrong",
    [
        ("--plan", "no-such"),
        ("--balls", "0"),
        ("--balls", "-5"),
        ("--balls", "many"),
        ("--minutes", "0"),
        ("--seed", "-1"),
        ("--when", "tomorrow"),
    ],
)
def test_a_wrong_wish_is_refused(player: Program, wrong: tuple[str, ...]) -> None:
    player("agenda", *wrong).refused()


def test_without_a_player_there_is_no_agenda(program: Program) -> None:
    assert "trainer setup" in program("agenda").refused(3)


def test_every_ball_is_called_and_says_whether_its_flight_was_checked(player: Program) -> None:
    agenda = player.json("agenda", "--seed", "1", *WIND)
    for ball in agenda["balls"]:
        if ball["stage"] == "warm-up":
            assert ball["called_80_m"] is None
            continue
        low, high = ball["called_80_m"]
        inner_low, inner_high = ball["called_50_m"]
        assert 0 < low < inner_low < inner_high < high
        assert ball["flight_checked"] is (None if ball["swing"] == "full" else False)
    assert agenda["can_prove"]


def test_a_level_of_the_plan(player: Program) -> None:
    junior = player.json("agenda", "--level", "junior", "--seed", "1", *WIND)
    assert len(junior["balls"]) <= 30
    assert all(ball["grip_down_m"] <= 0.0255 for ball in junior["balls"])
    player("agenda", "--level", "tour").refused()


def test_series_and_ages_are_listed(program: Program) -> None:
    plans = {plan["id"]: plan for plan in program.json("plan", "list")["plans"]}
    assert plans["day-before-event"]["series"]["days_before"] == 1
    assert plans["junior-short-session"]["ages"] == "under 11"
    assert "1 days before" in program("plan", "show", "day-before-event").out
