"""Rounds, the course log, what was called and what the player said: kept whole, linked, and gone with him."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from tests.store.samples import BREEZE, ENTRY, LATER, PROFILE, START, new_session, new_shot
from trainer.core.conditions import CALM_WIND
from trainer.core.errors import InputError
from trainer.core.shot import ShotEntry
from trainer.store.migrations import MIGRATIONS, migrate
from trainer.store.records import SessionKind, SessionRecord
from trainer.store.store import Store, open_store

SHAPE = tuple(100.0 + k for k in range(49))
OLD_ROWS: dict[str, dict[str, object]] = {
    "player": {
        "id": 1, "uid": "p", "alias": "Wren", "hand": "right", "distance_unit": "yd", "speed_unit": "mph",
        "temperature_unit": "F", "grip_unit": "in", "height_unit": "ft", "ball": "range", "surface": "grass",
        "sees": "landing", "seen": "eye", "pin_depth_m": 7.0, "pin_width_m": 7.0, "known_club": "7 iron",
        "known_carry_m": 137.0, "known_basis": "measured", "grip_steps_m": "[0]", "saved_at": START.isoformat(),
    },
    "club": {
        "id": 1, "player_id": 1, "name": "7 iron", "loft_rad": 0.57, "length_m": 0.94, "stock_carry_m": 137.0,
        "position": 0, "since": START.isoformat(),
    },
    "session": {
        "id": 1, "uid": "s", "player_id": 1, "started_at": START.isoformat(), "air_temperature_k": 288.0,
        "air_pressure_pa": 101325.0, "air_relative_humidity": 0.0, "air_stated": 0, "turf": "medium", "note": "",
    },
    "shot": {
        "id": 1, "uid": "b", "session_id": 1, "number": 1, "at": START.isoformat(), "club_id": 1, "grip_down_m": 0.0,
        "swing": "full", "target_bearing_rad": 0.0, "ball": "range", "surface": "grass", "seen": "eye",
        "carry_m": 128.0, "mishit": 0, "unseen": 0, "carry_origin": "seen", "source": "typed",
    },
}  # fmt: skip
"""A player, his club, a session and a ball as a store of an earlier version holds them."""

CARD = {"text": "7 iron 140", "json": "{}"}


def test_a_course_session_is_no_session_to_go_on_with(store: Store, session: SessionRecord) -> None:
    player_id = session.player_id
    later = START + timedelta(days=1)
    course = store.begin_session(replace(new_session(player_id, later), kind=SessionKind.COURSE))
    assert course.kind is SessionKind.COURSE
    assert [each.kind for each in store.sessions(player_id)] == [SessionKind.RANGE, SessionKind.COURSE]
    assert store.latest_session(player_id) == session


def test_what_was_called_is_kept_to_the_last_figure(store: Store, session: SessionRecord) -> None:
    shot = store.add_shot(session.id, new_shot(called_shape_m=SHAPE))
    assert store.shot(shot.id).called_shape_m == SHAPE
    assert store.add_shot(session.id, new_shot()).called_shape_m is None
    store.correct_shot(shot.id, LATER, entry=ENTRY)
    (revision,) = store.revisions(shot.id)
    assert revision.old.called_shape_m == store.shot(shot.id).called_shape_m == SHAPE


def test_a_carry_said_goes_with_the_next_ball_alone(store: Store, session: SessionRecord) -> None:
    store.add_own_call(session.id, START, carry_m=120.0)
    store.add_own_call(session.id, START, carry_m=125.0)  # he thought again: the later counts
    first, _ = store.add_shot(session.id, new_shot()), store.add_shot(session.id, new_shot())
    given = {call.carry_m: call.shot_id for call in store.own_calls(session.player_id)}
    assert given == {120.0: None, 125.0: first.id}


def test_a_call_whose_ball_was_undone_waits_again(store: Store, session: SessionRecord) -> None:
    store.add_own_call(session.id, START, carry_m=125.0)
    wrong = store.add_shot(session.id, new_shot())
    store.undo_shot(wrong.id, LATER)
    right = store.add_shot(session.id, new_shot())
    (call,) = store.own_calls(session.player_id)
    assert call.shot_id == right.id


def test_a_wind_guessed_goes_with_the_next_reading(store: Store, session: SessionRecord) -> None:
    first = store.add_reading(session.id, CALM_WIND, START)
    store.add_own_call(session.id, START, wind=BREEZE)
    second = store.add_reading(session.id, BREEZE, LATER)
    store.add_reading(session.id, BREEZE, LATER)
    (call,) = store.own_calls(session.player_id)
    assert (call.reading_id, call.shot_id) == (second.id, None)
    assert (call.wind_mps, call.wind_from_rad) == (BREEZE.speed_mps, BREEZE.from_rad)
    store.correct_reading(first.id, BREEZE, LATER)
    assert store.own_calls(session.player_id) == (call,)


def test_a_guess_goes_with_a_reading_put_right_in_its_place(store: Store, session: SessionRecord) -> None:
    reading = store.add_reading(session.id, CALM_WIND, START)
    store.add_own_call(session.id, START, wind=BREEZE)
    store.correct_reading(reading.id, BREEZE, LATER)
    (call,) = store.own_calls(session.player_id)
    assert call.reading_id == reading.id


def test_a_call_says_one_thing(store: Store, session: SessionRecord) -> None:
    for said in ({}, {"carry_m": 120.0, "wind": BREEZE}, {"carry_m": float("nan")}):
        with pytest.raises(InputError):
            store.add_own_call(session.id, START, **said)
    assert store.own_calls(session.player_id) == ()


def test_a_call_of_one_session_is_not_taken_by_another(store: Store, session: SessionRecord) -> None:
    store.add_own_call(session.id, START, carry_m=125.0)
    other = store.begin_session(new_session(session.player_id, LATER))
    store.add_shot(other.id, new_shot())
    (call,) = store.own_calls(session.player_id)
    assert call.shot_id is None


def test_a_round_and_its_card(store: Store, path: Path) -> None:
    player_id = store.player().id
    assert store.latest_round(player_id) is None
    begun = store.start_round(player_id, START, CARD)
    assert (begun.started_at, begun.ended_at, begun.card) == (START, None, CARD)
    ended = store.end_round(begun.id, LATER)
    assert ended.ended_at == LATER
    again = store.start_round(player_id, LATER, CARD)
    store.close()
    with open_store(path, write=False) as reader:
        assert reader.latest_round(player_id) == again


def test_a_purge_takes_it_all(store: Store, session: SessionRecord, path: Path) -> None:
    store.start_round(session.player_id, START, {"text": "a card of Quillfeather"})
    store.add_own_call(session.id, START, carry_m=125.0)
    store.add_shot(session.id, new_shot(called_shape_m=SHAPE))
    store.purge(PROFILE.alias)
    store.close()
    with closing(sqlite3.connect(path)) as connection:
        for table in ("round", "own_call", "shot", "session"):
            assert connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0] == 0
    assert b"Quillfeather" not in path.read_bytes()


def test_an_older_store_is_brought_up_with_its_shots(path: Path) -> None:
    path.parent.mkdir(parents=True)
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        migrate(connection, [each for each in MIGRATIONS if each.number < 3])
        for table, values in OLD_ROWS.items():
            columns, marks = ", ".join(values), ", ".join("?" * len(values))
            connection.execute(f"INSERT INTO {table} ({columns}) VALUES ({marks})", tuple(values.values()))
        row = connection.execute("SELECT * FROM shot").fetchone()
        names = [column[0] for column in connection.execute("SELECT * FROM shot").description]
        old = {**dict(zip(names, row, strict=True)), "club_name": "7 iron", "standing_reading_id": None, "tags": []}
        connection.execute(
            "INSERT INTO revision (shot_id, at, reason, old_values) VALUES (1, ?, 'corrected', ?)",
            (START.isoformat(), json.dumps(old)),
        )
    with open_store(path, write=True) as store:
        (shot,) = store.shots()
        assert shot.entry == ShotEntry(carry_m=128.0)
        assert shot.called_shape_m is None
        assert store.sessions(1)[0].kind is SessionKind.RANGE
        (revision,) = store.revisions(1)
        assert revision.old.entry.carry_m == 128.0
