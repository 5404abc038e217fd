"""What a person reads is folded between words at 80 columns; a refusal stays one line, and JSON is as it was."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.program import Program

WIDTH = 80
WIND = ("--wind", "14mph", "--wind-from", "1h", "--gust", "22mph", "--wind-where", "bay")
LINES = (
    "7 iron: 142 6L",
    "wind 26mph 6h gust 34mph",
    "instead 7 iron, half: my knee hurts after the last one, and the grass is slippery",
    "skip the mat is so worn that nothing on it tells anything",
    "thunder",
    "7 iron: 140",
)
COMMANDS = (
    (),
    ("setup", "--from-carry", "7 iron=150yd"),
    ("compare", "7 iron", "5 iron, 1 in, three-quarter", *WIND),
    ("plan", "list"),
    ("plan", "due", "--event", "2026-06-01"),
    ("plan", "show", "full-against-low"),
    ("agenda", "--plan", "full-against-low", *WIND),
    ("agenda", "--plan", "junior-wind-games", *WIND),
    ("flight", "--ball-speed", "50m/s", "--launch", "18", "--spin", "6000rpm", *WIND),
    ("choose", "150", *WIND),
    ("gaps", *WIND),
    ("card", *WIND),
    ("doctor",),
    ("round",),
)


def lines_of(text: str) -> list[str]:
    """The lines of `text` without those that are one word, such as a path: they stay whole."""
    return [line for line in text.splitlines() if len(line.split()) > 1]


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: " ".join(words[:3]))
def test_no_line_is_wider_than_a_terminal(player: Program, words: tuple[str, ...]) -> None:
    result = player(*words)
    assert result.code == 0, result.err
    assert max(map(len, lines_of(result.out))) <= WIDTH


@pytest.mark.parametrize("plan", [(), ("--plan", "first-windy-evening")])
def test_a_session_is_acknowledged_in_lines_that_fit(player: Program, plan: tuple[str, ...]) -> None:
    result = player("record", *plan, *WIND, typed="".join(f"{line}\n" for line in LINES))
    assert max(map(len, result.out.splitlines())) <= WIDTH
    if plan:
        assert "slippery" in result.out


def test_a_round_is_begun_and_ended_in_lines_that_fit(player: Program) -> None:
    for words in (("round", "start", *WIND), ("round",), ("round", "end")):
        assert max(map(len, player(*words).out.splitlines())) <= WIDTH


def test_an_export_folds_between_words_and_leaves_its_folder_whole(player: Program, tmp_path: Path) -> None:
    folder = tmp_path / "an-evening-at-the-range" / "with-a-name-much-longer" / "than-any-terminal-is-wide-in-columns"
    folder.parent.mkdir(parents=True)
    result = player("export", "--nameless", str(folder))
    assert str(folder) in result.out
    assert all(len(line) <= WIDTH for line in lines_of(result.out))


def test_a_refusal_stays_one_line_however_long(player: Program) -> None:
    result = player("record", typed=f"7 iron: {'nonsense ' * 20}\n")
    assert len(result.err.splitlines()) == 1
    assert len(result.err) > WIDTH
