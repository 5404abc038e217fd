"""Rows without what tells who hit them."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.application.files.nameless import ALIAS, FIRST_DAY, nameless_from
from trainer.exchange.export_table import ExportRow, ReadingRow, SessionRow

START = datetime(2026, 5, 14, 18, 30)
SECRET = "grandad"


def secret_row(number: int, at: datetime) -> ExportRow:
    return ExportRow(
        session=f"{SECRET}-s{number % 2}",
        time=at,
        club=f"{SECRET}'s wedge",
        grip_down_m=0.0,
        swing="full",
        carry_m=100.0 + number,
        flag=f"{SECRET}-oak",
        tags=(SECRET, "sure"),
        note=f"with {SECRET}",
        player=SECRET,
        shot=f"{SECRET}{number}",
    )


def test_nothing_of_the_player_is_left() -> None:
    hidden = nameless_from([START])
    reading = ReadingRow(f"{SECRET}-s1", f"{SECRET}1", START, "unknown", None, None, None, "", "", None)
    session = SessionRow(
        f"{SECRET}-s1", "range", START, None, f"{SECRET}s-plan", 7, 288.0, 1e5, 0.5, True, "firm", f"note of {SECRET}"
    )
    shot, told, held = hidden.shot(secret_row(1, START)), hidden.reading(reading), hidden.session(session)
    assert SECRET not in f"{shot} {told} {held}"
    assert (shot.player, shot.tags, shot.carry_m) == (ALIAS, ("sure",), 101.0)
    assert shot.session == told.session == held.session == "1"


@pytest.mark.parametrize("tag", ["sure", "low-checked", "not-low", "under", "over", "in", "out"])
def test_what_the_trainer_counts_by_stays(tag: str) -> None:
    row = replace(secret_row(1, START), tags=(SECRET, tag))
    assert nameless_from([START]).shot(row).tags == (tag,)


def test_the_same_name_is_the_same_number_and_another_is_another() -> None:
    hidden = nameless_from([START])
    rows = [hidden.shot(secret_row(number, START)) for number in range(4)]
    assert [row.session for row in rows] == ["1", "2", "1", "2"]
    assert [row.shot for row in rows] == ["1", "2", "3", "4"]
    assert {row.club for row in rows} == {"own club 1"}
    assert {row.flag for row in rows} == {"flag-1"}
    assert hidden.club("7 iron") == "7 iron"
    assert hidden.club("sand wedge") == "sand wedge"


@given(st.lists(st.datetimes(datetime(1990, 1, 1), datetime(2090, 1, 1)), min_size=1, max_size=8))
def test_days_are_moved_together_and_times_of_day_stay(moments: list[datetime]) -> None:
    hidden = nameless_from(moments)
    moved = [hidden.moment(moment) for moment in moments]
    assert min(moved).date() == FIRST_DAY
    assert [moment.time() for moment in moved] == [moment.time() for moment in moments]
    assert {new - old for new, old in zip(moved, moments, strict=True)} == {moved[0] - moments[0]}
    assert (moved[0] - moments[0]) % timedelta(days=1) == timedelta(0)
