"""Each beside his own past: like for like, and no clear change where none is clear."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import ExitStack
from datetime import date, datetime
from pathlib import Path

import numpy as np
import pytest

from tests.application.squad.squad_stores import PlayerStore, breeze, open_player
from trainer.application.evidence.history import read_history
from trainer.application.reports.progress import agendas_of
from trainer.application.squad.coach import State, is_overdue, state_of
from trainer.application.squad.overview import OwnPast, own_past, wind_band
from trainer.core.conditions import CALM_WIND, UNKNOWN_WIND
from trainer.store.squad_records import AssignmentRecord, Decision

BALLS = 20


@pytest.fixture
def player(tmp_path: Path) -> Iterator[PlayerStore]:
    with ExitStack() as stack:
        yield open_player(stack, tmp_path, "kestrel")


def evening(player: PlayerStore, off_m: float, rng: np.random.Generator, wind_mps: float | None = None) -> None:
    """An evening at 100 m; the misses are `off_m` in the mean."""
    player.begin()
    if wind_mps is not None:
        player.store.add_reading(player.session_id, breeze(wind_mps), player.tick())
    for miss_m in rng.normal(0, off_m * math.sqrt(math.pi / 2), BALLS):
        player.hit(100.0 + float(miss_m), on_agenda=True)


def past_of(player: PlayerStore) -> OwnPast:
    history = read_history(player.store, None)
    return own_past(history, agendas_of(player.store, history))


def test_who_comes_closer_is_told_so(player: PlayerStore) -> None:
    rng = np.random.default_rng(1)
    for off_m in (12, 12, 4, 4):
        evening(player, off_m, rng)
    past = past_of(player)
    assert past.verdict == "closer"
    (group,) = past.groups
    assert (group.drill, group.ball, group.wind) == ("club-down ladder", "playing", "moderate wind")
    assert past.change is not None
    assert group.change == past.change
    assert abs(past.change.difference + 8) < past.change.plus_minus95


def test_who_stays_the_same_is_told_no_clear_change_nineteen_times_in_twenty(tmp_path: Path) -> None:
    rng = np.random.default_rng(2)
    clear = 0
    for number in range(6):
        with ExitStack() as stack:
            (tmp_path / f"{number}").mkdir()
            player = open_player(stack, tmp_path / f"{number}", "kestrel")
            for _ in range(2):
                evening(player, 8, rng)
            clear += past_of(player).verdict != "no clear change"
    # 6 trials at 0.05 give more than 2 with a probability of 0.002 (binomial).
    assert clear <= 2


def test_only_like_is_set_beside_like(player: PlayerStore) -> None:
    rng = np.random.default_rng(3)
    evening(player, 4, rng, wind_mps=1.0)
    evening(player, 20, rng, wind_mps=12.0)
    past = past_of(player)
    assert past.groups == ()
    assert past.change is None
    assert past.verdict == "not enough like balls to tell"


def test_groups_are_put_together_by_how_well_each_is_known(player: PlayerStore) -> None:
    rng = np.random.default_rng(4)
    for wind_mps in (1.0, 12.0):
        for off_m in (12, 12, 5, 5):
            evening(player, off_m, rng, wind_mps=wind_mps)
    past = past_of(player)
    assert {group.wind for group in past.groups} == {"light wind", "strong wind"}
    assert past.change is not None
    assert past.change.plus_minus95 < min(group.change.plus_minus95 for group in past.groups)
    differences = [group.change.difference for group in past.groups]
    assert min(differences) <= past.change.difference <= max(differences)
    assert past.change.balls_before == past.change.balls_after == 4 * BALLS


def test_wind_bands() -> None:
    bands = [wind_band(wind) for wind in (UNKNOWN_WIND, CALM_WIND, breeze(2.4), breeze(2.5), breeze(6.5))]
    assert bands == ["wind unknown", "light wind", "light wind", "moderate wind", "strong wind"]


def record(
    started: int | None = None,
    handed_in: int | None = None,
    decision: Decision | None = None,
    decided: int | None = None,
) -> AssignmentRecord:
    """An assignment of 1 May, due on 10 May; days of May for its steps."""

    def day(number: int | None) -> datetime | None:
        return None if number is None else datetime(2026, 5, number, 12)

    return AssignmentRecord(
        1, "a", 1, "plan-a", "Plan", datetime(2026, 5, 1), date(2026, 5, 10), day(started), day(handed_in), decision,
        day(decided),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("assignment", "state", "overdue"),
    [
        (record(), State.ASSIGNED, True),
        (record(3), State.STARTED, True),
        (record(3, 4), State.SUBMITTED, False),
        (record(3, 4, Decision.RETURNED, 5), State.RETURNED, True),
        (record(3, 6, Decision.RETURNED, 5), State.SUBMITTED, False),
        (record(3, 4, Decision.ACCEPTED, 5), State.ACCEPTED, False),
        (record(3, 6, Decision.ACCEPTED, 5), State.ACCEPTED, False),
    ],
)
def test_states(assignment: AssignmentRecord, state: State, overdue: bool) -> None:
    assert state_of(assignment) is state
    assert is_overdue(assignment, date(2026, 5, 11)) is overdue
    assert not is_overdue(assignment, date(2026, 5, 10))
