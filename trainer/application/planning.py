"""From a plan to the balls of one session: the plan's blocks, fitted to this player and this wind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

import numpy as np

from trainer.application.conditions import StatedConditions
from trainer.application.estimates import snapshot, todays_conditions
from trainer.application.history import History
from trainer.application.plan_blocks import blocks_of
from trainer.core.bag import Cell
from trainer.core.conditions import UNKNOWN_WIND, Conditions
from trainer.core.errors import InputError
from trainer.core.schedule.agenda import Agenda, build_agenda
from trainer.plan.library import find_plan
from trainer.plan.model import Plan
from trainer.store.records import NewBall

DEFAULT_PLAN = "first-windy-evening"
MOST_BALLS, MOST_MINUTES = 300, 480


@dataclass(frozen=True, slots=True)
class PlannedSession:
    """An agenda with the plan, the seed and the conditions it was made from."""

    plan: Plan
    seed: int
    conditions: Conditions
    agenda: Agenda
    wind_is_known: bool


@dataclass(frozen=True, slots=True)
class Wish:
    """What was asked of the agenda; None takes the plan's own, and the day for a seed."""

    plan_id: str | None = None
    balls: int | None = None
    minutes: int | None = None
    seed: int | None = None


def own_plans_folder(store_path: Path) -> Path:
    """Where a player's own plans lie: beside the store."""
    return store_path.parent / "plans"


def plan_session(
    history: History, wish: Wish, stated: StatedConditions, when: datetime, plan_folders: Sequence[Path] = ()
) -> PlannedSession:
    """The balls of a session in these conditions.

    With no wind stated and none read today the carries are those of still air, and the wind gates wait: a plan made
    the evening before must not be swapped for a wind that nobody has met. Raises InputError.
    """
    plan = find_plan(wish.plan_id or DEFAULT_PLAN, plan_folders)
    balls = _within(wish.balls, plan.balls, MOST_BALLS, "--balls")
    minutes = _within(wish.minutes, plan.minutes, MOST_MINUTES, "--minutes")
    seed = when.date().toordinal() if wish.seed is None else wish.seed
    if seed < 0:
        raise InputError("a seed cannot be negative", "--seed", "give 0 or more")
    profile = history.profile
    figures = snapshot(history, stated, when)
    carries_m = {row.cell: row.carry_today_m.median for row in figures.cells}
    conditions, reading = todays_conditions(history, stated, when)
    wind_is_known = stated.wind is not None or reading is not None
    agenda = build_agenda(
        blocks_of(plan, profile.bag, profile),
        profile.bag,
        balls=balls,
        minutes=float(minutes),
        conditions=conditions if wind_is_known else replace(conditions, wind=UNKNOWN_WIND),
        rng=np.random.default_rng(seed),
        expected_carry_m=lambda cell: _carry_of(cell, carries_m, profile.bag.club(cell.club).stock_carry_m),
        units=profile.units,
    )
    return PlannedSession(plan, seed, conditions, agenda, wind_is_known)


def _carry_of(cell: Cell, carries_m: dict[Cell, float], stock_carry_m: float) -> float:
    """The estimate, or for a grip that is not among the player's steps that of the nearest grip."""
    if cell in carries_m:
        return carries_m[cell]
    near = [other for other in carries_m if other.club == cell.club and other.swing == cell.swing]
    if not near:
        return stock_carry_m
    return carries_m[min(near, key=lambda other: abs(other.grip_down_m - cell.grip_down_m))]


def _within(wished: int | None, own: int, most: int, where: str) -> int:
    value = own if wished is None else wished
    if not 1 <= value <= most:
        raise InputError(f"{value} is out of range", where, f"give 1 to {most}")
    return value


def new_balls(agenda: Agenda) -> tuple[NewBall, ...]:
    """The agenda's balls as the store keeps them."""
    return tuple(
        NewBall(
            number=ball.number,
            drill=ball.drill,
            cell=ball.cell,
            stage=ball.stage.value,
            reason=ball.reason,
            target_m=ball.target_m,
            flag=ball.flag,
            cue=ball.cue,
        )
        for ball in agenda.balls
    )
