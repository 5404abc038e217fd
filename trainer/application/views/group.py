"""A group's evening as a screen shows it. Nothing heavy is loaded here."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class GroupRow:
    """One player at the station looked at: a key for each ball kept, in order; `?` for one that no key says."""

    alias: str
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class GroupView:
    """The grid of one station, and the others beside it.

    `row` and `column` are the cell that the next key fills, `column` one past the last ball kept. `station` is in
    words, `stations` and `number` (from 1) say which of how many; `left` counts the balls to come of all stations.
    `text` is the evening as `trainer group record` reads it.
    """

    when: str
    station: str
    number: int
    stations: int
    balls_each: int
    rows: tuple[GroupRow, ...]
    row: int
    column: int
    kept: int
    left: int
    wind: str
    said: str
    text: str


@dataclass(frozen=True, slots=True)
class GroupAnswers:
    """What is asked before the grid: aliases and stations as they are typed, balls a player and station, the wind,
    and the moment the evening began (empty: now)."""

    players: str
    stations: str
    balls: str
    wind: str
    when: str


@dataclass(frozen=True, slots=True)
class GroupSetup:
    """What stands in those fields at first, and sentences about each: who is in the store, what is going on."""

    answers: GroupAnswers
    known: str
    going_on: str
