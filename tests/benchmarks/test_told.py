"""What a benchmark tells arrives, and a goal missed is never told as met."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.benchmarks.__main__ import in_words
from tests.benchmarks.told import LISTENER, Told, at_least, at_most, tell


def heard(path: Path) -> list[Told]:
    return [Told(**json.loads(line)) for line in path.read_text(encoding="utf-8").splitlines()]


def test_what_is_told_is_heard(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "told"
    monkeypatch.setenv(LISTENER, str(path))
    assert tell("one", 12.0, "ms", ratio=0.5, of="time", peer="a peer", goal=at_most(0.6), wanted=at_most(10))
    assert not tell("two", 3.0, "MB", ratio=2.0, of="memory", peer="a peer", goal=at_least(3))
    one, two = heard(path)
    assert (one.name, one.ratio_met, one.figure_met, one.met) == ("one", True, False, False)
    assert (two.name, two.ratio_met, two.figure_met, two.met) == ("two", False, None, False)
    words = in_words([one, two])
    assert "| one | 12.0 ms |" in words
    assert words.count("- ") == 2 + words.count("--- ")


def test_without_a_listener_it_is_only_printed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv(LISTENER, raising=False)
    assert tell("one", 12.0, "ms", ratio=0.5, of="time", peer="a peer", goal=at_most(0.6), wanted=at_most(20))
    assert "one: 12.0 ms (≤ 20.0); 0.50 × the time of a peer (≤ 0.60)" in capsys.readouterr().out


@pytest.mark.parametrize(("value", "least", "most"), [(0.9, False, True), (1.0, True, True), (1.1, True, False)])
def test_a_bound_is_kept_by_itself(value: float, least: bool, most: bool) -> None:
    assert at_least(1.0).met(value) is least
    assert at_most(1.0).met(value) is most
