"""`trainer import`: what is asked, what is remembered, what is known again."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from tests.cli.program import NOW, Program, Result
from trainer.cli.main import Streams, run

SIGNED = "Club,Carry,Side (yd)\n7i,148,-3\nPW,110,2\n"
TIMED = "Time,Club,Carry (yd)\n"


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


def typed_at(program: Program, *words: str, replies: tuple[str, ...]) -> Result:
    """A command at a terminal, with what is typed there."""
    streams = Streams(Terminal("".join(f"{reply}\n" for reply in replies)), Terminal(), Terminal())
    code = run(list(words), streams, {"TRAINER_STORE": str(program.store)}, lambda: NOW)
    return Result(code, streams.stdout.getvalue(), streams.stderr.getvalue())  # type: ignore[attr-defined]  # StringIO


def _file(tmp_path: Path, text: str, name: str = "t.csv") -> str:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def _sides(program: Program) -> list[float]:
    return [round(shot["side_m"] / 0.9144, 6) for shot in program.json("shots")["shots"]]


def test_questions_are_asked_in_turn_and_the_answers_serve_the_next_file_of_the_shape(
    player: Program, tmp_path: Path
) -> None:
    done = typed_at(player, "import", _file(tmp_path, SIGNED), replies=("yd", "left", "yes"))
    assert done.code == 0, done.err
    assert _sides(player) == [3.0, -2.0]
    other = _file(tmp_path, SIGNED.replace("148", "149"), "next.csv")
    data = player.json("import", other, "--accept")
    assert (data["imported"], data["columns_from"], data["columns"]["side_positive"]) == (
        2,
        "an earlier file",
        "left",
    )
    (saved,) = (player.store.parent / "columns").iterdir()
    assert saved.stat().st_mode & 0o777 == 0o600


def test_an_option_goes_before_what_is_remembered(player: Program, tmp_path: Path) -> None:
    text = "Club,Carry (yd),Side (yd)\n7i,148,-3\n"
    player.json("import", _file(tmp_path, text), "--accept", "--side-positive", "left", "--remember")
    second = _file(tmp_path, text.replace("148", "149"), "b.csv")
    player.json("import", second, "--accept", "--side-positive", "right")
    assert _sides(player) == [3.0, -3.0]


def test_what_was_only_accepted_is_not_remembered(player: Program, tmp_path: Path) -> None:
    text = "Club,Carry (yd),Side (yd)\n7i,148,-3\n"
    player.json("import", _file(tmp_path, text), "--accept", "--side-positive", "left")
    second = _file(tmp_path, text.replace("148", "149"), "b.csv")
    assert "--side-positive" in player("import", second, "--accept").refused()


@pytest.mark.parametrize("replies", [("parsec",), ("yd", "up"), ("yd", "left", "no"), ()])
def test_a_reply_that_is_none_keeps_nothing(player: Program, tmp_path: Path, replies: tuple[str, ...]) -> None:
    done = typed_at(player, "import", _file(tmp_path, SIGNED), replies=replies)
    assert done.code == 1
    assert "Traceback" not in done.err
    assert player.json("shots")["shots"] == []


def test_whose_rows_are_asked_where_the_table_holds_several(player: Program, tmp_path: Path) -> None:
    path = _file(tmp_path, "Player,Club,Carry (yd)\nKim,7i,148\nLou,7i,120\nKim,8i,138\nAverage,,135\n")
    assert "--rows-of" in player("import", path, "--accept").refused()
    assert "Kim" in player("import", path, "--accept", "--rows-of", "Ash").refused()
    data = player.json("import", path, "--accept", "--rows-of", "kim")
    assert (data["imported"], len(data["skipped"])) == (2, 2)


def test_another_players_rows_are_not_kept_in_the_store(player: Program, tmp_path: Path) -> None:
    path = _file(tmp_path, "Player,Club,Carry (yd)\nKim,7i,148\nZephyrine,7i,120\n")
    player.json("import", path, "--accept", "--rows-of", "Kim")
    held = b"".join(file.read_bytes() for file in player.store.parent.iterdir() if file.is_file())
    assert b"Zephyrine" not in held
    assert b"Kim,7i,148" in held


@pytest.mark.parametrize(("order", "day"), [("day first", "2025-05-03"), ("month first", "2025-03-05")])
def test_the_order_of_a_date_is_asked(player: Program, tmp_path: Path, order: str, day: str) -> None:
    path = _file(tmp_path, f"{TIMED}03/05/2025 6:30:05 PM,7i,148\n")
    assert "--day-order" in player("import", path, "--accept").refused()
    player.json("import", path, "--accept", "--day-order", order)
    (shot,) = player.json("shots")["shots"]
    assert shot["time"] == f"{day}T18:30:05"


def test_the_day_of_bare_clocks_is_asked(player: Program, tmp_path: Path) -> None:
    path = _file(tmp_path, f"{TIMED}18:30:05,7i,148\n")
    assert "--when" in player("import", path, "--accept").refused()
    player.json("import", path, "--accept", "--when", "2026-05-03")
    (shot,) = player.json("shots")["shots"]
    assert shot["time"] == "2026-05-03T18:30:05"


def test_each_day_is_a_session_and_all_are_undone_together(player: Program, tmp_path: Path) -> None:
    rows = "2026-05-01 10:00:01,7i,148\n2026-05-02 10:00:01,7i,149\n2026-05-01 10:00:31,7i,150\n"
    data = player.json("import", _file(tmp_path, TIMED + rows), "--accept", "--calm")
    assert data["sessions"] == 2
    shots = player.json("shots")["shots"]
    assert [shot["time"][:10] for shot in shots] == ["2026-05-01", "2026-05-02", "2026-05-01"]
    assert len({shot["session"] for shot in shots}) == 2
    assert {shot["wind"]["knowledge"] for shot in shots} == {"calm"}
    player("shots", "undo", data["import"])
    assert player.json("shots")["shots"] == []
    assert "none" in player("shots", "--session", str(shots[0]["session"])).refused()


def test_a_shot_is_known_again_in_another_file_even_in_other_units(player: Program, tmp_path: Path) -> None:
    player.json("import", _file(tmp_path, f"{TIMED}2026-05-01 10:00:01,7i,148\n"), "--accept")
    metres = "Date;Time;Club;Carry (m)\n1.5.2026;10:00:01;Iron 7;135,3\n13.5.2026;10:00:31;7i;136,0\n"
    data = player.json("import", _file(tmp_path, metres, "m.csv"), "--accept")
    assert (data["imported"], data["duplicate"]) == (1, 1)


def test_one_row_twice_is_one_shot_and_two_balls_of_a_minute_are_two(player: Program, tmp_path: Path) -> None:
    row = "2026-05-01 10:00:01,7i,148\n"
    data = player.json("import", _file(tmp_path, TIMED + row + row + row.replace(":01,", ":21,")), "--accept")
    assert (data["imported"], data["duplicate"]) == (2, 1)
    minute = "2026-05-02 10:00,7i,148\n"
    data = player.json("import", _file(tmp_path, TIMED + minute + minute, "b.csv"), "--accept")
    assert (data["imported"], data["duplicate"]) == (2, 0)
    data = player.json("import", _file(tmp_path, TIMED + minute * 3, "c.csv"), "--accept")
    assert (data["imported"], data["duplicate"]) == (1, 2)


def test_a_session_time_on_every_row_makes_no_duplicates(player: Program, tmp_path: Path) -> None:
    row = "2026-05-01 10:00:01,7i,148\n"
    assert player.json("import", _file(tmp_path, TIMED + row * 5), "--accept")["imported"] == 5


def test_a_file_without_times_that_grew_adds_its_new_rows_only(player: Program, tmp_path: Path) -> None:
    text = "Club,Carry (yd)\n7i,148\n8i,138\n7i,151\n9i,128\n7i,150\n"
    player.json("import", _file(tmp_path, f"{text}Average,,143\n"), "--accept")
    grown = _file(tmp_path, f"{text}PW,110\nAverage,,138\n", "b.csv")
    data = player.json("import", grown, "--accept")
    assert (data["imported"], data["duplicate"]) == (1, 5)
    other = _file(tmp_path, "Club,Carry (yd)\n7i,148\n8i,139\n7i,151\n", "c.csv")
    assert player.json("import", other, "--accept")["imported"] == 3


def test_a_saved_map_that_was_spoilt_is_told(player: Program, tmp_path: Path) -> None:
    path = _file(tmp_path, "Club,Carry (yd)\n7i,148\n")
    player.json("import", path, "--accept", "--remember")
    (saved,) = (player.store.parent / "columns").iterdir()
    saved.write_text("format = 7\n")
    again = _file(tmp_path, "Club,Carry (yd)\n7i,149\n", "b.csv")
    assert saved.name in player("import", again, "--accept").refused()


def test_a_dry_run_shows_what_would_be_asked(player: Program, tmp_path: Path) -> None:
    done = player("import", _file(tmp_path, SIGNED), "--dry-run", "--json")
    assert done.code == 1
    assert [question["key"] for question in done.data["questions"]] == ["columns.carry.unit", "side_positive"]
    assert done.data["columns"]["carry"]["sample"] == "148"
    assert done.data["columns"]["carry"]["confidence"] == 1


@pytest.mark.parametrize(("rows", "drawn"), [(3000, True), (20, False)])
def test_a_bar_is_drawn_on_standard_error_at_a_terminal_only(
    player: Program, tmp_path: Path, rows: int, drawn: bool
) -> None:
    path = _file(tmp_path, "Club,Carry (yd)\n" + "".join(f"7i,{100 + number % 60}\n" for number in range(rows)))
    silent = player("import", path, "--accept", "--dry-run")
    assert silent.err == ""
    shown = typed_at(player, "import", path, "--accept", replies=())
    assert shown.code == 0
    assert ("Reading" in shown.err) is drawn
    assert "Reading" not in shown.out
    assert "%" not in shown.out
