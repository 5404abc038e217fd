"""`trainer plan` and `trainer agenda` from outside."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.program import Program
from trainer.core.schedule.drills import drill_named

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


def test_a_plans_aims_are_told_in_its_words(program: Program) -> None:
    shown = program("plan", "show", "crosswind-start-line").out
    blocks = program.json("plan", "show", "crosswind-start-line")["plan"]["block"]
    aims = [block["aim"] for block in blocks if block.get("aim")]
    assert aims
    for aim in aims:
        bound = aim.get("at_least") or aim["at_most"]
        assert any(aim["measure"] in line and bound in line for line in shown.splitlines())


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


FAR_LADDER = """format = 1
id = "far-ladder"
title = "Too far"
level = "club"
balls = 30
minutes = 40
[[block]]
drill = "club-down ladder"
clubs = ["8 iron", "7 iron"]
target = "stock carry of 5 iron"
balls = 15
"""


def with_plan(player: Program, name: str, text: str) -> None:
    folder = player.store.parent / "plans"
    folder.mkdir(exist_ok=True)
    (folder / f"{name}.toml").write_text(text)


def test_a_plan_is_held_against_the_players_own_estimates(player: Program) -> None:
    with_plan(player, "far-ladder", FAR_LADDER)
    shown = player("plan", "show", "far-ladder")
    assert "By your own estimates" in shown.out
    assert "hitting harder" in " ".join(shown.out.split())
    problems = player.json("plan", "show", "far-ladder")["problems"]
    assert [problem for problem in problems if "8 iron" in problem and "block 1" in problem]
    assert player.json("plan", "show", "first-windy-evening")["problems"] == []
    agenda = player.json("agenda", "--plan", "far-ladder", "--calm")
    assert agenda["problems"] == problems
    assert any("hitting harder" in note for note in agenda["notes"])


def test_what_he_cannot_reach_follows_what_he_hit(player: Program) -> None:
    text = FAR_LADDER.replace('"stock carry of 5 iron"', '"160 yd"').replace('"8 iron", ', '"6 iron", ')
    with_plan(player, "far-ladder", text)
    before = player.json("plan", "show", "far-ladder")["problems"]
    assert [problem for problem in before if "7 iron" in problem]
    assert not [problem for problem in before if "6 iron" in problem]
    player.hit(*[f"6 iron: {carry}" for carry in (136, 138, 134, 137, 139, 135) * 2], options=("--calm",))
    after = player.json("plan", "show", "far-ladder")["problems"]
    assert [problem for problem in after if "6 iron" in problem and "harder" in problem]


def test_a_plan_for_other_clubs_says_so_and_is_shown(player: Program) -> None:
    with_plan(player, "far-ladder", FAR_LADDER.replace('"8 iron", ', '"2 iron", '))
    shown = player("plan", "show", "far-ladder")
    assert shown.code == 0
    assert "2 iron" in player.json("plan", "show", "far-ladder")["problems"][0]


def test_without_a_player_or_with_an_unusable_store_a_plan_is_shown_all_the_same(program: Program) -> None:
    assert program.json("plan", "show", "first-windy-evening")["problems"] is None
    program.store.parent.mkdir(parents=True, exist_ok=True)
    program.store.write_text("no database")
    result = program("plan", "show", "first-windy-evening")
    assert result.code == 0
    assert "Cue:" in result.out
    assert "not held against your own estimates" in result.err


def test_a_series_begun_is_due_week_by_week(player: Program) -> None:
    assert player.json("plan", "due")["next"] is None
    player.hit("101", options=("--plan", "low-shot-weeks-1", "--when", "2026-05-02T18:00"))
    due = player.json("plan", "due", "--when", "2026-05-12")
    assert (due["when"], due["next"]) == ("2026-05-12", "low-shot-weeks-2")
    by_id = {plan["id"]: plan for plan in due["plans"]}
    assert (by_id["low-shot-weeks-1"]["state"], by_id["low-shot-weeks-1"]["done"]) == ("done", "2026-05-02")
    second = by_id["low-shot-weeks-2"]
    assert (second["state"], second["due"], second["days"]) == ("overdue", "2026-05-09", -3)
    assert (second["series"]["number"], second["series"]["of"]) == (2, 3)
    assert "overdue since 09 May" in player("plan", "due", "--when", "2026-05-12").out
    assert player.json("plan", "due", "--when", "2026-05-01")["next"] is None


def test_an_event_is_given_by_its_day(player: Program) -> None:
    due = player.json("plan", "due", "--when", "2026-06-01", "--event", "2026-06-14")
    assert due["next"] == "week-before-event"
    assert {plan["id"]: plan["due"] for plan in due["plans"]}["day-before-event"] == "2026-06-13"
    assert "--event" in player("plan", "due", "--event", "soon").refused()


def test_a_juniors_band_bounds_every_plan(player: Program) -> None:
    assert player("setup", "--age-band", "under 11").code == 0
    agenda = player.json("agenda", "--plan", "gapping-round", *WIND)
    assert agenda["age_band"] == "under 11"
    assert len(agenda["balls"]) <= 30
    assert max(ball["grip_down_m"] for ball in agenda["balls"]) <= 0.0255


def test_a_drill_says_once_what_it_asks_and_how_it_is_made_easier_and_harder(program: Program) -> None:
    shown = " ".join(program("plan", "show", "club-down-ladder-night").out.split())
    drill = drill_named("club-down ladder")
    for words in (drill.asks, drill.scored_by, drill.teaches, drill.easier, drill.harder):
        assert shown.count(words) == 1
