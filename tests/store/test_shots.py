from __future__ import annotations

import math
import sqlite3
from dataclasses import fields, replace
from datetime import datetime, timedelta, timezone

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.examples import examples
from tests.store.samples import (
    BREEZE,
    CELL,
    ENTRY,
    LATER,
    PROFILE,
    START,
    ball,
    carries,
    new_session,
    new_shot,
)
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import Ball, Seen, Surface
from trainer.core.errors import InputError
from trainer.core.shot import CarryOrigin, Depth, ShotEntry, Width
from trainer.store.records import Mark, NewShot, Reason, SessionRecord, Source
from trainer.store.store import Store

numbers = st.floats(allow_nan=False, allow_infinity=False)
seen_numbers = st.none() | numbers
words = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
entries = st.builds(
    ShotEntry,
    carry_m=seen_numbers,
    total_m=seen_numbers,
    side_m=seen_numbers,
    flag=st.none() | words,
    flag_offset_m=seen_numbers,
    depth=st.none() | st.sampled_from(Depth),
    width=st.none() | st.sampled_from(Width),
    apex_m=seen_numbers,
    hang_s=seen_numbers,
    ball_speed_mps=seen_numbers,
    launch_rad=seen_numbers,
    spin_rad_s=seen_numbers,
    mishit=st.booleans(),
    unseen=st.booleans(),
    tags=st.lists(words, max_size=4).map(tuple),
    resolution_m=seen_numbers,
)
ranges = st.none() | st.tuples(numbers, numbers).map(lambda ends: (min(ends), max(ends)))
offsets = st.none() | st.integers(-14 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
new_shots = st.builds(
    NewShot,
    at=st.datetimes(timezones=offsets),
    cell=st.builds(
        Cell,
        st.sampled_from([club.name for club in PROFILE.bag.clubs]),
        st.floats(min_value=0, allow_infinity=False),
        st.sampled_from(Swing),
    ),
    entry=entries,
    target_m=seen_numbers,
    target_bearing_rad=numbers,
    ball=st.sampled_from(Ball),
    surface=st.sampled_from(Surface),
    seen=st.sampled_from(Seen),
    carry_origin=st.sampled_from(CarryOrigin),
    called_50_m=ranges,
    called_80_m=ranges,
    mark=st.none() | st.sampled_from(Mark),
    source=st.sampled_from(Source),
)
property_settings = settings(
    max_examples=examples(150), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


@given(new=new_shots)
@property_settings
def test_a_shot_comes_back_as_it_was_given(store: Store, session: SessionRecord, new: NewShot) -> None:
    kept = store.add_shot(session.id, new)
    for field in fields(NewShot):
        assert getattr(kept, field.name) == getattr(new, field.name), field.name
    assert kept.at.utcoffset() == new.at.utcoffset()
    assert store.shot(kept.id) == kept
    assert store.shots(session.id)[-1] == kept


@given(first=entries, second=entries)
@property_settings
def test_a_correction_puts_the_whole_new_entry_and_keeps_the_whole_old_one(
    store: Store, session: SessionRecord, first: ShotEntry, second: ShotEntry
) -> None:
    kept = store.add_shot(session.id, new_shot(entry=first))
    assert store.correct_shot(kept.id, LATER, entry=second) == replace(kept, entry=second)
    (revision,) = store.revisions(kept.id)
    assert (revision.at, revision.reason, revision.old) == (LATER, Reason.CORRECTED, kept)


def test_the_samples_of_a_shot_use_every_field() -> None:
    # Without this a field added to the core could be lost on the way with every round trip still passing.
    assert {field.name for field in fields(ShotEntry)} == {
        "carry_m", "total_m", "side_m", "flag", "flag_offset_m", "depth", "width", "apex_m", "hang_s",
        "ball_speed_mps", "launch_rad", "spin_rad_s", "mishit", "unseen", "tags", "resolution_m",
    }  # fmt: skip


def test_shots_are_numbered_in_their_session_in_recorded_order(store: Store, session: SessionRecord) -> None:
    other = store.begin_session(new_session(session.player_id, LATER))
    for session_id, carry_m in [(session.id, 100.0), (other.id, 101.0), (session.id, 102.0), (other.id, 103.0)]:
        store.add_shot(session_id, new_shot(carry_m))
    assert carries(store) == [100.0, 101.0, 102.0, 103.0]
    assert [(shot.number, shot.entry.carry_m) for shot in store.shots(other.id)] == [(1, 101.0), (2, 103.0)]
    assert len({shot.uid for shot in store.shots()}) == 4


def test_shots_of_one_player_are_not_anothers(store: Store, session: SessionRecord) -> None:
    other = store.save_profile(replace(PROFILE, alias="Tam Oddney"), START)
    theirs = store.begin_session(new_session(other.id))
    store.add_shot(session.id, new_shot(entry=ENTRY))
    store.add_shot(theirs.id, new_shot(101.0))
    assert [shot.entry for shot in store.shots(player_id=session.player_id)] == [ENTRY]
    assert [shot.entry.carry_m for shot in store.shots(player_id=other.id)] == [101.0]
    assert store.shots(theirs.id, player_id=session.player_id) == ()


def test_a_club_may_be_spelt_in_any_usual_way(store: Store, session: SessionRecord) -> None:
    kept = store.add_shot(session.id, new_shot(cell=Cell("7I")))
    assert kept.cell == Cell("7 iron")


def test_a_club_not_in_the_bag_is_refused(store: Store, session: SessionRecord) -> None:
    with pytest.raises(InputError, match="driver") as caught:
        store.add_shot(session.id, new_shot(cell=Cell("driver")))
    assert "7 iron" in caught.value.remedy


def test_a_reading_of_another_session_is_refused(store: Store, session: SessionRecord) -> None:
    elsewhere = store.begin_session(new_session(session.player_id))
    reading = store.add_reading(elsewhere.id, BREEZE, START)
    with pytest.raises(InputError, match="reading"):
        store.add_shot(session.id, new_shot(reading_id=reading.id))
    assert store.add_shot(elsewhere.id, new_shot(reading_id=reading.id)).reading_id == reading.id


def test_a_cell_is_corrected_by_itself(store: Store, session: SessionRecord) -> None:
    kept = store.add_shot(session.id, new_shot(entry=ENTRY))
    eight = Cell("8 iron", 0.0, Swing.HALF)
    corrected = store.correct_shot(kept.id, LATER, cell=eight)
    assert corrected.cell == eight
    assert corrected.club_id == next(c.id for c in store.clubs(session.player_id) if c.club.name == "8 iron")
    assert corrected.entry == ENTRY


def test_a_corrected_grip_keeps_the_specification_the_shot_was_hit_with(store: Store, session: SessionRecord) -> None:
    kept = store.add_shot(session.id, new_shot())
    seven = replace(PROFILE.bag.clubs[0], loft_rad=0.5)
    store.save_profile(replace(PROFILE, bag=replace(PROFILE.bag, clubs=(seven,))), LATER)
    corrected = store.correct_shot(kept.id, LATER, cell=Cell("7 iron", 0.0508))
    assert corrected.club_id == kept.club_id
    assert corrected.cell.grip_down_m == 0.0508


def test_every_change_is_kept_in_order(store: Store, session: SessionRecord) -> None:
    kept = store.add_shot(session.id, new_shot(100.0))
    times = [LATER + timedelta(minutes=minute) for minute in range(3)]
    store.correct_shot(kept.id, times[0], entry=ShotEntry(carry_m=101.0))
    store.correct_shot(kept.id, times[1], entry=ShotEntry(carry_m=102.0), cell=Cell("8 iron"))
    store.undo_shot(kept.id, times[2])
    revisions = store.revisions(kept.id)
    assert [revision.at for revision in revisions] == times
    assert [revision.old.entry.carry_m for revision in revisions] == [100.0, 101.0, 102.0]
    assert [revision.old.cell.club for revision in revisions] == ["7 iron", "7 iron", "8 iron"]
    assert [revision.reason for revision in revisions] == [Reason.CORRECTED, Reason.CORRECTED, Reason.UNDONE]


def test_an_undone_shot_is_listed_only_when_asked_for_and_changes_no_more(
    store: Store, session: SessionRecord
) -> None:
    store.put_agenda(session.id, [ball(1)])
    first = store.add_shot(session.id, new_shot(100.0, agenda_number=1))
    store.add_shot(session.id, new_shot(101.0))
    undone = store.undo_shot(first.id, LATER)
    assert undone.undone
    assert carries(store, session.id) == [101.0]
    assert carries(store, session.id, include_undone=True) == [100.0, 101.0]
    assert store.revisions(first.id)[0].old.agenda_number == 1
    with pytest.raises(InputError, match="undone"):
        store.undo_shot(first.id, LATER)
    with pytest.raises(InputError, match="undone"):
        store.correct_shot(first.id, LATER, cell=CELL)
    again = store.add_shot(session.id, new_shot(102.0, agenda_number=1))
    assert (again.number, again.agenda_number) == (3, 1)


def test_a_correction_of_nothing_is_refused(store: Store, session: SessionRecord) -> None:
    kept = store.add_shot(session.id, new_shot())
    with pytest.raises(InputError):
        store.correct_shot(kept.id, LATER)
    assert store.revisions(kept.id) == ()


@pytest.mark.parametrize(
    "shot",
    [
        new_shot(math.nan),
        new_shot(math.inf),
        new_shot(target_m=math.nan),
        new_shot(target_bearing_rad=-math.inf),
        new_shot(called_80_m=(100.0, math.nan)),
        new_shot(called_50_m=(110.0, 100.0)),
        new_shot(cell=Cell("7 iron", -0.01)),
        new_shot(entry=ShotEntry(carry_m=100.0, tags=("\udc80",))),
    ],
    ids=["nan", "infinite", "target", "bearing", "range", "upside-down", "grip-down", "half-a-character"],
)
def test_what_no_record_may_hold_is_refused_whole(store: Store, session: SessionRecord, shot: NewShot) -> None:
    with pytest.raises(InputError):
        store.add_shot(session.id, shot)
    assert store.shots(session.id) == ()


def test_many_shots_are_read_in_a_fixed_number_of_queries(store: Store, session: SessionRecord) -> None:
    def queries() -> int:
        heard: list[str] = []
        store._database.connection.set_trace_callback(heard.append)
        store.shots(player_id=session.player_id)
        store._database.connection.set_trace_callback(None)
        return len(heard)

    store.add_shot(session.id, new_shot(entry=ENTRY))
    few = queries()
    for _ in range(30):
        store.add_shot(session.id, new_shot(entry=ENTRY))
    assert queries() == few


def test_a_uid_that_is_taken_is_never_overwritten(store: Store, session: SessionRecord) -> None:
    kept = store.add_shot(session.id, new_shot(100.0))
    store._new_uid = lambda: kept.uid
    with pytest.raises(InputError):
        store.add_shot(session.id, new_shot(101.0))
    assert store.shots(session.id) == (kept,)


def test_a_mistake_of_ours_is_not_laid_at_the_stores_door(store: Store) -> None:
    store.close()
    with pytest.raises(sqlite3.ProgrammingError):
        store.players()


def test_times_are_kept_to_the_microsecond(store: Store, session: SessionRecord) -> None:
    at = datetime(2026, 5, 4, 18, 30, 0, 123456)
    assert store.add_shot(session.id, new_shot(at=at)).at == at
