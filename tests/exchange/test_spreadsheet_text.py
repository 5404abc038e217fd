"""Text that a spreadsheet would run: never written bare, never lost."""

from __future__ import annotations

from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.exchange.export_table import ExportRow, write_csv, write_json_lines
from trainer.exchange.spreadsheet_text import FORMULA_STARTS, given_back, neutralised

risky = st.text(st.sampled_from("'=+-@\t\r\n＝＋－＠a1 ,\""), max_size=8)


@given(st.one_of(risky, st.text(max_size=20)))
def test_what_is_made_harmless_is_given_back(text: str) -> None:
    assert given_back(neutralised(text)) == text


@given(risky)
def test_nothing_written_begins_a_formula(text: str) -> None:
    assert not neutralised(text).startswith(FORMULA_STARTS)


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_each_start_that_the_guidance_names_is_guarded(start: str) -> None:
    # OWASP, "CSV Injection": cells that begin with = + - @, tab (0x09) or carriage return (0x0D).
    assert neutralised(f"{start}1+1") == f"'{start}1+1"


@pytest.mark.parametrize("text", ["7 iron", "'tis", "", "'", "''", "a=b", "#low", "O'Hara-club"])
def test_other_text_is_left_alone(text: str) -> None:
    assert neutralised(text) == text
    assert given_back(text) == text


@pytest.mark.parametrize("steering", ["\x1b[31m", "\x9b31m", "\x07", "\x00", "\x7f"])
def test_no_file_steers_a_terminal(steering: str) -> None:
    row = ExportRow("1", datetime(2026, 5, 14), f"my{steering}club", 0.0, "full", player=steering)
    for text in (write_csv(ExportRow, [row]), write_json_lines([row])):
        assert all(letter.isprintable() or letter in "\r\n" for letter in text)
