"""A group's evening: many players, one wind log, balls entered by alias from a sheet or on a grid.

Every player has a session of his own that began at the group's moment, with the group's readings copied at their own
time. So the same evening is found again, and lines that are kept already are not kept twice.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from trainer.application.conditions.stated import StatedConditions
from trainer.application.evidence.history import local
from trainer.application.session.recording import Recorder, begin, resume
from trainer.core.bag import Cell
from trainer.core.conditions import UNKNOWN_WIND, Seen, Wind
from trainer.core.errors import InputError
from trainer.core.shot import ShotEntry
from trainer.core.units import UnitChoice
from trainer.exchange.group_text import (
    GroupLine,
    GroupWind,
    NothingLine,
    PlayerLine,
    Station,
    StationLine,
    WhenLine,
    parse_group_line,
)
from trainer.store.records import NewShot, PlayerRecord, ReadingRecord, ShotRecord
from trainer.store.store import Store


@dataclass(frozen=True, slots=True)
class SharedReading:
    """One entry of the group's wind log."""

    wind: Wind
    at: datetime


@dataclass(frozen=True, slots=True)
class Added:
    """What became of one player's balls: those kept now, how many had been kept before, and his session's id."""

    alias: str
    session_id: int
    kept: tuple[ShotRecord, ...]
    already: int = 0


class GroupSession:
    """One evening of a group in an open store. What is kept is on the disk when a call returns."""

    def __init__(self, store: Store, when: datetime, stated: StatedConditions) -> None:
        self.when = when
        self._store = store
        self._stated = stated
        self._reading = None if stated.wind is None else SharedReading(stated.wind, when)
        self._recorders: dict[str, Recorder] = {}
        self._held: dict[tuple[int, Station], list[ShotEntry]] = {}
        self._players: dict[str, PlayerRecord] = {}

    def read_wind(self, wind: Wind, at: datetime | None = None) -> None:
        """A new reading; it holds for every ball kept from now on, whoever hits it."""
        before = self.when if self._reading is None else self._reading.at
        self._reading = SharedReading(wind, at or before)

    def shots(self, alias: str, station: Station) -> tuple[ShotRecord, ...]:
        """A player's balls at a station this evening, in the order kept."""
        recorder = self._found(alias)
        if recorder is None:
            return ()
        cell = self._cell(recorder.profile.alias, station)
        return tuple(
            shot for shot in self._store.shots(recorder.session.id) if _is_at(shot, replace(station, cell=cell))
        )

    def add(self, alias: str, station: Station, balls: Sequence[ShotEntry]) -> tuple[ShotRecord, ...]:
        """Keep a player's balls at a station, all of them or none. Raises InputError, StoreError."""
        cell = self._cell(alias, station)
        recorder = self._open(alias)
        reading = self._reading_in(recorder)
        profile = recorder.profile
        at = self.when if self._reading is None else self._reading.at
        return self._store.add_shots(
            recorder.session.id,
            [
                NewShot(
                    at=at,
                    cell=cell,
                    entry=ball,
                    target_m=station.target_m,
                    target_bearing_rad=station.bearing_rad,
                    ball=self._stated.ball or profile.ball,
                    surface=self._stated.surface or profile.surface,
                    # A tally is what somebody saw from behind the line, whatever the player has otherwise.
                    seen=self._stated.seen or Seen.EYE,
                    reading_id=reading.id,
                )
                for ball in balls
            ],
        )

    def add_once(self, alias: str, station: Station, balls: Sequence[ShotEntry]) -> Added:
        """As `add`, but balls that an earlier run kept are passed over.

        Lines of one player and station are held against what was kept before this run, from the first on. Raises
        InputError where other balls than these were kept.
        """
        held = self._kept_before(alias, station)
        if not held:
            kept = self.add(alias, station, balls)
            return Added(alias, self._open(alias).session.id, kept)
        if held[: len(balls)] != list(balls):
            raise InputError(
                f"{len(held)} other balls of {alias} are kept here already",
                alias,
                f"see `trainer shots --player {alias}`: correct or undo them there, or give another station",
            )
        del held[: len(balls)]
        return Added(alias, self._open(alias).session.id, (), len(balls))

    def take_back(self, shot_id: int, at: datetime) -> None:
        """Undo a ball; the old values are kept."""
        self._store.undo_shot(shot_id, at)

    def replace_ball(self, shot_id: int, ball: ShotEntry, at: datetime) -> ShotRecord:
        """Put another ball in place of one; the old values are kept."""
        return self._store.correct_shot(shot_id, at, entry=ball)

    def end(self) -> None:
        """End the session of every player who was entered, at the moment of the last reading."""
        at = self.when if self._reading is None else max(self._reading.at, self.when)
        for recorder in self._recorders.values():
            self._store.end_session(recorder.session.id, at)

    def _kept_before(self, alias: str, station: Station) -> list[ShotEntry]:
        player_id = self._player(alias).id
        key = (player_id, station)
        if key not in self._held:
            self._held[key] = [shot.entry for shot in self.shots(alias, station)]
        return self._held[key]

    def _player(self, alias: str) -> PlayerRecord:
        """The player, read once: for thirty of them the store would be asked thousands of times an evening."""
        if alias not in self._players:
            self._players[alias] = self._store.player(alias)
        return self._players[alias]

    def _cell(self, alias: str, station: Station) -> Cell:
        bag = self._player(alias).profile.bag
        return replace(station.cell, club=bag.club(station.cell.club, alias).name)

    def _found(self, alias: str) -> Recorder | None:
        """The player's open recorder, or one of a session that stands; None where he has none yet."""
        player = self._player(alias)
        name = player.profile.alias
        if name not in self._recorders:
            for session in self._store.sessions(player.id):
                if local(session.started_at) == self.when:
                    self._recorders[name] = resume(self._store, name, session.id)
        return self._recorders.get(name)

    def _open(self, alias: str) -> Recorder:
        recorder = self._found(alias)
        if recorder is None:
            first = self._reading.wind if self._reading is not None and self._reading.at == self.when else None
            recorder = begin(self._store, alias, replace(self._stated, wind=first), self.when)
            self._recorders[recorder.profile.alias] = recorder
        return recorder

    def _reading_in(self, recorder: Recorder) -> ReadingRecord:
        """The group's reading as the player's session holds it, copied there where it is not yet."""
        shared, session_id = self._reading or SharedReading(UNKNOWN_WIND, self.when), recorder.session.id
        for reading in self._store.readings(session_id):
            if (reading.wind, local(reading.at)) == (shared.wind, shared.at):
                return reading
        return self._store.add_reading(session_id, shared.wind, shared.at)


def _is_at(shot: ShotRecord, station: Station) -> bool:
    near = shot.target_m is not None and abs(shot.target_m - station.target_m) < 1e-3
    return near and shot.cell == station.cell and abs(shot.target_bearing_rad - station.bearing_rad) < 1e-6


@dataclass(frozen=True, slots=True)
class LineDone:
    """One line of a filled sheet: `added` where it held balls, `why` where it was refused; neither for the others."""

    number: int
    text: str
    added: Added | None = None
    why: str = ""
    unfilled: bool = False


class GroupReader:
    """Takes a filled sheet line by line. Balls are kept, or refused, a line at a time.

    Where a line that others rest on (moment, wind, station) is refused, so are those others: kept under the wrong one
    they would be wrong in silence.
    """

    def __init__(self, store: Store, stated: StatedConditions, when: datetime | None = None) -> None:
        self.groups: list[GroupSession] = []
        self._store = store
        self._stated = stated
        self._units = group_units(store)
        self._station: Station | None = None
        self._broken: dict[str, int] = {}
        if when is not None:
            self.groups.append(GroupSession(store, when, stated))

    def lines(self, texts: Iterable[str]) -> Iterator[LineDone]:
        """What became of each line, as soon as it is on the disk."""
        for number, raw in enumerate(texts, 1):
            text = raw.strip()
            try:
                line = parse_group_line(text, self._units)
                yield self._take(line, number, text)
            except InputError as problem:
                if (word := _rests_on(text)) is not None:
                    self._broken[word] = number
                yield LineDone(number, text, why=str(problem))

    def _take(self, line: GroupLine, number: int, text: str) -> LineDone:
        match line:
            case WhenLine():
                same = next((group for group in self.groups if group.when == line.at), None)
                if same is not None:
                    self.groups.remove(same)
                self.groups.append(same or GroupSession(self._store, line.at, self._stated))
                self._station = None
                self._broken.clear()
            case GroupWind():
                group = self._group()
                at = None if line.at is None else datetime.combine(group.when.date(), line.at)
                group.read_wind(line.wind, at)
                self._broken.pop("wind", None)
            case StationLine():
                self._station = line.station
                self._broken.pop("station", None)
            case PlayerLine():
                return self._balls(line, number, text)
            case NothingLine():
                pass
        return LineDone(number, text)

    def _balls(self, line: PlayerLine, number: int, text: str) -> LineDone:
        if not line.balls:
            return LineDone(number, text, unfilled=True)
        for word, where in self._broken.items():
            if word != "station" or line.station is None:
                raise InputError(f"the {word} of line {where} was refused", line.alias, "mend that line first")
        station = line.station or self._station
        if station is None:
            raise InputError(
                "at which station?", line.alias, "write it after the alias, or a line `station 1: …` above"
            )
        return LineDone(number, text, self._group().add_once(line.alias, station, line.balls))

    def _group(self) -> GroupSession:
        if not self.groups:
            raise InputError(
                "when was it?", "the evening", "write a line `when 2026-05-14T18:30` on top, or give --when"
            )
        return self.groups[-1]


def _rests_on(text: str) -> str | None:
    """The word of a line that those below rest on."""
    word = text.lower().partition(" ")[0]
    return word if word in ("when", "wind", "station") else None


def group_units(store: Store) -> tuple[UnitChoice, ...]:
    """The units of a store's players, each once; a bare number must mean the same in all of them."""
    return tuple(dict.fromkeys(player.profile.units for player in store.players())) or (UnitChoice(),)
