"""What is due of the plans: series that were begun or lead to an event, and plans with a day of their own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from trainer.application.evidence.history import History, local
from trainer.application.views.folding import folded
from trainer.core.units import counted
from trainer.plan.model import Plan
from trainer.plan.series import series_days

EVENT_WINDOW = timedelta(days=14)
"""A plan before an event was hit for it if that was no longer than this before its day."""


class DueState(StrEnum):
    """Where a plan stands. `OPEN` has no day: its series was not begun, or its event is not known."""

    OVERDUE = "overdue"
    TODAY = "today"
    AHEAD = "ahead"
    OPEN = "open"
    DONE = "done"


_ORDER = tuple(DueState)


@dataclass(frozen=True, slots=True)
class DueRow:
    """A plan with its day, and the day it was hit on. `days` are those until it is due, negative past it."""

    plan: Plan
    state: DueState
    due: date | None
    done: date | None
    days: int | None

    @property
    def place_words(self) -> str:
        """`2 of 3 of low-shot-weeks`; empty for a plan that stands alone."""
        series = self.plan.series
        return "" if series is None else f"{series.number} of {series.of} of {series.id}"

    @property
    def when_words(self) -> str:
        """`overdue since 12 May`, `due today`, `due on 21 May, in 7 days`."""
        if self.done is not None:
            return f"hit on {self.done:%d %b}"
        if self.due is None or self.days is None:
            series = self.plan.series
            before_event = series is not None and series.days_before is not None
            return "counts back from an event: give its day" if before_event else "not begun: when you like"
        if self.days < 0:
            return f"overdue since {self.due:%d %b}"
        if self.days == 0:
            return "due today"
        return f"due on {self.due:%d %b}, in {counted(self.days, 'day')}"


def days_hit(history: History) -> Mapping[str, tuple[date, ...]]:
    """The days on which a ball of each plan was hit, oldest first."""
    hit = {shot.session_id for shot in history.shots}
    days: dict[str, set[date]] = {}
    for session in history.sessions.values():
        if session.plan_id is not None and session.id in hit:
            days.setdefault(session.plan_id, set()).add(local(session.started_at).date())
    return {plan_id: tuple(sorted(each)) for plan_id, each in days.items()}


def due_rows(
    plans: Sequence[Plan], hit: Mapping[str, Sequence[date]], today: date, event: date | None = None
) -> tuple[DueRow, ...]:
    """Every plan of a series or with a day of its own: overdue ones first, then by day, then the open, then the done.

    A series begins anew whenever its first plan is hit. `event` is the day that series before an event lead to.
    """
    series = dict.fromkeys(plan.series.id for plan in plans if plan.series is not None)
    rows = [row for series_id in series for row in _rows_of(series_id, plans, hit, today, event)]
    alone = [plan for plan in plans if plan.series is None and plan.due is not None]
    rows += [_row(plan, plan.due, _since(hit.get(plan.id, ()), _window(plan.due)), today) for plan in alone]
    return tuple(sorted(rows, key=lambda row: (_ORDER.index(row.state), row.due or date.max, row.plan.id)))


def due_text(rows: Sequence[DueRow]) -> str:
    """A line a plan: its id, when it is due, and its place in its series; a second line where they need it."""
    width = max((len(row.plan.id) for row in rows), default=0)
    said = (f"{row.plan.id:{width}}  {row.when_words}{row.place_words and f' ({row.place_words})'}" for row in rows)
    lines = [line for each in said for line in folded(each, hanging="    ")]
    return "\n".join(lines) or "No plan belongs to a series or has a day of its own."


def next_row(rows: Iterable[DueRow]) -> DueRow | None:
    """The plan that is next, overdue ones before those ahead; None where none has a day."""
    dated = (row for row in rows if row.state in {DueState.OVERDUE, DueState.TODAY, DueState.AHEAD})
    return min(dated, key=lambda row: (row.due or date.max, row.plan.id), default=None)


def next_words(row: DueRow | None) -> str:
    """`due today: Low shot weeks (2 of 3)`; empty for None."""
    if row is None:
        return ""
    series = row.plan.series
    place = "" if series is None else f" ({series.number} of {series.of})"
    return f"{row.when_words}: {row.plan.title}{place}"


def _rows_of(
    series_id: str, plans: Sequence[Plan], hit: Mapping[str, Sequence[date]], today: date, event: date | None
) -> list[DueRow]:
    mine = [plan for plan in plans if plan.series is not None and plan.series.id == series_id]
    before_event = any(plan.series is not None and plan.series.days_before is not None for plan in mine)
    first = min(mine, key=lambda plan: plan.series.number if plan.series else 0)
    begun = hit.get(first.id, ())
    day = event if before_event else (begun[-1] if begun else None)
    if day is None:
        dated = [(plan, plan.due) for plan in mine]
        return [_row(plan, due, _since(hit.get(plan.id, ()), _window(due)), today) for plan, due in dated]
    since = None if before_event else day
    plain = {each.plan.id: each.due for each in series_days(mine, series_id, day)}
    done = {
        plan.id: found
        for plan in mine
        if (found := _since(hit.get(plan.id, ()), since or _window(plain[plan.id]))) is not None
    }
    days = series_days(mine, series_id, day, done=done, today=today)
    return [_row(each.plan, each.due, done.get(each.plan.id), today) for each in days]


def _window(due: date | None) -> date:
    """From when a ball of a plan counts for its day; without one none does."""
    return date.max if due is None else due - EVENT_WINDOW


def _since(days: Sequence[date], start: date) -> date | None:
    return next((day for day in days if day >= start), None)


def _row(plan: Plan, due: date | None, done: date | None, today: date) -> DueRow:
    days = None if due is None else (due - today).days
    if done is not None:
        state = DueState.DONE
    elif days is None:
        state = DueState.OPEN
    else:
        state = DueState.OVERDUE if days < 0 else DueState.TODAY if days == 0 else DueState.AHEAD
    return DueRow(plan, state, due, done, days)
