from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from trainer.core.bag import Swing
from trainer.core.errors import InputError
from trainer.core.shot import ShotEntry
from trainer.exchange.row_reader import SkippedRow, TableRow
from trainer.exchange.shot_table import ShotTable, open_table, read_rows
from trainer.exchange.table_columns import Column, ColumnMap, propose_columns
from trainer.exchange.table_text import file_sha256
from trainer.exchange.table_words import Field, SideSign

YARD_M = 0.9144


def opened(text: str, encoding: str = "utf-8") -> ShotTable:
    return open_table(text.encode(encoding), "t.csv")


def rows_of(text: str, encoding: str = "utf-8", sign: SideSign | None = None) -> list[TableRow | SkippedRow]:
    table = opened(text, encoding)
    found = propose_columns(table.header, table.sample)
    return list(read_rows(table, replace(found, side_positive=sign) if sign else found))


def shots_of(text: str, encoding: str = "utf-8", sign: SideSign | None = None) -> list[TableRow]:
    rows = rows_of(text, encoding, sign)
    assert not [row for row in rows if isinstance(row, SkippedRow)]
    return [row for row in rows if isinstance(row, TableRow)]


def skipped(text: str, sign: SideSign | None = None) -> list[int]:
    return [row.row for row in rows_of(text, sign=sign) if isinstance(row, SkippedRow)]


def test_all_that_a_row_can_say() -> None:
    text = (
        "Time,Player,Club,Grip-down (in),Swing,Carry (yd),Total (yd),Side (yd),Height (ft),Hang time (s),"
        "Ball speed (mph),Launch angle,Spin rate (rpm),Mishit,Note\n"
        '2025-05-03T18:30,Robin,7 Iron,1,3/4,142.5,151,6 L,72,5.2,100,15,"6,300",no,"#low, into it"\n'
    )
    (row,) = shots_of(text)
    assert row == TableRow(
        row_number=2,
        club_text="7 Iron",
        grip_down_m=0.0254,
        swing=Swing.THREE_QUARTER,
        at=datetime(2025, 5, 3, 18, 30),
        player="Robin",
        entry=ShotEntry(
            carry_m=142.5 * YARD_M,
            total_m=151 * YARD_M,
            side_m=-6 * YARD_M,
            apex_m=72 * 0.3048,
            hang_s=5.2,
            ball_speed_mps=100 * 0.44704,
            launch_rad=row.entry.launch_rad,
            spin_rad_s=row.entry.spin_rad_s,
            tags=("low",),
            resolution_m=0.1 * YARD_M,
        ),
        raw_text=text.splitlines()[1],
    )
    assert row.entry.launch_rad == pytest.approx(0.2617993877991494)  # π/12
    assert row.entry.spin_rad_s == pytest.approx(659.7344572538566)  # 210 π


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_encodings_delimiters_and_line_ends(encoding: str, delimiter: str, line_end: str) -> None:
    lines = (("Club", "Carry (m)", "Note"), ("grünes 7er", "130.5", "für später"))
    text = line_end.join(delimiter.join(line) for line in lines)
    (row,) = shots_of(text, encoding)
    assert row.club_text == "grünes 7er"
    assert row.entry.carry_m == 130.5


def test_decimal_commas() -> None:
    rows = shots_of("Club;Carry [m];Spin\n7i;128,5;6.543\n8i;118,25;7.001\n")
    assert [row.entry.carry_m for row in rows] == [128.5, 118.25]
    assert rows[0].entry.spin_rad_s == pytest.approx(6543 * 3.141592653589793 / 30)


def test_a_number_that_reads_two_ways_is_skipped() -> None:
    assert skipped("Club;Carry [m];Spin\n7i;128;6,543\n") == [2]
    assert skipped("Club;Carry [m];Spin\n7i;128;6543\n") == []


def test_an_unquoted_decimal_comma_between_commas_is_skipped() -> None:
    assert skipped("Club,Carry (m)\n7i,128,5\n7i,128\n") == [2]


def test_rows_that_are_no_shots() -> None:
    text = (
        "Player,Club,Carry\n"
        ",,yd\n"
        "Max,7i,142\n"
        "\n"
        ",,\n"
        "Player,Club,Carry\n"
        "Max,7i,140\n"
        "Average,7i,141\n"
        "Std. Dev.,,1.4\n"
        "Max,,140\n"
    )
    rows = rows_of(text)
    assert [row.row_number for row in rows if isinstance(row, TableRow)] == [3, 7]
    assert [row.row for row in rows if isinstance(row, SkippedRow)] == [2, 6, 8, 9, 10]
    assert all(row.why for row in rows if isinstance(row, SkippedRow))


def test_blanks_and_dashes_are_not_seen() -> None:
    rows = shots_of("Club,Carry (m),Total (m),Hang (s)\n7i,-,,5.1\n7i,,140,\n7i,n/a,-,–\n")
    assert [row.entry.unseen for row in rows] == [True, False, True]
    assert rows[0].entry.hang_s == 5.1
    assert rows[1].entry.total_m == 140.0


@pytest.mark.parametrize(
    "cells",
    ["7i,0", "7i,-5", "7i,900", "7i,abc", "7i,142 mph", "7i,142,,,,quarter", "7i,142,,,5",
     "7i,142,,maybe", "7i,1e2", "7i,142,,,,,101", "7i,151,,,,,,130"],
)  # fmt: skip
def test_rows_out_of_the_limits_of_a_typed_shot_are_skipped(cells: str) -> None:
    header = "Club,Carry (yd),Time,Mishit,Grip-down (in),Swing,Ball speed (m/s),Total (yd)\n"
    assert skipped(f"{header}{cells}\n7i,142\n") == [2]


@pytest.mark.parametrize(("sign", "side_m"), [(SideSign.RIGHT, 6.0), (SideSign.LEFT, -6.0)])
def test_the_sign_of_a_side_is_the_maps(sign: SideSign, side_m: float) -> None:
    rows = shots_of("Club,Carry (m),Side (m)\n7i,130,6\n7i,130,-6\n7i,130,0\n7i,130,6 R\n", sign=sign)
    assert [row.entry.side_m for row in rows] == [side_m, -side_m, 0.0, 6.0]


def test_a_side_without_its_letter_or_with_letter_and_sign_is_skipped() -> None:
    text = "Club,Carry (m),Side (m)\n7i,130,6 R\n7i,130,L 6\n7i,130,6\n7i,130,-6 L\n7i,130,0\n"
    assert skipped(text, SideSign.LETTERS) == [4, 5]


def test_mishits_and_deleted_shots() -> None:
    rows = rows_of("Club,Carry (m),Mishit,Deleted\n7i,130,yes,\n7i,130,x,no\n7i,130,,true\n7i,130,0,\n")
    assert [row.entry.mishit for row in rows if isinstance(row, TableRow)] == [True, True, False]
    assert [row.row for row in rows if isinstance(row, SkippedRow)] == [4]


def test_titles_above_the_header_and_quoted_line_ends() -> None:
    text = 'Range evening\n\nClub,Carry (m),Note\n7i,130,"two\nlines"\n8i,120,\n'
    rows = shots_of(text)
    assert [row.row_number for row in rows] == [4, 6]
    assert rows[0].raw_text == '7i,130,"two\nlines"'


def test_a_spreadsheets_separator_line() -> None:
    assert shots_of("sep=;\nClub;Carry (m)\n7i;130\n")[0].entry.carry_m == 130.0


@pytest.mark.parametrize(
    "data",
    [b"", b"  \n", b"\xef\xbb\xbf", b"Club,Carry (m)\n", b"PK\x03\x04rest", b"\x89PNG\r\n\x1a\n\x00", b"\xff\xfe\x00",
     b"a\x00b", b'Club,Carry (m)\n"7i,130\n', b"Club,Carry (m)\n" + b"x" * 140_000 + b",1\n", b"," * 2000 + b"\n1"],
)  # fmt: skip
def test_files_that_are_no_table(data: bytes) -> None:
    with pytest.raises(InputError) as refused:
        open_table(data, "t.csv")
    assert refused.value.where.startswith("t.csv")
    assert refused.value.remedy


def test_a_quote_left_open_far_down_is_refused_before_any_row_is_given() -> None:
    table = opened("Club,Carry (m)\n" + "7i,130\n" * 400 + '"7i,130\n')
    with pytest.raises(InputError, match="402"):
        read_rows(table, propose_columns(table.header, table.sample))


@pytest.mark.parametrize(
    ("columns", "named"),
    [
        ((Column(Field.CARRY, "Carry", "m"),), "club"),
        ((Column(Field.CLUB, "Club"),), "carry"),
        ((Column(Field.CLUB, "Club"), Column(Field.CARRY, "Flight", "m")), "Flight"),
        ((Column(Field.CLUB, "Club"), Column(Field.CARRY, "Side", "m")), "twice"),
        ((Column(Field.CLUB, "Club"), Column(Field.CARRY, "Carry")), "unit"),
    ],
)
def test_maps_that_do_not_fit_the_table(columns: tuple[Column, ...], named: str) -> None:
    table = opened("Club,Carry,Side,side\n7i,130,1,2\n")
    with pytest.raises(InputError, match=named):
        read_rows(table, ColumnMap(columns))


def test_a_total_alone_is_enough() -> None:
    assert shots_of("Club,Total (m)\n7i,140\n")[0].entry.total_m == 140.0


def test_a_files_hash_is_sha256() -> None:
    # FIPS 180-2, appendix B.1: the message "abc"
    assert file_sha256(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
