"""Balls that count: how many the agenda's choice needs for the same knowledge, beside three simpler rules.

`python -m pytest tests/evidence/test_agenda_proof.py -m proof -s` runs it in full and prints the table.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest

from tests.evidence.agenda_players import invent
from tests.evidence.agenda_race import EVENING, MOST_EVENINGS, RULES, TWO_WAY_RULES, WANTED, Finish, race, stretches

FIRST_SEED = 1000
PLAYERS = 64
QUICK_PLAYERS = 8


def run(scenario: str, players: int, rules: tuple[str, ...]) -> Mapping[str, list[Finish]]:
    """Every rule on the same players, winds and strikes."""
    found: dict[str, list[Finish]] = {rule: [] for rule in rules}
    for player in range(players):
        rng = np.random.default_rng(FIRST_SEED + player)
        golfer, winds = invent(rng), stretches(rng, scenario)
        for rule in rules:
            found[rule].append(race(golfer, winds, (RULES | TWO_WAY_RULES)[rule], player))
    return found


def mean_balls(finishes: list[Finish]) -> float:
    """Mean balls; who was not done within the evenings counts as all of them."""
    return float(np.mean([finish.balls or EVENING * MOST_EVENINGS for finish in finishes]))


@pytest.mark.parametrize(("scenario", "most"), [("varied", 0.67), ("two directions", 0.60)])
@pytest.mark.proof
def test_two_thirds_of_the_balls(scenario: str, most: float, capsys: pytest.CaptureFixture[str]) -> None:
    rules = (*RULES, *TWO_WAY_RULES) if scenario == "two directions" else tuple(RULES)
    found = run(scenario, PLAYERS, rules)
    base = mean_balls(found["round-robin"])
    with capsys.disabled():
        print(f"\n{scenario}, {PLAYERS} players, {len(WANTED)} wanted shots")  # noqa: T201  # the proof's result
        for rule, finishes in found.items():
            held = float(np.mean([finish.held for finish in finishes]))
            undone = sum(finish.balls is None for finish in finishes)
            words = f"{rule:16} {mean_balls(finishes):6.0f} balls, {mean_balls(finishes) / base:.2f} of round-robin"
            print(f"{words}, 80 % intervals held {held:.2f}, not done {undone}")  # noqa: T201  # the proof's result
    assert mean_balls(found["agenda"]) <= most * base
    if "whole session" in found:
        assert mean_balls(found["whole session"]) < 0.8 * base
    assert all(finish.balls is not None for finish in found["agenda"])
    assert 0.75 <= np.mean([finish.held for finish in found["agenda"]]) <= 0.85


@pytest.mark.parametrize("scenario", ["varied", "two directions"])
def test_every_player_is_done_with_fewer_balls(scenario: str) -> None:
    found = run(scenario, QUICK_PLAYERS, ("agenda", "round-robin"))
    for mine, theirs in zip(found["agenda"], found["round-robin"], strict=True):
        assert mine.balls is not None
        assert mine.balls < (theirs.balls or EVENING * MOST_EVENINGS)
    assert mean_balls(found["agenda"]) < 0.75 * mean_balls(found["round-robin"])
