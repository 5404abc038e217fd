from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from tests.store.samples import BREEZE, LATER, PROFILE, START, ball, carries, new_session, new_shot
from trainer.core.conditions import CALM_WIND, UNKNOWN_WIND, Wind
from trainer.core.errors import InputError
from trainer.store.records import BallState, NewSession, Reason, SessionRecord
from trainer.store.store import Store

NOWHERE = 9999


def test_a_session_comes_back_as_it_was_begun(store: Store) -> None:
    new = new_session(store.player().id)
    begun = store.begin_session(new)
    assert store.session(begun.id) == begun
    for name in ("player_id", "started_at", "plan_id", "seed", "air", "air_stated", "turf", "note"):
        assert getattr(begun, name) == getattr(new, name)
    assert begun.ended_at is None


def test_a_bare_session_keeps_what_was_not_stated_as_not_stated(store: Store) -> None:
    begun = store.begin_session(NewSession(store.player().id, datetime(2026, 5, 4, 18, 30)))
    assert (begun.plan_id, begun.seed, begun.air_stated) == (None, None, False)
    assert begun.started_at.tzinfo is None


def test_an_offset_is_kept(store: Store) -> None:
    begun = store.begin_session(new_session(store.player().id))
    assert begun.started_at.utcoffset() == timedelta(hours=2)


def test_sessions_stand_in_the_order_of_their_local_start(store: Store) -> None:
    player_id = store.player().id
    assert store.latest_session(player_id) is None
    whole = datetime(2026, 5, 4, 18, 30)
    starts = [whole + timedelta(days=1), whole, whole + timedelta(microseconds=1), whole - timedelta(days=1)]
    for start in starts:
        store.begin_session(NewSession(player_id, start))
    assert [session.started_at for session in store.sessions(player_id)] == sorted(starts)
    latest = store.latest_session(player_id)
    assert latest is not None
    assert latest.started_at == max(starts)


def test_a_session_ends_and_may_end_anew(store: Store, session: SessionRecord) -> None:
    assert store.end_session(session.id, START, "cold hands").ended_at == START
    again = store.end_session(session.id, LATER)
    assert (again.ended_at, again.note) == (LATER, "cold hands")


def test_what_is_not_there_is_an_input_error(store: Store) -> None:
    attempts: list[Callable[[], object]] = [
        lambda: store.begin_session(new_session(NOWHERE)),
        lambda: store.session(NOWHERE),
        lambda: store.end_session(NOWHERE, LATER),
        lambda: store.add_reading(NOWHERE, BREEZE, LATER),
        lambda: store.reading(NOWHERE),
        lambda: store.correct_reading(NOWHERE, BREEZE, LATER),
        lambda: store.undo_reading(NOWHERE, LATER),
        lambda: store.reading_revisions(NOWHERE),
        lambda: store.put_agenda(NOWHERE, [ball(1)]),
        lambda: store.mark_ball(NOWHERE, 1, BallState.SKIPPED),
        lambda: store.add_shot(NOWHERE, new_shot()),
        lambda: store.shot(NOWHERE),
        lambda: store.correct_shot(NOWHERE, LATER, cell=new_shot().cell),
        lambda: store.undo_shot(NOWHERE, LATER),
        lambda: store.revisions(NOWHERE),
        lambda: store.undo_import(NOWHERE, LATER),
        lambda: store.raw_rows(NOWHERE),
    ]
    for attempt in attempts:
        with pytest.raises(InputError, match=str(NOWHERE)) as caught:
            attempt()
        assert caught.value.remedy


def test_readings_come_back_in_order_by_session_and_by_player(store: Store, session: SessionRecord) -> None:
    winds = [BREEZE, UNKNOWN_WIND, CALM_WIND, replace(BREEZE, gust_mps=None)]
    kept = [store.add_reading(session.id, wind, START + timedelta(minutes=n)) for n, wind in enumerate(winds)]
    assert [reading.wind for reading in kept] == winds
    other = store.save_profile(replace(PROFILE, alias="Tam Oddney"), START)
    elsewhere = store.add_reading(store.begin_session(new_session(other.id)).id, CALM_WIND, LATER)
    assert store.readings(session.id) == tuple(kept)
    assert store.readings(player_id=session.player_id) == tuple(kept)
    assert store.readings(player_id=other.id) == (elsewhere,)
    assert store.readings() == (*kept, elsewhere)


def test_a_corrected_reading_keeps_its_id_and_its_old_values(store: Store, session: SessionRecord) -> None:
    first = store.add_reading(session.id, BREEZE, START)
    stronger = replace(BREEZE, speed_mps=8.4, gust_mps=None)
    corrected = store.correct_reading(first.id, stronger, LATER)
    assert corrected == replace(first, wind=stronger)
    (revision,) = store.reading_revisions(first.id)
    assert (revision.at, revision.reason, revision.old) == (LATER, Reason.CORRECTED, first)


def test_an_undone_reading_leaves_its_shots_to_the_one_before(store: Store, session: SessionRecord) -> None:
    first = store.add_reading(session.id, BREEZE, START)
    second = store.add_reading(session.id, CALM_WIND, LATER)
    shot = store.add_shot(session.id, new_shot(reading_id=second.id))
    assert store.undo_reading(second.id, LATER).undone
    assert store.readings(session.id) == (first,)
    assert len(store.readings(session.id, include_undone=True)) == 2
    assert store.shot(shot.id).reading_id == first.id
    store.undo_reading(first.id, LATER)
    assert store.shot(shot.id).reading_id is None
    assert [revision.old for revision in store.reading_revisions(first.id)] == [first]
    with pytest.raises(InputError):
        store.undo_reading(first.id, LATER)


@pytest.mark.parametrize("wind", [replace(BREEZE, speed_mps=math.nan), replace(BREEZE, gust_mps=math.inf)])
def test_a_wind_that_is_no_number_is_refused(store: Store, session: SessionRecord, wind: Wind) -> None:
    with pytest.raises(InputError):
        store.add_reading(session.id, wind, START)
    assert store.readings(session.id) == ()


def test_the_next_ball_is_the_first_that_waits(store: Store, session: SessionRecord) -> None:
    assert store.next_ball(session.id) is None
    put = store.put_agenda(session.id, [ball(2), ball(1), ball(3)])
    assert [record.ball for record in put] == [ball(1), ball(2), ball(3)]
    store.add_shot(session.id, new_shot(agenda_number=1))
    store.mark_ball(session.id, 2, BallState.SKIPPED, "too much wind")
    left = store.next_ball(session.id)
    assert left is not None
    assert left.number == 3
    states = [(record.state, record.skip_reason) for record in store.agenda(session.id)]
    assert states == [(BallState.HIT, ""), (BallState.SKIPPED, "too much wind"), (BallState.WAITING, "")]


def test_a_new_agenda_replaces_only_what_waits(store: Store, session: SessionRecord) -> None:
    store.put_agenda(session.id, [ball(1), ball(2), ball(3), ball(4)])
    store.add_shot(session.id, new_shot(agenda_number=1))
    store.mark_ball(session.id, 2, BallState.SKIPPED)
    shorter = replace(ball(3), stage="test")
    store.put_agenda(session.id, [shorter])
    assert [record.number for record in store.agenda(session.id)] == [1, 2, 3]
    assert store.agenda(session.id)[2].ball == shorter
    with pytest.raises(InputError, match="ball 1"):
        store.put_agenda(session.id, [ball(5), ball(1)])
    assert [record.number for record in store.agenda(session.id)] == [1, 2, 3]


def test_a_ball_is_hit_once_and_a_refused_shot_leaves_nothing(store: Store, session: SessionRecord) -> None:
    store.put_agenda(session.id, [ball(1)])
    store.add_shot(session.id, new_shot(100.0, agenda_number=1))
    for number in (1, 2):
        with pytest.raises(InputError, match=f"ball {number}"):
            store.add_shot(session.id, new_shot(101.0, agenda_number=number))
    assert carries(store, session.id) == [100.0]


def test_a_shot_refused_after_its_ball_was_marked_leaves_the_ball_waiting(
    store: Store, session: SessionRecord
) -> None:
    store.put_agenda(session.id, [ball(1)])
    with pytest.raises(InputError):
        store.add_shot(session.id, new_shot(math.nan, agenda_number=1))
    assert store.agenda(session.id)[0].state is BallState.WAITING


def test_a_hit_ball_waits_again_only_by_undoing_its_shot(store: Store, session: SessionRecord) -> None:
    store.put_agenda(session.id, [ball(1), ball(2)])
    shot = store.add_shot(session.id, new_shot(agenda_number=1))
    with pytest.raises(InputError, match="hit"):
        store.mark_ball(session.id, 1, BallState.WAITING)
    store.undo_shot(shot.id, LATER)
    waiting = store.next_ball(session.id)
    assert waiting is not None
    assert waiting.number == 1
    store.put_agenda(session.id, [ball(2)])
    assert [record.number for record in store.agenda(session.id)] == [2]
