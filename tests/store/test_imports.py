from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from tests.store.samples import BREEZE, ENTRY, LATER, PROFILE, START, ball, carries, new_session, new_shot
from trainer.core.bag import Cell
from trainer.core.conditions import CALM_WIND
from trainer.core.errors import InputError
from trainer.store.records import NewImport, NewSession, NewShot, SessionRecord, Source
from trainer.store.store import Store

SHA = "ab" * 32


def new_import(player_id: int, session: NewSession | int, **changes: Any) -> NewImport:
    shots = tuple(new_shot(100.0 + number, source=Source.TABLE) for number in range(5))
    rows = ((1, "club;carry"), *((number + 2, f"7i;{100 + number}") for number in range(5)))
    new = NewImport(player_id, session, "evening.csv", SHA, LATER, rows, shots, BREEZE)
    return replace(new, **changes)


def test_a_file_is_kept_with_its_session_wind_rows_and_shots(store: Store) -> None:
    player_id = store.player().id
    new = new_import(player_id, new_session(player_id))
    kept = store.add_import(new)
    assert (kept.name, kept.sha256, kept.at, kept.rows, kept.shots) == ("evening.csv", SHA, LATER, 6, 5)
    assert not kept.undone
    assert store.raw_rows(kept.id) == new.raw_rows
    (reading,) = store.readings(kept.session_id)
    assert reading.wind == BREEZE
    shots = store.shots(kept.session_id)
    assert [shot.entry for shot in shots] == [shot.entry for shot in new.shots]
    assert {(shot.import_id, shot.source, shot.reading_id) for shot in shots} == {(kept.id, Source.TABLE, reading.id)}
    assert store.imports(player_id) == (kept,)
    assert store.import_by_hash(player_id, SHA) == kept
    assert store.import_by_hash(player_id, "00") is None


@pytest.mark.parametrize(
    "spoilt",
    [new_shot(math.nan), new_shot(cell=Cell("driver")), new_shot(agenda_number=3)],
    ids=["nan", "club", "ball"],
)
def test_a_file_with_one_bad_row_leaves_no_trace(store: Store, spoilt: NewShot) -> None:
    player_id = store.player().id
    whole = new_import(player_id, new_session(player_id))
    with pytest.raises(InputError):
        store.add_import(replace(whole, shots=(*whole.shots, spoilt)))
    assert store.imports(player_id) == ()
    assert store.sessions(player_id) == ()
    assert store.readings() == ()
    assert store.shots() == ()


def test_a_file_is_imported_once_a_player_until_it_is_undone(store: Store) -> None:
    player_id = store.player().id
    new = new_import(player_id, new_session(player_id))
    first = store.add_import(new)
    with pytest.raises(InputError, match=r"evening\.csv"):
        store.add_import(replace(new, name="evening.csv copy"))
    other = store.save_profile(replace(PROFILE, alias="Tam Oddney"), START)
    store.add_import(new_import(other.id, new_session(other.id)))
    store.undo_import(first.id, LATER)
    again = store.add_import(new)
    assert again.id != first.id
    assert store.import_by_hash(player_id, SHA) == again
    assert [record.undone for record in store.imports(player_id)] == [True, False]


def test_an_undone_import_takes_its_shots_and_its_session_out_of_sight(store: Store, session: SessionRecord) -> None:
    kept = store.add_import(new_import(session.player_id, new_session(session.player_id, LATER)))
    undone = store.undo_import(kept.id, LATER)
    assert undone.undone_at == LATER
    assert carries(store) == []
    assert carries(store, include_undone=True) == [100.0, 101.0, 102.0, 103.0, 104.0]
    assert store.sessions(session.player_id) == (session,)
    assert store.latest_session(session.player_id) == session
    assert store.session(kept.session_id).undone
    assert len(store.raw_rows(kept.id)) == 6
    with pytest.raises(InputError):
        store.undo_import(kept.id, LATER)
    with pytest.raises(InputError):
        store.add_shot(kept.session_id, new_shot())


def test_an_import_into_a_session_that_stands_leaves_it_standing(store: Store, session: SessionRecord) -> None:
    reading = store.add_reading(session.id, CALM_WIND, START)
    store.put_agenda(session.id, [ball(1)])
    typed = store.add_shot(session.id, new_shot(90.0))
    shots = (new_shot(entry=ENTRY, agenda_number=1, reading_id=reading.id),)
    kept = store.add_import(new_import(session.player_id, session.id, shots=shots, wind=None))
    assert kept.session_id == session.id
    assert store.readings(session.id) == (reading,)
    assert store.next_ball(session.id) is None
    store.undo_import(kept.id, LATER)
    assert store.shots(session.id) == (typed,)
    assert store.next_ball(session.id) is not None
    assert store.sessions(session.player_id) == (session,)


def test_an_undone_import_leaves_a_session_that_it_did_not_make(store: Store, session: SessionRecord) -> None:
    kept = store.add_import(new_import(session.player_id, session.id))
    store.undo_import(kept.id, LATER)
    assert store.sessions(session.player_id) == (session,)


def test_a_session_made_by_an_import_stands_while_something_else_was_hit_in_it(store: Store) -> None:
    player_id = store.player().id
    kept = store.add_import(new_import(player_id, new_session(player_id)))
    typed = store.add_shot(kept.session_id, new_shot(90.0))
    store.undo_import(kept.id, LATER)
    assert store.shots(kept.session_id) == (typed,)
    assert [session.id for session in store.sessions(player_id)] == [kept.session_id]


def test_an_import_into_another_players_session_is_refused(store: Store, session: SessionRecord) -> None:
    other = store.save_profile(replace(PROFILE, alias="Tam Oddney"), START)
    with pytest.raises(InputError, match="another player"):
        store.add_import(new_import(other.id, session.id))
    assert store.imports(other.id) == ()
