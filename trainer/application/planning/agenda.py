"""From a plan to the balls of one session: the plan's blocks, fitted to this player, this wind and what is known."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

import numpy as np

from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.learning import Known, learn
from trainer.application.estimates.snapshot import snapshot, todays_conditions
from trainer.application.evidence.history import History
from trainer.application.evidence.reading_error import reading_sd_mps
from trainer.application.planning.beliefs import Tonight, beliefs_tonight
from trainer.application.planning.blocks import blocks_of
from trainer.application.planning.past_shots import past_shots
from trainer.application.planning.power import provable
from trainer.core.bag import Cell
from trainer.core.conditions import UNKNOWN_WIND, Conditions, WindKnowledge
from trainer.core.errors import InputError
from trainer.core.profile import AgeBand, Profile
from trainer.core.schedule.agenda import Agenda, build_agenda
from trainer.core.schedule.block import Block, CarryOf, shots_of, unreachable_rungs
from trainer.core.schedule.fitting import Done
from trainer.core.schedule.knowledge import Knowledge
from trainer.core.schedule.prompts import is_feel_only
from trainer.core.schedule.replan import Override, Replanned, replan
from trainer.core.schedule.stages import Stage
from trainer.plan.collection import find_plan, plan_for
from trainer.plan.model import LEVELS, Plan
from trainer.store.records import NewBall

DEFAULT_PLAN = "first-windy-evening"
MOST_BALLS, MOST_MINUTES = 300, 480


@dataclass(frozen=True, slots=True)
class PlannedSession:
    """An agenda with the plan, the seed and the conditions it was made from, and what its balls can prove.

    `problems` say which of the plan's rungs this player would have to hit harder for, by his own estimates.
    """

    plan: Plan
    seed: int
    conditions: Conditions
    agenda: Agenda
    wind_is_known: bool
    can_prove: tuple[str, ...] = ()
    age_band: AgeBand = AgeBand.ADULT
    problems: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Unhit:
    """What is left of a session: its agenda's balls after number `hit`, and what it was begun with."""

    agenda: Agenda
    hit: int
    seed: int
    age_band: AgeBand
    done: Done


@dataclass(frozen=True, slots=True)
class Wish:
    """What was asked of the agenda; None takes the plan's own, and the day for a seed."""

    plan_id: str | None = None
    balls: int | None = None
    minutes: int | None = None
    seed: int | None = None
    level: str | None = None


@dataclass(frozen=True, slots=True, eq=False)
class _Player:
    """What a session is fitted to: blocks, conditions, carries and knowledge of the player."""

    blocks: tuple[Block, ...]
    conditions: Conditions
    wind_is_known: bool
    carry_of: CarryOf
    knowledge: Knowledge
    known: Known


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
    plan = _at_level(find_plan(wish.plan_id or DEFAULT_PLAN, plan_folders), wish.level)
    balls = _within(wish.balls, plan.balls, MOST_BALLS, "--balls")
    minutes = _within(wish.minutes, plan.minutes, MOST_MINUTES, "--minutes")
    seed = when.date().toordinal() if wish.seed is None else wish.seed
    if seed < 0:
        raise InputError("a seed cannot be negative", "--seed", "give 0 or more")
    age_band = age_band_for(plan, history.profile)
    player = _player(history, blocks_of(plan, history.profile.bag, history.profile), age_band, stated, when)
    agenda = build_agenda(
        player.blocks,
        history.profile.bag,
        balls=balls,
        minutes=float(minutes),
        conditions=player.conditions if player.wind_is_known else replace(player.conditions, wind=UNKNOWN_WIND),
        rng=np.random.default_rng(seed),
        expected_carry_m=player.carry_of,
        units=history.profile.units,
        knowledge=player.knowledge,
    )
    feel_only = player.wind_is_known and is_feel_only(player.conditions.wind)
    can_prove = () if feel_only else provable(player.known, agenda, player.conditions, history.profile.units)
    problems = _problems(plan, player, history)
    return PlannedSession(plan, seed, player.conditions, agenda, player.wind_is_known, can_prove, age_band, problems)


def replan_session(
    unhit: Unhit, history: History, stated: StatedConditions, when: datetime, overrides: Sequence[Override] = ()
) -> Replanned:
    """The rest of a session planned anew with the shots and the wind of now.

    `history` holds the balls hit so far and the newest reading. Raises InputError for an override without a reason.
    """
    player = _player(history, unhit.agenda.blocks, unhit.age_band, stated, when)
    return replan(
        unhit.agenda,
        unhit.hit,
        history.profile.bag,
        conditions=player.conditions if player.wind_is_known else replace(player.conditions, wind=UNKNOWN_WIND),
        rng=np.random.default_rng((unhit.seed, _first_working(unhit))),
        expected_carry_m=player.carry_of,
        units=history.profile.units,
        knowledge=player.knowledge,
        overrides=overrides,
        done=unhit.done,
    )


def _first_working(unhit: Unhit) -> int:
    """The number of the first ball that is no warm-up: when the warm-up is gone through changes no draw."""
    numbers = (ball.number for ball in unhit.agenda.balls if ball.stage is not Stage.WARM_UP)
    return min(numbers, default=unhit.hit + 1)


def problems_for_player(plan: Plan, history: History, stated: StatedConditions, when: datetime) -> tuple[str, ...]:
    """What of a plan this player cannot do: by his own estimates rungs that would mean hitting harder."""
    blocks = blocks_of(plan, history.profile.bag, history.profile)
    return _problems(plan, _player(history, blocks, age_band_for(plan, history.profile), stated, when), history)


def _problems(plan: Plan, player: _Player, history: History) -> tuple[str, ...]:
    units, bag = history.profile.units, history.profile.bag
    return tuple(
        f"plan {plan.id}, block {number}: {refused}"
        for number, block in enumerate(player.blocks, 1)
        for refused in unreachable_rungs(block, bag, player.carry_of, units)
    )


def _at_level(plan: Plan, level: str | None) -> Plan:
    if level is None:
        return plan
    if level not in LEVELS:
        raise InputError(f"'{level}' is not a level", "--level", f"use one of {', '.join(LEVELS)}")
    return plan_for(plan, level)


def _player(
    history: History, blocks: tuple[Block, ...], age_band: AgeBand, stated: StatedConditions, when: datetime
) -> _Player:
    profile = history.profile
    known = learn(history, when)
    figures = snapshot(history, stated, when, known=known)
    carries_m = {row.cell: row.carry_today_m.median for row in figures.cells}
    conditions, reading = todays_conditions(history, stated, when)
    wind_is_known = stated.wind is not None or reading is not None

    def carry_of(cell: Cell) -> float:
        return _carry_of(cell, carries_m, profile.bag.club(cell.club).stock_carry_m)

    wind = conditions.wind if wind_is_known else UNKNOWN_WIND
    exact = reading is None and wind.knowledge is not WindKnowledge.UNKNOWN
    sd = 0.0 if exact else reading_sd_mps(wind)
    tonight = Tonight(replace(conditions, wind=wind), None if reading is None else reading.id, sd, when.date())
    past = past_shots(history)
    knowledge = Knowledge(
        today=when.date(),
        beliefs=beliefs_tonight(known, _cells(blocks, known, carry_of, history), profile, tonight),
        past=past,
        age_band=age_band,
    )
    return _Player(blocks, conditions, wind_is_known, carry_of, knowledge, known)


def age_band_for(plan: Plan, profile: Profile) -> AgeBand:
    """The player's own band; not said, the plan's ages; a junior plan that names none is for the younger ones."""
    if profile.age_band is not None:
        return profile.age_band
    if plan.ages is not None:
        return AgeBand(plan.ages)
    return AgeBand.FROM_11 if plan.level == "junior" else AgeBand.ADULT


def _cells(blocks: tuple[Block, ...], known: Known, carry_of: CarryOf, history: History) -> tuple[Cell, ...]:
    """The shots that the session may hold: those of the blocks, all of the blocks' clubs, and those hit before."""
    bag = history.profile.bag
    clubs = {bag.club(club).name for block in blocks for club in block.clubs}
    mine = [cell for block in blocks for cell in shots_of(block, bag, carry_of, history.profile.units).cells]
    others = [cell for cell in known.bench.cells if cell.club in clubs]
    hit = [shot.cell for shot in history.shots if shot.cell in known.bench.index]
    return tuple(dict.fromkeys([*mine, *others, *hit]))


def _carry_of(cell: Cell, carries_m: dict[Cell, float], stock_carry_m: float) -> float:
    """The estimate, or for a grip that is not among the player's steps that of the nearest grip."""
    if cell in carries_m:
        return _possible(carries_m[cell], cell)
    near = [other for other in carries_m if other.club == cell.club and other.swing == cell.swing]
    if not near:
        return stock_carry_m
    return _possible(carries_m[min(near, key=lambda other: abs(other.grip_down_m - cell.grip_down_m))], cell)


def _possible(carry_m: float, cell: Cell) -> float:
    """`carry_m` if a ball carries anything in this wind, else InputError: nothing can be planned in it."""
    if math.isfinite(carry_m) and carry_m > 0:
        return carry_m
    raise InputError(f"what {cell.club} carries in this wind cannot be worked out", "wind", "wait for less wind")


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
            block=ball.block,
            override=ball.override,
        )
        for ball in agenda.balls
    )
