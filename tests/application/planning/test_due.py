"""What is due of the plans: series begun, events ahead, days of their own; and a series that begins anew."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from tests.plan.examples import GOOD
from tests.tui.helpers import a_profile
from trainer.application.conditions.stated import StatedConditions
from trainer.application.evidence.history import read_history
from trainer.application.planning.agenda import Wish
from trainer.application.planning.due import DueRow, DueState, days_hit, due_rows, next_row, next_words
from trainer.application.session.recording import begin
from trainer.plan.collection import shipped_plans
from trainer.plan.model import Plan
from trainer.plan.reading import read_plan
from trainer.store.store import open_store

FIRST, SECOND, THIRD = "low-shot-weeks-1", "low-shot-weeks-2", "low-shot-weeks-3"
DAY = date(2026, 5, 1)
EVENT = date(2026, 6, 14)


def rows(hit: dict[str, list[date]], today: date, event: date | None = None, *more: Plan) -> dict[str, DueRow]:
    return {row.plan.id: row for row in due_rows([*shipped_plans(), *more], hit, today, event)}


def own(plan_id: str, extra: str) -> Plan:
    return read_plan(GOOD.replace('"first-windy-evening"', f'"{plan_id}"').replace("minutes = 50", extra), "x")


def test_a_series_that_was_not_begun_presses_nobody() -> None:
    found = due_rows(shipped_plans(), {}, DAY)
    assert {row.state for row in found} == {DueState.OPEN}
    assert next_row(found) is None
    assert next_words(None) == ""


@pytest.mark.parametrize(("days_later", "state"), [(2, DueState.AHEAD), (7, DueState.TODAY), (9, DueState.OVERDUE)])
def test_a_week_after_the_first_the_second_is_due(days_later: int, state: DueState) -> None:
    found = rows({FIRST: [DAY]}, DAY + timedelta(days=days_later))
    assert (found[FIRST].state, found[FIRST].done) == (DueState.DONE, DAY)
    assert (found[SECOND].state, found[SECOND].due) == (state, DAY + timedelta(days=7))
    assert found[SECOND].days == 7 - days_later
    coming = next_row(found.values())
    assert coming is not None
    assert coming.plan.id == SECOND
    assert found[SECOND].when_words in next_words(coming)


def test_the_next_counts_on_from_the_day_the_last_was_hit_and_never_before_it_is() -> None:
    late = DAY + timedelta(days=12)
    assert rows({FIRST: [DAY]}, late)[THIRD].due == late + timedelta(days=7)
    assert rows({FIRST: [DAY], SECOND: [late]}, late)[THIRD].due == late + timedelta(days=7)


def test_hitting_the_first_again_begins_the_series_anew() -> None:
    done = {FIRST: [DAY], SECOND: [DAY + timedelta(days=7)], THIRD: [DAY + timedelta(days=14)]}
    today = DAY + timedelta(days=90)
    assert {rows(done, today)[plan_id].state for plan_id in done} == {DueState.DONE}
    again = rows({**done, FIRST: [DAY, today]}, today)
    assert (again[FIRST].done, again[SECOND].state) == (today, DueState.AHEAD)


def test_before_an_event_the_days_count_back_from_it() -> None:
    found = rows({"week-before-event": [date(2026, 6, 8)]}, date(2026, 6, 10), EVENT)
    assert found["week-before-event"].state is DueState.DONE
    assert (found["day-before-event"].due, found["day-before-event"].state) == (date(2026, 6, 13), DueState.AHEAD)
    assert (
        rows({"week-before-event": [date(2025, 6, 8)]}, date(2026, 6, 10), EVENT)["week-before-event"].state
        is DueState.OVERDUE
    )


def test_a_plan_with_a_day_of_its_own_needs_no_series() -> None:
    mine = own("mine", "minutes = 50\ndue = 2026-05-20")
    found = rows({}, DAY, None, mine)
    assert (found["mine"].due, found["mine"].state) == (date(2026, 5, 20), DueState.AHEAD)
    assert rows({"mine": [date(2026, 5, 19)]}, DAY, None, mine)["mine"].state is DueState.DONE


def test_overdue_stands_before_ahead_before_open_before_done() -> None:
    mine = own("mine", "minutes = 50\ndue = 2026-04-20")
    found = due_rows([*shipped_plans(), mine], {FIRST: [DAY]}, DAY)
    states = [row.state for row in found]
    assert states == sorted(states, key=list(DueState).index)
    assert found[0].plan.id == "mine"


def test_a_session_without_a_ball_was_none(tmp_path: Path) -> None:
    with open_store(tmp_path / "t.db", write=True) as store:
        store.save_profile(a_profile(), datetime(2026, 5, 1))
        evening = datetime(2026, 5, 1, 18, 0)
        recorder = begin(store, None, StatedConditions(), evening, Wish(FIRST))
        assert days_hit(read_history(store, None)) == {}
        recorder.line("120", evening)
        assert days_hit(read_history(store, None)) == {FIRST: (DAY,)}
