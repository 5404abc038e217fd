"""`trainer progress`: kinds of balls apart, misses that add up, ranges held, and "no clear change"."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.cli.program import NOW, Program

PLAN = ("--plan", "first-windy-evening", "--balls", "24")
HEAD = ("--wind", "12mph", "--wind-from", "0", "--seen", "laser")


def test_with_nothing_hit_it_says_so(player: Program) -> None:
    told = player.json("progress")
    for kind in ("retention", "transfer", "practice"):
        assert told[kind]["balls"] == 0
        assert told[kind]["error_percent"] is None
    assert told["called_ranges"]["balls"] == 0
    assert told["misses"] == []


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Program:
    """Two evenings of one plan, a week apart, each ball typed a few yards off its target."""
    player = Program(tmp_path_factory.mktemp("played") / "store.db")
    assert player("setup", "--from-carry", "7 iron=150yd").code == 0
    for evening in range(2):
        moment = NOW + timedelta(days=7 * evening)
        balls = player.json("agenda", *PLAN, *HEAD[:4], now=moment)["balls"]
        typed = [
            "-" if ball["target_m"] is None else f"{ball['target_m'] / 0.9144 + (5 if i % 2 else -7):.0f} 3R"
            for i, ball in enumerate(balls)
        ]
        player.hit(*typed, options=(*PLAN, *HEAD), now=moment)
    return player


def test_each_miss_is_the_sum_of_its_parts_and_kinds_are_apart(played: Program) -> None:
    told = played.json("progress", now=NOW + timedelta(days=8))
    assert told["misses"]
    for miss in told["misses"]:
        assert miss["wind_m"] + miss["club_m"] + miss["scatter_m"] == pytest.approx(miss["miss_m"], abs=1e-9)
        assert miss["wind_m"] < 2
    kinds = [miss["kind"] for miss in told["misses"]]
    for kind in ("retention", "transfer", "practice"):
        assert told[kind]["balls"] == kinds.count(kind)
    assert told["practice"]["balls"] > 10
    level = told["practice"]["error_percent"]
    assert level["low95"] < level["mean"] < level["high95"]
    assert level["smallest_real_change"] > level["measurement_error"] > 0


def test_two_like_evenings_are_no_clear_change(played: Program) -> None:
    told = played.json("progress", now=NOW + timedelta(days=8))["practice"]
    assert told["verdict"] == "no clear change"
    assert told["change_percent"]["clear"] is False


def test_an_evening_alone_compares_nothing(player: Program) -> None:
    player.lines(*["7 iron: 140"] * 3, options=HEAD)
    told = player.json("progress")
    assert told["practice"]["verdict"] == "not enough balls to tell"
    assert told["called_ranges"]["balls"] == 3


def test_what_came_later_is_left_out(played: Program) -> None:
    early = played.json("progress", "--when", NOW.date().isoformat(), now=NOW + timedelta(days=8))
    late = played.json("progress", now=NOW + timedelta(days=8))
    assert 0 < early["load"]["balls"] < late["load"]["balls"]
    assert early["load"]["sessions"] == 1


def test_the_text_fits(played: Program) -> None:
    text = played("progress", now=NOW + timedelta(days=8)).out
    assert max(map(len, text.splitlines())) <= 80
    assert "o clear change" in text


def test_one_ball_is_told_as_one(player: Program) -> None:
    player.lines("flag red 130yd", "7 iron: red-6")
    for command in ("progress", "report", "card"):
        told = " ".join(player(command).out.split())
        assert "1 ball" in told
        assert "1 balls" not in told
        assert "1 sessions" not in told
        assert "1 times" not in told
