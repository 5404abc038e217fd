"""What the export writes, the import reads again: every shot as it was, without a question."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.cli.program import Program
from trainer.exchange.own_table import is_own_header

LINES = (
    "wind 14mph 1h",
    "7 iron, 1 in, three-quarter: 142 6L",
    "7 iron: 142.5/151 3R ^80 #closer #low",
    "8 iron: x 96",
    "pitching wedge: -",
    "7 iron: long left",
    "wind calm",
    "7 iron, 2 in, half: speed=101mph launch=13 spin=5120 120",
    "flag red 150yd 10deg",
    "8 iron: red-5 2R",
    "7 iron: 139 hang=5.3",
)
NOT_KEPT = {"id", "uid", "session", "number", "reading", "source", "import", "called_50_m", "called_80_m"}


def _alike(shot: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in shot.items() if name not in NOT_KEPT and "called" not in name}


def _record(player: Program) -> None:
    """Two sessions, the ball of the first with a called range."""
    player.lines("7 iron: 150 1R", options=("--calm", "--when", "2026-05-12T10:00"))
    player.hit(*LINES, options=("--temperature", "12C", "--ball", "range", "--surface", "mat"))


def _exported(program: Program, folder: Path) -> Path:
    assert program("export", str(folder)).code == 0
    return folder / "shots.csv"


def test_a_round_trip_keeps_every_shot(player: Program, other: Program, tmp_path: Path) -> None:
    _record(player)
    path = _exported(player, tmp_path / "out")
    assert is_own_header(path.read_text(encoding="utf-8").splitlines()[0].split(","))
    data = other.json("import", str(path), "--accept")
    before, after = player.json("shots"), other.json("shots")
    assert (data["imported"], data["skipped"], data["duplicate"]) == (len(before["shots"]), [], 0)
    assert data["sessions"] == 2
    in_order = (sorted(shots["shots"], key=_by_time) for shots in (before, after))
    for old, new in zip(*in_order, strict=True):
        assert _close(_alike(new), _alike(old)), (new, old)
    again = _exported(other, tmp_path / "again")
    assert other.json("import", str(again), "--accept", "--dry-run")["duplicate"] == data["imported"]


def _by_time(shot: dict[str, Any]) -> tuple[str, int]:
    return shot["time"], shot["number"]


def _close(new: Any, old: Any) -> bool:
    """Equal, numbers to the last digits: an angle is written in degrees and kept in radians."""
    if isinstance(old, dict):
        return isinstance(new, dict) and new.keys() == old.keys() and all(_close(new[key], old[key]) for key in old)
    if isinstance(old, float) and isinstance(new, float):
        return abs(new - old) <= 1e-12 * max(1.0, abs(old))
    return bool(new == old)


def test_the_export_of_a_store_is_known_to_that_store(player: Program, tmp_path: Path) -> None:
    _record(player)
    path = _exported(player, tmp_path / "out")
    data = player.json("import", str(path), "--accept", "--dry-run")
    assert data["would_import"] == 0
    assert data["duplicate"] == len(player.json("shots")["shots"])


def test_a_side_is_right_positive_without_a_question(player: Program, other: Program, tmp_path: Path) -> None:
    player.hit("7 iron: 142 6L")
    other.json("import", str(_exported(player, tmp_path / "out")), "--accept")
    (shot,) = other.json("shots")["shots"]
    assert shot["side_m"] == pytest.approx(-6 * 0.9144)


def test_a_header_that_is_not_quite_ours_is_asked_about(player: Program, tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    path.write_text("time,club,carry_m,side_m\n2026-05-01T10:00,7 iron,130,3\n")
    assert "right" in player("import", str(path), "--accept").refused()


@pytest.mark.parametrize(
    ("old", "new"),
    [("carry_m", "x"), ("129.8448", "nan"), ("129.8448", "1e999"), ("129.8448", "999"), ("false", "perhaps")],
)
def test_a_spoilt_export_is_refused_by_row(
    player: Program, other: Program, tmp_path: Path, old: str, new: str
) -> None:
    player.hit("7 iron: 142 6L")
    path = _exported(player, tmp_path / "out")
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    result = other("import", str(path), "--accept", "--json")
    assert result.code == 1
    assert other.json("shots")["shots"] == []


def test_an_approach_of_a_round_does_not_come_back_as_a_range_ball(
    player: Program, other: Program, tmp_path: Path
) -> None:
    player.hit("7 iron: 142 6L")
    assert player("course-log", "--calm", typed="7 iron, to 150yd: flag-6 4L\n").code == 0
    data = other.json("import", str(_exported(player, tmp_path / "out")), "--accept")
    assert data["imported"] == 1
    assert [skip["why"] for skip in data["skipped"] if "round" in skip["why"]]
