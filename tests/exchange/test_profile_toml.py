from __future__ import annotations

import math
import re

import pytest
from hypothesis import given, settings

from tests.examples import examples
from tests.exchange import strategies as some
from trainer.core.errors import InputError
from trainer.core.profile import CarryBasis, KnownCarry, Profile, Sees
from trainer.core.units import UnitChoice
from trainer.exchange import profile_toml
from trainer.exchange.profile_toml import read_profile, write_profile

EXAMPLE: str = re.findall(r"```toml\n(.*?)```", profile_toml.__doc__ or "", re.DOTALL)[0]
SHORTEST = 'format = 1\n[known_carry]\nclub = "7i"\ncarry = "150 yd"\n'


def test_the_example_in_the_documentation() -> None:
    profile = read_profile(EXAMPLE, "robin.toml").profile()
    assert profile.alias == "robin"
    assert profile.known_carry == KnownCarry("7 iron", 150 * 0.9144, CarryBasis.MEASURED)
    assert [club.name for club in profile.bag.clubs] == ["7 iron"]
    assert profile.bag.clubs[0].loft_deg == pytest.approx(33)
    assert profile.bag.grip_steps_m == (0.0, 0.0254, 0.0508)
    assert profile.flag("red").bearing_rad == pytest.approx(math.radians(10))


def test_a_known_carry_is_enough_and_its_unit_is_followed() -> None:
    draft = read_profile(SHORTEST, "p.toml")
    assert draft.clubs == ()
    assert draft.known_carry == KnownCarry("7 iron", 150 * 0.9144, CarryBasis.MEASURED)
    assert draft.units == UnitChoice()
    assert read_profile(SHORTEST.replace("150 yd", "137 m"), "p.toml").units == UnitChoice.following("m")
    assert draft.sees is Sees.LANDING
    with pytest.raises(InputError, match="alias"):
        draft.profile()


def test_what_a_draft_leaves_out_is_as_in_a_new_profile() -> None:
    draft = read_profile(EXAMPLE, "p.toml").profile()
    plain = Profile(draft.alias, draft.bag, draft.known_carry, flags=draft.flags)
    assert draft == plain


def test_clubs_come_longest_first() -> None:
    club = '[[club]]\nname = "{}"\nloft = "{} deg"\nlength = "0.9 m"\ncarry = "{} m"\n'
    text = "format = 1\n" + club.format("9i", 41, 118) + club.format("5 iron", 27, 155) + club.format("own", 33, 137)
    draft = read_profile(text, "p.toml")
    assert [one.name for one in draft.clubs] == ["5 iron", "own", "9 iron"]
    assert draft.units == UnitChoice.following("m")


def _changed(old: str, new: str) -> str:
    assert old in EXAMPLE
    return EXAMPLE.replace(old, new, 1)


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ("", "p.toml: format"),
        ("format = 1\n", "p.toml"),
        (_changed("format = 1", "format = 2"), "p.toml:1: format"),
        (_changed("format = 1", 'format = "1"'), "p.toml:1: format"),
        (_changed("alias = ", "allias = "), "p.toml:2: allias"),
        (_changed('"robin"', '""'), "p.toml:2: alias"),
        (_changed('"robin"', f'"{"a" * 41}"'), "p.toml:2: alias"),
        (_changed('"robin"', '"a\\u0007"'), "p.toml:2: alias"),
        (_changed('"right"', '"both"'), "p.toml:3: hand"),
        (_changed('"7 m"', '"7"'), "p.toml:8: pin_depth"),
        (_changed('"7 m"', '"700 m"'), "p.toml:8: pin_depth"),
        (_changed('"7 m"', "7"), "p.toml:8: pin_depth"),
        (_changed('["0 in", ', "["), "p.toml:10: grip_steps"),
        (_changed('"2 in"]', '"1 in"]'), "p.toml:10: grip_steps"),
        (_changed('"2 in"]', '"5 in"]'), "p.toml:10: grip_steps"),
        (_changed('grip = "in"', 'grip = "mph"'), "p.toml:16: units.grip"),
        (_changed('grip = "in"', 'gripp = "in"'), "p.toml:16: units.gripp"),
        (_changed('club = "7 iron"', 'club = "6 iron"'), "p.toml:20: known_carry.club"),
        (_changed('carry = "150 yd"', 'carry = "9 m"'), "p.toml:21: known_carry.carry"),
        (_changed("basis = ", "bases = "), "p.toml:22: known_carry.bases"),
        (_changed('name = "7 iron"', 'name = "7, iron"'), "p.toml:25: club[1].name"),
        (_changed('"33 deg"', '"4 deg"'), "p.toml:26: club[1].loft"),
        (_changed('"33 deg"', '"33 m"'), "p.toml:26: club[1].loft"),
        (_changed('length = "0.94 m"', 'lengths = "0.94 m"'), "p.toml:27: club[1].lengths"),
        (_changed('"0.94 m"', '"1.4 m"'), "p.toml:27: club[1].length"),
        (EXAMPLE + "\n[[club]]\n", "p.toml:35: club[2].name"),
        (_changed('name = "red"', 'name = "red flag"'), "p.toml:31: flag[1].name"),
        (_changed('"10 deg"', '"100 deg"'), "p.toml:33: flag[1].bearing"),
        (EXAMPLE + '\n[[flag]]\nname = "RED"\ndistance = "9 m"\n', "p.toml:36: flag[2].name"),
        (_changed("[units]", "[units"), "p.toml:12"),
        (_changed('hand = "right"', '"hand" = "both"'), "p.toml:3: hand"),
        (_changed('"robin"', "'''\nhand = 1'''").replace('"right"', '"both"'), "p.toml:4: hand"),
        ("[[club]]\n" * 31 + EXAMPLE, "p.toml"),
    ],
)
def test_refusals_name_the_file_the_line_and_the_key(text: str, where: str) -> None:
    with pytest.raises(InputError) as refused:
        read_profile(text, "p.toml")
    assert refused.value.where.startswith(where)
    assert refused.value.what
    assert refused.value.remedy
    assert "\n" not in str(refused.value)


def test_two_names_for_one_club_are_refused() -> None:
    again = EXAMPLE[EXAMPLE.index("[[club]]") : EXAMPLE.index("[[flag]]")].replace("7 iron", "7i")
    with pytest.raises(InputError, match="twice"):
        read_profile(EXAMPLE + again, "p.toml")


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 900,
        "a = " + "[\n" * 100_000,
        "a = " + '{"b"=' * 190,
        ("a." * 499 + "a = 1\n"),
        "a = " + "9" * 900,
        "#" * 300_000,
        "\n" * 300_000,
        "x = 1\n" * 3,
        "format = 1\nalias = '''\n\x00'''",
        "format = 1979-05-27",
        "\ud800",
    ],
)
def test_hostile_files_are_refused(text: str) -> None:
    with pytest.raises(InputError):
        read_profile(text, "p.toml")


@given(some.profiles())
@settings(max_examples=examples(60))
def test_written_and_read_again_a_profile_is_the_same(profile: Profile) -> None:
    assert read_profile(write_profile(profile), "p.toml").profile() == profile
