from __future__ import annotations

import math
from dataclasses import fields, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.exchange import strategies as some
from trainer.core.errors import InputError
from trainer.core.profile import Sees
from trainer.core.shot import Depth, ShotEntry, Width
from trainer.core.units import UnitChoice
from trainer.exchange.typed_shot import parse_typed_shot, print_typed_shot, tags_in

YARDS = UnitChoice()
METRES = UnitChoice.following("m")
YARD_M = 0.9144  # international yard, NIST SP 811


def landing(text: str, units: UnitChoice = YARDS) -> ShotEntry:
    return parse_typed_shot(text, units, Sees.LANDING)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("142", ShotEntry(carry_m=142 * YARD_M, resolution_m=YARD_M)),
        ("142/151", ShotEntry(carry_m=142 * YARD_M, total_m=151 * YARD_M, resolution_m=YARD_M)),
        ("/151", ShotEntry(total_m=151 * YARD_M, resolution_m=YARD_M)),
        ("130m", ShotEntry(carry_m=130.0, resolution_m=1.0)),
        ("130metres", ShotEntry(carry_m=130.0, resolution_m=1.0)),
        ("130meter", ShotEntry(carry_m=130.0, resolution_m=1.0)),
        ("130.5m", ShotEntry(carry_m=130.5, resolution_m=0.1)),
        ("6L", ShotEntry(side_m=-6 * YARD_M)),
        ("6mR", ShotEntry(side_m=6.0)),
        ("red-5", ShotEntry(flag="red", flag_offset_m=-5 * YARD_M, resolution_m=YARD_M)),
        ("RED+3m", ShotEntry(flag="red", flag_offset_m=3.0, resolution_m=1.0)),
        ("^22", ShotEntry(apex_m=22 * 0.3048)),
        ("hang=5.3", ShotEntry(hang_s=5.3)),
        ("speed=100", ShotEntry(ball_speed_mps=100 * 0.44704)),
        ("launch=14", ShotEntry(launch_rad=14 * math.pi / 180)),
        ("spin=6000", ShotEntry(spin_rad_s=6000 * math.pi / 30)),
        ("x", ShotEntry(mishit=True)),
        ("-", ShotEntry(unseen=True)),
        ("−", ShotEntry(unseen=True)),
        ("x 142 #closer", ShotEntry(carry_m=142 * YARD_M, mishit=True, tags=("closer",), resolution_m=YARD_M)),
        ("Short Left", ShotEntry(depth=Depth.SHORT, width=Width.LEFT)),
        ("straight", ShotEntry(width=Width.STRAIGHT)),
        ("z5 x", ShotEntry(depth=Depth.PIN, width=Width.STRAIGHT, mishit=True)),
    ],
)
def test_each_token_of_the_grammar(text: str, expected: ShotEntry) -> None:
    assert landing(text) == expected


@pytest.mark.parametrize("depth_row", range(3))
@pytest.mark.parametrize("column", range(3))
def test_zones_lie_as_on_a_number_pad(depth_row: int, column: int) -> None:
    # 7 8 9 is the far row of a number pad, so it is long; 1 4 7 is its left column
    entry = landing(f"z{1 + column + 3 * depth_row}")
    assert entry.depth is (Depth.SHORT, Depth.PIN, Depth.LONG)[depth_row]
    assert entry.width is (Width.LEFT, Width.STRAIGHT, Width.RIGHT)[column]


def test_a_bare_number_is_what_the_player_sees() -> None:
    finish = parse_typed_shot("142", YARDS, Sees.FINISH)
    assert finish.total_m == landing("142").carry_m
    assert finish.carry_m is None
    assert parse_typed_shot("142/151", YARDS, Sees.FINISH) == landing("142/151")


def test_bare_numbers_are_in_the_players_units() -> None:
    assert landing("142 6L ^22 speed=45", METRES) == landing("142m 6mL ^22m speed=45m/s", YARDS)


@pytest.mark.parametrize(
    ("text", "at_fault"),
    [
        ("142 abc", "abc"),
        ("0", "0"),
        ("-5", "-5"),
        ("900", "900"),
        ("401", "401"),
        ("142 6", "6"),
        ("142 6 L", "6"),
        ("142 151L", "151L"),
        ("142 #", "#"),
        ("142 #Low_1", "#Low_1"),
        ("142 #" + "a" * 31, "#" + "a" * 31),
        ("142,5", "142,5"),
        ("142,6L", "142,6L"),
        ("1,142", "1,142"),
        ("142 ^80.1m", "^80.1m"),
        ("142 hang=13", "hang=13"),
        ("142 speed=101m/s", "speed=101m/s"),
        ("142 launch=-6", "launch=-6"),
        ("142 spin=15001", "spin=15001"),
        ("142 hang=", "hang="),
        ("142 carry=3", "carry=3"),
        ("142 speed=60m", "speed=60m"),
        ("142mph", "142mph"),
        ("6L 3R", "3R"),
        ("x 142 X", "X"),
        ("z5 pin", "pin"),
        ("short long", "long"),
        ("left right", "right"),
        ("#low 142 #LOW", "#LOW"),
        ("142 -", "-"),
        ("- z5", "z5"),
        ("- 6L", "6L"),
        ("- red-5", "red-5"),
        ("142 short", "short"),
        ("6L long", "long"),
        ("142 red-5", "red-5"),
        ("142/151m", "142/151m"),
        ("151/120", "151/120"),
        ("142//151", "142//151"),
        ("/", "/"),
        ("z0", "z0"),
        ("z10", "z10"),
        ("1e2", "1e2"),
        ("٣٣", "٣٣"),
        ("inf", "inf"),
        ("hang=nan", "hang=nan"),
    ],
)
def test_what_is_not_right_is_refused_with_the_token(text: str, at_fault: str) -> None:
    with pytest.raises(InputError) as refused:
        landing(text)
    assert refused.value.where == at_fault
    assert refused.value.what
    assert refused.value.remedy


@pytest.mark.parametrize("text", ["", "   ", "#closer", "142\x00", "142\x1b[2J", "142\n6L", "142\u202e6L", "1" * 201])
def test_lines_that_say_nothing_or_cannot_be_typed_are_refused(text: str) -> None:
    with pytest.raises(InputError) as refused:
        landing(text)
    assert "\n" not in str(refused.value)
    assert str(refused.value).isprintable()


def test_the_limits_themselves_are_allowed() -> None:
    entry = landing("400 150L ^80m hang=12 speed=100m/s launch=70 spin=15000")
    assert entry.carry_m == pytest.approx(400 * YARD_M)
    assert landing("x hang=0.3 speed=5m/s launch=-5 spin=0 ^0").hang_s == 0.3


def test_a_ball_may_spin_back_but_not_by_a_swapped_pair() -> None:
    assert landing("110/104").total_m == pytest.approx(104 * YARD_M)
    with pytest.raises(InputError):
        landing("151/130")


def test_the_step_is_the_carrys_where_both_are_given() -> None:
    assert landing("/151.5 142").resolution_m == landing("142/151.5").resolution_m == YARD_M
    assert landing("/151.5").resolution_m == pytest.approx(0.1 * YARD_M)


def test_tags_in_a_note() -> None:
    assert tags_in("low one, #Low; into it #gust #low no#tag #a_b") == ("low", "gust")


@given(some.typed_shots(), some.units, some.sees, some.units, some.sees)
def test_printed_and_read_again_a_typed_shot_is_the_same(
    text: str, units: UnitChoice, sees: Sees, other_units: UnitChoice, other_sees: Sees
) -> None:
    """Exactly, whatever units it was typed in and whatever units and eyes it is printed for."""
    entry = parse_typed_shot(text, units, sees)
    again = parse_typed_shot(print_typed_shot(entry, other_units, other_sees), other_units, other_sees)
    assert again == entry


@given(some.typed_shots(), some.units, some.sees, st.randoms(use_true_random=False))
def test_the_order_and_the_case_of_tokens_do_not_matter(
    text: str, units: UnitChoice, sees: Sees, random: object
) -> None:
    tokens = text.split()
    random.shuffle(tokens)  # type: ignore[attr-defined]  # hypothesis gives a random.Random that it controls
    one, other = parse_typed_shot(text, units, sees), parse_typed_shot(" ".join(tokens).swapcase(), units, sees)
    assert replace(one, tags=tuple(sorted(one.tags))) == replace(other, tags=tuple(sorted(other.tags)))


_measured = st.builds(
    ShotEntry,
    carry_m=st.floats(0.001, 350),
    total_m=st.none() | st.floats(345, 365),
    side_m=st.none() | st.floats(-137, 137),
    apex_m=st.none() | st.floats(0, 80),
    hang_s=st.none() | st.floats(0.3, 12),
    ball_speed_mps=st.none() | st.floats(5, 100),
    launch_rad=st.none() | st.floats(-0.087, 1.22),
    spin_rad_s=st.none() | st.floats(0, 1570),
    mishit=st.booleans(),
)


@given(_measured, some.units, some.sees)
def test_a_measured_shot_is_printed_to_a_nanometre(entry: ShotEntry, units: UnitChoice, sees: Sees) -> None:
    again = parse_typed_shot(_cut(print_typed_shot(entry, units, sees)), units, sees)
    for field in fields(ShotEntry):
        if field.name != "resolution_m":
            value = getattr(entry, field.name)
            expected = pytest.approx(value, rel=1e-9, abs=1e-9) if isinstance(value, float) else value
            assert getattr(again, field.name) == expected, field.name


def _cut(text: str) -> str:
    assert len(text) <= 200
    return text
