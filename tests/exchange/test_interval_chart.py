from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.exchange.drawn import boxes_of, lines_of, pages_of
from trainer.exchange.interval_chart import Interval, axis_over, draw_axis, draw_intervals
from trainer.exchange.page_svg import page

LEFT, RIGHT = 135.0, 198.0
intervals = st.lists(st.floats(0, 350), min_size=3, max_size=3).map(lambda ends: Interval(*sorted(ends)))


@given(st.lists(intervals, min_size=1, max_size=30))
def test_every_interval_lies_on_the_axis_between_whole_ticks(some: list[Interval]) -> None:
    axis = axis_over(some, LEFT, RIGHT)
    for each in some:
        assert LEFT - 1e-9 <= axis.at(each.low) <= axis.at(each.median) <= axis.at(each.high) <= RIGHT + 1e-9
    assert 2 <= len(axis.ticks) <= 9
    assert (axis.at(axis.ticks[0]), axis.at(axis.ticks[-1])) == pytest.approx((LEFT, RIGHT))


def test_distances_on_paper_are_in_proportion() -> None:
    axis = axis_over([Interval(80, 100, 160)], LEFT, RIGHT)
    assert axis.at(120) - axis.at(100) == pytest.approx((axis.at(160) - axis.at(80)) / 4)


@given(intervals, intervals)
def test_a_row_draws_what_it_is_given(still: Interval, today: Interval) -> None:
    axis = axis_over([still, today], LEFT, RIGHT)
    drawn = draw_intervals(axis, 50.0, still, today)
    sheet = page("t", [*draw_axis(axis, 48, 52, "yd"), *drawn])
    (bar,) = boxes_of(pages_of(sheet)[0])
    assert (bar.left, bar.right) == pytest.approx((axis.at(today.low), axis.at(today.high)), abs=0.011)
    flat = [line for line in lines_of(pages_of(sheet)[0]) if line.top == line.bottom]
    assert any(
        (line.left, line.right) == pytest.approx((axis.at(still.low), axis.at(still.high)), abs=0.011)
        for line in flat
    )
