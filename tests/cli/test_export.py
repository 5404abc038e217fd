"""`trainer export`: what the files say, that they agree, and that a nameless one names nobody."""

from __future__ import annotations

import csv
import json
import stat
from datetime import date
from pathlib import Path

import pytest

from tests.cli.program import Program
from trainer.exchange.export_table import COLUMNS

NAMED = {
    "shots.csv", "shots.jsonl", "shots.json", "readings.csv", "sessions.csv", "gaps.csv", "gaps.json", "gaps.md",
    "profile.toml", "columns.md",
}  # fmt: skip
SECRET = "=Quillfeather"


@pytest.fixture
def hitter(program: Program) -> Program:
    """A player with an alias that a spreadsheet would run, two evenings, a flag and a tag."""
    words = ("setup", "--from-carry", "7 iron=150yd", "--player", SECRET)
    assert program(*words).code == 0
    first = ("wind 12mph 1h", "flag quilloak 150yd 10deg", "7 iron: quilloak-5 #quilltag", "7 iron: 142/151 6L #sure")
    program.hit(*first, options=("--when", "2026-05-10T18:00", "--temperature", "12C"))
    program.hit("9 iron, 1 in, half: x", "9 iron: -", options=("--when", "2026-05-13T07:15"))
    return program


def rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_every_file_is_there_for_the_owner_alone(hitter: Program, tmp_path: Path) -> None:
    made = hitter.json("export", str(tmp_path / "out"))
    assert set(made["files"]) == NAMED == {file.name for file in (tmp_path / "out").iterdir()}
    assert {stat.S_IMODE(file.stat().st_mode) for file in (tmp_path / "out").iterdir()} == {0o600}


def test_csv_and_json_lines_say_the_same(hitter: Program, tmp_path: Path) -> None:
    hitter("export", str(tmp_path))
    rows = rows_of(tmp_path / "shots.csv")
    lines = [json.loads(line) for line in (tmp_path / "shots.jsonl").read_text().splitlines()]
    assert len(rows) == len(lines) == 4
    for row, line in zip(rows, lines, strict=True):
        assert list(row) == list(line) == list(COLUMNS)
        assert (float(row["carry_m"]) if row["carry_m"] else None) == line["carry_m"]
        assert (row["mishit"] == "true") == line["mishit"]
        assert row["player"] == f"'{line['player']}"
    assert lines[0]["player"] == SECRET
    assert lines[1]["tags"] == ["sure"]
    assert float(rows[1]["side_m"]) < 0
    assert rows[1]["side_m"].startswith("-")


def test_readings_and_sessions_join_the_shots(hitter: Program, tmp_path: Path) -> None:
    hitter("export", str(tmp_path))
    shots, readings, sessions = (rows_of(tmp_path / f"{name}.csv") for name in ("shots", "readings", "sessions"))
    assert {row["session"] for row in shots} == {row["session"] for row in sessions}
    told = [row for row in readings if row["wind_knowledge"] == "read"]
    assert [float(row["wind_from_deg"]) for row in told] == pytest.approx([30.0])
    assert float(shots[0]["wind_from_deg"]) == pytest.approx(20.0)  # the flag stands 10 degrees to the right
    assert float(shots[1]["wind_from_deg"]) == pytest.approx(30.0)
    assert [row["air_stated"] for row in sessions] == ["true", "false"]
    assert float(sessions[0]["temperature_k"]) == pytest.approx(285.15)


def test_gaps_are_those_of_the_table(hitter: Program, tmp_path: Path) -> None:
    hitter("export", str(tmp_path))
    rows, cells = rows_of(tmp_path / "gaps.csv"), hitter.json("gaps")["cells"]
    assert len(rows) == len(cells)
    for row, cell in zip(rows, cells, strict=True):
        assert (row["club"], float(row["grip_down_m"]), row["swing"]) == (
            cell["club"],
            cell["grip_down_m"],
            cell["swing"],
        )
        still = cell["still_air_carry_m"]
        written = [float(row[f"still_air_{end}_m"]) for end in ("carry", "low80", "high80")]
        assert written == [still["median"], still["low80"], still["high80"]]
        assert row["trust"] == (cell["trust"] if cell["shots"] else "")


def test_each_column_is_described_with_its_unit(hitter: Program, tmp_path: Path) -> None:
    hitter("export", str(tmp_path))
    described = (tmp_path / "columns.md").read_text()
    for name in ("shots", "readings", "sessions", "gaps"):
        section = described.split(f"## {name}.csv")[1].split("\n## ")[0]
        listed = [line.split("`")[1] for line in section.splitlines() if line.startswith("| `")]
        with (tmp_path / f"{name}.csv").open(newline="", encoding="utf-8") as file:
            assert next(csv.reader(file)) == listed
    units = {"_m": "m", "_mps": "m/s", "_deg": "degrees", "_s": "s", "_k": "K", "_pa": "Pa", "_rpm": "rev/min"}
    for line in described.splitlines():
        if line.startswith("| `"):
            column, unit = line.split("`")[1], line.split("|")[2].strip()
            ending = next((end for end in units if column.endswith(end)), None)
            assert ending is None or unit == units[ending], line


def test_a_nameless_export_names_nobody(hitter: Program, tmp_path: Path) -> None:
    made = hitter.json("export", str(tmp_path / "out"), "--nameless")
    assert made["nameless"] is True
    assert set(made["files"]) == NAMED - {"shots.json", "gaps.json", "profile.toml"}
    for file in (tmp_path / "out").iterdir():
        text = file.read_text()
        for secret in ("uill", "2026-", " 2026"):
            assert secret not in text, file.name
    shots = rows_of(tmp_path / "out" / "shots.csv")
    assert [row["time"][:10] for row in shots] == ["2000-01-01"] * 2 + ["2000-01-04"] * 2
    assert date(2000, 1, 4) - date(2000, 1, 1) == date(2026, 5, 13) - date(2026, 5, 10)
    assert shots[2]["time"][11:16] == "07:15"
    assert [row["shot"] for row in shots] == ["1", "2", "3", "4"]
    assert shots[0]["flag"] == "flag-1"


def test_numbers_survive_namelessness(hitter: Program, tmp_path: Path) -> None:
    hitter("export", str(tmp_path / "a"))
    hitter("export", str(tmp_path / "b"), "--nameless")
    named, nameless = (rows_of(tmp_path / each / "shots.csv") for each in "ab")
    for one, other in zip(named, nameless, strict=True):
        for column in ("carry_m", "total_m", "side_m", "wind_mps", "wind_from_deg", "flag_offset_m", "grip_down_m"):
            assert one[column] == other[column]
    assert (tmp_path / "a" / "gaps.csv").read_bytes() == (tmp_path / "b" / "gaps.csv").read_bytes()
