"""What is believed, asked as an agenda asks it: which of these shots tells most, where a ball is called to carry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from trainer.core.bag import Cell
from trainer.core.estimate.evidence import Ints
from trainer.core.schedule.balls import Called
from trainer.core.schedule.block import shot_in_words
from trainer.core.schedule.information import (
    Z50,
    Z80,
    Beliefs,
    Choice,
    Outlook,
    choose_balls,
    excess_left_m2,
    floor_half_width_m,
    narrowed_m,
)
from trainer.core.schedule.knowledge import Knowledge
from trainer.core.units import UnitChoice

WORTH_M = 0.5 * 0.9144
"""Balls that narrow nothing by more than half a yard teach nothing that a player could use."""

COMPARED_BALLS = 10
TELLS_MORE = 1.25
"""One direction is named before another where its balls take away so many times as much."""


@dataclass(frozen=True, slots=True)
class Told:
    """A chosen ball: its shot, the flags of its line, what it should carry, and which carry it narrows, m.

    `straight_out` says that its line is the one the wind is read against.
    """

    cell: Cell
    line: tuple[str, ...]
    carry_m: float
    tells_of: Cell
    half_width_m: float
    straight_out: bool = True

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
        self._hit: list[int] = []

    def choose(self, cells: Sequence[Cell], balls: int, most_a_cell: int, flags: tuple[str, ...]) -> tuple[Told, ...]:
        """Up to `balls` of `cells`, those that tell most; none where all of them would narrow nothing worth it."""
        beliefs = self._beliefs
        may = np.zeros((len(beliefs.directions), len(beliefs.cells)), dtype=bool)
        for line in self._lines(flags):
            may[line, [self._at[cell] for cell in cells if cell in self._at]] = True
        chosen = choose_balls(
            beliefs,
            self._wanted,
            balls,
            goal_half_width_m=self._goal_m,
            allowed=may.ravel(),
            most_a_cell=most_a_cell,
            already=tuple(self._hit),
        )
        if not chosen or float(np.max(narrowed_m(beliefs, self._wanted, chosen, tuple(self._hit)))) < WORTH_M:
            return ()
        return tuple(self._told(choice) for choice in chosen)

    def _told(self, choice: Choice) -> Told:
        beliefs = self._beliefs
        carry_m = beliefs.stock_m[choice.cell] * np.exp(beliefs.shot_mean[choice.direction, choice.cell])
        line = beliefs.directions[choice.direction].flags
        of = beliefs.cells[choice.tells_of]
        return Told(beliefs.cells[choice.cell], line, float(carry_m), of, choice.half_width_m, choice.direction == 0)

    def hit(self, cell: Cell, flag: str | None) -> None:
        """Take a ball on the agenda into account for those that follow."""
        if cell in self._at:
            self._hit.append(self._line(flag) * len(self._beliefs.cells) + self._at[cell])

    def called(self, cell: Cell, flag: str | None) -> Called | None:
        """Where a struck ball is called to carry; None where nothing is believed of it."""
        if cell not in self._at:
            return None
        at, line, beliefs = self._at[cell], self._line(flag), self._beliefs
        sd = float(np.sqrt(beliefs.shot_var[line, at] + beliefs.ball_var[line, at]))
        median_m = float(beliefs.stock_m[at] * np.exp(beliefs.shot_mean[line, at]))
        ends = (median_m * float(np.exp(z * sd)) for z in (-Z50, Z50, -Z80, Z80))
        return Called(median_m, *ends)

    def best_line(self, cell: Cell, flags: tuple[str, ...]) -> tuple[str, ...]:
        """The flags of the line along which one ball of `cell` tells most."""
        if cell not in self._at:
            return flags
        outlook = Outlook(self._beliefs, self._wanted, self._goal_m)
        for shot in self._hit:
            outlook.hit(shot)
        gains = outlook.gains_m2().reshape(len(self._beliefs.directions), -1)[:, self._at[cell]]
        return self._beliefs.directions[max(self._lines(flags), key=lambda line: float(gains[line]))].flags

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
