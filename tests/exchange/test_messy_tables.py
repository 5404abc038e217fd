"""Every shot of a messy table is read right, or its row is refused with a reason; none is silently wrong."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, event, given, settings

from tests.examples import examples
from tests.exchange.messy_tables import BAG, NAMES, Messy, Truth, messy_tables
from trainer.core.shot import CarryOrigin
from trainer.exchange.club_text import club_meant
from trainer.exchange.row_reader import SkippedRow, TableRow
from trainer.exchange.shot_table import open_table, propose, read_rows, survey_table, table_questions
from trainer.exchange.table_columns import ColumnMap, answered_map
from trainer.exchange.table_words import Field, SideSign


def _answer(key: str, table: Messy) -> str:
    if key == "side_positive":
        return (table.side_positive or SideSign.RIGHT).value  # beside letters either answer will do
    if key == "carry_is":
        return CarryOrigin.SEEN.value
    if key == "day_order":
        assert table.day_order is not None
        return table.day_order.value
    _, name, what = key.split(".")
    assert what == "unit", key
    return table.units[Field(name)]


def _read(table: Messy) -> Iterator[TableRow | SkippedRow]:
    """The rows, each open question answered with the truth."""
    opened = open_table(table.data, "t.csv")
    columns: ColumnMap = propose(opened)
    while asked := table_questions(columns, survey_table(opened, columns)):
        columns = answered_map(columns, asked[0].key, _answer(asked[0].key, table), opened.header, opened.sample)
    yield from read_rows(opened, columns, None, table.day)


def _require_right(row: TableRow, truth: Truth) -> None:
    assert club_meant(row.club_text, BAG).name == truth.club
    assert row.player == truth.player
    for field, name in NAMES.items():
        value, read = truth.measures.get(field), getattr(row.entry, name)
        assert (value is None) == (read is None), (field, value, read)
        if value is not None:
            assert read == pytest.approx(value, rel=1e-9, abs=1e-9), field
    assert row.at == truth.at


def check(table: Messy) -> None:
    """Read `table` and hold it against its truth."""
    taken = refused = 0
    for row in _read(table):
        if isinstance(row, SkippedRow):
            assert row.why
            refused += 1
            assert row.row in table.doubtful or row.row not in table.shots, (row.row, row.why)
            continue
        assert row.row_number in table.shots, f"row {row.row_number} is no shot"
        _require_right(row, table.shots[row.row_number])
        taken += 1
    event(f"taken {min(taken, 3)}, refused {min(refused, 3)}")
    assert taken >= len(table.shots) - len(table.doubtful)


@given(messy_tables())
@settings(
    max_examples=examples(150),
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
def test_a_messy_table_is_read_right_or_refused(table: Messy) -> None:
    check(table)


@pytest.mark.proof
@given(messy_tables())
@settings(max_examples=5000, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
def test_five_thousand_messy_tables(table: Messy) -> None:
    check(table)
