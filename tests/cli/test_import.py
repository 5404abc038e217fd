"""`trainer import`: a plain shot table, its columns settled before a row is kept."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.program import Program, cell_of

YARD_M = 0.9144
PLAIN = "Club,Carry (yd),Side (yd),Launch,Spin (rpm)\n7 iron,148,3 L,17.2,6400\n7i,151,2 R,16.8,6300\n"


@pytest.fixture
def table(tmp_path: Path) -> Path:
    path = tmp_path / "table.csv"
    path.write_text(PLAIN)
    return path


def test_a_plain_table_is_read(player: Program, table: Path) -> None:
    data = player.json("import", str(table), "--accept")
    assert (data["rows"], data["imported"], data["skipped"], data["duplicate"]) == (2, 2, [], 0)
    shots = player.json("shots")["shots"]
    assert [shot["carry_m"] / YARD_M for shot in shots] == pytest.approx([148, 151])
    assert [shot["side_m"] / YARD_M for shot in shots] == pytest.approx([-3, 2])
    assert shots[0]["launch_deg"] == pytest.approx(17.2)
    assert {shot["seen"] for shot in shots} == {"device"}


@pytest.mark.parametrize(
    "text",
    [
        "Club;Carry (m);Total (m)\n7 iron;138,5;140,1\n",
        "Club\tCarry (m)\tTotal (m)\n7 iron\t138.5\t140.1\n",
        "Club,Carry [m],Total [m]\n7 iron,138.5,140.1\n",
        "\ufeffclub,carry_m,total_m\n7 iron,138.5,140.1\n",
    ],
)
def test_delimiters_marks_and_units(player: Program, tmp_path: Path, text: str) -> None:
    path = tmp_path / "t.csv"
    path.write_text(text, encoding="utf-8")
    assert player.json("import", str(path), "--accept")["imported"] == 1
    shot = player.json("shots")["shots"][0]
    assert (shot["carry_m"], shot["total_m"]) == (pytest.approx(138.5), pytest.approx(140.1))


def test_a_repeated_file_is_refused_and_an_import_is_undone_whole(player: Program, table: Path) -> None:
    first = player.json("import", str(table), "--accept")
    again = player("import", str(table), "--accept", "--json")
    assert again.code == 1
    assert (again.data["imported"], again.data["duplicate"]) == (0, 2)
    assert len(player.json("shots")["shots"]) == 2
    assert player("shots", "undo", first["import"]).code == 0
    assert player.json("shots")["shots"] == []
    assert player.json("import", str(table), "--accept")["imported"] == 2


def test_a_dry_run_keeps_nothing(player: Program, table: Path) -> None:
    data = player.json("import", str(table), "--dry-run")
    assert (data["rows"], data["would_import"], data["imported"]) == (2, 2, 0)
    assert player.json("shots")["shots"] == []


def test_without_consent_nothing_is_kept(player: Program, table: Path) -> None:
    assert "--accept" in player("import", str(table)).refused()
    assert player.json("shots")["shots"] == []


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("Club,Carry\n7 iron,148\n", "unit"),
        ("Club,Carry (yd),Side (yd)\n7 iron,148,-3\n", "right"),
        ("Club,Carry computed (yd)\n7 iron,148\n", "corrected"),
        ("Club,Carry corrected (yd)\n7 iron,148\n", "corrected"),
    ],
)
def test_a_sign_a_unit_or_a_kind_that_is_a_guess_is_asked(
    player: Program, tmp_path: Path, text: str, asked: str
) -> None:
    path = tmp_path / "t.csv"
    path.write_text(text)
    assert asked in player("import", str(path), "--accept").refused()
    assert player.json("shots")["shots"] == []


def test_the_answers_settle_it(player: Program, tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    path.write_text("Club,Carry computed (yd),Side (yd)\n7 iron,148,-3\n")
    player.json("import", str(path), "--accept", "--side-positive", "left", "--carry-is", "corrected")
    shot = player.json("shots")["shots"][0]
    assert shot["side_m"] / YARD_M == pytest.approx(3)
    assert shot["carry_is"] == "corrected"


def test_a_corrected_carry_is_not_corrected_again(player: Program, tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    path.write_text("Club,Carry (yd)\n" + "7 iron,150\n" * 30)
    wind = ("--wind", "10m/s", "--wind-from", "0")
    player.json("import", str(path), "--accept", "--carry-is", "corrected", *wind)
    corrected = cell_of(player.json("gaps"), "7 iron")["still_air_carry_m"]["median"]
    player("shots", "undo", "i1")
    player.json("import", str(path), "--accept", "--carry-is", "seen", *wind)
    seen = cell_of(player.json("gaps"), "7 iron")["still_air_carry_m"]["median"]
    assert corrected / YARD_M == pytest.approx(150, abs=1.5)
    assert seen > corrected + 5


def test_the_column_map_is_written_and_read(player: Program, table: Path, tmp_path: Path) -> None:
    columns = tmp_path / "map.toml"
    player.json("import", str(table), "--accept", "--write-columns", str(columns))
    player("shots", "undo", "i1")
    assert player.json("import", str(table), "--columns", str(columns))["imported"] == 2
    columns.write_text(columns.read_text() + "\nnose = 1\n")
    assert "map.toml" in player("import", str(table), "--columns", str(columns)).refused()


def test_rows_that_are_no_shot_are_skipped_with_their_reason(player: Program, tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    path.write_text("Club,Carry (yd)\n7 iron,148\nspoon,150\n7 iron,900\nAverage,149\n7 iron,-\n")
    data = player.json("import", str(path), "--accept")
    assert (data["rows"], data["imported"]) == (5, 2)
    assert [skipped["row"] for skipped in data["skipped"]] == [3, 4, 5]
    assert all(skipped["why"] for skipped in data["skipped"])


@pytest.mark.parametrize(
    "content", [b"", b"Club,Carry (yd)\n", b"a,b\n1,2\n", b"\x00\x01\x02\xff" * 50, b"Club\n7 iron\n", b'Club,"Car']
)
def test_a_table_that_is_none_is_refused(player: Program, tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "t.csv"
    path.write_bytes(content)
    player("import", str(path), "--accept").refused()
    assert player.json("shots")["shots"] == []


def test_several_players_in_one_file(program: Program, tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    path.write_text("Player,Club,Carry (yd)\nkim,7 iron,148\nlou,7 iron,120\n")
    program("setup", "--from-carry", "7 iron=150yd", "--player", "kim")
    assert program.json("import", str(path), "--accept")["imported"] == 1
    program("setup", "--from-carry", "7 iron=150yd", "--player", "ash")
    program("import", str(path), "--accept", "--player", "ash").refused()
