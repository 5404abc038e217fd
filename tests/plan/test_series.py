"""Series: back from an event, on from week to week, on from the day the last was hit."""

from __future__ import annotations

from datetime import date

import pytest

from tests.plan.examples import GOOD
from trainer.core.errors import InputError
from trainer.plan.collection import shipped_plans
from trainer.plan.model import Plan
from trainer.plan.reading import PlanErrors, read_plan
from trainer.plan.series import series_days

EVENT = date(2026, 6, 14)


def member(number: int, extra: str) -> Plan:
    text = GOOD.replace('"first-windy-evening"', f'"week-{number}"')
    return read_plan(text.replace("minutes = 50", f"minutes = 50\n{extra}"), "x")


def weekly(number: int, every: int = 7) -> Plan:
    return member(number, f'series = {{ id = "spring", number = {number}, of = 3, every_days = {every} }}')


def test_before_an_event() -> None:
    days = series_days(shipped_plans(), "event-week", EVENT)
    assert [(each.plan.id, each.due) for each in days] == [
        ("week-before-event", date(2026, 6, 7)),
        ("day-before-event", date(2026, 6, 13)),
    ]


def test_week_after_week_in_order() -> None:
    days = series_days([weekly(3), weekly(1), weekly(2, 10)], "spring", EVENT)
    assert [each.due for each in days] == [EVENT, date(2026, 6, 24), date(2026, 7, 1)]


def test_a_plan_s_own_day_goes_first() -> None:
    own = member(1, 'due = 2026-08-01\nseries = { id = "spring", number = 1, of = 3 }')
    assert series_days([own], "spring", EVENT)[0].due == date(2026, 8, 1)


def test_refusals() -> None:
    with pytest.raises(InputError):
        series_days(shipped_plans(), "no-such", EVENT)
    with pytest.raises(PlanErrors, match="series"):
        member(1, 'series = { id = "spring", number = 1, of = 3, every_days = 7, days_before = 2 }')
    with pytest.raises(PlanErrors, match="ages"):
        member(1, 'ages = "under 11"')
    with pytest.raises(PlanErrors, match="ages"):
        member(1, 'ages = "12"')


def test_the_next_counts_on_from_when_the_last_was_hit_or_from_today() -> None:
    plans = [weekly(number) for number in (1, 2, 3)]
    late, today = date(2026, 6, 25), date(2026, 6, 30)
    days = series_days(plans, "spring", EVENT, done={"week-1": late}, today=today)
    assert [each.due for each in days] == [EVENT, date(2026, 7, 2), date(2026, 7, 9)]
    missed = series_days(plans, "spring", EVENT, done={}, today=today)
    assert [each.due for each in missed] == [EVENT, date(2026, 7, 7), date(2026, 7, 14)]
