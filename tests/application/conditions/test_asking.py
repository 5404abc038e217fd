"""Questions typed on a screen: the words of the options without dashes, and nothing guessed."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.application.conditions.asking import (
    read_card,
    read_choice,
    read_pair,
    read_question,
    read_weather,
    state_target,
)
from trainer.application.setup.proposed_bag import propose_bag
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import CALM_WIND, Turf
from trainer.core.decide.choose import Aim
from trainer.core.decide.target import DEFAULT_MARGIN_M
from trainer.core.errors import InputError
from trainer.core.profile import CarryBasis, KnownCarry
from trainer.core.units import UnitChoice, to_si

YARDS, METRES = UnitChoice(), UnitChoice.following("m")
BAG = propose_bag(KnownCarry("7 iron", to_si(150, "yd"), CarryBasis.MEASURED))


def test_a_distance_alone_has_ten_yards_all_round() -> None:
    target, aim, stated = read_choice("150", YARDS)
    assert target.distance_m == pytest.approx(to_si(150, "yd"))
    assert target.front_m == pytest.approx(target.distance_m - DEFAULT_MARGIN_M)
    assert aim is Aim.HOLD
    assert stated.wind is None


def test_words_stand_in_any_order_with_or_without_dashes_and_units() -> None:
    one = read_choice("150 front 141 back 163 slope -4 aim never-short wind 14mph 1h gust 20mph turf firm", YARDS)
    other = read_choice(
        "150yd --turf firm --wind 14 mph 1h gust 20mph --aim never-short --slope -4yd --back 163 yd --front 141",
        YARDS,
    )
    assert one == other
    assert one[0].slope_m == pytest.approx(-to_si(4, "yd"))
    assert one[2].turf is Turf.FIRM
    assert one[2].wind is not None
    assert one[2].wind.gust_mps == pytest.approx(to_si(20, "mph"))


def test_bare_numbers_are_in_the_players_unit() -> None:
    target, _, _ = read_choice("140 front 130", METRES)
    assert (target.distance_m, target.front_m) == (140, 130)


def test_the_usual_wind_holds_where_none_is_said() -> None:
    _, _, stated = read_choice("150 turf soft", YARDS, "14mph 1h")
    assert stated.wind is not None
    assert stated.wind.speed_mps == pytest.approx(to_si(14, "mph"))
    assert stated.turf is Turf.SOFT
    _, _, stated = read_choice("150 calm", YARDS, "14mph 1h")
    assert stated.wind == CALM_WIND
    _, _, stated = read_choice("150 wind 3mph 6h", YARDS, "14mph 1h turf firm")
    assert stated.wind is not None
    assert stated.wind.speed_mps == pytest.approx(to_si(3, "mph"))


def test_weather_may_begin_with_its_wind() -> None:
    assert read_weather("14mph 1h", YARDS).wind == read_weather("wind 14mph 1h", YARDS).wind
    assert read_weather("calm", YARDS).wind == CALM_WIND
    assert read_weather("", YARDS).wind is None
    assert read_weather("temperature 12C", YARDS).temperature_k == pytest.approx(285.15)


def test_two_shots_and_their_wind() -> None:
    cells, stated = read_pair("7i; 5 iron, 1 in, three-quarter wind 14mph 1h", BAG, YARDS)
    assert cells == (Cell("7 iron"), Cell("5 iron", 0.0254, Swing.THREE_QUARTER))
    assert stated.wind is not None
    assert read_pair("7 iron against 6 iron", BAG, YARDS)[0] == (Cell("7 iron"), Cell("6 iron"))


def test_clubs_of_a_card_with_or_without_their_word() -> None:
    assert read_card("clubs 6 iron, 7 iron temperature 12C", YARDS) == read_card(
        "6 iron, 7 iron temperature 12C", YARDS
    )
    assert read_card("", YARDS)[0] == ()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("150 front", "nothing follows"),
        ("150 front 140 front 141", "said twice"),
        ("150 pressure 1000hPa altitude 10m", "given twice"),
        ("150 calm gust 20mph", "calm, or is there a wind"),
        ("150 gust 20mph", "mean wind"),
        ("150\x1b[2J", "no question"),
        ("9" * 300, "no question"),
        ("abc", "not a length"),
        ("900", "out of range"),
        ("150 turf hard", "not known"),
    ],
)
def test_what_cannot_be_read_is_asked_back(text: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        read_choice(text, YARDS)


def test_errors_of_the_command_name_its_options() -> None:
    with pytest.raises(InputError) as problem:
        state_target("150", {"front": "abc"}, YARDS)
    assert problem.value.where == "--front"


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    reads = (lambda: read_choice(text, YARDS), lambda: read_pair(text, BAG, YARDS), lambda: read_weather(text, YARDS))
    for read in reads:
        with contextlib.suppress(InputError):
            read()


@given(st.lists(st.sampled_from(["150", "front", "140", "wind", "calm", "14mph", "-4", "--back", "1h"]), max_size=8))
def test_no_word_of_a_question_is_lost(tokens: list[str]) -> None:
    try:
        question = read_question(" ".join(tokens), {"front", "back", "wind", "calm"})
    except InputError:
        return
    held = [question.subject, *question.said, *question.said.values()]
    assert sorted(" ".join(held).split()) == sorted(token.removeprefix("--") for token in tokens)
