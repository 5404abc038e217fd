"""Tally sheets: every box on the page, none over another, the squares as on a number pad."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.examples import examples
from tests.exchange.drawn import (
    assert_no_two_texts_share_a_place,
    assert_none_overlap,
    assert_on_the_page,
    boxes_of,
    pages_of,
    texts_of,
)
from trainer.core.errors import InputError
from trainer.exchange.sheet import MOST_BOXES, Box, Sheet, sheets_html, sheets_text

LEAST_SQUARE_MM = 6.0
"""A square that takes a tally of five and two strokes of a pen (our arithmetic: 1 mm a stroke)."""


def sheet_of(boxes: int, *, detail: bool = False, head: str = "kestrel") -> Sheet:
    some = tuple(
        Box(f"{n} {head}", ("1 in, three-quarter", "to 120 yd, 12 balls") if detail else ())
        for n in range(1, boxes + 1)
    )
    return Sheet("Station 1", "7 iron, three-quarter, to 120 yd; 12 balls each", "14 May 2026, 18:30", some)


@pytest.mark.parametrize("boxes", range(1, MOST_BOXES + 1))
@pytest.mark.parametrize("detail", [False, True])
def test_each_sheet_fits_its_page_and_nothing_overlaps(boxes: int, detail: bool) -> None:
    log, page = pages_of(sheets_html("Group session", [sheet_of(boxes, detail=detail)]))
    for each in (log, page):
        assert_on_the_page(each)
        assert_no_two_texts_share_a_place(each)
    squares = boxes_of(page)
    assert len(squares) == 11 * boxes
    assert_none_overlap(squares)
    tallies = [square for number, square in enumerate(squares) if number % 11 < 9]
    assert min(square.right - square.left for square in tallies) >= LEAST_SQUARE_MM
    assert min(square.bottom - square.top for square in tallies) >= LEAST_SQUARE_MM


def test_the_squares_lie_as_on_a_number_pad() -> None:
    _, page = pages_of(sheets_html("Group session", [sheet_of(1)]))
    at = {each.text: each for each in texts_of(page) if each.text in set("123456789")}
    for key in "789456123":
        assert at["7"].left <= at[key].left
    assert at["7"].top < at["4"].top < at["1"].top
    assert at["4"].left < at["5"].left < at["6"].left


@settings(max_examples=examples(25))  # of four aliases each
@given(st.lists(st.text(max_size=60), min_size=4, max_size=4))
def test_no_alias_leaves_its_box(aliases: list[str]) -> None:
    boxes = tuple(Box(f"{n + 1} {aliases[n % 4]}") for n in range(MOST_BOXES))
    _, page = pages_of(sheets_html("Group session", [replace(sheet_of(1), boxes=boxes)]))
    assert_on_the_page(page)
    assert_no_two_texts_share_a_place(page)


@given(st.text(max_size=60), st.integers(1, MOST_BOXES), st.booleans())
def test_the_text_has_80_columns_and_every_box(head: str, boxes: int, detail: bool) -> None:
    lines = sheets_text([sheet_of(boxes, detail=detail, head=head)]).split("\n")
    assert max(map(len, lines)) <= 80
    assert sum(line.count("|7") for line in lines) == boxes
    assert all(letter.isprintable() for line in lines for letter in line)


def test_more_boxes_than_a_page_holds_are_refused() -> None:
    for make in (sheets_text, lambda sheets: sheets_html("t", sheets)):
        with pytest.raises(InputError, match="31 boxes"):
            make([sheet_of(MOST_BOXES + 1)])
