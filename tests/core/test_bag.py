from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.bag import Bag, Cell, Club, Swing, canonical_club, require_grip_down, swing_named
from trainer.core.conditions import Wind, WindKnowledge
from trainer.core.errors import InputError

BAG = Bag((Club("7 iron", 0.6, 0.94, 137.0), Club("my old spoon", 0.25, 1.08, 180.0)))


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("7i", "7 iron"),
        ("Iron 7", "7 iron"),
        ("7-IRON", "7 iron"),
        ("7 iron", "7 iron"),
        ("PW", "pitching wedge"),
        ("3w", "3 wood"),
        ("Hybrid 4", "4 hybrid"),
        ("Driver", "driver"),
        ("My  Old Spoon", "my old spoon"),
    ],
)
def test_clubs_are_known_however_they_are_written(text: str, name: str) -> None:
    assert canonical_club(text) == name


@given(st.text(max_size=30))
def test_a_name_once_written_out_stays(text: str) -> None:
    assert canonical_club(canonical_club(text)) == canonical_club(text)


def test_a_club_that_is_not_there_names_the_bag() -> None:
    assert BAG.club("7i").name == "7 iron"
    with pytest.raises(InputError, match="my old spoon"):
        BAG.club("6 iron")


def test_the_cells_are_club_by_grip_by_swing() -> None:
    cells = BAG.cells()
    assert len(cells) == len(set(cells)) == 2 * 3 * 3
    assert cells[0] == Cell("7 iron")
    assert cells[0].is_stock


@pytest.mark.parametrize(
    ("text", "swing"), [("3/4", Swing.THREE_QUARTER), ("Half", Swing.HALF), ("full", Swing.FULL)]
)
def test_swings_are_named(text: str, swing: Swing) -> None:
    assert swing_named(text) is swing


def test_what_is_no_swing_or_no_grip_is_refused() -> None:
    with pytest.raises(InputError):
        swing_named("hard")
    for grip_m in (-0.01, 0.2, math.nan):
        with pytest.raises(InputError):
            require_grip_down(grip_m)


def wind(speed_mps: float, from_deg: float) -> Wind:
    return Wind(WindKnowledge.READ, speed_mps, math.radians(from_deg))


@pytest.mark.parametrize(
    ("from_deg", "along", "across"), [(0, -10, 0), (90, 0, -10), (180, 10, 0), (270, 0, 10), (45, -7.0711, -7.0711)]
)
def test_a_wind_is_told_by_where_it_comes_from(from_deg: float, along: float, across: float) -> None:
    blowing = wind(10, from_deg)
    assert blowing.along_mps == pytest.approx(along, abs=1e-4)
    assert blowing.across_mps == pytest.approx(across, abs=1e-4)


@given(st.floats(0, 40), st.floats(0, 359), st.floats(-1.5, 1.5), st.floats(-1.5, 1.5))
def test_turning_to_a_flag_and_back_changes_nothing(speed: float, from_deg: float, one: float, other: float) -> None:
    start = wind(speed, from_deg)
    there = start.turned(one).turned(other).turned(-one - other)
    assert there.along_mps == pytest.approx(start.along_mps, abs=1e-9)
    assert there.across_mps == pytest.approx(start.across_mps, abs=1e-9)


def test_a_flag_to_the_right_meets_a_wind_from_ahead_on_its_left() -> None:
    # Facing a flag 30° to the right of the line, a wind into the face of the line comes from the left of it.
    turned = wind(10, 0).turned(math.radians(30))
    assert turned.across_mps > 0
