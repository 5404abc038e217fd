"""When the plans of a series are due: counted back from an event, or on from one another."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from trainer.core.errors import InputError
from trainer.plan.model import Plan


@dataclass(frozen=True, slots=True)
class DuePlan:
    """A plan of a series with the day it is due."""

    plan: Plan
    due: date


def series_days(
    plans: Iterable[Plan],
    series_id: str,
    day: date,
    *,
    done: Mapping[str, date] | None = None,
    today: date | None = None,
) -> tuple[DuePlan, ...]:
    """The plans of a series in order with their days.

    `day` is the event's for a series that counts back from one, else the first plan's. A plan's own `due` goes before
    both. `done` gives the days on which plans were hit, by id: the next counts on from that day, and from `today`
    where the one before is still to be hit. Raises InputError where there is no such series.
    """
    mine = sorted(
        (plan for plan in plans if plan.series is not None and plan.series.id == series_id),
        key=lambda plan: plan.series.number if plan.series else 0,
    )
    if not mine:
        raise InputError(f"there is no series '{series_id}'", "plan", "see the plans with trainer plan list")
    found: list[DuePlan] = []
    for plan in mine:
        before = _day_of(found[-1], done or {}, today) if found else None
        found.append(DuePlan(plan, plan.due or _due(plan, before, day)))
    return tuple(found)


def _day_of(before: DuePlan, done: Mapping[str, date], today: date | None) -> date:
    return done.get(before.plan.id) or max(before.due, today or before.due)


def _due(plan: Plan, before: date | None, day: date) -> date:
    series = plan.series
    if series is not None and series.days_before is not None:
        return day - timedelta(days=series.days_before)
    if before is None:
        return day
    every = series.every_days if series is not None and series.every_days is not None else 7
    return before + timedelta(days=every)
