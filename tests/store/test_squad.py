from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from tests.store.samples import LATER, PROFILE, START, ball, new_session, new_shot
from trainer.core.errors import InputError, StoreError
from trainer.core.profile import AgeBand
from trainer.store.records import Mark, PlayerRecord, SessionRecord
from trainer.store.squad_records import Decision, Merged, NewAssignment, NewMember, SharedResult, TakenAssignment
from trainer.store.store import Store, open_store

MEMBER = NewMember("kestrel", AgeBand.FROM_14, date(2026, 5, 1), date(2027, 5, 4))
DUE = date(2026, 5, 11)


@pytest.fixture
def player(store: Store) -> PlayerRecord:
    return store.save_profile(PROFILE, START)


def test_a_member_is_kept_and_changed_under_one_alias_whatever_its_case(store: Store) -> None:
    kept = store.squad.save_member(MEMBER, START)
    assert (kept.alias, kept.age_band, kept.consent_date, kept.keep_until) == (
        "kestrel", AgeBand.FROM_14, date(2026, 5, 1), date(2027, 5, 4),
    )  # fmt: skip
    changed = store.squad.save_member(replace(MEMBER, alias="KESTREL", consent_date=None), LATER)
    assert (changed.id, changed.added_at, changed.consent_date) == (kept.id, START, None)
    assert store.squad.members() == (changed,)
    assert store.squad.member("kestrel") == changed


@pytest.mark.parametrize(
    ("band", "consent", "may"),
    [
        (AgeBand.FROM_14, None, False),
        (AgeBand.FROM_14, date(2026, 5, 1), True),
        (AgeBand.ADULT, None, True),
    ],
)
def test_a_junior_is_kept_with_consent_only(store: Store, band: AgeBand, consent: date | None, may: bool) -> None:
    assert store.squad.save_member(replace(MEMBER, age_band=band, consent_date=consent), START).may_be_kept is may


def test_a_member_is_past_his_date_the_day_after_it(store: Store) -> None:
    member = store.squad.save_member(MEMBER, START)
    assert not member.is_past_keep(MEMBER.keep_until)
    assert member.is_past_keep(MEMBER.keep_until + timedelta(days=1))


def test_members_come_in_the_order_of_their_aliases(store: Store) -> None:
    for alias in ("wren", "Avocet", "kestrel"):
        store.squad.save_member(replace(MEMBER, alias=alias), START)
    assert [member.alias for member in store.squad.members()] == ["Avocet", "kestrel", "wren"]


def test_a_coachs_notes_are_kept_in_order(store: Store) -> None:
    member = store.squad.save_member(MEMBER, START)
    for number, text in enumerate(("one", "two = '; DROP TABLE player; --'")):
        store.squad.add_note(member.id, text, START + timedelta(days=number))
    assert [note.text for note in store.squad.notes(member.id)] == ["one", "two = '; DROP TABLE player; --'"]


def test_an_assignment_tells_how_far_it_came(store: Store, player: PlayerRecord) -> None:
    member = store.squad.save_member(replace(MEMBER, alias=PROFILE.alias), START)
    store.squad.add_assignments([NewAssignment("u1", member.id, "plan-u1", "A plan", START, DUE)])
    (held,) = store.squad.assignments(member.id)
    assert (held.plan_id, held.due, held.started_at, held.handed_in_at, held.decision) == (
        "plan-u1", DUE, None, None, None,
    )  # fmt: skip
    for decision in Decision:
        with pytest.raises(InputError):
            store.squad.decide("plan-u1", decision, LATER)
    with pytest.raises(InputError):
        store.squad.decide("plan-u2", Decision.ACCEPTED, LATER)
    with pytest.raises(InputError):
        store.squad.add_assignments([NewAssignment("u2", member.id, "plan-u1", "A plan", START, DUE)])


def test_what_a_player_took_up_is_started_and_handed_in_by_its_sessions(store: Store, player: PlayerRecord) -> None:
    taken = TakenAssignment("u1", player.id, "kestrel", AgeBand.FROM_14, "plan-u1", "A plan", START, DUE, START)
    for _ in range(2):
        store.squad.take(taken)
    assert store.squad.taken(player.id) == (taken,)
    session = store.begin_session(replace(new_session(player.id, LATER), plan_id="plan-u1"))
    store.add_shot(session.id, new_shot())
    assert store.squad.taken(player.id) == (replace(taken, started_at=LATER),)
    for at in (LATER + timedelta(days=1), LATER):
        store.squad.note_handed_in([session.id], at)
    told = replace(taken, started_at=LATER, handed_in_at=LATER + timedelta(days=1))
    assert store.squad.taken(player.id) == (told,)
    assert store.squad.handed_in(player.id) == {session.id: LATER + timedelta(days=1)}


def test_a_ball_undone_and_hit_again_after_it_was_handed_in_is_taken(store: Store, tmp_path: Path) -> None:
    player = store.player()
    session = store.begin_session(new_session(player.id))
    store.put_agenda(session.id, [ball(1), ball(2)])
    first = store.add_shot(session.id, new_shot(agenda_number=1))
    with open_store(tmp_path / "coach.db", write=True) as coach:
        coach.squad.save_member(MEMBER, START)

        def hand_in(at: datetime) -> Merged:
            mine = store.squad
            told = SharedResult("kestrel", at, mine.shared_player(player.id, at), mine.shared_session(session.id))
            return coach.squad.merge(told, corrections=True)

        assert hand_in(LATER).shots == 1
        store.undo_shot(first.id, LATER)
        store.put_agenda(session.id, [ball(1, drill="gust wait"), ball(2)])
        store.add_shot(session.id, new_shot(140.0, agenda_number=1))
        again = hand_in(LATER + timedelta(days=1))
        assert (again.conflicts, again.corrected, again.shots) == ((), 1, 1)
        (held,) = coach.sessions(coach.player("kestrel").id)
        assert coach.squad.shared_session(held.id).shots == store.squad.shared_session(session.id).shots


@pytest.mark.parametrize("table", ["squad_note", "squad_assignment", "handed_in", "taken_assignment"])
def test_a_time_that_is_none_is_told_as_damage(store: Store, path: Path, player: PlayerRecord, table: str) -> None:
    member = store.squad.save_member(MEMBER, START)
    store.squad.add_note(member.id, "a word", START)
    store.squad.add_assignments([NewAssignment("u1", member.id, "plan-u1", "A plan", START, DUE)])
    store.squad.take(
        TakenAssignment("u1", player.id, "kestrel", AgeBand.FROM_14, "plan-u1", "A plan", START, DUE, START)
    )
    store.squad.note_handed_in([store.begin_session(new_session(player.id)).id], LATER)
    column = "assigned_at" if table.endswith("assignment") else "at"
    with closing(sqlite3.connect(path)) as other, other:
        other.execute(f"UPDATE {table} SET {column} = 'some day'")
    read: dict[str, Callable[[], object]] = {
        "squad_note": lambda: store.squad.notes(member.id),
        "squad_assignment": lambda: store.squad.assignments(member.id),
        "handed_in": lambda: store.squad.handed_in(player.id),
        "taken_assignment": lambda: store.squad.taken(player.id),
    }
    with pytest.raises(StoreError, match="damaged"):
        read[table]()


def test_a_time_that_is_none_is_told_as_damage_where_a_write_meets_it(
    store: Store, path: Path, session: SessionRecord
) -> None:
    kept = store.add_shot(session.id, new_shot())
    with closing(sqlite3.connect(path)) as other, other:
        other.execute("UPDATE shot SET at = 'some day'")
    with pytest.raises(StoreError, match="damaged"):
        store.set_mark(kept.id, Mark.GUST, LATER)


def test_a_reader_sees_the_squad_and_changes_nothing(store: Store, path: Path) -> None:
    store.squad.save_member(MEMBER, START)
    with open_store(path, write=False) as reader:
        assert [member.alias for member in reader.squad.members()] == ["kestrel"]
        with pytest.raises(StoreError):
            reader.squad.save_member(MEMBER, LATER)


def test_a_purge_of_a_member_takes_his_player_notes_and_assignments(store: Store, player: PlayerRecord) -> None:
    member = store.squad.save_member(MEMBER, START)
    store.squad.add_note(member.id, "a word", START)
    store.squad.add_assignments([NewAssignment("u1", member.id, "plan-u1", "A plan", START, DUE)])
    store.purge("Kestrel")
    assert store.squad.members() == ()
    assert store.squad.notes(member.id) == ()
    assert store.squad.assignments(member.id) == ()
    assert store.players() == (player,)


def test_a_purge_of_several_with_one_unknown_removes_nobody(store: Store, player: PlayerRecord) -> None:
    store.squad.save_member(MEMBER, START)
    with pytest.raises(InputError):
        store.purge("kestrel", "nobody")
    assert [member.alias for member in store.squad.members()] == ["kestrel"]
