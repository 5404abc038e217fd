"""Which rows matter, where shots overlap, and what a player is told is not known."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from trainer.application.estimates.calling import CallsHeld
from trainer.application.estimates.gapping import advice, gaps_between, overlaps_among, rows_that_matter
from trainer.application.estimates.snapshot import CellFigures, FlightFigures, Range80, SaidWind, Snapshot
from trainer.application.estimates.trust import Trust, judge
from trainer.core.bag import Bag, Cell, Club, Swing
from trainer.core.conditions import Conditions
from trainer.core.units import UnitChoice, to_si

AS_OF = datetime(2026, 5, 14, 20, 0)
BAG = Bag(tuple(Club(f"{n} iron", 0.1 * n, 1.0, 200.0 - 10 * n) for n in (5, 6, 7, 8)))


FLIGHT = FlightFigures(Range80(5, 3, 8), Range80(25, 21, 29), Range80(1, -3, 5), 7.0, 0, 0, 0)


def figures(cell: Cell, today_yd: float, shots: int = 0, wind_share: float = 0.1) -> CellFigures:
    carry_m = to_si(today_yd, "yd")
    carry = Range80(carry_m, carry_m - 5, carry_m + 5)
    return CellFigures(
        cell=cell, still_air_carry_m=carry, carry_today_m=carry, flight=FLIGHT, shot_spread_m=8.0,
        shots=shots, days=1, trust=Trust.GUESS, wind_share=wind_share, wind_floor_m=6.0,
    )  # fmt: skip


def table(*hit: Cell, wind_share: float = 0.1, wind_response_learned: float = 0.9) -> Snapshot:
    cells = tuple(figures(cell, 100 + i, int(cell in hit), wind_share) for i, cell in enumerate(BAG.cells()))
    return Snapshot(
        as_of=AS_OF, conditions=Conditions(), reading=None, cells=cells, wind_share=wind_share if hit else None,
        wind_response_learned=wind_response_learned, left_out={}, silent={}, asked=(),
        readings_unknown=0, calls=CallsHeld(0, 0, 0), shots=len(hit),
    )  # fmt: skip


def test_with_nothing_hit_every_stock_shot_is_shown() -> None:
    assert [row.cell for row in rows_that_matter(table(), BAG)] == [Cell(club.name) for club in BAG.clubs]


def test_a_hit_cell_brings_its_neighbours_and_no_more() -> None:
    low = Cell("7 iron", 0.0254, Swing.THREE_QUARTER)
    shown = {row.cell for row in rows_that_matter(table(low), BAG)}
    assert shown == {
        low,
        Cell("7 iron"),
        Cell("7 iron", 0.0, Swing.THREE_QUARTER),
        Cell("7 iron", 0.0508, Swing.THREE_QUARTER),
        Cell("7 iron", 0.0254),
        Cell("7 iron", 0.0254, Swing.HALF),
    }


def test_a_stock_shot_brings_the_clubs_beside_it() -> None:
    shown = {row.cell for row in rows_that_matter(table(Cell("6 iron")), BAG)}
    assert {Cell("5 iron"), Cell("7 iron")} <= shown
    assert Cell("8 iron") not in shown


def test_holes_and_overlaps_are_told_apart() -> None:
    rows = [
        figures(Cell("8 iron"), 120, 3),
        figures(Cell("7 iron"), 123, 3),
        figures(Cell("6 iron"), 145, 3),
        figures(Cell("5 iron"), 156, 3),
        figures(Cell("5 iron", 0.0, Swing.HALF), 121),
    ]
    (gap,) = gaps_between(rows)
    assert (gap.shorter, gap.longer) == (Cell("7 iron"), Cell("6 iron"))
    assert gap.apart_m == pytest.approx(to_si(22, "yd"))
    (overlap,) = overlaps_among(rows)
    assert overlap.cells == (Cell("8 iron"), Cell("7 iron"))


def test_a_wind_that_hides_the_figure_is_said_with_its_floor() -> None:
    said = advice(table(Cell("7 iron"), wind_share=0.8), UnitChoice())
    assert any("±7 yd" in sentence for sentence in said)
    assert not any("±7 yd" in sentence for sentence in advice(table(Cell("7 iron"), wind_share=0.3), UnitChoice()))


def test_an_unmeasured_wind_response_is_said() -> None:
    short = advice(table(Cell("7 iron"), wind_response_learned=0.1), UnitChoice())
    learned = advice(table(Cell("7 iron"), wind_response_learned=0.6), UnitChoice())
    assert len(short) == len(learned) + 1


@pytest.mark.parametrize(
    ("half_width_yd", "shots", "days", "age_days", "word"),
    [
        # Common practice, no source: 8 balls over two days work, 20 over three with ±5 yd settle, 90 days go stale.
        (4, 25, 3, 1, Trust.SETTLED),
        (4, 19, 3, 1, Trust.WORKING),
        (4, 25, 2, 1, Trust.WORKING),
        (6, 25, 3, 1, Trust.WORKING),
        (4, 25, 1, 1, Trust.GUESS),
        (4, 7, 2, 1, Trust.GUESS),
        (12, 40, 5, 1, Trust.GUESS),
        (4, 25, 3, 91, Trust.STALE),
        (4, 0, 0, 0, Trust.GUESS),
    ],
)
def test_the_interval_is_judged_before_the_counts(
    half_width_yd: float, shots: int, days: int, age_days: int, word: Trust
) -> None:
    last = AS_OF.replace(month=1, day=1) if shots else None
    as_of = AS_OF if last is None else last.fromordinal(last.toordinal() + age_days)
    assert judge(to_si(half_width_yd, "yd"), shots, days, last, as_of) is word


@pytest.mark.parametrize(
    ("read_mph", "balls_mph", "sd_mph", "expected"),
    [
        (-12, -16, 2.3, "You read 12 mph into you; your balls say 16 mph into you, ± 3"),
        (-12, 3, 4, "your balls say 3 mph from behind, ± 5"),
        (-12, -14, 2.3, None),
    ],
)
def test_balls_that_contradict_a_reading_are_said(
    read_mph: float, balls_mph: float, sd_mph: float, expected: str | None
) -> None:
    said = SaidWind(*(to_si(value, "mph") for value in (read_mph, balls_mph, sd_mph)))
    sentences = advice(replace(table(Cell("7 iron")), said_wind=said), UnitChoice())
    if expected is not None:
        assert sum(expected in sentence for sentence in sentences) == 1
    assert any("your balls say" in sentence for sentence in sentences) == (expected is not None)


def test_figures_are_found_by_their_cell() -> None:
    snapshot = table(Cell("7 iron"))
    assert snapshot.figures(Cell("7 iron")).shots == 1
    with pytest.raises(KeyError):
        snapshot.figures(Cell("putter"))
    assert replace(snapshot, cells=()).hit == ()
