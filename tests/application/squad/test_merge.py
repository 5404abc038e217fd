"""Results merged into coaches' stores: in any order, any number of times, and never over what stands."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.application.squad.squad_stores import (
    CELL,
    PlayerStore,
    breeze,
    contents,
    handed_on,
    open_coach,
    open_player,
    take_in,
)
from tests.examples import examples
from trainer.application.squad.result_tables import shared_of
from trainer.core.errors import InputError
from trainer.core.profile import AgeBand
from trainer.core.shot import ShotEntry
from trainer.exchange.result_file import read_result
from trainer.store.records import Mark
from trainer.store.squad_records import Decision, NewAssignment
from trainer.store.store import Store

STEPS = ("begin", "hit", "hit", "hit on the agenda", "read wind", "change club", "undo", "end", "submit")


def played(player: PlayerStore, steps: list[str]) -> list[bytes]:
    """The files of a player who begins a session, goes through `steps` and hands in at the end."""
    player.begin()
    files: list[bytes] = []
    fresh: list[int] = []
    for step in [*steps, "hit", "submit"]:
        match step:
            case "begin":
                player.begin()
            case "hit" | "hit on the agenda":
                fresh.append(player.hit(90.0 + len(fresh), on_agenda=step == "hit on the agenda"))
            case "read wind":
                player.read_wind()
            case "change club":
                player.change_club()
            case "end":
                player.store.end_session(player.session_id, player.tick())
            case "undo" if fresh:
                player.store.undo_shot(fresh.pop(), player.tick())
            case "submit":
                files += player.submit()
                fresh.clear()  # what was handed in is not taken back: that would be a conflict
    return files


@st.composite
def exchanges(draw: st.DrawFn) -> tuple[list[list[str]], st.DataObject]:
    return draw(st.lists(st.lists(st.sampled_from(STEPS), max_size=8), min_size=2, max_size=2)), draw(st.data())


@given(exchanges())
@settings(max_examples=examples(12))
def test_two_coaches_agree_whatever_order_results_come_in(exchange: tuple[list[list[str]], st.DataObject]) -> None:
    steps, data = exchange
    with TemporaryDirectory() as name, ExitStack() as stack:
        folder = Path(name)
        players = [open_player(stack, folder, alias) for alias in ("kestrel", "wren")]
        files = [file for player, own in zip(players, steps, strict=True) for file in played(player, own)]
        one, other, all_at_once = (open_coach(stack, folder / f"coach-{i}" / "trainer.db") for i in range(3))
        mine = data.draw(st.lists(st.sampled_from(files)), label="collected twice, or not at all, by one")
        take_in(one, mine)
        take_in(other, data.draw(st.permutations([file for file in files if file not in mine] + mine[:1])))
        for_other, for_one = handed_on(one), handed_on(other)
        merged = take_in(one, data.draw(st.permutations(for_one))) + take_in(other, for_other)
        merged += take_in(all_at_once, data.draw(st.permutations(files)))
        assert not any(each.conflicts for each in merged)
        assert contents(one) == contents(other) == contents(all_at_once)


@pytest.fixture
def stack() -> Iterator[ExitStack]:
    with ExitStack() as opened:
        yield opened


@pytest.fixture
def player(stack: ExitStack, tmp_path: Path) -> PlayerStore:
    """A player with a session of three shots, one of them undone, and a new wind before the third."""
    player = open_player(stack, tmp_path, "kestrel")
    player.begin("a-plan-3f9a1c2d")
    player.hit(on_agenda=True)
    player.store.undo_shot(player.hit(on_agenda=True), player.tick())
    player.read_wind()
    player.hit(on_agenda=True)
    return player


@pytest.fixture
def coach(stack: ExitStack, tmp_path: Path) -> Store:
    return open_coach(stack, tmp_path / "coach" / "trainer.db")


def test_a_session_arrives_as_it_stands(player: PlayerStore, coach: Store) -> None:
    take_in(coach, player.submit())
    (ours,), (theirs,) = (
        store.sessions(store.player(alias).id) for store, alias in ((coach, "kestrel"), (player.store, "me"))
    )
    here, there = coach.squad.shared_session(ours.id), player.store.squad.shared_session(theirs.id)
    assert here == replace(there, session=replace(there.session, note=""))
    assert [shot.drill for shot in here.shots] == ["club-down ladder", "", "club-down ladder"]
    arrived = coach.player("kestrel").profile
    assert replace(arrived, alias="me", age_band=None) == player.store.player().profile
    assert arrived.age_band is AgeBand.FROM_14


def test_collecting_again_adds_nothing(player: PlayerStore, coach: Store) -> None:
    files = player.submit()
    take_in(coach, files)
    before = contents(coach)
    (again,) = take_in(coach, files)
    assert (again.new_session, again.shots, again.held_shots, again.conflicts) == (False, 0, 3, ())
    assert contents(coach) == before


def test_a_session_that_went_on_grows(player: PlayerStore, coach: Store) -> None:
    take_in(coach, player.submit())
    player.read_wind()
    player.hit(88.0)
    (merged,) = take_in(coach, player.submit())
    assert (merged.readings, merged.shots, merged.held_shots) == (1, 1, 3)


def test_an_older_file_that_comes_later_changes_nothing(
    player: PlayerStore, coach: Store, stack: ExitStack, tmp_path: Path
) -> None:
    """The session was ended, another club came into the bag, and the session went on and was ended again."""
    player.store.end_session(player.session_id, player.tick())
    before = player.submit()
    player.change_club()
    player.hit(88.0)
    player.store.end_session(player.session_id, player.tick())
    after = player.submit()
    take_in(coach, [*after, *before])
    second = open_coach(stack, tmp_path / "second" / "trainer.db")
    take_in(second, [*before, *after])
    assert contents(coach) == contents(second)
    (session,) = coach.sessions(coach.player("kestrel").id)
    assert session.ended_at == player.store.session(player.session_id).ended_at
    assert coach.player("kestrel").profile.bag == player.store.player().profile.bag


def test_a_club_that_only_an_older_file_knows_joins_the_retired(player: PlayerStore, coach: Store) -> None:
    (older,) = player.submit()
    player.begin()
    player.change_club()
    player.hit()
    newer = player.submit()[-1]
    result = shared_of(read_result(newer, "a"))
    forgotten = replace(result, player=replace(result.player, retired=()))
    assert not coach.squad.merge(forgotten).conflicts
    take_in(coach, [older])
    clubs = coach.clubs(coach.player("kestrel").id, include_retired=True)
    assert [club.club.name for club in clubs if club.retired] == ["7 iron"]
    assert len(coach.shots()) == 3


def changed_entry(player: PlayerStore, shot: int) -> None:
    player.store.correct_shot(shot, player.tick(), entry=ShotEntry(carry_m=70.0))


def changed_cell(player: PlayerStore, shot: int) -> None:
    player.store.correct_shot(shot, player.tick(), cell=replace(CELL, grip_down_m=0.0))


def changed_club(player: PlayerStore, shot: int) -> None:
    player.store.correct_shot(shot, player.tick(), cell=replace(CELL, club="8 iron"))


def changed_mark(player: PlayerStore, shot: int) -> None:
    player.store.set_mark(shot, Mark.GUST, player.tick())


def undone(player: PlayerStore, shot: int) -> None:
    player.store.undo_shot(shot, player.tick())


def changed_wind(player: PlayerStore, shot: int) -> None:
    player.store.correct_reading(player.store.readings()[0].id, breeze(9.0), player.tick())


def changed_flag(player: PlayerStore, shot: int) -> None:
    entry = ShotEntry(carry_m=96.0, flag="blue", flag_offset_m=-4.0)
    player.store.correct_shot(shot, player.tick(), entry=entry, aimed_at=(100.5, 0.2))


def undone_wind(player: PlayerStore, shot: int) -> None:
    player.store.undo_reading(player.store.readings()[0].id, player.tick())


def undone_later_wind(player: PlayerStore, shot: int) -> None:
    player.store.undo_reading(player.store.readings()[-1].id, player.tick())


@pytest.mark.parametrize(
    "change",
    [changed_entry, changed_cell, changed_flag, changed_mark, undone, changed_wind, undone_wind, undone_later_wind],
)
def test_other_content_under_one_id_is_a_conflict_in_either_order(
    player: PlayerStore, coach: Store, stack: ExitStack, tmp_path: Path, change: object
) -> None:
    assert callable(change)
    before = player.submit()
    change(player, player.store.shots()[0].id)
    player.hit(95.0)
    after = player.submit()
    second = open_coach(stack, tmp_path / "second" / "trainer.db")
    for store, first, then in ((coach, before, after), (second, after, before)):
        take_in(store, first)
        stands = contents(store)
        (merged,) = take_in(store, then)
        assert merged.conflicts
        assert (merged.new_session, merged.readings, merged.shots) == (False, 0, 0)
        assert contents(store) == stands


@pytest.mark.parametrize(
    "change",
    [
        changed_entry,
        changed_cell,
        changed_club,
        changed_flag,
        changed_mark,
        undone,
        changed_wind,
        undone_wind,
        undone_later_wind,
    ],
)
def test_a_correction_is_taken_where_the_coach_says_so_and_the_old_values_are_kept(
    player: PlayerStore, coach: Store, change: object
) -> None:
    assert callable(change)
    before = player.submit()
    take_in(coach, before)
    change(player, player.store.shots()[0].id)
    player.hit(95.0)
    (content,) = player.submit()
    after = shared_of(read_result(content, "a"))
    merged = coach.squad.merge(after, corrections=True)
    assert (merged.corrected, merged.shots, merged.conflicts) == (1, 1, ())
    (session,) = coach.sessions(coach.player("kestrel").id)
    here = coach.squad.shared_session(session.id)
    assert (here.shots, here.readings) == (after.session.shots, after.session.readings)
    revised = [coach.revisions(shot.id) for shot in coach.shots(include_undone=True)]
    of_winds = [coach.reading_revisions(each.id) for each in coach.readings(include_undone=True)]
    assert sum(map(len, revised)) + sum(map(len, of_winds)) == 1
    stands = contents(coach)
    old = coach.squad.merge(shared_of(read_result(before[0], "a")), corrections=True)
    assert old.conflicts
    assert contents(coach) == stands
    assert coach.squad.merge(after, corrections=True).corrected == 0


def test_what_no_correction_can_have_made_stays_a_conflict(player: PlayerStore, coach: Store) -> None:
    (content,) = player.submit()
    take_in(coach, [content])
    result = shared_of(read_result(content, "a"))
    first, *others = result.session.shots
    forged = replace(first, shot=replace(first.shot, target_m=77.0))
    later = replace(
        result,
        handed_in_at=player.tick(),
        session=replace(result.session, shots=(forged, *others)),
    )
    assert coach.squad.merge(later, corrections=True).conflicts


def test_one_alias_never_gathers_two_players(
    player: PlayerStore, coach: Store, stack: ExitStack, tmp_path: Path
) -> None:
    take_in(coach, player.submit())
    stands = contents(coach)
    (tmp_path / "other").mkdir()
    other = open_player(stack, tmp_path / "other", "kestrel")
    other.begin()
    other.hit()
    (merged,) = take_in(coach, other.submit())
    assert merged.conflicts
    player.alias = "wren"
    (merged,) = take_in(coach, player.submit())
    assert merged.conflicts
    assert contents(coach) == stands


def test_a_player_not_in_the_squad_is_refused(player: PlayerStore, coach: Store) -> None:
    player.alias = "nobody"
    with pytest.raises(InputError, match="nobody"):
        take_in(coach, player.submit())


def test_a_member_does_not_take_over_a_player_of_the_coachs_own(
    player: PlayerStore, coach: Store, stack: ExitStack
) -> None:
    coach.save_profile(replace(player.player.profile, alias="Kestrel"), player.now)
    (merged,) = take_in(coach, player.submit())
    assert merged.conflicts
    assert coach.shots() == ()


def test_after_acceptance_no_ball_is_added(player: PlayerStore, coach: Store) -> None:
    member = coach.squad.member("kestrel")
    plan_id = "a-plan-3f9a1c2d"
    coach.squad.add_assignments(
        [NewAssignment("3f9a1c2d", member.id, plan_id, "A plan", player.now, player.now.date())]
    )
    with pytest.raises(InputError):
        coach.squad.decide(plan_id, Decision.ACCEPTED, player.now)
    take_in(coach, player.submit())
    coach.squad.decide(plan_id, Decision.ACCEPTED, player.tick())
    (same,) = take_in(coach, player.submit())
    assert same.conflicts == ()
    player.hit()
    (more,) = take_in(coach, player.submit())
    assert more.conflicts
    assert len(coach.shots()) == 2


def test_a_long_session_goes_out_in_parts_and_comes_together(player: PlayerStore, coach: Store) -> None:
    for number in range(200):
        player.hit(80.0 + number / 10)
    files = player.submit()
    assert len(files) == 2
    take_in(coach, reversed(files))
    (session,) = coach.sessions(coach.player("kestrel").id)
    here = coach.squad.shared_session(session.id)
    there = player.store.squad.shared_session(player.session_id)
    assert here.shots == there.shots
