from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.errors import InputError
from trainer.core.shot import CarryOrigin
from trainer.core.units import UNITS
from trainer.exchange import column_toml
from trainer.exchange.column_toml import column_map_from_toml, column_map_to_toml
from trainer.exchange.table_columns import IN_CELL, Column, ColumnMap, answered_map, propose_columns, questions
from trainer.exchange.table_times import DayOrder
from trainer.exchange.table_words import KINDS, Field, SideSign, read_header_cell


@pytest.mark.parametrize(
    ("text", "field", "unit"),
    [
        ("Carry (yd)", Field.CARRY, "yd"),
        ("Carry [m]", Field.CARRY, "m"),
        ("carry_m", Field.CARRY, "m"),
        ("Carry Distance, yards", Field.CARRY, "yd"),
        ("Carry", Field.CARRY, None),
        ("CARRY(calculated, m)", Field.CARRY, "m"),
        ("Total Dist. (m)", Field.TOTAL, "m"),
        ("Ball speed mph", Field.BALL_SPEED, "mph"),
        ("ball_speed_mps", Field.BALL_SPEED, "m/s"),
        ("Ball Speed [km/h]", Field.BALL_SPEED, "km/h"),
        ("Launch angle (deg)", Field.LAUNCH, "deg"),
        ("Back-spin (rpm)", Field.SPIN, "rpm"),
        ("Spin rate", Field.SPIN, None),
        ("hang_s", Field.HANG, "s"),
        ("Hang time [s]", Field.HANG, "s"),
        ("Time", Field.TIME, None),
        ("grip_down_m", Field.GRIP_DOWN, "m"),
        ("Grip-down (in)", Field.GRIP_DOWN, "in"),
        ("Offline (ft)", Field.SIDE, "ft"),
        ("Peak height (ft)", Field.APEX, "ft"),
        ("Mis-hit", Field.MISHIT, None),
        ("Carry (mph)", Field.CARRY, None),
        ("Club speed (mph)", None, None),
        ("Spin axis (deg)", None, None),
        ("Launch direction (deg)", None, None),
        ("Carry deviation angle", None, None),
        ("", None, None),
    ],
)
def test_header_cells(text: str, field: Field | None, unit: str | None) -> None:
    cell = read_header_cell(text)
    assert (cell.field, cell.unit) == (field, unit)


@pytest.mark.parametrize(
    ("key", "answer"),
    [("columns.carry.unit", "mph"), ("columns.carry.unit", "cubit"), ("columns.club.unit", "m"), ("carry_is", "far")],
)
def test_an_answer_that_is_none_is_refused(key: str, answer: str) -> None:
    column_map = ColumnMap((Column(Field.CLUB, "Club"), Column(Field.CARRY, "Carry")))
    with pytest.raises(ValueError, match=answer):
        answered_map(column_map, key, answer, ("Club", "Carry"), ())


def _keys(column_map: ColumnMap) -> list[str]:
    return [question.key for question in questions(column_map)]


def test_nothing_is_asked_where_all_is_said() -> None:
    header = ("Club", "Carry (yd)", "Side (m, right positive)", "Launch angle", "Spin", "Hang time")
    found = propose_columns(header, [("7i", "142", "-3", "14", "6000", "5.1")])
    assert questions(found) == ()
    assert found.side_positive is SideSign.RIGHT
    assert found.carry_is is CarryOrigin.SEEN
    assert [column.unit for column in found.columns if column.field is Field.LAUNCH] == ["deg"]


def test_a_unit_that_is_nowhere_is_asked() -> None:
    assert _keys(propose_columns(("Club", "Carry"), [("7i", "142")])) == ["columns.carry.unit"]


def test_units_may_stand_under_the_header_or_in_each_cell() -> None:
    below = propose_columns(("Club", "Carry"), [("", "[yd]"), ("7i", "142")])
    assert below.columns[1].unit == "yd"
    assert below.columns[1].sample == "142"
    in_cells = propose_columns(("Club", "Carry"), [("7i", "142 yd"), ("7i", "130m")])
    assert in_cells.columns[1].unit == IN_CELL
    assert _keys(propose_columns(("Club", "Carry"), [("7i", "142 yd"), ("7i", "130")])) == ["columns.carry.unit"]


def test_a_unit_row_against_the_header_is_asked() -> None:
    assert _keys(propose_columns(("Club", "Carry (yd)"), [("", "m"), ("7i", "142")])) == ["columns.carry.unit"]


def test_the_sign_of_a_side_is_asked_unless_letters_or_the_header_tell() -> None:
    header = ("Club", "Carry (yd)", "Side (yd)")
    assert _keys(propose_columns(header, [("7i", "142", "-6")])) == ["side_positive"]
    assert _keys(propose_columns(header, [("7i", "142", "6")])) == ["side_positive"]
    assert _keys(propose_columns(header, [("7i", "142", "6 L"), ("7i", "142", "6")])) == ["side_positive"]
    lettered = propose_columns(header, [("7i", "142", "6 L"), ("7i", "142", "0"), ("7i", "140", "R 2"), header])
    assert lettered.side_positive is SideSign.LETTERS
    assert questions(lettered) == ()


@pytest.mark.parametrize("hint", ["computed", "calculated", "corrected", "normalized", "adjusted", "Calc."])
def test_a_carry_that_was_perhaps_not_seen_is_asked_about(hint: str) -> None:
    for text in (f"Carry {hint} (yd)", f"{hint} carry (yd)", f"Carry ({hint}) [yd]"):
        found = propose_columns(("Club", text), [("7i", "142")])
        assert found.carry_is is None, text
        assert _keys(found) == ["carry_is"]
        assert questions(replace(found, carry_is=CarryOrigin.COMPUTED)) == ()


def test_a_plain_carry_goes_before_a_corrected_one() -> None:
    found = propose_columns(("Club", "Carry corrected (yd)", "Carry (yd)"), [("7i", "150", "142")])
    assert found.columns[1].header == "Carry (yd)"
    assert found.carry_is is CarryOrigin.SEEN


def test_two_columns_that_fit_alike_are_asked_about() -> None:
    found = propose_columns(("Club", "Spin (rpm)", "Spin rate (rpm)", "Carry (m)"), [("7i", "1", "2", "130")])
    assert _keys(found) == ["columns.spin.header"]
    assert found.columns[-1].confidence < 1


fields_with_units = st.sampled_from([field for field in Field if field in KINDS])


@st.composite
def column_maps(draw: st.DrawFn) -> ColumnMap:
    columns = []
    for field in Field:
        if draw(st.booleans()):
            units = [name for name, unit in UNITS.items() if unit.kind == KINDS.get(field)] + [IN_CELL]
            header = draw(st.text(st.characters(categories=("L", "N", "P", "S")), min_size=1, max_size=30))
            columns.append(Column(field, header, draw(st.sampled_from(units)) if field in KINDS else None))
    return ColumnMap(
        tuple(columns),
        draw(st.sampled_from((*SideSign, None))),
        draw(st.sampled_from(CarryOrigin)),
        draw(st.sampled_from((*DayOrder, None))),
    )


@given(column_maps())
def test_written_and_read_again_a_map_is_the_same(column_map: ColumnMap) -> None:
    assert column_map_from_toml(column_map_to_toml(column_map), "m.toml") == column_map


def test_the_example_in_the_documentation() -> None:
    example = re.findall(r"```toml\n(.*?)```", column_toml.__doc__ or "", re.DOTALL)[0]
    found = column_map_from_toml(example, "m.toml")
    assert found.column(Field.CARRY) == Column(Field.CARRY, "Carry", "yd")
    assert found.side_positive is SideSign.RIGHT


def test_an_open_question_stays_open_in_a_file() -> None:
    proposal = propose_columns(("Club", "Carry corrected", "Side (m)"), [("7i", "142", "3")])
    again = column_map_from_toml(column_map_to_toml(proposal), "m.toml")
    assert _keys(again) == _keys(proposal) == ["columns.carry.unit", "side_positive", "carry_is"]


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ("", "m.toml: format"),
        ("format = 2\n[columns]\n", "m.toml:1: format"),
        ("format = 1\n", "m.toml: columns"),
        ('format = 1\nside = "right"\n[columns]\n', "m.toml:2: side"),
        ('format = 1\nside_positive = "up"\n[columns]\n', "m.toml:2: side_positive"),
        ('format = 1\ncarry_is = "felt"\n[columns]\n', "m.toml:2: carry_is"),
        ('format = 1\n[columns.carri]\nheader = "C"\n', "m.toml:2: columns.carri"),
        ('format = 1\n[columns.carry]\nheader = ""\n', "m.toml:3: columns.carry.header"),
        ('format = 1\n[columns.carry]\nheader = "C"\nunit = "mph"\n', "m.toml:4: columns.carry.unit"),
        ('format = 1\n[columns.club]\nheader = "C"\nunit = "m"\n', "m.toml:4: columns.club.unit"),
        ('format = 1\n[columns.club]\nheader = "C"\nunit = "in cell"\n', "m.toml:4: columns.club.unit"),
        ('format = 1\n[columns.carry]\nheader = "C"\nunits = "m"\n', "m.toml:4: columns.carry.units"),
        ("format = 1\n[columns.carry]\nheader = 3\n", "m.toml:3: columns.carry.header"),
    ],
)
def test_maps_that_are_refused(text: str, where: str) -> None:
    with pytest.raises(InputError) as refused:
        column_map_from_toml(text, "m.toml")
    assert refused.value.where == where
    assert refused.value.remedy
