"""The demonstration's evenings, told from a clock."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from trainer.application.demo.playing import DAYS, days_before


@given(st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1)))
def test_the_last_evening_is_two_days_ago_whenever_it_is_asked_for(now: datetime) -> None:
    moved = days_before(now)
    assert (now.date() - moved[-1].when.date()).days == 2
    assert all(day.when < now for day in moved)
    assert [day.when.time() for day in moved] == [day.when.time() for day in DAYS]
    apart = {new.when - old.when for new, old in zip(moved, DAYS, strict=True)}
    assert len(apart) == 1
    assert [day.read_wind for day in moved] == [day.read_wind for day in DAYS]


def test_two_days_after_the_fixed_evenings_they_stand_as_they_are() -> None:
    assert days_before(DAYS[-1].when + timedelta(days=2)) == DAYS
    assert days_before(datetime(2026, 12, 1, 0, 5))[-1].when.date() == date(2026, 11, 29)
