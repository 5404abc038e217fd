"""Lines of a filled group sheet: what each says, and that what is printed is read as the same."""

from __future__ import annotations

import math
from contextlib import suppress
from datetime import datetime, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.exchange.strategies import UNIT_CHOICES, cells
from trainer.core.bag import Cell, Swing
from trainer.core.errors import InputError
from trainer.core.shot import Depth, ShotEntry, Width
from trainer.core.units import UnitChoice, to_si
from trainer.exchange.group_text import (
    MARKS,
    GroupWind,
    NothingLine,
    PlayerLine,
    Station,
    StationLine,
    WhenLine,
    parse_balls,
    parse_group_line,
    parse_station,
    print_balls,
    print_player_line,
    print_station,
    require_line_alias,
    session_line,
)

YARDS = (UnitChoice(),)
BOTH = (UnitChoice(), UnitChoice.following("m"))
SEVEN = Station(Cell("7 iron", 0.0, Swing.THREE_QUARTER), to_si(120, "yd"))

aliases = st.one_of(
    st.sampled_from(("kestrel", "Heron 2", "wind", "when", "station", "ö-o", "x", "5")),
    st.text(st.characters(categories=("L", "N", "P", "Zs", "S")), min_size=1, max_size=20),
)
targets = st.integers(60, 3500).map(lambda n: to_si(n / 10, "yd"))
bearings = st.sampled_from((0.0, 10.0, -12.5)).map(lambda degrees: to_si(degrees, "deg"))
stations = st.builds(Station, cells, targets, bearings)
balls = st.lists(st.sampled_from(list(MARKS.values())), max_size=24).map(tuple)


def test_a_line_that_stands_by_itself() -> None:
    line = parse_group_line("kestrel, 7 iron three-quarter, 120yd: 5 5 2 x 8 - 4", YARDS)
    assert isinstance(line, PlayerLine)
    assert (line.alias, line.station) == ("kestrel", SEVEN)
    five = ShotEntry(depth=Depth.PIN, width=Width.STRAIGHT)
    assert line.balls[:2] == (five, five)
    assert line.balls[2] == ShotEntry(depth=Depth.SHORT, width=Width.STRAIGHT)
    assert line.balls[3:6:2] == (ShotEntry(mishit=True), ShotEntry(unseen=True))
    assert line.balls[4] == ShotEntry(depth=Depth.LONG, width=Width.STRAIGHT)
    assert line.balls[6] == ShotEntry(depth=Depth.PIN, width=Width.LEFT)


@pytest.mark.parametrize("text", ["5 5 5 2 0 -", "5*3 2 0 -", "5*3 20-", "55 5,2,x−", "5*2 520-"])
def test_balls_are_written_in_several_ways(text: str) -> None:
    assert print_balls(parse_balls(text)) == "5 5 5 2 0 -"


def test_the_lines_between() -> None:
    assert parse_group_line("when 2026-05-14T18:30", YARDS) == WhenLine(datetime(2026, 5, 14, 18, 30))
    assert parse_group_line("station 3: 7 iron, three-quarter, 120yd", YARDS) == StationLine(3, SEVEN)
    wind = parse_group_line("wind 18:50 14mph 3h gust 20mph", YARDS)
    assert isinstance(wind, GroupWind)
    assert (wind.at, wind.wind.speed_mps, wind.wind.from_rad) == (time(18, 50), 14 * 0.44704, math.pi / 2)
    for nothing in ("", "  ", "# dusk"):
        assert parse_group_line(nothing, YARDS) == NothingLine()


def test_a_bare_number_is_taken_only_where_it_means_one_thing() -> None:
    assert parse_station("7 iron, three-quarter, 120", YARDS) == SEVEN
    for text in ("kestrel, 7 iron, 120: 5", "wind 14 1h", "station 1: 7 iron, 120"):
        with pytest.raises(InputError, match="units differ"):
            parse_group_line(text, BOTH)
    assert parse_station("7 iron, three-quarter, 120yd", BOTH) == SEVEN


@pytest.mark.parametrize(
    "text",
    [
        "kestrel",
        ": 5",
        "kestrel, 7 iron: 5",
        "kestrel, 7 iron, half, half, 90yd: 5",
        "kestrel, 7 iron, 1, 90yd: 5",
        "kestrel, 7 iron, 3yd: 5",
        "kestrel: 5 a",
        "kestrel: 5*",
        "kestrel: *5",
        "kestrel: 5*0",
        "kestrel: 5*99",
        "kestrel: 5*40 5*40",
        "kestrel: 5\x1b[2J",
        "when tomorrow",
        "when 0001-01-01T00:00+14:00",
        "when 9999-12-31T23:59-14:00",
        "wind",
        "wind 14mph",
        "station 1:",
        "station 1: 120yd",
        "kestrel, , 120yd: 5",
        "x" * 400,
    ],
)
def test_what_is_not_understood_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        parse_group_line(text, YARDS)


@given(stations, st.sampled_from(UNIT_CHOICES))
def test_a_station_that_is_printed_is_read_as_the_same(station: Station, units: UnitChoice) -> None:
    assert parse_station(print_station(station, units), BOTH) == station


@given(aliases, st.one_of(st.none(), stations), balls, st.sampled_from(UNIT_CHOICES))
def test_a_line_that_is_printed_is_read_as_the_same(
    alias: str, station: Station | None, entries: tuple[ShotEntry, ...], units: UnitChoice
) -> None:
    try:
        require_line_alias(alias)
    except InputError:
        return
    text = print_player_line(alias, station, entries, units)
    assert parse_group_line(text, BOTH) == PlayerLine(alias, station, entries)


@pytest.mark.parametrize("alias", ["a,b", "a:b", "#a", "", " a", "wind at sea", "station 1", "a\tb", "a" * 61])
def test_an_alias_that_a_line_cannot_hold_is_refused(alias: str) -> None:
    with pytest.raises(InputError):
        require_line_alias(alias)


@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(text: str) -> None:
    with suppress(InputError):
        parse_group_line(text, YARDS)


@given(st.datetimes(datetime(1990, 1, 1), datetime(2099, 12, 31)).map(lambda at: at.replace(second=0, microsecond=0)))
def test_the_moment_is_read_as_it_was_written(at: datetime) -> None:
    assert parse_group_line(session_line(at), YARDS) == WhenLine(at)


def test_numbers_of_the_pad_are_enough() -> None:
    line = print_balls(parse_balls("x" * 12 + "123456789-"))
    assert set(line) <= set("0123456789- ")
