"""The quick grid of one station: players down, balls across, one key a ball, each on the disk before the next.

It holds no ball of its own: what it shows is read back from the store, so going on after a fall is going on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from trainer.application.group.evening import GroupSession
from trainer.core.errors import InputError
from trainer.core.shot import ShotEntry
from trainer.core.units import counted
from trainer.exchange.group_text import MARKS, MISHIT, Station, mark_of
from trainer.store.records import ShotRecord


@dataclass(frozen=True, slots=True)
class GridRow:
    """One player: a key for each ball kept, in order."""

    alias: str
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class GridView:
    """The grid as it stands. `row` and `column` are the cell that the next key fills; `column` is one past the last
    ball kept. `done` where every player has his balls."""

    station: Station
    balls_each: int
    rows: tuple[GridRow, ...]
    row: int
    column: int
    done: bool


class GroupGrid:
    """Where the hand is in the grid. Every change is in the store when the call returns."""

    def __init__(self, group: GroupSession, station: Station, aliases: Sequence[str], balls_each: int = 12) -> None:
        """Raises InputError for no player, one named twice, and an alias or a club that is not known."""
        names = [alias.lower() for alias in aliases]
        if not names or len(set(names)) < len(names):
            raise InputError("name each player once", "grid", "give their aliases, parted by commas")
        self.station, self.aliases, self.balls_each = station, tuple(aliases), balls_each
        self._group = group
        self._row = 0
        self._row = self._first_open(0)

    def view(self) -> GridView:
        """The grid as the store holds it now."""
        rows = tuple(
            GridRow(alias, tuple(mark_of(shot.entry) for shot in self._shots(alias))) for alias in self.aliases
        )
        done = all(len(row.marks) >= self.balls_each for row in rows)
        return GridView(self.station, self.balls_each, rows, self._row, len(rows[self._row].marks), done)

    def enter(self, key: str) -> GridView:
        """Keep the ball that `key` says (0 to 9, -, or x), and go on to the next cell.

        Raises InputError for another key, and for a player who has all his balls.
        """
        alias = self.aliases[self._row]
        if len(self._shots(alias)) >= self.balls_each:
            raise InputError(
                f"{alias} has {counted(self.balls_each, 'ball')}", "grid", "go to another player, or undo"
            )
        self._group.add(alias, self.station, [_ball(key)])
        if len(self._shots(alias)) >= self.balls_each:
            self._row = self._first_open(self._row)
        return self.view()

    def go_to(self, row: int) -> GridView:
        """Put the hand on another player; rows beyond the ends are the ends."""
        self._row = min(max(row, 0), len(self.aliases) - 1)
        return self.view()

    def undo(self, at: datetime) -> GridView:
        """Take the last ball of the grid back, whoever's it is; its cell is the next. InputError where none is."""
        last = max(
            ((shot.id, row) for row, alias in enumerate(self.aliases) for shot in self._shots(alias)), default=None
        )
        if last is None:
            raise InputError("no ball is kept here yet", "undo", "enter one first")
        self._group.take_back(last[0], at)
        self._row = last[1]
        return self.view()

    def correct(self, row: int, column: int, key: str, at: datetime) -> GridView:
        """Put another ball in a cell that is filled. InputError for one that is not."""
        shots = self._shots(self.aliases[row]) if 0 <= row < len(self.aliases) else ()
        if not 0 <= column < len(shots):
            raise InputError("this cell is empty", "grid", "fill the cells in order")
        self._group.replace_ball(shots[column].id, _ball(key), at)
        return self.view()

    def _shots(self, alias: str) -> tuple[ShotRecord, ...]:
        return self._group.shots(alias, self.station)

    def _first_open(self, start: int) -> int:
        """The next player from `start` on, round the end, with balls to come; `start` where nobody has."""
        order = [*range(start, len(self.aliases)), *range(start)]
        return next((row for row in order if len(self._shots(self.aliases[row])) < self.balls_each), start)


def _ball(key: str) -> ShotEntry:
    folded = MISHIT if key.lower() == "x" else key
    if folded not in MARKS:
        raise InputError(f"'{key[:5]}' is no key of the grid", "grid", "press 1 to 9, 0 for a mishit, - for not seen")
    return MARKS[folded]
