from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.errors import InputError
from trainer.exchange.table_numbers import (
    DecimalMark,
    gather_mark,
    parse_measure,
    parse_number,
    settled_mark,
    split_side,
)

POINT, COMMA, UNKNOWN = DecimalMark.POINT, DecimalMark.COMMA, DecimalMark.UNKNOWN


@pytest.mark.parametrize(
    ("digits", "mark", "number", "decimals"),
    [
        ("142", UNKNOWN, 142.0, 0),
        ("142.5", POINT, 142.5, 1),
        ("142,5", COMMA, 142.5, 1),
        ("142,5", UNKNOWN, 142.5, 1),
        ("142.25", UNKNOWN, 142.25, 2),
        ("6,543", POINT, 6543.0, 0),
        ("6.543", COMMA, 6543.0, 0),
        ("6.543", POINT, 6.543, 3),
        ("6,543", COMMA, 6.543, 3),
        ("0,123", UNKNOWN, 0.123, 3),
        ("1,234,567", UNKNOWN, 1234567.0, 0),
        ("1,234.5", POINT, 1234.5, 1),
        ("1.234,5", COMMA, 1234.5, 1),
        ("1.234,5", UNKNOWN, 1234.5, 1),
        ("6 543", POINT, 6543.0, 0),
        ("6'543.2", POINT, 6543.2, 1),
        (".5", POINT, 0.5, 1),
    ],
)
def test_numbers(digits: str, mark: DecimalMark, number: float, decimals: int) -> None:
    assert parse_number(digits, mark) == (number, decimals)


@pytest.mark.parametrize(
    ("digits", "mark"),
    [
        ("142,5", POINT),
        ("142.5", COMMA),
        ("6,543", UNKNOWN),
        ("6.543", UNKNOWN),
        ("1,23,456", POINT),
        ("1.2.3", POINT),
        ("1234,567", POINT),
        ("14 2", POINT),
        ("1,", POINT),
        ("9" * 20, POINT),
    ],
)
def test_numbers_that_cannot_be_trusted(digits: str, mark: DecimalMark) -> None:
    with pytest.raises(InputError):
        parse_number(digits, mark)


@given(st.integers(0, 999_999), st.integers(0, 99))
def test_both_ways_of_writing_are_the_same_number(whole: int, hundredths: int) -> None:
    english = f"{whole:,}.{hundredths:02d}"
    german = english.translate(str.maketrans(".,", ",."))
    expected = float(f"{whole}.{hundredths:02d}")
    assert parse_number(english, POINT)[0] == parse_number(german, COMMA)[0] == expected
    assert parse_number(english, UNKNOWN)[0] == parse_number(german, UNKNOWN)[0] == expected


def _mark_of(cells: list[str], delimiter: str) -> DecimalMark:
    proven: set[str] = set()
    for cell in cells:
        gather_mark(cell, proven)
    return settled_mark(proven, delimiter)


def test_the_file_proves_its_decimal_mark() -> None:
    assert _mark_of(["142,5", "6.543", "-"], ";") is COMMA
    assert _mark_of(["142.5 L", "6,543"], ";") is POINT
    assert _mark_of(["142", "6,543"], ";") is UNKNOWN
    assert _mark_of(["142", "6,543"], ",") is POINT
    assert _mark_of(["142,5"], ",") is COMMA
    for delimiter in ",;\t":
        assert _mark_of(["142,5", "3.5"], delimiter) is UNKNOWN


@pytest.mark.parametrize(
    ("cell", "rest", "letter"),
    [
        ("12.3 L", "12.3", -1),
        ("L 12.3", "12.3", -1),
        ("12R", "12", 1),
        ("12 yd left", "12 yd", -1),
        ("Right 3", "3", 1),
        ("12.3", "12.3", None),
        ("12 meter", "12 meter", None),
        ("", "", None),
    ],
)
def test_the_side_letter(cell: str, rest: str, letter: int | None) -> None:
    assert split_side(cell) == (rest, letter)


def test_a_unit_in_the_cell_counts_first_and_must_be_of_the_kind() -> None:
    assert parse_measure("130 m", "length", "yd", POINT).value == 130.0
    assert parse_measure("130", "length", "yd", POINT).value == pytest.approx(130 * 0.9144)
    assert parse_measure("130.5", "length", "m", POINT).step == 0.1
    for cell, unit in (("130 mph", "yd"), ("130", None), ("about 130", "yd"), ("130 parsec", "yd")):
        with pytest.raises(InputError):
            parse_measure(cell, "length", unit, POINT)
