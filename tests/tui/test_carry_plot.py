"""The picture of a carry keeps to its room, and what it leaves out it leaves out in turn."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.application.views.look import Bar, Hump, Tick
from trainer.application.views.session_pictures import CarryPicture, TickBall
from trainer.tui.widgets.carry_plot import NEWEST, TARGET, carry_lines

shares = st.floats(0.0, 1.0)


def bar(ends: list[float]) -> Bar:
    low, middle, high = sorted(ends)
    return Bar(low, middle, high, "128 (121–135)")


bars = st.lists(shares, min_size=3, max_size=3).map(bar)
pictures = st.builds(
    CarryPicture,
    now=st.builds(Hump, st.just("now"), st.lists(shares, min_size=2, max_size=120).map(tuple), bars),
    before_ball=st.none() | bars,
    before_first=bars,
    target=st.none() | shares,
    balls=st.lists(st.builds(TickBall, shares, st.booleans(), st.booleans()), max_size=20).map(tuple),
    ticks=st.just((Tick(0.0, "110"), Tick(0.5, "120"), Tick(1.0, "130 yd"))),
    words=st.just(("now 128 ±7",)),
)


@given(pictures, st.integers(30, 160), st.integers(3, 20))
def test_it_keeps_to_its_room(picture: CarryPicture, columns: int, rows: int) -> None:
    lines = carry_lines(picture, columns, rows)
    assert 3 <= len(lines) <= rows
    assert all(len(line) <= columns for line in lines)
    assert any("●" in line for line in lines)


A_PICTURE = CarryPicture(
    now=Hump("now", (0.0, 0.5, 1.0, 0.5, 0.0), Bar(0.4, 0.5, 0.6, "120 (118–122)")),
    before_ball=Bar(0.35, 0.52, 0.7, ""),
    before_first=Bar(0.2, 0.55, 0.9, ""),
    target=0.3,
    balls=(TickBall(0.45), TickBall(0.8, mishit=True), TickBall(0.55, newest=True)),
    ticks=(Tick(0.0, "110"), Tick(0.5, "120"), Tick(1.0, "130 yd")),
    words=(),
)


@pytest.mark.parametrize(("rows", "ranges"), [(3, "═"), (4, "═╌"), (6, "═╌"), (7, "═╌┈"), (12, "═╌┈")])
def test_the_oldest_range_goes_first(rows: int, ranges: str) -> None:
    text = "\n".join(carry_lines(A_PICTURE, 60, rows))
    assert [mark for mark in "═╌┈" if mark in text] == list(ranges)


def test_marks_stand_at_their_places() -> None:
    lines = carry_lines(A_PICTURE, 61, 7)
    now, balls = lines[2], lines[5]
    assert (now.index(TARGET), now.index("╞"), now.index("●"), now.index("╡")) == (18, 24, 30, 36)
    assert (balls.index("╵"), balls.index(NEWEST), balls.index("x")) == (27, 33, 48)
