from __future__ import annotations

import csv
import io
import math
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.exchange.export_table import COLUMNS, ExportRow, write_csv
from trainer.exchange.row_reader import TableRow
from trainer.exchange.shot_table import open_table, read_rows
from trainer.exchange.table_columns import propose_columns
from trainer.exchange.table_words import Field, SideSign

AT = datetime(2025, 5, 3, 18, 30, tzinfo=UTC)


def _read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_the_agreed_columns_come_first() -> None:
    agreed = ["session", "time", "club", "grip_down_m", "swing", "carry_m", "total_m", "side_m", "mishit"]
    assert list(COLUMNS[: len(agreed)]) == agreed
    assert write_csv(ExportRow, []).strip().split(",") == list(COLUMNS)


def test_one_row_a_shot_in_the_order_given() -> None:
    rows = [ExportRow("s1", AT, "7 iron", 0.0254, "half", carry_m=float(n), mishit=n == 2) for n in (3, 1, 2)]
    read = _read(write_csv(ExportRow, rows))
    assert [row["carry_m"] for row in read] == ["3.0", "1.0", "2.0"]
    assert [row["mishit"] for row in read] == ["false", "false", "true"]
    assert read[0]["side_m"] == ""
    assert datetime.fromisoformat(read[0]["time"]) == AT


finite = st.floats(allow_nan=False, allow_infinity=False)


@given(finite, finite)
def test_numbers_read_back_exactly(carry_m: float, side_m: float) -> None:
    (read,) = _read(write_csv(ExportRow, [ExportRow("s", AT, "7 iron", 0.0, "full", carry_m=carry_m, side_m=side_m)]))
    assert float(read["carry_m"]) == carry_m
    assert float(read["side_m"]) == side_m


@given(st.text(st.one_of(st.characters(exclude_categories=("Cs", "Cc")), st.sampled_from("\t\r\n")), max_size=30))
def test_no_text_is_a_formula_and_none_is_lost(text: str) -> None:
    (read,) = _read(write_csv(ExportRow, [ExportRow("s", AT, text, 0.0, "full", note=text, tags=("low", "a"))]))
    for name in ("club", "note"):
        assert not read[name].startswith(("=", "+", "-", "@", "\t", "\r"))
        assert read[name] in (text, f"'{text}")
    assert read["tags"] == "#low #a"


def test_numbers_are_never_changed_for_a_spreadsheets_sake() -> None:
    (read,) = _read(write_csv(ExportRow, [ExportRow("s", AT, "=1+1", 0.0, "full", side_m=-4.5)]))
    assert read["side_m"] == "-4.5"
    assert read["club"] == "'=1+1"


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_a_number_that_is_not_finite_is_a_defect(bad: float) -> None:
    with pytest.raises(ValueError, match="carry_m"):
        write_csv(ExportRow, [ExportRow("s", AT, "7 iron", 0.0, "full", carry_m=bad)])


def test_what_is_written_can_be_read_as_a_shot_table() -> None:
    row = ExportRow("s", AT, "7 iron", 0.0254, "half", 130.25, 141.5, -3.75, True, apex_m=20.5, tags=("low",))
    table = open_table(write_csv(ExportRow, [row]).encode(), "shots.csv")
    found = propose_columns(table.header, table.sample)
    assert {Field.CARRY, Field.SIDE, Field.CLUB, Field.GRIP_DOWN} <= {column.field for column in found.columns}
    sided = type(found)(found.columns, SideSign.RIGHT, found.carry_is)
    (read,) = read_rows(table, sided)
    assert isinstance(read, TableRow)
    assert (read.club_text, read.grip_down_m, read.at) == ("7 iron", 0.0254, AT)
    assert (read.entry.carry_m, read.entry.total_m, read.entry.side_m) == (130.25, 141.5, -3.75)
    assert read.entry.mishit
    assert read.entry.tags == ("low",)
