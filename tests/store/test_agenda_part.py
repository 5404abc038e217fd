"""An agenda that changes while it is hit, and the wait after thunder: what the store keeps of both."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from tests.store.samples import BREEZE, LATER, START, ball, new_session, new_shot
from trainer.core.bag import Cell
from trainer.core.errors import InputError
from trainer.store.records import BallState, SessionRecord
from trainer.store.store import Store, open_store

FIFTY, EIGHTY = (120.0, 132.0), (112.0, 141.0)
BASIS = '{"a": 1}'
OWN = ball(2, cell=Cell("8 iron"), target_m=None, flag=None, reason="Your own choice.", override="knee hurts")


def balls_of(store: Store, session: SessionRecord) -> list[object]:
    return [record.ball for record in store.agenda(session.id)]


def test_a_ball_comes_back_with_block_override_and_call(store: Store, session: SessionRecord) -> None:
    given = [
        ball(1, block=3, override="my wrist", called_50_m=FIFTY, called_80_m=EIGHTY),
        ball(2),
    ]
    store.put_agenda(session.id, given, BASIS)
    assert balls_of(store, session) == given
    assert store.agenda_basis(session.id) == BASIS


def test_a_new_agenda_takes_the_basis_of_the_old_away(store: Store, session: SessionRecord) -> None:
    assert store.agenda_basis(session.id) is None
    store.put_agenda(session.id, [ball(1)], BASIS)
    store.put_agenda(session.id, [ball(1)])
    assert store.agenda_basis(session.id) is None


def test_a_rest_that_cannot_be_put_leaves_the_old_one_whole(store: Store, session: SessionRecord) -> None:
    store.put_agenda(session.id, [ball(1), ball(2), ball(3)], BASIS)
    store.add_shot(session.id, new_shot(agenda_number=1))
    before = store.agenda(session.id)
    with pytest.raises(InputError):
        store.put_agenda(session.id, [ball(5), ball(1)], '{"b": 2}')
    assert store.agenda(session.id) == before
    assert store.agenda_basis(session.id) == BASIS


def test_a_waiting_ball_is_changed_and_loses_its_call(store: Store, session: SessionRecord) -> None:
    store.put_agenda(session.id, [ball(1), ball(2, called_50_m=FIFTY, called_80_m=EIGHTY)], BASIS)
    assert store.change_ball(session.id, OWN).ball == OWN
    assert balls_of(store, session) == [ball(1), OWN]
    assert store.agenda_basis(session.id) == BASIS


@pytest.mark.parametrize("state", [BallState.SKIPPED, BallState.HIT])
def test_a_ball_that_is_behind_the_player_is_not_changed(
    store: Store, session: SessionRecord, state: BallState
) -> None:
    store.put_agenda(session.id, [ball(1), ball(2)])
    store.mark_ball(session.id, 2, state, "tired" if state is BallState.SKIPPED else "")
    with pytest.raises(InputError, match="ball 2"):
        store.change_ball(session.id, OWN)
    assert not store.call_ball(session.id, 2, FIFTY, EIGHTY)
    assert store.agenda(session.id)[1].ball == ball(2)


def test_a_call_is_kept_before_the_ball_and_another_wind_makes_it_void(store: Store, session: SessionRecord) -> None:
    store.put_agenda(session.id, [ball(1), ball(2)])
    first = store.add_reading(session.id, BREEZE, START)
    changes: list[Callable[[], object]] = [
        lambda: store.add_reading(session.id, BREEZE, LATER),
        lambda: store.correct_reading(first.id, replace(BREEZE, speed_mps=3.0), LATER),
        lambda: store.undo_reading(first.id, LATER),
    ]
    for change in changes:
        assert store.call_ball(session.id, 1, FIFTY, EIGHTY)
        assert (store.agenda(session.id)[0].ball.called_50_m, store.agenda(session.id)[0].ball.called_80_m) == (
            FIFTY,
            EIGHTY,
        )
        change()
        assert store.agenda(session.id)[0].ball == ball(1)
    with pytest.raises(InputError):
        store.call_ball(session.id, 1, (2.0, 1.0), EIGHTY)


def test_the_ball_holds_the_range_that_was_called_for_its_shot(store: Store, session: SessionRecord) -> None:
    store.put_agenda(session.id, [ball(1), ball(2)])
    store.call_ball(session.id, 1, FIFTY, EIGHTY)
    later = (100.0, 140.0)
    store.add_shot(session.id, new_shot(agenda_number=1, called_50_m=FIFTY, called_80_m=later))
    store.add_reading(session.id, BREEZE, LATER)
    assert store.agenda(session.id)[0].ball == ball(1, called_50_m=FIFTY, called_80_m=later)


def test_a_shot_taken_back_leaves_its_ball_as_the_player_chose_it(store: Store, session: SessionRecord) -> None:
    store.put_agenda(session.id, [OWN])
    shot = store.add_shot(session.id, new_shot(agenda_number=2, cell=OWN.cell))
    store.undo_shot(shot.id, LATER)
    (record,) = store.agenda(session.id)
    assert (record.state, record.ball) == (BallState.WAITING, OWN)


def test_thunder_is_kept_in_order_and_the_last_can_be_taken_back(
    store: Store, session: SessionRecord, path: Path
) -> None:
    again = START + timedelta(minutes=12)
    for moment in (START, again):
        store.hear_thunder(session.id, moment)
    store.close()
    with open_store(path, write=True) as opened:
        assert opened.thunder(session.id) == (START, again)
        opened.take_thunder_back(session.id)
        assert opened.thunder(session.id) == (START,)
        opened.take_thunder_back(session.id)
        with pytest.raises(InputError, match="no thunder"):
            opened.take_thunder_back(session.id)
        with pytest.raises(InputError, match="9999"):
            opened.hear_thunder(9999, START)


def test_an_agenda_and_thunder_of_another_session_stay_apart(store: Store, session: SessionRecord) -> None:
    other = store.begin_session(new_session(store.player().id))
    store.put_agenda(session.id, [ball(1)], BASIS)
    store.hear_thunder(session.id, START)
    assert store.agenda(other.id) == ()
    assert store.agenda_basis(other.id) is None
    assert store.thunder(other.id) == ()
