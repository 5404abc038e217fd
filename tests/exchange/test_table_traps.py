"""Ways in which a table could be read wrong without anybody noticing: each is refused, asked or read right."""

from __future__ import annotations

from dataclasses import replace

import pytest

from trainer.core.bag import Swing
from trainer.core.errors import InputError
from trainer.core.shot import CarryOrigin
from trainer.exchange.column_toml import column_map_from_toml
from trainer.exchange.row_reader import SkippedRow, TableRow
from trainer.exchange.shot_table import ShotTable, open_table, propose, read_rows, survey_table, table_questions
from trainer.exchange.table_columns import ColumnMap, answered_map
from trainer.exchange.table_text import complete_part
from trainer.exchange.table_words import SideSign

YARD_M = 0.9144


def _opened(text: str | bytes) -> tuple[ShotTable, ColumnMap]:
    table = open_table(text if isinstance(text, bytes) else text.encode(), "t.csv")
    return table, propose(table)


def _carries(text: str | bytes, columns: ColumnMap | None = None) -> list[float | str]:
    """The carry in metres of each row taken, else the reason in words."""
    table, proposed = _opened(text)
    rows = read_rows(table, columns or proposed)
    return [row.why if isinstance(row, SkippedRow) else round(row.entry.carry_m or 0.0, 6) for row in rows]


def _asked(text: str) -> list[str]:
    table, columns = _opened(text)
    return [question.key for question in table_questions(columns, survey_table(table, columns))]


@pytest.mark.parametrize("encoding", ["utf-16-le", "utf-16-be", "utf-16"])
def test_utf16_with_and_without_a_mark(encoding: str) -> None:
    assert _carries("Club;Carry (m)\n7i;130,5\nPW;98\n".encode(encoding)) == [130.5, 98.0]


@pytest.mark.parametrize(
    "foot",
    [
        "Average,7i,131",
        "7 iron average,7i,131",
        ",Average,131",
        "3,Avg.,131",
        "Std. Dev.,,2",
        "Mean of 3,7i,131",
        ",7i,131",
    ],
)
def test_a_summary_is_known_by_its_word_or_by_the_shot_number_that_it_lacks(foot: str) -> None:
    *good, last = _carries(f"Shot,Club,Carry (m)\n1,7i,130\n2,7i,132\n{foot}\n")
    assert good == [130.0, 132.0]
    assert isinstance(last, str)


def test_a_summary_word_in_a_column_that_is_not_read_is_seen_too() -> None:
    taken = _carries("Club,Kind,Carry (m)\n7i,shot,130\n7i,Mean,130\n")
    assert taken[0] == 130.0
    assert isinstance(taken[1], str)


def test_a_player_may_be_called_max_and_a_note_may_say_average() -> None:
    assert _carries("Player,Club,Carry (m),Note\nMax,7i,130,average\n") == [130.0]


def test_other_columns_half_way_down_end_the_reading_until_the_header_comes_again() -> None:
    text = (
        "Club,Carry (m),Total (m)\n7i,130,140\n"
        "Club,Total (m),Carry (m)\n7i,140,131\n"
        "Club,Carry (m),Total (m)\n7i,132,140\n"
    )
    taken = _carries(text)
    assert [one for one in taken if isinstance(one, float)] == [130.0, 132.0]
    assert len(taken) == 5


def test_a_unit_in_the_repeated_header_that_changed_ends_the_reading() -> None:
    taken = _carries("Club,Carry (m)\n7i,130\nClub,Carry (yd)\n7i,142\n")
    assert [one for one in taken if isinstance(one, float)] == [130.0]


def test_other_units_half_way_down_end_the_reading() -> None:
    taken = _carries("Club,Carry\n,m\n7i,130\n,yd\n7i,142\n,m\n7i,131\n")
    assert [one for one in taken if isinstance(one, float)] == [130.0, 131.0]


def test_a_map_from_elsewhere_does_not_overrule_the_row_of_units() -> None:
    yards = column_map_from_toml(
        'format = 1\n[columns.club]\nheader = "Club"\n[columns.carry]\nheader = "Carry"\nunit = "yd"\n', "m.toml"
    )
    assert _carries("Club,Carry\n7i,142\n", yards) == [pytest.approx(142 * YARD_M, abs=1e-6)]
    assert all(isinstance(one, str) for one in _carries("Club,Carry\n,m\n7i,142\n", yards))


@pytest.mark.parametrize("header", ["Spin (krpm)", "Launch (mrad)", "Hang time (ms)", "Spin (m)"])
def test_a_unit_that_is_not_known_is_asked_even_where_one_is_usual(header: str) -> None:
    key = f"columns.{header.split(maxsplit=1)[0].lower()}.unit"
    assert _asked(f"Club,Carry (m),{header}\n7i,130,6\n") == [key]


def test_a_word_in_the_row_of_units_that_is_no_unit_is_asked() -> None:
    assert _asked("Club,Carry,Total,Spin\n-,m,m,krpm\n7i,130,140,6\n") == ["columns.spin.unit"]


@pytest.mark.parametrize(
    ("header", "sign"),
    [
        ("Side (m, right +)", SideSign.RIGHT),
        ("Off-line (m, left positive)", SideSign.LEFT),
        ("Side (m) right -", None),
        ("Side (m, right negative)", None),
        ("Side (m, left -, right +)", None),
        ("Side (m)", None),
    ],
)
def test_the_sign_that_a_header_states(header: str, sign: SideSign | None) -> None:
    _, columns = _opened(f'Club,Carry (m),"{header}"\n7i,130,6\n')
    assert columns.side_positive is sign


@pytest.mark.parametrize(
    "header",
    [
        "Carry no wind (m)",
        "Still-air carry (m)",
        "Carry (m, sea level)",
        "Carry sim (m)",
        "Predicted carry (m)",
        "Flat carry (m)",
    ],
)
def test_more_hints_that_a_carry_was_not_seen(header: str) -> None:
    assert _asked(f'Club,"{header}"\n7i,130\n') == ["carry_is"]


def test_a_line_above_the_header_may_hint_it_and_a_place_name_does_not() -> None:
    assert _asked("All distances normalised to 25 C\nClub,Carry (m)\n7i,130\n") == ["carry_is"]
    assert _asked("West end, 18:00 EST\nClub,Carry (m)\n7i,130\n") == []


def test_a_total_alone_that_was_corrected_is_asked_about() -> None:
    assert _asked("Club,Total corrected (m)\n7i,130\n") == ["carry_is"]


def test_the_end_of_a_file_cut_short_is_refused() -> None:
    assert _carries("Club,Carry (m),Note\n7i,130,\n7i,13") == [130.0, "the file ends in the middle of this row"]
    assert _carries("Club,Carry (m)\n7i,130\n7i,131") == [130.0, 131.0]


@pytest.mark.parametrize(
    ("cell", "taken"), [("yes", True), ("1", True), ("0", False), ("no", False), ("", True), ("perhaps", False)]
)
def test_a_column_that_says_which_rows_count(cell: str, taken: bool) -> None:
    (found,) = _carries(f"Club,Carry (m),Valid\n7i,130,{cell}\n")
    assert isinstance(found, float) is taken


def test_an_apostrophe_that_kept_a_spreadsheet_quiet_is_taken_away() -> None:
    table, columns = _opened("Club,Carry (m)\n'=mine,130\n")
    (row,) = read_rows(table, columns)
    assert isinstance(row, TableRow)
    assert row.club_text == "=mine"


def test_tables_of_one_shape_have_one_mark_and_other_units_another() -> None:
    def shape(text: str) -> str:
        return _opened(text)[0].shape

    assert shape("Club,Carry (m)\n7i,130\n") == shape("club;CARRY  (m)\n8i;120\n")
    assert shape("Club,Carry (m)\n7i,130\n") != shape("Club,Carry (yd)\n7i,130\n")
    assert shape("Club,Carry\n,m\n7i,130\n") != shape("Club,Carry\n,yd\n7i,130\n")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_the_complete_part_ends_with_a_line(encoding: str, line_end: str) -> None:
    data = f"Club,Carry{line_end}7i,130{line_end}8i,1".encode(encoding)
    for size in range(len(data) + 1):
        part = complete_part(data[:size])
        assert data.startswith(part)
        if part:
            assert part.decode(encoding).endswith(("\n", "\r"))
    assert complete_part(data).decode(encoding) == f"Club,Carry{line_end}7i,130{line_end}"


def test_mixed_units_in_a_column() -> None:
    taken = _carries("Club,Carry (yd)\n7i,142\n7i,130 m\n7i,390ft\n7i,1 mph\n")
    assert taken[:3] == [pytest.approx(142 * YARD_M, abs=1e-6), 130.0, pytest.approx(118.872)]
    assert isinstance(taken[3], str)


def test_an_answer_that_is_asked_is_needed() -> None:
    table, columns = _opened("Club,Carry corrected (m)\n7i,130\n")
    with pytest.raises(InputError):
        read_rows(table, columns)
    (row,) = read_rows(table, replace(columns, carry_is=CarryOrigin.CORRECTED))
    assert isinstance(row, TableRow)


@pytest.mark.parametrize(
    ("cell", "swing"),
    [("full", Swing.FULL), ("3/4 swing", Swing.THREE_QUARTER), ("¾", Swing.THREE_QUARTER), ("Half", Swing.HALF),
     ("Three-quarter", Swing.THREE_QUARTER), ("½", Swing.HALF), ("-", None)],
)  # fmt: skip
def test_swings_as_tables_write_them(cell: str, swing: Swing | None) -> None:
    table, columns = _opened(f"Club,Swing,Grip down (cm),Carry (m)\n7i,{cell},2.54,130\n")
    (row,) = read_rows(table, columns)
    assert isinstance(row, TableRow)
    assert (row.swing, row.grip_down_m) == (swing, 0.0254)


@pytest.mark.parametrize(("cell", "carry_m"), [("142.500", 142.5), ("142,500", 142.5), ("98.125", 98.125)])
def test_three_decimals_are_no_thousands_where_no_ball_flies_so_far(cell: str, carry_m: float) -> None:
    assert _carries(f"Club;Carry (m)\n7i;{cell}\n") == [carry_m]


def test_three_digits_after_a_mark_stay_open_where_either_could_be() -> None:
    assert all(isinstance(one, str) for one in _carries("Club;Carry (m);Spin\n7i;130;6.543\n"))
    assert all(isinstance(one, str) for one in _carries("Club;Carry (ft)\n7i;1.100\n"))


def test_a_column_that_is_chosen_brings_its_own_unit_hint_and_sign() -> None:
    table, columns = _opened("Club,Carry (yd),Carry (m),Side (m),Lateral (yd)\n7i,142,130,-3,3 L\n")
    assert next(question.key for question in table_questions(columns, survey_table(table, columns))) == (
        "columns.carry.header"
    )
    columns = answered_map(columns, "columns.carry.header", "Carry (m)", table.header, table.sample)
    columns = answered_map(columns, "columns.side.header", "Lateral (yd)", table.header, table.sample)
    assert table_questions(columns, survey_table(table, columns)) == ()
    (row,) = read_rows(table, columns)
    assert isinstance(row, TableRow)
    assert row.entry.carry_m == 130.0
    assert row.entry.side_m == pytest.approx(-3 * YARD_M)
