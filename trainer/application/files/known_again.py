"""Shots of a file that are held already: in the store, in the file itself, or in an earlier state of the file.

Two shots are one where they are of the same moment and club and their distances agree within their rounding. A
moment to the minute is no shot's own: there a shot of the file meets one of the store at most once, and none of the
file. Without times only a file that begins with the very rows of an earlier import is known again.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from trainer.application.evidence.history import local
from trainer.core.shot import ShotEntry
from trainer.store.records import HeldShot

FEWEST_ROWS = 3
"""So many equal rows in equal places are no chance."""

MOST_OF = 0.8
"""Share of an earlier import's rows that a file must begin with to be the same file, grown."""

_FLOAT_M = 1e-6


class KnownShots:
    """What was met so far of one player's shots; each held shot is met once.

    `times_tell` says that the file's times tell its shots apart, so that one row twice is one shot.
    """

    def __init__(self, held: Iterable[HeldShot], *, times_tell: bool) -> None:
        self._times_tell = times_tell
        self._held: dict[tuple[datetime, str], list[HeldShot]] = {}
        for shot in held:
            self._held.setdefault((local(shot.at), shot.club), []).append(shot)
        self._met: set[int] = set()

    def is_known(self, at: datetime, club: str, entry: ShotEntry) -> bool:
        """Whether this shot is held; it counts as met from now on."""
        key = (at, club)
        waiting = self._held.get(key)
        for shot in waiting or ():
            if waiting is not None and _agree(entry, shot):
                waiting.remove(shot)
                return True
        # To the second and alike in every number: the row was written twice.
        if self._times_tell and (at.second or at.microsecond):
            mark = hash((key, entry))  # 64 bits a shot: the shots themselves of a long file would fill the memory
            if mark in self._met:
                return True
            self._met.add(mark)
        return False


def _agree(entry: ShotEntry, shot: HeldShot) -> bool:
    """Whether a distance of both says the same within half a step of each; without a distance they are taken to."""
    for seen_m, held_m in ((entry.carry_m, shot.carry_m), (entry.total_m, shot.total_m)):
        if seen_m is not None and held_m is not None:
            steps_m = (entry.resolution_m or 0.0) + (shot.resolution_m or 0.0)
            return abs(seen_m - held_m) <= steps_m / 2 + _FLOAT_M
    return (entry.carry_m, entry.total_m) == (shot.carry_m, shot.total_m)


class KnownRows:
    """The raw rows of earlier imports, for a file without times: those of one that it begins with are known.

    Means at its foot may have moved since: a few rows at the end need not agree.
    """

    def __init__(self, imports: Iterable[tuple[tuple[int, str], ...]]) -> None:
        self._imports = [dict(rows) for rows in imports if len(rows) >= FEWEST_ROWS]

    def known_in(self, rows: Iterable[tuple[int, str]]) -> frozenset[int]:
        """The numbers of those of `rows` (in order) that an earlier import had in the same places."""
        found: list[list[int]] = [[] for _ in self._imports]
        going = set(range(len(self._imports)))
        for number, text in rows:
            if not going:
                break
            for place in tuple(going):
                held = self._imports[place].get(number)
                if held == text:
                    found[place].append(number)
                elif held is not None:
                    going.discard(place)
        known = (
            numbers
            for numbers, held in zip(found, self._imports, strict=True)
            if len(numbers) >= max(FEWEST_ROWS, MOST_OF * len(held))
        )
        return frozenset(number for numbers in known for number in numbers)
