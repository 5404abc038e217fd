from __future__ import annotations

import pytest
from hypothesis import given

from tests.exchange import strategies as some
from trainer.core.bag import Cell, Swing
from trainer.core.errors import InputError
from trainer.core.units import UnitChoice
from trainer.exchange.cell_text import parse_cell, print_cell

INCHES = UnitChoice()
CENTIMETRES = UnitChoice.following("m")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("7 iron", Cell("7 iron")),
        ("7i", Cell("7 iron")),
        ("PW, half", Cell("pitching wedge", 0.0, Swing.HALF)),
        ("7 iron, 1 in, three-quarter", Cell("7 iron", 0.0254, Swing.THREE_QUARTER)),
        ("7 iron, 3/4, 1in", Cell("7 iron", 0.0254, Swing.THREE_QUARTER)),
        ("7 iron, 2 cm", Cell("7 iron", 0.02)),
        ("7 iron, 2.54cm", Cell("7 iron", 0.0254)),
        ("7 iron, 2.5 cm", Cell("7 iron", 0.0254)),
        ("7 iron, 5cm", Cell("7 iron", 0.0508)),
        ("7 iron, 2.4cm", Cell("7 iron", 0.024)),
        ("7 iron, 2", Cell("7 iron", 0.0508)),
        ("7 iron, none, full", Cell("7 iron")),
        ("Old  Faithful ,0 , FULL", Cell("old faithful")),
    ],
)
def test_cells(text: str, expected: Cell) -> None:
    assert parse_cell(text, some.BAG, INCHES) == expected


def test_a_bare_grip_down_is_in_the_players_grip_unit() -> None:
    assert parse_cell("7 iron, 2", some.BAG, CENTIMETRES).grip_down_m == 0.02


@pytest.mark.parametrize(
    "text",
    [
        "",
        ",",
        "4 iron",
        "7 iron,",
        "7 iron, 5 in",
        "7 iron, -1 in",
        "7 iron, 1 mph",
        "7 iron, 1 in, 2 in",
        "7 iron, 2,5 cm",
        "7 iron, half, full",
        "7 iron, quarter",
        "7 iron\x00",
        "7 iron, " + "1" * 5000,
    ],
)
def test_what_is_no_cell_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        parse_cell(text, some.BAG, INCHES)


@given(some.cells, some.units)
def test_printed_and_read_again_a_cell_is_the_same(cell: Cell, units: UnitChoice) -> None:
    assert parse_cell(print_cell(cell, units), some.BAG, units) == cell


def test_a_metric_player_reads_whole_and_half_centimetres_for_inches() -> None:
    for grip_down_m, shown in ((0.0254, "2.5 cm"), (0.0508, "5 cm"), (0.023, "2.3 cm")):
        assert print_cell(Cell("7 iron", grip_down_m), CENTIMETRES) == f"7 iron, {shown}"
        assert CENTIMETRES.shown_grip(grip_down_m) == shown


def test_none_and_full_are_left_out() -> None:
    assert print_cell(Cell("7 iron"), INCHES) == "7 iron"
    assert print_cell(Cell("7 iron", 0.0254, Swing.HALF), INCHES) == "7 iron, 1 in, half"
