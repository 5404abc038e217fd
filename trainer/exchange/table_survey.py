"""A shot table looked through once, before a row is read: what only all of its rows together tell."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from trainer.exchange.table_columns import ColumnMap, Question
from trainer.exchange.table_numbers import GREATEST_WRITTEN, DecimalMark, gather_mark, is_blank, settled_mark
from trainer.exchange.table_rows import why_no_shot
from trainer.exchange.table_text import TextRow
from trainer.exchange.table_times import ANY_ORDER, DayOrder, has_half, leaves_choice, orders_that_fit, split_moment
from trainer.exchange.table_words import KINDS, Field

MOST_NAMES = 200
"""Names of players that are kept apart."""


@dataclass(frozen=True, slots=True)
class Survey:
    """What the rows of a table tell together.

    `rows` counts those below the header that hold anything. `day_orders` are the orders that fit every date in
    figures, `order_matters` whether there is such a date; `dayless` whether a clock stands without a date,
    `timed` whether any row has a time, and `twelve_hours` whether any writes am or pm. `players` are the names in
    the player column, in the order met. `repeated_times` counts rows with the very time of the row before.
    """

    rows: int
    mark: DecimalMark
    day_orders: frozenset[DayOrder] = ANY_ORDER
    order_matters: bool = False
    dayless: bool = False
    timed: bool = False
    twelve_hours: bool = False
    players: tuple[str, ...] = ()
    repeated_times: int = 0

    @property
    def times_tell_shots(self) -> bool:
        """Whether the times tell one shot from another; not where most rows repeat the one of a whole session."""
        return self.timed and self.repeated_times * 2 <= self.rows

    @property
    def day_order(self) -> DayOrder | None:
        """The order that the rows prove, None where they prove none."""
        return next(iter(self.day_orders)) if self.order_matters and len(self.day_orders) == 1 else None


class _Looker:
    """What was met so far."""

    def __init__(self, header: Sequence[str], places: Mapping[Field, int], labels: Sequence[int]) -> None:
        self._header, self._labels = header, labels
        self._player, self._time, self._date = (places.get(field) for field in (Field.PLAYER, Field.TIME, Field.DATE))
        self._numbers = tuple(
            (place, GREATEST_WRITTEN.get(KINDS[field], math.inf)) for field, place in places.items() if field in KINDS
        )
        self.rows = self.repeated_times = 0
        self._last_time = ""
        self.proven: set[str] = set()
        self.orders = ANY_ORDER
        self.order_matters = self.dayless = self.timed = self.twelve_hours = False
        self.players: dict[str, str] = {}
        self._dates: set[str] = set()

    def look(self, row: TextRow) -> None:
        """Take one row in."""
        cells = row.cells
        self.rows += 1
        if len(self.proven) < 2:
            for place, greatest in self._numbers:
                if place < len(cells):
                    gather_mark(cells[place], self.proven, greatest)
        if self._time is not None or self._date is not None:
            self._look_at_time(_cell(cells, self._date), _cell(cells, self._time))
        name = _cell(cells, self._player)
        if name and name.lower() not in self.players and len(self.players) < MOST_NAMES:
            self._meet(name, cells)

    def _meet(self, name: str, cells: Sequence[str]) -> None:
        if why_no_shot(cells, self._header, self._labels, self._player) is None:
            self.players[name.lower()] = name

    def _look_at_time(self, written_date: str, cell: str) -> None:
        self.repeated_times += bool(cell) and cell == self._last_time
        self._last_time = cell
        own_date, clock = split_moment(cell)
        for text in (written_date, own_date):
            if text and text not in self._dates:
                self._dates.add(text)
                self.orders &= orders_that_fit(text)
                self.order_matters |= leaves_choice(text)
        has_digit = any(letter.isdigit() for letter in clock or own_date or written_date)
        self.timed |= has_digit
        self.dayless |= has_digit and bool(clock) and not (written_date or own_date)
        self.twelve_hours |= bool(clock) and has_half(clock)


def _cell(cells: Sequence[str], place: int | None) -> str:
    """The cell at `place`, blank where there is none or it says nothing."""
    if place is None or place >= len(cells) or is_blank(cells[place]):
        return ""
    return cells[place]


def survey(
    rows: Iterable[TextRow],
    header: Sequence[str],
    places: Mapping[Field, int],
    labels: Sequence[int],
    delimiter: str,
) -> Survey:
    """Look through `rows`, those below the header; `places` says where each field's column is."""
    looker = _Looker(header, places, labels)
    for row in rows:
        looker.look(row)
    return Survey(
        rows=looker.rows,
        mark=settled_mark(looker.proven, delimiter),
        day_orders=looker.orders,
        order_matters=looker.order_matters,
        dayless=looker.dayless,
        timed=looker.timed,
        twelve_hours=looker.twelve_hours,
        players=tuple(looker.players.values()),
        repeated_times=looker.repeated_times,
    )


def survey_questions(column_map: ColumnMap, found: Survey) -> tuple[Question, ...]:
    """What must be answered before rows can be read, that the map alone does not show: the order of dates."""
    if not found.order_matters:
        return ()
    stated, proven = column_map.day_order, found.day_order
    if stated is not None and (stated in found.day_orders or not found.day_orders):
        return ()
    if stated is None and proven is not None:
        return ()
    orders = tuple(order.value for order in DayOrder if order in (found.day_orders or ANY_ORDER))
    told = "" if stated is None else f" (the rows are not {stated.value})"
    return (Question("day_order", f"how are the dates written{told}?", orders),)
