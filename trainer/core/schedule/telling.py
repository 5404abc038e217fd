"""What is believed, asked as an agenda asks it: which of these shots tells most, where a ball is called to carry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from trainer.core.bag import Cell
from trainer.core.constants import YARD_M, Z50, Z80
from trainer.core.estimate.evidence import Ints
from trainer.core.schedule.balls import Called
from trainer.core.schedule.block import shot_in_words
from trainer.core.schedule.information import (
    Beliefs,
    Bools,
    Choice,
    Outlook,
    choose_on,
    excess_left_m2,
    floor_half_width_m,
)
from trainer.core.schedule.knowledge import Knowledge
from trainer.core.units import UnitChoice

WORTH_M = 0.5 * YARD_M
"""Balls that narrow nothing by more than half a yard teach nothing that a player could use."""

LOOK_AGAIN_SHOTS = 10
"""A block that chooses hits as many of those that tell most, then chooses anew: what they told is known by then."""

COMPARED_BALLS = 10
TELLS_MORE = 1.25
"""One direction is named before another where its balls take away so many times as much."""


@dataclass(frozen=True, slots=True)
class Line:
    """The flags that stand on a line; `straight_out` is the one that the wind is read against."""

    flags: tuple[str, ...]
    straight_out: bool = True


@dataclass(frozen=True, slots=True)
class Told:
    """A chosen ball: its shot, its line, what it should carry, and which carry it narrows, m."""

    cell: Cell
    line: Line
    carry_m: float
    tells_of: Cell
    half_width_m: float

    def reason(self, units: UnitChoice) -> str:
        """Why this ball, in one sentence."""
        shot, now = shot_in_words(self.cell, units), units.shown_distance(self.half_width_m)
        if self.tells_of == self.cell:
            return f"One more {shot}: of all shots here it tells most, and its carry is only known to ± {now}."
        other = shot_in_words(self.tells_of, units)
        return f"One {shot}: it tells most about your {other}, known to ± {now}."


class Telling:
    """Beliefs of one evening with the balls that are on its agenda so far."""

    def __init__(self, knowledge: Knowledge, beliefs: Beliefs, wanted: Sequence[Cell]) -> None:
        self._beliefs = beliefs
        self._goal_m = knowledge.goal_half_width_m
        self._at = {cell: place for place, cell in enumerate(beliefs.cells)}
        self._wanted: Ints = np.array([self._at[cell] for cell in wanted if cell in self._at], dtype=np.int64)
        self._hit: list[tuple[int, int]] = []
        self._now = self._after(())

    def choose(
        self, place: int, cells: Sequence[Cell], balls: int, most_a_cell: int, flags: tuple[str, ...]
    ) -> tuple[Told, ...]:
        """Up to `balls` of `cells` for the block at `place`, those that tell most; none where nothing worth it does.

        What later blocks will tell counts only where this one cannot reach the goal by itself: a finish shall not be
        waited for where its balls would be the last that were needed.
        """
        can = self._may(cells, self._lines(flags))
        before = [shot for at, shot in self._hit if at < place]
        outlook = self._after(before)
        chosen = self._greedy(outlook, balls, can, most_a_cell)
        if len(before) < len(self._hit) and not outlook.is_done:
            outlook = self._after([shot for _, shot in self._hit])
            chosen = self._greedy(outlook, balls, can, most_a_cell)
        narrowed_m = self._now.half_width_m - outlook.half_width_m
        worth = outlook.is_done or float(np.max(narrowed_m, initial=0.0)) >= WORTH_M
        return tuple(self._told(choice) for choice in chosen) if worth else ()

    def anyway(self, cells: Sequence[Cell], balls: int, most_a_cell: int, flags: tuple[str, ...]) -> tuple[Told, ...]:
        """`balls` of `cells` that are hit whatever they tell; all the same those that tell most."""
        outlook = self._after([shot for _, shot in self._hit])
        can = self._may(cells, self._lines(flags))
        chosen = self._greedy(outlook, balls, can, most_a_cell, past_goal=True)
        return tuple(self._told(choice) for choice in chosen)

    def _greedy(
        self, outlook: Outlook, balls: int, can: Bools, most_a_cell: int, *, past_goal: bool = False
    ) -> tuple[Choice, ...]:
        return choose_on(
            outlook, self._beliefs, self._wanted, balls, can, most_a_cell=most_a_cell, past_goal=past_goal
        )

    def _may(self, cells: Sequence[Cell], lines: Sequence[int]) -> Bools:
        """Which candidates (x,) are balls of `cells` along one of `lines`."""
        may = np.zeros((len(self._beliefs.directions), len(self._beliefs.cells)), dtype=bool)
        for line in lines:
            may[line, [self._at[cell] for cell in cells if cell in self._at]] = True
        return may.ravel()

    def _after(self, shots: Sequence[int]) -> Outlook:
        outlook = Outlook(self._beliefs, self._wanted, self._goal_m)
        for shot in shots:
            outlook.hit(shot)
        return outlook

    def _told(self, choice: Choice) -> Told:
        beliefs = self._beliefs
        carry_m = beliefs.stock_m[choice.cell] * np.exp(beliefs.shot_mean[choice.direction, choice.cell])
        line = Line(beliefs.directions[choice.direction].flags, straight_out=choice.direction == 0)
        of = beliefs.cells[choice.tells_of]
        return Told(beliefs.cells[choice.cell], line, float(carry_m), of, choice.half_width_m)

    def hit(self, place: int, cell: Cell, flag: str | None) -> None:
        """Take a ball of the block at `place` into account for those that are still to be chosen."""
        if cell in self._at:
            shot = self._line(flag) * len(self._beliefs.cells) + self._at[cell]
            self._hit.append((place, shot))
            self._now.hit(shot)

    def called(self, cell: Cell, flag: str | None) -> Called | None:
        """Where a struck ball is called to carry; None where nothing is believed of it."""
        if cell not in self._at:
            return None
        at, line, beliefs = self._at[cell], self._line(flag), self._beliefs
        sd = float(np.sqrt(beliefs.shot_var[line, at] + beliefs.ball_var[line, at]))
        median_m = float(beliefs.stock_m[at] * np.exp(beliefs.shot_mean[line, at]))
        ends = (median_m * float(np.exp(z * sd)) for z in (-Z50, Z50, -Z80, Z80))
        return Called(median_m, *ends)

    def best_line(self, cell: Cell, flags: tuple[str, ...]) -> Line:
        """The line with one of `flags` along which one ball of `cell` tells most."""
        directions = self._beliefs.directions
        if cell not in self._at:
            return Line(flags)
        best, _ = self._now.best(self._may([cell], self._lines(flags)), past_goal=True)
        line = best // len(self._beliefs.cells)
        return Line(directions[line].flags, straight_out=line == 0)

    def _line(self, flag: str | None) -> int:
        return self._lines((flag,) if flag else ())[0]

    def _lines(self, flags: tuple[str, ...]) -> list[int]:
        """Places of the offered directions with one of `flags`; the first one, straight out, where none has."""
        directions = self._beliefs.directions
        found = [
            place
            for place, direction in enumerate(directions)
            if direction.offered and set(direction.flags) & set(flags)
        ]
        return found or [0]

    def advice(self, units: UnitChoice) -> list[str]:
        """What the wind lets be learned today, and which direction or day would tell more."""
        if not len(self._wanted):
            return []
        return [*self._widest(units), *self._directions()]

    def _widest(self, units: UnitChoice) -> list[str]:
        floor = floor_half_width_m(self._beliefs, self._wanted)
        now = self._beliefs.still_half_width_m[self._wanted]
        widest = int(np.argmax(floor))
        if floor[widest] <= self._goal_m or floor[widest] < 0.5 * now[widest]:
            return []
        shot = shot_in_words(self._beliefs.cells[self._wanted[widest]], units)
        return [
            f"however many balls you hit today, the still-air carry of {shot} stays ± "
            f"{units.shown_distance(float(floor[widest]))} or more: the rest is the day's and the wind's to hide"
        ]

    def _directions(self) -> list[str]:
        directions = self._beliefs.directions
        start = float(Outlook(self._beliefs, self._wanted, self._goal_m).excess_m2.sum())
        if start <= 0 or len(directions) < 2:
            return []
        falls = [
            start - excess_left_m2(self._beliefs, self._wanted, COMPARED_BALLS, place, self._goal_m)
            for place in range(len(directions))
        ]
        offered = [place for place, direction in enumerate(directions) if direction.offered]
        notes = []
        best, *others = sorted(offered, key=lambda place: -falls[place])
        if others and falls[best] > TELLS_MORE * falls[others[0]]:
            notes.append(f"balls hit {directions[best].name} tell most today")
        for place, direction in enumerate(directions):
            if not direction.offered and falls[place] > TELLS_MORE * falls[best]:
                notes.append(f"ten balls {direction.name} would tell more than ten here")
        return notes
