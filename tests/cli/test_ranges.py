"""A value out of range: its limits are told in the player's own unit, whole, and what is told is taken."""

from __future__ import annotations

import re

import pytest

from tests.cli.program import Program

GIVE = re.compile(r"give (\S+) to (\S+) (\S+)$")

ASKED = (
    (("choose", "{}yd"), "yd", "900"),
    (("choose", "150yd", "--slope", "{}yd"), "yd", "900"),
    (("flight", "--carry", "{}yd", "--launch", "20deg", "--spin", "5000rpm"), "yd", "900"),
    (("flight", "--ball-speed", "{}mph", "--launch", "20deg", "--spin", "5000rpm"), "mph", "900"),
    (("gaps", "--wind", "{}mph", "--wind-from", "0"), "mph", "900"),
    (("gaps", "--temperature", "{}F"), "F", "900"),
    (("gaps", "--altitude", "{}yd"), "yd", "90000"),
    (("setup", "--from-carry", "7 iron={}yd"), "yd", "900"),
    (("setup", "--club", "7 iron=34deg, {}in, 150yd"), "in", "90"),
)


def limits(line: str) -> tuple[str, str, str]:
    match = GIVE.search(line)
    assert match is not None, line
    return match[1], match[2], match[3]


@pytest.mark.parametrize(("words", "unit", "wrong"), ASKED)
def test_a_player_in_yards_reads_yards(player: Program, words: tuple[str, ...], unit: str, wrong: str) -> None:
    least, most, shown = limits(player(*(word.format(wrong) for word in words)).refused())
    assert shown == unit
    assert most.isdigit()
    # The far end of what is told is taken; some things cannot be flown at the near end, which is another complaint.
    again = player(*(word.format(most) for word in words))
    assert "out of range" not in again.err
    assert "out of range" not in player(*(word.format(least) for word in words)).err


@pytest.mark.parametrize("carry", ["10m", "900m"])
def test_a_player_in_metres_reads_whole_metres(program: Program, carry: str) -> None:
    line = program("setup", "--from-carry", f"7 iron={carry}").refused()
    assert limits(line) == ("19", "320", "m")


def test_a_carry_said_first_is_told_of_in_the_players_unit(player: Program) -> None:
    why = player("record", "--json", typed="say 900\nsay 0.5\nsay 1\n").data["refused"]
    assert {limits(each["why"])[2] for each in why} == {"yd"}
