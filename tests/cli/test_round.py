"""`trainer round`: while it is on, only the card made before it is shown."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.cli.program import NOW, Program

HEAD = ("--wind", "12mph", "--wind-from", "1h")
ADVICE = (
    ("choose", "150yd", *HEAD),
    ("compare", "7 iron", "6 iron"),
    ("gaps",),
    ("progress",),
    ("agenda", "--plan", "first-windy-evening"),
    ("report",),
    ("flight", "--ball-speed", "50m/s", "--launch", "18", "--spin", "6000rpm", *HEAD),
)


def started(player: Program, *options: str, now: datetime = NOW) -> str:
    result = player("round", "start", *options, now=now)
    assert result.code == 0, result.err
    return result.out


@pytest.mark.parametrize("words", ADVICE, ids=lambda words: words[0])
def test_what_advises_is_refused_until_it_ends(player: Program, words: tuple[str, ...]) -> None:
    assert player(*words).code == 0
    started(player)
    line = player(*words, now=NOW + timedelta(hours=1)).refused()
    assert "4.3a" in line
    assert "local rules" in line
    assert player("round", "end", now=NOW + timedelta(hours=4)).code == 0
    assert player(*words, now=NOW + timedelta(hours=4)).code == 0


def test_the_gapping_table_does_not_leave_by_an_export_either(player: Program, tmp_path: Path) -> None:
    started(player)
    folder = tmp_path / "out"
    assert "4.3a" in player("export", str(folder), now=NOW + timedelta(hours=1)).refused()
    assert not folder.exists()
    player("round", "end", now=NOW + timedelta(hours=4))
    assert player("export", str(folder), now=NOW + timedelta(hours=4)).code == 0


def test_the_card_is_the_one_made_before(player: Program) -> None:
    shown = started(player, "--clubs", "7 iron, 8 iron", *HEAD)
    before = player("card", now=NOW + timedelta(hours=1)).out
    assert before.strip() in shown
    player.hit(*["7 iron: 132"] * 3, options=("--calm", "--seen", "laser"), now=NOW + timedelta(hours=2))
    assert player("card", now=NOW + timedelta(hours=3)).out == before
    assert player("card", "--format", "svg", now=NOW + timedelta(hours=3)).out.startswith("<svg")
    data = player.json("card", now=NOW + timedelta(hours=3))
    assert data["prepared"] == NOW.isoformat()
    for options in (HEAD, ("--clubs", "9 iron"), ("--when", "2026-05-01")):
        assert player("card", *options, now=NOW + timedelta(hours=3)).refused()
    player("round", "end", now=NOW + timedelta(hours=4))
    assert player("card", now=NOW + timedelta(hours=4)).out != before


def test_one_forgotten_ends_by_itself_at_the_end_of_its_day(player: Program) -> None:
    started(player)
    midnight = datetime(NOW.year, NOW.month, NOW.day) + timedelta(days=1)
    told = player.json("round", now=NOW + timedelta(hours=1))
    assert told == {
        "in_round": True,
        "started_at": NOW.isoformat(),
        "ends_by_itself_at": midnight.isoformat(),
    }
    assert player("gaps", now=midnight - timedelta(seconds=1)).code == 1
    assert player("gaps", now=midnight).code == 0
    assert player.json("round", now=midnight)["in_round"] is False
    assert player("round", "end", now=midnight).refused()
    started(player, now=midnight + timedelta(hours=9))


def test_one_round_at_a_time(player: Program) -> None:
    started(player)
    assert "on" in player("round", "start", now=NOW + timedelta(hours=1)).refused()


def test_a_lock_is_not_talked_round_by_another_day(player: Program) -> None:
    started(player)
    tomorrow = (NOW + timedelta(days=1)).isoformat()
    assert player("gaps", "--when", tomorrow, now=NOW + timedelta(hours=1)).code == 1


def test_the_round_of_one_player_locks_no_other(player: Program) -> None:
    started(player)
    assert player("setup", "--from-carry", "7 iron=140yd", "--player", "Sandpiper").code == 0
    assert player("gaps", "--player", "Sandpiper", now=NOW + timedelta(hours=1)).code == 0


def test_ending_it_offers_the_course_log(player: Program) -> None:
    started(player)
    assert "course-log" in player("round", "end", now=NOW + timedelta(hours=4)).out
    assert player("round").code == 0
