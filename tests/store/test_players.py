from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.examples import examples
from tests.store.samples import EIGHT, LATER, PROFILE, SEVEN, START, WEDGE, new_session, new_shot
from trainer.core.bag import Bag, Club
from trainer.core.conditions import Ball, Seen, Surface
from trainer.core.errors import InputError
from trainer.core.profile import AgeBand, CarryBasis, Hand, KnownCarry, Profile, RangeFlag, Sees
from trainer.core.units import UnitChoice
from trainer.store.store import Store

numbers = st.floats(allow_nan=False, allow_infinity=False)
words = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=12)
# A name that means another name of the bag would be the same club twice.
club_names = st.lists(
    words.filter(lambda text: text.split()), max_size=6, unique_by=lambda text: " ".join(text.lower().split())
)
profiles = st.builds(
    Profile,
    alias=words,
    bag=st.builds(
        lambda names, club, steps: Bag(tuple(replace(club, name=f"own {name}") for name in names), tuple(steps)),
        club_names,
        st.builds(Club, st.just(""), numbers, numbers, numbers),
        st.lists(numbers, max_size=4),
    ),
    known_carry=st.builds(KnownCarry, words, numbers, st.sampled_from(CarryBasis)),
    units=st.sampled_from([UnitChoice.following("m"), UnitChoice.following("yd")]),
    hand=st.sampled_from(Hand),
    ball=st.sampled_from(Ball),
    surface=st.sampled_from(Surface),
    sees=st.sampled_from(Sees),
    seen=st.sampled_from(Seen),
    flags=st.lists(st.builds(RangeFlag, words, numbers, numbers), max_size=3).map(tuple),
    pin_depth_m=numbers,
    pin_width_m=numbers,
    age_band=st.sampled_from((None, *AgeBand)),
)


@given(profile=profiles)
@settings(max_examples=examples(40), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_profile_comes_back_as_it_was_saved(store: Store, profile: Profile) -> None:
    assert store.save_profile(profile, START).profile == profile
    assert store.player(profile.alias).profile == profile
    assert store.save_profile(profile, LATER).profile == profile


def test_saving_again_changes_the_same_player(store: Store) -> None:
    first = store.player()
    changed = replace(PROFILE, seen=Seen.LASER, flags=(RangeFlag("oak", 120.0),))
    again = store.save_profile(changed, LATER)
    assert (again.id, again.uid, again.profile) == (first.id, first.uid, changed)
    assert len(store.players()) == 1


def test_an_unchanged_club_keeps_its_id_wherever_it_stands_and_however_it_is_spelt(store: Store) -> None:
    player_id = store.player().id
    before = {record.club.name: record.id for record in store.clubs(player_id)}
    bag = Bag((WEDGE, replace(SEVEN, name="7i", stock_carry_m=140.0), EIGHT))
    saved = store.save_profile(replace(PROFILE, bag=bag), LATER)
    assert saved.profile.bag == bag
    after = [(record.club.name, record.id) for record in store.clubs(player_id, include_retired=True)]
    assert after == [
        ("pitching wedge", before["pitching wedge"]),
        ("7i", before["7 iron"]),
        ("8 iron", before["8 iron"]),
    ]


@pytest.mark.parametrize(
    "changed", [replace(SEVEN, loft_rad=math.radians(31)), replace(SEVEN, length_m=0.953)], ids=["loft", "length"]
)
def test_a_changed_specification_is_another_club_and_the_old_shots_stay_with_the_old_one(
    store: Store, changed: Club
) -> None:
    player_id = store.player().id
    session = store.begin_session(new_session(player_id))
    old_shot = store.add_shot(session.id, new_shot())
    store.save_profile(replace(PROFILE, bag=Bag((changed, EIGHT, WEDGE))), LATER)
    new = store.add_shot(session.id, new_shot())
    old = store.shot(old_shot.id)
    assert old.club_id != new.club_id
    assert old.cell.club == new.cell.club == "7 iron"
    assert [shot.club_id for shot in store.shots(player_id=player_id)] == [old.club_id, new.club_id]
    held = {record.id: record for record in store.clubs(player_id, include_retired=True)}
    assert held[old.club_id].club == SEVEN
    assert held[old.club_id].retired == LATER
    assert held[new.club_id].club == changed
    assert held[new.club_id].since == LATER
    assert held[new.club_id].retired is None


def test_a_club_put_back_with_its_old_specification_is_that_club_again(store: Store) -> None:
    player_id = store.player().id
    before = store.clubs(player_id)
    store.save_profile(replace(PROFILE, bag=Bag((replace(SEVEN, loft_rad=0.5), EIGHT))), LATER)
    store.save_profile(PROFILE, LATER)
    assert store.clubs(player_id) == before


def test_a_bag_with_one_club_twice_is_refused_and_changes_nothing(store: Store) -> None:
    with pytest.raises(InputError, match="7 iron"):
        store.save_profile(replace(PROFILE, bag=Bag((SEVEN, replace(EIGHT, name="Iron 7")))), LATER)
    assert store.player().profile == PROFILE


def test_the_only_player_needs_no_name_and_case_does_not_matter(store: Store) -> None:
    assert store.player() == store.player("WREN quillfeather")


def test_several_players_are_named_and_one_must_be_picked(store: Store) -> None:
    other = store.save_profile(replace(PROFILE, alias="Tam Oddney"), START)
    with pytest.raises(InputError) as caught:
        store.player()
    assert "Wren Quillfeather, Tam Oddney" in caught.value.what
    assert "--player" in caught.value.remedy
    assert store.player("Tam Oddney") == other
    with pytest.raises(InputError, match="Nobody"):
        store.player("Nobody")


def test_players_have_bags_of_their_own(store: Store) -> None:
    other = store.save_profile(replace(PROFILE, alias="Tam Oddney", bag=Bag((SEVEN,))), START)
    assert store.player("Wren Quillfeather").profile == PROFILE
    assert store.clubs(other.id)[0].id not in {club.id for club in store.clubs(store.players()[0].id)}


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_number_that_is_none_is_refused(store: Store, value: float) -> None:
    for profile in (
        replace(PROFILE, pin_depth_m=value),
        replace(PROFILE, bag=Bag((replace(SEVEN, length_m=value),))),
        replace(PROFILE, bag=Bag((SEVEN,), (0.0, value))),
        replace(PROFILE, flags=(RangeFlag("red", value),)),
    ):
        with pytest.raises(InputError):
            store.save_profile(profile, LATER)
    assert store.player().profile == PROFILE
