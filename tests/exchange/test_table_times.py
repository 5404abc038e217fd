"""Dates in local orders, clocks of 12 and 24 hours; what could be two days is asked."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.errors import InputError
from trainer.exchange.row_reader import SkippedRow, TableRow
from trainer.exchange.shot_table import open_table, propose, read_rows, survey_table, table_questions
from trainer.exchange.table_columns import answered_map
from trainer.exchange.table_times import DayOrder, orders_that_fit, parse_clock, parse_day, parse_moment, split_moment

DAY, MONTH, YEAR = DayOrder.DAY_FIRST, DayOrder.MONTH_FIRST, DayOrder.YEAR_FIRST


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("2025-05-03", None, date(2025, 5, 3)),
        ("2025/5/3", None, date(2025, 5, 3)),
        ("20250503", None, date(2025, 5, 3)),
        ("03/05/2025", DAY, date(2025, 5, 3)),
        ("03/05/2025", MONTH, date(2025, 3, 5)),
        ("3.5.2025", DAY, date(2025, 5, 3)),
        ("3-5-25", DAY, date(2025, 5, 3)),
        ("25/05/03", YEAR, date(2025, 5, 3)),
        ("3 May 2025", None, date(2025, 5, 3)),
        ("May 3, 2025", None, date(2025, 5, 3)),
        ("03-May-2025", None, date(2025, 5, 3)),
        ("Sat, 3 May 2025", None, date(2025, 5, 3)),
    ],
)
def test_days(text: str, order: DayOrder | None, day: date) -> None:
    assert parse_day(text, order) == day


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("03/05/2025", None),
        ("31/02/2025", DAY),
        ("05/25/2025", DAY),
        ("25/05/2025", MONTH),
        ("1.2.3.4", DAY),
        ("May 2025", DAY),
        ("3 Mai 2025", DAY),
        ("1203-05-25", None),
        ("soon", DAY),
        ("", DAY),
        ("9" * 100, DAY),
    ],
)
def test_what_is_no_day(text: str, order: DayOrder | None) -> None:
    with pytest.raises(InputError):
        parse_day(text, order)


@pytest.mark.parametrize(
    ("text", "clock"),
    [
        ("18:30", time(18, 30)),
        ("6:30 PM", time(18, 30)),
        ("6:30:05 p.m.", time(18, 30, 5)),
        ("12:01 am", time(0, 1)),
        ("12:01PM", time(12, 1)),
        ("18:30:05.25", time(18, 30, 5, 250_000)),
        ("18:30:05,5", time(18, 30, 5, 500_000)),
    ],
)
def test_clocks(text: str, clock: time) -> None:
    assert parse_clock(text) == clock


@pytest.mark.parametrize("text", ["24:00", "18:60", "18:30 PM", "0:30 AM", "18", "18:3", "x", ""])
def test_what_is_no_clock(text: str) -> None:
    with pytest.raises(InputError):
        parse_clock(text)


def test_a_clock_without_am_or_pm_among_others_with_it_is_refused() -> None:
    with pytest.raises(InputError, match="am or pm"):
        parse_clock("6:30", twelve_hours=True)


@given(st.dates(date(1990, 1, 1), date(2099, 12, 31)), st.sampled_from("-/. "))
def test_a_day_written_in_an_order_reads_in_that_order_and_the_order_fits(day: date, mark: str) -> None:
    for order, form in ((DAY, "%d{0}%m{0}%Y"), (MONTH, "%m{0}%d{0}%Y"), (YEAR, "%Y{0}%m{0}%d")):
        text = day.strftime(form.format(mark))
        assert parse_day(text, order) == day
        assert order in orders_that_fit(text)


def test_offsets_are_kept() -> None:
    east = timezone(timedelta(hours=2))
    for text, zone in (
        ("2025-05-03T18:30:00Z", UTC),
        ("2025-05-03 18:30 +02:00", east),
        ("3.5.2025 18:30+0200", east),
    ):
        moment = parse_moment(*split_moment(text), DAY, twelve_hours=False, day=None)
        assert moment == datetime(2025, 5, 3, 18, 30, tzinfo=zone)


def _rows(text: str, answer: str | None = None) -> list[TableRow | SkippedRow]:
    table = open_table(text.encode(), "t.csv")
    columns = propose(table)
    if answer is not None:
        columns = answered_map(columns, "day_order", answer, table.header, table.sample)
    return list(read_rows(table, columns, None, date(2025, 5, 3)))


def _asked(text: str, answer: str | None = None) -> list[str]:
    table = open_table(text.encode(), "t.csv")
    columns = propose(table)
    if answer is not None:
        columns = answered_map(columns, "day_order", answer, table.header, table.sample)
    return [question.key for question in table_questions(columns, survey_table(table, columns))]


def _table(*times: str, header: str = "Timestamp") -> str:
    return f"{header},Club,Carry (m)\n" + "".join(f"{at},7i,130\n" for at in times)


def test_an_order_that_no_row_decides_is_asked() -> None:
    assert _asked(_table("03/05/2025 18:30", "04/05/2025 18:30")) == ["day_order"]
    assert _asked(_table("03/05/2025 18:30"), "day first") == []
    (row,) = _rows(_table("03/05/2025 18:30"), "month first")
    assert isinstance(row, TableRow)
    assert row.at == datetime(2025, 3, 5, 18, 30)


def test_one_row_decides_for_all() -> None:
    rows = _rows(_table("03/05/2025 18:30", "25/05/2025 18:30"))
    assert [row.at for row in rows if isinstance(row, TableRow)] == [
        datetime(2025, 5, 3, 18, 30),
        datetime(2025, 5, 25, 18, 30),
    ]


def test_an_answer_that_the_rows_refute_is_asked_again() -> None:
    assert _asked(_table("03/05/2025 18:30", "25/05/2025 18:30"), "month first") == ["day_order"]


def test_a_row_against_the_others_order_is_refused() -> None:
    rows = _rows(_table("25/05/2025 18:30", "05/25/2025 18:30", "03/05/2025 18:30"), "day first")
    assert [type(row) for row in rows] == [TableRow, SkippedRow, TableRow]


def test_a_date_and_a_clock_apart_or_the_clock_alone() -> None:
    apart = "Date,Time,Club,Carry (m)\n25.5.2025,6:30 PM,7i,130\n26.5.2025,11:00 AM,7i,130\n"
    assert [row.at for row in _rows(apart) if isinstance(row, TableRow)] == [
        datetime(2025, 5, 25, 18, 30),
        datetime(2025, 5, 26, 11, 0),
    ]
    (row,) = _rows(_table("18:30:05", header="Time"))
    assert isinstance(row, TableRow)
    assert row.at == datetime(2025, 5, 3, 18, 30, 5)


def test_two_dates_in_a_row_and_a_row_without_a_time_are_refused() -> None:
    text = "Date,Time,Club,Carry (m)\n2025-05-03,2025-05-04 18:30,7i,130\n,,7i,130\n2025-05-03,18:30,7i,130\n"
    assert [type(row) for row in _rows(text)] == [SkippedRow, SkippedRow, TableRow]


def test_a_time_in_seconds_is_no_time_of_day() -> None:
    (row,) = _rows("Time (s),Club,Carry (m)\n5.2,7i,130\n")
    assert isinstance(row, TableRow)
    assert row.at is None
