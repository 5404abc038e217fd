"""`trainer record` and `trainer shots`: what is typed is kept, line by line, and can be put right."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from tests.cli.program import NOW, Program

YARD_M = 0.9144


def test_each_line_stands_alone(player: Program) -> None:
    result = player(
        "record", "--json", typed="7 iron, 1 in, three-quarter: 142 6L\nnonsense\n8 iron: 900\n8i: x\nwind 14mph 1h\n"
    )
    data = result.data
    assert result.code == 0
    assert data["recorded"] == 2
    assert [refused["line"] for refused in data["refused"]] == [2, 3]
    assert data["refused"][1]["text"] == "8 iron: 900"
    assert "900" in data["refused"][1]["why"]
    first, second = player.json("shots")["shots"]
    assert first["carry_m"] == pytest.approx(142 * YARD_M)
    assert first["side_m"] == pytest.approx(-6 * YARD_M)
    assert (first["club"], first["grip_down_m"], first["swing"]) == ("7 iron", pytest.approx(0.0254), "three-quarter")
    assert (second["club"], second["mishit"], second["carry_m"]) == ("8 iron", True, None)


@pytest.mark.parametrize("typed", ["", "\n\n", "  \n", "# only a remark\n", "nonsense\n", "wind 12mph 1h\n"])
def test_nothing_recorded_ends_with_1(player: Program, typed: str) -> None:
    assert player("record", typed=typed).code == 1
    assert player.json("shots")["shots"] == []


def test_an_empty_file_leaves_no_session(player: Program, tmp_path: Path) -> None:
    empty = tmp_path / "empty.txt"
    empty.write_text("")
    assert "no line" in player("record", str(empty)).refused()
    assert player("--json").data["players"][0]["sessions"] == 0


def test_without_a_cell_and_without_a_plan_the_club_is_asked_for(player: Program) -> None:
    result = player("record", "--json", typed="142\n")
    assert result.code == 1
    assert "club" in result.data["refused"][0]["why"]


def test_with_a_plan_the_cell_is_the_agendas_next(player: Program) -> None:
    wind = ("--wind", "12mph", "--wind-from", "0")
    plan = ("--plan", "first-windy-evening", "--seed", "5")
    balls = [ball for ball in player.json("agenda", *plan, *wind)["balls"] if ball["stage"] != "warm-up"]
    player.lines("120", "118 3R", "-", options=(*plan, *wind))
    shots = player.json("shots")["shots"]
    assert [(s["club"], s["grip_down_m"], s["swing"]) for s in shots] == [
        (b["club"], b["grip_down_m"], b["swing"]) for b in balls[:3]
    ]
    assert [s["target_m"] for s in shots] == pytest.approx([b["target_m"] for b in balls[:3]])


def test_a_ball_off_the_agenda_leaves_the_agenda_waiting(player: Program) -> None:
    plan = ("--plan", "first-windy-evening", "--seed", "5", "--wind", "12mph", "--wind-from", "0")
    player.hit("pitching wedge: 100", "120", options=plan)
    wedge, first = player.json("shots")["shots"]
    assert wedge["club"] == "pitching wedge"
    player.hit("120", options=plan)
    assert player.json("shots")["shots"][-1]["club"] == first["club"]


def test_a_wind_that_nobody_told_is_unknown_and_said(player: Program) -> None:
    result = player("record", typed="7 iron: 140\n")
    assert "not known" in result.out
    shot = player.json("shots")["shots"][0]
    assert shot["wind"]["knowledge"] == "unknown"
    assert shot["wind"]["speed_mps"] is None


def test_a_new_reading_holds_for_the_shots_after_it(player: Program) -> None:
    player.lines("7 iron: 140", "wind 10m/s 3h", "7 iron: 138", options=("--wind", "5m/s", "--wind-from", "0"))
    before, after = player.json("shots")["shots"]
    assert (before["wind"]["speed_mps"], before["wind"]["from_deg"]) == (pytest.approx(5), pytest.approx(0))
    assert (after["wind"]["speed_mps"], after["wind"]["from_deg"]) == (pytest.approx(10), pytest.approx(90))


def test_a_wind_turned_round_with_no_ball_between_is_asked_about(player: Program) -> None:
    result = player(
        "record", "--json", "--wind", "12mph", "--wind-from", "0", typed="wind 12mph 6h\n7 iron: 140\nwind 12mph 6h\n"
    )
    assert [refused["line"] for refused in result.data["refused"]] == [1]
    assert "towards" in result.data["refused"][0]["why"]


def test_a_flag_turns_the_wind_and_gives_the_distance(player: Program) -> None:
    player.lines("flag red 150yd 30deg", "7 iron: red-5 2R", options=("--wind", "5m/s", "--wind-from", "0"))
    shot = player.json("shots")["shots"][0]
    assert shot["carry_m"] == pytest.approx(145 * YARD_M)
    assert shot["wind"]["from_deg"] == pytest.approx(330)
    assert shot["seen"] == "flag"


def test_an_unknown_flag_is_refused_with_its_remedy(player: Program) -> None:
    why = player("record", "--json", typed="7 iron: blue-5\n").data["refused"][0]["why"]
    assert "flag" in why


def test_a_player_who_sees_the_finish_types_totals(program: Program) -> None:
    program("setup", "--from-carry", "7 iron=150yd", "--sees", "finish")
    program.lines("7 iron: 156")
    shot = program.json("shots")["shots"][0]
    assert (shot["carry_m"], shot["total_m"]) == (None, pytest.approx(156 * YARD_M))


def test_lines_come_from_a_file_too(player: Program, tmp_path: Path) -> None:
    path = tmp_path / "evening.txt"
    path.write_text("7 iron: 140\r\n8 iron: 130\r\n", encoding="utf-8-sig")
    assert player.json("record", str(path))["recorded"] == 2
    assert "no-such.txt" in player("record", str(tmp_path / "no-such.txt")).refused()


def test_a_correction_takes_the_place_and_an_undo_takes_away(player: Program) -> None:
    player.lines("7 iron: 140", "7 iron: 141", "7 iron: 142")
    ids = [str(shot["id"]) for shot in player.json("shots")["shots"]]
    assert player("shots", "correct", ids[0], "8", "iron:", "130", "2L").code == 0
    assert player("shots", "correct", ids[1], "-").code == 0
    assert player("shots", "undo", ids[2]).code == 0
    first, second = player.json("shots")["shots"]
    assert (first["club"], first["carry_m"]) == ("8 iron", pytest.approx(130 * YARD_M))
    assert second["unseen"]
    undone = [shot for shot in player.json("shots", "--undone")["shots"] if shot["undone"]]
    assert [shot["carry_m"] for shot in undone] == [pytest.approx(142 * YARD_M)]


def test_the_shots_of_one_session_are_its_own_those_taken_back_too(player: Program) -> None:
    for when in (NOW, NOW + timedelta(days=1)):
        player.hit("7 iron: 140", "7 iron: 141", now=when)
    shots = player.json("shots")["shots"]
    for shot in (shots[1], shots[3]):
        assert player("shots", "undo", str(shot["id"])).code == 0
    session = str(shots[2]["session"])
    listed = player.json("shots", "--session", session, "--undone")["shots"]
    assert [shot["id"] for shot in listed] == [shots[2]["id"], shots[3]["id"]]


def test_a_corrected_reading_goes_with_its_shots(player: Program) -> None:
    player.lines("7 iron: 140", options=("--wind", "5m/s", "--wind-from", "0"))
    reading = player.json("shots")["readings"][0]["id"]
    assert player("shots", "correct", reading, "9m/s", "2h").code == 0
    assert player.json("shots")["shots"][0]["wind"]["speed_mps"] == pytest.approx(9)
    assert player("shots", "undo", reading).code == 0
    assert player.json("shots")["shots"][0]["wind"] is None


@pytest.mark.parametrize(
    "words",
    [
        ("undo", "99"),
        ("undo", "w99"),
        ("undo", "i99"),
        ("undo", "seven"),
        ("correct", "1", "900"),
        ("correct", "1"),
        ("correct", "w1", "300mph", "1h"),
        ("correct", "i1", "140"),
        ("correct", "1", "spoon:", "140"),
    ],
)
def test_a_wrong_correction_changes_nothing(player: Program, words: tuple[str, ...]) -> None:
    player.lines("7 iron: 140")
    before = player.json("shots")
    player("shots", *words).refused()
    assert player.json("shots") == before


def test_another_players_shots_are_out_of_reach(player: Program) -> None:
    player.lines("7 iron: 140")
    player("setup", "--from-carry", "7 iron=130yd", "--player", "kim")
    player("shots", "undo", "1", "--player", "kim").refused()
    assert player.json("shots", "--player", "kim")["shots"] == []


def test_sessions_can_be_listed_apart(player: Program) -> None:
    first = player.hit("7 iron: 140")["session"]
    player.hit("8 iron: 130")
    assert [shot["club"] for shot in player.json("shots", "--session", str(first))["shots"]] == ["7 iron"]
    player("shots", "--session", "77").refused()


def test_each_ball_is_called_before_it_is_kept(player: Program) -> None:
    player.lines("7 iron: 140", "7 iron: x", "7 iron: 135", options=("--wind", "5mph", "--wind-from", "0"))
    shots = player.json("shots")["shots"]
    for shot in shots:
        low80, high80 = shot["called_80_m"]
        low50, high50 = shot["called_50_m"]
        assert low80 < low50 < high50 < high80
    assert shots[0]["called_80_m"] != shots[2]["called_80_m"]
    called = player.json("gaps")["called"]
    assert called["balls"] == 2
    assert 0 <= called["held_50"] <= called["held_80"] <= 2


EVENING = ("--plan", "club-down-ladder-night", "--seed", "5", "--wind", "12mph", "--wind-from", "0")


def test_a_new_wind_plans_the_rest_anew_and_says_so(player: Program, other: Program) -> None:
    result = player("record", *EVENING, typed="101\nwind calm\n101\n")
    assert "is swapped for" in result.out
    data = other.lines("101", "wind calm", "101", options=EVENING)
    (change,) = data["changes"]
    assert change["line"] == 2
    assert any("swapped" in said for said in change["changes"])


def test_the_same_lines_and_seed_give_the_same_balls(player: Program, other: Program) -> None:
    typed = ("101", "wind calm", "101", "instead 9 iron: knee hurts", "90", "wind 9mph 5h", "80", "85")
    evenings = []
    for program in (player, other):
        changes = program.lines(*typed, options=EVENING)["changes"]
        shots = [(shot["club"], shot["swing"], shot["target_m"]) for shot in program.json("shots")["shots"]]
        evenings.append((changes, shots))
    assert evenings[0] == evenings[1]
    assert {2, 6} <= {change["line"] for change in evenings[0][0]}


def test_another_ball_is_hit_and_one_left_out_with_their_reasons(player: Program) -> None:
    result = player("record", *EVENING, typed="101\ninstead 9 iron, half: knee hurts\n85\nskip too far\n")
    assert result.code == 0
    assert "knee hurts" in result.out
    assert "too far" in result.out
    shot = player.json("shots")["shots"][-1]
    assert (shot["club"], shot["swing"]) == ("9 iron", "half")
    assert shot["target_m"] == pytest.approx(75, abs=15)


@pytest.mark.parametrize("wrong", ["instead 9 iron", "instead 1 wood: fun", "instead : why", "skip", "thunder 5"])
def test_a_ball_is_not_changed_without_a_shot_and_a_reason(player: Program, wrong: str) -> None:
    data = player.lines("101", wrong, "102", options=EVENING)
    assert data["recorded"] == 2
    assert [refused["line"] for refused in data["refused"]] == [2]


def test_thunder_begins_the_wait_and_a_ball_hit_within_it_is_kept_and_warned_of(player: Program) -> None:
    typed = "101\nthunder\n102\n"
    result = player("record", *EVENING, "--when", "2026-05-14T18:30", typed=typed)
    assert result.code == 0
    said = " ".join(result.out.lower().split())  # as if it were not folded
    assert "not before 19:00" in said
    assert "facility" in said
    assert "local rules" in said
    assert "line 3: kept, but" in result.err
    assert "line 1" not in result.err
    assert len(player.json("shots")["shots"]) == 2
