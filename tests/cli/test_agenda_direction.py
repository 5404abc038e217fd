"""What `trainer agenda` says of where to hit: the flag that turns the wind, a calm day, when to stop measuring."""

from __future__ import annotations

import random
from collections import Counter
from datetime import timedelta
from typing import Any

import pytest

from tests.cli.program import NOW, Program

HEADWIND = ("--wind", "14mph", "--wind-from", "0")
ROUND = ("--plan", "two-clubs", "--seed", "1")
PLAN = """format = 1
id = "two-clubs"
title = "Two clubs"
level = "club"
balls = 45
minutes = 45

[[block]]
drill = "gapping round"
clubs = ["7 iron", "8 iron"]
grip_down = ["0 in"]
swing = ["full", "three-quarter"]
balls = 33
"""
CARRIES_YD = {"7 iron, full": 138, "7 iron, three-quarter": 128, "8 iron, full": 128, "8 iron, three-quarter": 119}


@pytest.fixture
def rounder(player: Program) -> Program:
    """A player with a plan of his own that measures two clubs."""
    folder = player.store.parent / "plans"
    folder.mkdir()
    (folder / "two-clubs.toml").write_text(PLAN)
    return player


def practise(player: Program, evenings: int, each: int, wind: tuple[str, ...] = HEADWIND, first: str = "") -> None:
    """Evenings of invented balls, `each` of every shot."""
    drawn = random.Random(3)
    for evening in range(evenings):
        lines = [first] if first else []
        for shot, carry_yd in CARRIES_YD.items():
            lines += [f"{shot}: {round(carry_yd * drawn.gauss(1.0, 0.03))} #low-checked" for _ in range(each)]
        kept = player.hit(*lines, options=(*wind, "--seen", "laser"), now=NOW - timedelta(days=30 - 3 * evening))
        assert kept["refused"] == []


def flags(agenda: dict[str, Any], drill: str) -> Counter[str | None]:
    return Counter(ball["flag"] for ball in agenda["balls"] if ball["drill"] == drill)


def test_with_one_headwind_the_flag_that_turns_it_is_proposed(rounder: Program) -> None:
    practise(rounder, 2, 4)
    straight = rounder.json("agenda", *ROUND, *HEADWIND)
    assert set(flags(straight, "gapping round")) == {None}
    rounder.hit("flag red 140yd 0deg", "flag pond 140yd 80deg", "7 iron, full: 137", options=HEADWIND)
    turned = rounder.json("agenda", *ROUND, *HEADWIND)
    used = flags(turned, "gapping round")
    assert used["pond"] > used.total() / 2
    assert any("pond" in note for note in turned["notes"])


def test_a_calm_day_is_named_where_it_tells_more_and_only_there(rounder: Program) -> None:
    practise(rounder, 2, 4)
    assert any("calm day" in note for note in rounder.json("agenda", *ROUND, *HEADWIND)["notes"])
    in_calm = rounder.json("agenda", *ROUND, "--calm")
    assert not any("calm day" in note for note in in_calm["notes"])


def test_where_this_wind_has_told_what_it_can_skill_and_transfer_take_over(rounder: Program) -> None:
    practise(rounder, 1, 3)
    early = rounder.json("agenda", *ROUND, *HEADWIND)
    assert sum(flags(early, "gapping round").values()) > 10
    practise(rounder, 3, 8)
    late = rounder.json("agenda", *ROUND, *HEADWIND)
    assert not flags(late, "gapping round")
    assert flags(late, "landing box")
    assert flags(late, "mixed targets")
    assert any("nothing more" in note and "landing box" in note for note in late["notes"])
