"""`trainer record` typed at a terminal: what a person is told before each line; pipes and JSON are told nothing."""

from __future__ import annotations

import re

import pytest

from tests.cli.program import Program
from tests.cli.terminal import at_a_terminal

WIND = ("--wind", "12mph", "--wind-from", "0")
PLAN = ("--plan", "first-windy-evening", "--seed", "5", *WIND)
YARD_M = 0.9144
CALLED = re.compile(r"8 in 10 land (\d+)–(\d+) yd")


def plain(text: str) -> str:
    """`text` as if it were not folded."""
    return " ".join(text.split())


def test_before_the_first_line_it_says_what_is_expected_how_to_end_and_the_ball(player: Program) -> None:
    first = next(ball for ball in player.json("agenda", *PLAN)["balls"] if ball["stage"] != "warm-up")
    result, typist = at_a_terminal(player, ("record", *PLAN), ["120"])
    assert result.code == 0
    told = plain(typist.told[0])
    assert "142 6L" in told
    assert "Ctrl-D" in told
    assert f"Ball {first['number']}: {first['club']}" in told
    assert f"{round(first['target_m'] / YARD_M)} yd" in told
    assert player.json("shots")["shots"][0]["club"] == first["club"]


def test_before_each_line_the_ball_is_named_with_the_range_that_is_kept_with_it(player: Program) -> None:
    _, typist = at_a_terminal(player, ("record", *PLAN), ["120", "118 3R", "nonsense", "wind 20mph 2h", "121", "115"])
    shots = player.json("shots")["shots"]
    told = [plain(text) for text in typist.told]
    # Nonsense and a wind hit no ball: the same one waits, in a new wind with a new range.
    for text, shot in zip((told[1], told[4], told[5]), shots[1:], strict=True):
        assert shot["club"] in text
        shown = CALLED.search(text)
        assert shown is not None
        assert [int(end) for end in shown.groups()] == [round(end / YARD_M) for end in shot["called_80_m"]]
    assert re.findall(r"Ball \d+", told[2]) == re.findall(r"Ball \d+", told[3])


def test_after_a_new_wind_it_says_what_changed_before_the_next_ball(player: Program) -> None:
    _, typist = at_a_terminal(player, ("record", *PLAN), ["120", "wind 24mph 6h", "130"])
    assert "aim for" in plain(typist.answered[2])
    assert "Ball " in typist.told[2]


TO_A_FLAG = """
format = 1
id = "to-the-flag"
title = "To the flag"
level = "club"
balls = 12
minutes = 20
[[block]]
drill = "landing box"
clubs = ["7 iron"]
flag = "white"
balls = 12
"""


def test_a_flag_is_named_with_the_ball(player: Program) -> None:
    player.hit("flag white 130yd 4deg", "7 iron: x")
    own = player.store.parent / "plans" / "to-the-flag.toml"
    own.parent.mkdir(exist_ok=True)
    own.write_text(TO_A_FLAG, encoding="utf-8")
    _, typist = at_a_terminal(player, ("record", "--plan", "to-the-flag", *WIND), ["x"])
    told = plain(typist.told[0])
    assert "white flag" in told
    assert "130 yd" in told


@pytest.mark.parametrize(
    ("plan", "wanted", "from_ball", "sees_range"),
    [("flags-only-evening", "say 130", 19, False), ("junior-wind-games", "guess 12mph", 11, True)],
)
def test_what_is_to_be_said_first_is_asked_for(
    player: Program, plan: str, wanted: str, from_ball: int, *, sees_range: bool
) -> None:
    """Who is to say a carry is not told the range; who is to guess the wind is."""
    result, typist = at_a_terminal(player, ("record", "--plan", plan, *WIND), ["-"] * (from_ball + 1))
    asked = [plain(text) for text in typist.told if wanted in plain(text)]
    assert result.code == 0
    assert len(asked) == 3
    assert all(bool(CALLED.search(text)) is sees_range for text in asked[1:])


def test_without_a_plan_the_shot_is_to_be_written(player: Program) -> None:
    _, typist = at_a_terminal(player, ("record", *WIND), ["7 iron: 140", "7 iron: 141"])
    assert "7 iron, 1 in, three-quarter: 142 6L" in plain(typist.told[0])
    assert typist.told[1:] == ["", ""]


def test_nothing_typed_begins_no_session(player: Program) -> None:
    result, typist = at_a_terminal(player, ("record", *PLAN), [])
    assert result.code == 1
    assert "Ctrl-D" in typist.told[0]
    assert player("--json").data["players"][0]["sessions"] == 0


def test_an_unknown_plan_is_refused_before_a_line_is_typed(player: Program) -> None:
    result, typist = at_a_terminal(player, ("record", "--plan", "no-such-plan"), ["120"])
    assert "no-such-plan" in result.refused()
    assert typist.told == []


def test_when_the_plan_is_through_a_shot_needs_its_club(player: Program) -> None:
    lines = ["-"] * 8
    _, typist = at_a_terminal(player, ("record", *PLAN, "--balls", "8"), lines)
    assert "No ball of the plan waits" in typist.told[-1]


@pytest.mark.parametrize("options", [WIND, PLAN])
def test_a_pipe_and_json_are_told_nothing(player: Program, other: Program, options: tuple[str, ...]) -> None:
    lines = ["7 iron: 140", "wind 14mph 1h", "7 iron: 138"]
    piped = player("record", *options, typed="\n".join(lines) + "\n")
    assert piped.err == ""
    data, typist = at_a_terminal(other, ("record", "--json", *options), lines)
    assert data.err == ""
    assert set(typist.told) == {""}
    assert data.data["recorded"] == 2


def test_a_terminal_records_what_a_pipe_records(player: Program, other: Program) -> None:
    lines = ["120", "wind 20mph 2h", "118 3R", "skip tired", "121"]
    player("record", *PLAN, typed="\n".join(lines) + "\n")
    piped = player.json("shots", "--session", "1")["shots"]
    at_a_terminal(other, ("record", *PLAN), lines)
    typed = other.json("shots", "--session", "1")["shots"]
    for shot in (*typed, *piped):
        del shot["uid"]
    assert typed == piped
