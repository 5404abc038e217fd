"""Winds, shots and carries in a player's words, from outside values where there are some."""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.tui.helpers import a_profile
from trainer.application.conditions.stated import StatedConditions
from trainer.application.flights.counterpart import counterpart
from trainer.application.flights.wind_cost import sentences
from trainer.application.practice import Practice
from trainer.application.session.live_figures import LiveFigures
from trainer.application.session.live_words import change_words, stamp
from trainer.application.session.typed_check import check_line, check_temperature, check_wind
from trainer.application.setup.first_run import FirstAnswers, HowKnown, make_profile
from trainer.application.views.wind import beaufort, typed_wind, view_wind
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import CALM_WIND, UNKNOWN_WIND, ReadingMethod, Wind, WindKnowledge, WindPlace
from trainer.core.errors import InputError
from trainer.core.profile import CarryBasis, Hand
from trainer.core.units import UnitChoice, to_si
from trainer.exchange.wind_text import parse_wind
from trainer.store.store import open_store

YARDS, METRES = UnitChoice(), UnitChoice.following("m")
WHEN = datetime(2026, 5, 14, 18, 30)


@pytest.mark.parametrize(
    ("knots", "number"),
    [
        (0, 0),
        (2, 1),
        (5, 2),
        (9, 3),
        (13, 4),
        (19, 5),
        (25, 6),
        (30, 7),
        (37, 8),
        (44, 9),
        (52, 10),
        (60, 11),
        (70, 12),
    ],
)
def test_beaufort_numbers_as_they_are_defined_in_knots(knots: float, number: int) -> None:
    """WMO-No. 306, code table 1100: equivalent speeds in knots."""
    assert beaufort(to_si(knots, "kn")) == number


@pytest.mark.parametrize(
    ("degrees", "words"),
    [(0, "into the face"), (90, "across, from the right"), (180, "from behind"), (270, "across, from the left")],
)
def test_a_wind_is_said_from_where_it_comes(degrees: float, words: str) -> None:
    wind = Wind(WindKnowledge.READ, 6.0, math.radians(degrees))
    assert view_wind(wind, YARDS).direction == words


def test_what_is_not_a_wind_is_not_drawn() -> None:
    assert not view_wind(UNKNOWN_WIND, YARDS).known
    calm = view_wind(CALM_WIND, YARDS)
    assert calm.known
    assert not calm.blows


@given(
    mph=st.integers(1, 60),
    degrees=st.integers(0, 359),
    gust=st.none() | st.integers(61, 90),
    method=st.sampled_from(ReadingMethod),
    place=st.sampled_from(WindPlace),
    units=st.sampled_from([YARDS, METRES]),
)
def test_a_wind_as_typed_reads_back(
    mph: int, degrees: int, gust: int | None, method: ReadingMethod, place: WindPlace, units: UnitChoice
) -> None:
    text = f"{mph}mph {degrees}deg {method} {place}" + (f" gust {gust}mph" if gust else "")
    wind = parse_wind(text, units)
    again = parse_wind(typed_wind(wind, units), units)
    assert again == wind


@pytest.mark.parametrize("wind", [CALM_WIND, UNKNOWN_WIND])
def test_calm_and_unknown_read_back(wind: Wind) -> None:
    assert parse_wind(typed_wind(wind, YARDS), YARDS) == wind


@pytest.mark.parametrize(
    ("text", "good"),
    [("142 6L", True), ("142 x 6R #wet", True), ("red-5", True), ("pink-5", False), ("142 142", False)],
)
def test_a_line_is_checked_as_it_would_be_kept(text: str, good: bool) -> None:
    assert check_line(text, a_profile()).good is good


def test_checks_say_the_question() -> None:
    assert "come from" in check_wind("14mph", YARDS)[0].words
    assert check_wind("", YARDS)[1] is None
    assert not check_temperature("12X", YARDS).good
    assert check_temperature("", YARDS).good
    assert "cold" in check_temperature("4C", YARDS).words
    assert check_temperature("50C", YARDS).good
    assert not check_temperature("52C", YARDS).good, "no ball is flown in such an air"


@pytest.mark.parametrize(
    ("tag", "meant"), [("low-chekced", "low-checked"), ("undr", "under"), ("sur", ""), ("wet-ball", ""), ("over", "")]
)
def test_a_tag_that_is_nearly_a_known_one_is_asked_about(tag: str, meant: str) -> None:
    """A mistyped tag is kept as the player's own, and then no aim and no estimate hears of it."""
    said = check_line(f"7 iron: 142 #{tag}", a_profile()).words
    assert (f"did you mean #{meant}?" in said) if meant else "did you mean" not in said


@given(st.text(max_size=60))
def test_any_text_is_checked_without_falling_over(text: str) -> None:
    profile = a_profile()
    check_line(text, profile)
    check_wind(text, YARDS)
    check_temperature(text, METRES)


def test_a_headwind_costs_the_low_shot_less() -> None:
    full, low = sentences(a_profile(), parse_wind("14mph 12h", YARDS))
    cost_full, cost_low = (int(line.split(": ")[1].split()[0]) for line in (full, low))
    assert cost_full > cost_low > 0
    assert "short" in full
    assert "left" not in full
    assert "right" not in full


def test_a_wind_from_the_right_drifts_to_the_left() -> None:
    assert all("left" in line for line in sentences(a_profile(), parse_wind("14mph 3h", YARDS)))
    assert sentences(a_profile(), CALM_WIND) == ()


def test_what_changes_from_ball_to_ball() -> None:
    bag = a_profile().bag
    low = Cell("6 iron", to_si(1, "in"), Swing.THREE_QUARTER)
    assert change_words(low, Cell("8 iron"), bag) == "longer club, smaller swing, hands further down"
    assert change_words(Cell("8 iron"), low, bag) == "shorter club, longer swing, hands further up"
    assert change_words(low, low, bag) == "the same shot again"
    assert stamp("7 iron") == "7 I"
    assert stamp("sand wedge") == "SW"


@pytest.mark.parametrize(
    ("how", "basis"),
    [
        (HowKnown.MEASURED, CarryBasis.MEASURED),
        (HowKnown.PACED, CarryBasis.MEASURED),
        (HowKnown.REMEMBERED, CarryBasis.REMEMBERED),
    ],
)
def test_paced_is_measured(how: HowKnown, basis: CarryBasis) -> None:
    profile = make_profile(FirstAnswers("m", "8 iron", "120", how, Hand.LEFT))
    assert profile.known_carry.basis is basis
    assert profile.known_carry.carry_m == 120
    assert profile.units == METRES


@pytest.mark.parametrize("carry", ["", "abc", "900", "-3", "12mph"])
def test_a_carry_that_is_none_is_refused(carry: str) -> None:
    with pytest.raises(InputError):
        make_profile(FirstAnswers("yd", "7 iron", carry, HowKnown.MEASURED, Hand.RIGHT))


def test_figures_move_towards_the_shots_and_tell_from_where(tmp_path: Path) -> None:
    with open_store(tmp_path / "t.db", write=True) as store:
        store.save_profile(a_profile(), WHEN - timedelta(days=1))
    practice, figures = Practice(tmp_path / "t.db"), LiveFigures()
    practice.begin_with(None, StatedConditions(wind=CALM_WIND), WHEN)
    for number, carry in enumerate((131, 133, 129, 132)):
        practice.live.record(f"7 iron: {carry}", WHEN)
        wish = practice.figures_wish(number, WHEN)
        assert wish is not None
        view = figures.work_out(wish)
    assert wish is not None
    assert figures.settle(wish, lambda: True) is None
    settled = figures.settle(wish, lambda: False)
    assert settled is not None
    assert figures.settle(wish, lambda: False) is None
    practice.live.record("wind 12mph 6h", WHEN)
    turned = practice.figures_wish(9, WHEN)
    assert turned is not None
    behind = figures.work_out(turned)
    practice.close()
    for shown in (view, settled):
        assert shown.strip is not None
        assert shown.strip.median < shown.strip.before_high
        assert shown.strip.high - shown.strip.low < shown.strip.before_high - shown.strip.before_low
        (line,) = shown.moved
        assert "4 hit" in line
        assert "less than thought" in line
    assert behind.version == 9
    assert behind.strip is not None
    assert settled.strip is not None
    assert behind.strip.median > settled.strip.median


def test_a_grip_that_was_hit_once_does_not_narrow_the_low_shots_to_choose_from() -> None:
    bag = a_profile().bag
    carries_m = {cell: bag.club(cell.club).stock_carry_m * (0.9 if cell.swing is not Swing.FULL else 1.0)
                 for cell in bag.cells()}  # fmt: skip
    full = Cell("9 iron")
    usual = counterpart(full, carries_m, bag)
    odd = {Cell("driver", 0.006, Swing.THREE_QUARTER): 180.0}
    assert counterpart(full, {**carries_m, **odd}, bag) == usual
