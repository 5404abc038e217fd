"""A group's evening on the screen: several stations, one grid each, one wind log, sheets for a tally on paper.

It holds no ball: what it shows is read back from the store. Going on after a fall is naming the same moment.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from trainer.application.conditions.stated import StatedConditions
from trainer.application.evidence.history import local
from trainer.application.files.file_picking import folder_named
from trainer.application.group.evening import GroupSession, group_units
from trainer.application.group.grid import GridView, GroupGrid
from trainer.application.group.sheets import group_files, group_of
from trainer.application.practice import Practice
from trainer.application.views.group import GroupAnswers, GroupRow, GroupSetup, GroupView
from trainer.application.views.practice import harmless
from trainer.application.views.wind import typed_wind
from trainer.core.conditions import UNKNOWN_WIND, Wind, WindKnowledge
from trainer.core.errors import InputError
from trainer.exchange.group_text import (
    GroupWind,
    Station,
    mark_of,
    parse_group_line,
    parse_station,
    print_station,
    session_line,
)
from trainer.exchange.private_file import write_folder
from trainer.store.records import ReadingRecord, SessionRecord, ShotRecord
from trainer.store.store import Store

USUAL_BALLS = "12"
USUAL_STATION = "7 iron, three-quarter, 120yd"


def group_setup(store: Store, now: datetime) -> GroupSetup:
    """What the fields before the grid hold at first: an evening of today that several players began at one moment,
    else nothing but the usual."""
    aliases = [player.profile.alias for player in store.players()]
    known = f"{len(aliases)} in the store: {', '.join(aliases)}" if aliases else "nobody is in the store yet"
    evening = _evening_of(store, now)
    if evening is None:
        return GroupSetup(GroupAnswers("", "", USUAL_BALLS, "", ""), harmless(known), "")
    when, held = evening
    units = group_units(store)[0]
    players = ", ".join(alias for alias, _ in held)
    shots = [shot for _, session in held for shot in store.shots(session.id)]
    stations = "; ".join(print_station(station, units) for station in _stations_of(shots))
    latest = _latest_reading(store, [session for _, session in held])
    wind = "" if latest is None or latest.wind.knowledge is WindKnowledge.UNKNOWN else typed_wind(latest.wind, units)
    answers = GroupAnswers(
        harmless(players), harmless(stations), USUAL_BALLS, wind, when.isoformat(timespec="minutes")
    )
    going_on = f"{len(held)} players began at {when:%H:%M}, {len(shots)} balls are kept: Enter goes on with them"
    return GroupSetup(answers, harmless(known), going_on)


def _evening_of(store: Store, now: datetime) -> tuple[datetime, list[tuple[str, SessionRecord]]] | None:
    """The newest moment of today at which several players began, with their aliases and sessions."""
    began: dict[datetime, list[tuple[str, SessionRecord]]] = {}
    for player in store.players():
        for session in store.sessions(player.id):
            when = local(session.started_at)
            if when.date() == now.date():
                began.setdefault(when, []).append((player.profile.alias, session))
    moments = [when for when, held in began.items() if len(held) > 1]
    return (max(moments), began[max(moments)]) if moments else None


def _stations_of(shots: Sequence[ShotRecord]) -> list[Station]:
    """The stations that balls were kept at, in the order they were first kept."""
    ordered = sorted((shot for shot in shots if shot.target_m is not None), key=lambda shot: shot.id)
    return list(dict.fromkeys(Station(each.cell, each.target_m or 0.0, each.target_bearing_rad) for each in ordered))


def _latest_reading(store: Store, sessions: Sequence[SessionRecord]) -> ReadingRecord | None:
    readings = [reading for session in sessions for reading in store.readings(session.id)]
    return max(readings, key=lambda reading: (local(reading.at), reading.id), default=None)


class GroupDesk:
    """The grids of one evening. For the store's thread; every change is on the disk when a call returns.

    Raises InputError with nothing kept.
    """

    def __init__(self, practice: Practice, answers: GroupAnswers, now: datetime) -> None:
        self._practice = practice
        self._store = store = practice.hold()
        self._units = group_units(store)
        self._when = _moment(answers.when, now)
        named = [alias.strip() for alias in answers.players.split(",") if alias.strip()]
        balls = _whole(answers.balls or USUAL_BALLS)
        stations = [parse_station(text, self._units) for text in answers.stations.split(";") if text.strip()]
        if not stations:
            raise InputError("no station is named", "stations", f"write such as {USUAL_STATION}")
        if len(set(stations)) < len(stations):
            raise InputError("a station is named twice", "stations", "name each once")
        group = group_of(store, named, self._when, stations, balls)
        self._aliases = tuple(player.alias for player in group.players)
        self._ids = {alias: store.player(alias).id for alias in self._aliases}
        self._stations, self._balls = tuple(stations), balls
        self._group = GroupSession(store, self._when, StatedConditions())
        self._take_up_wind(answers.wind, now)
        self._grids = tuple(GroupGrid(self._group, each, self._aliases, balls) for each in stations)
        self._number = next((i for i, grid in enumerate(self._grids) if not grid.view().done), 0)

    def _take_up_wind(self, typed: str, now: datetime) -> None:
        """The wind that was typed; that of an evening that goes on keeps its time."""
        sessions = [
            session
            for alias in self._aliases
            for session in self._store.sessions(self._ids[alias])
            if local(session.started_at) == self._when
        ]
        latest = _latest_reading(self._store, sessions)
        wind = UNKNOWN_WIND if not typed.strip() else self._wind(typed)
        if latest is not None and typed_wind(latest.wind, self._units[0]) == typed_wind(wind, self._units[0]):
            self._group.read_wind(latest.wind, local(latest.at))
        elif typed.strip():
            self._group.read_wind(wind, self._when if latest is None else now)
        self._shown_wind = typed_wind(wind, self._units[0])

    def _wind(self, typed: str) -> Wind:
        line = parse_group_line(f"wind {typed.strip()}", self._units)
        if not isinstance(line, GroupWind):
            raise InputError("this is no wind", harmless(typed), "write such as 14mph 1h")
        return line.wind

    @property
    def _grid(self) -> GroupGrid:
        return self._grids[self._number]

    def enter(self, key: str) -> GroupView:
        """Keep the ball that a key says and go on to the next cell."""
        before = self._aliases[self._grid.view().row]
        return self.view(self._grid.enter(key), said=f"kept: {before} {key}")

    def correct(self, row: int, column: int, key: str, at: datetime) -> GroupView:
        """Put another ball in a cell that is filled; the hand goes on to whoever has balls to come."""
        grid = self._grid.correct(row, column, key, at)
        waiting = [i for i, each in enumerate(grid.rows) if len(each.marks) < grid.balls_each]
        if waiting and row not in waiting:
            grid = self._grid.go_to(next((i for i in waiting if i > row), waiting[0]))
        return self.view(grid, said=f"corrected: {self._aliases[row]} {key}")

    def undo(self, at: datetime) -> GroupView:
        """Take the last ball of this station back."""
        grid = self._grid.undo(at)
        return self.view(grid, said=f"taken back: the last ball of {self._aliases[grid.row]}")

    def go_to(self, row: int) -> GroupView:
        """Put the hand on another player."""
        return self.view(self._grid.go_to(row))

    def step(self, players: int) -> GroupView:
        """Put the hand so many players on from where it is, round the ends."""
        return self.go_to((self._grid.view().row + players) % len(self._aliases))

    def turn(self, step: int) -> GroupView:
        """Another station; the players' places in it are as they were left."""
        self._number = (self._number + step) % len(self._grids)
        return self.view()

    def read_wind(self, typed: str, at: datetime) -> GroupView:
        """A new reading: it holds for every ball from now on."""
        wind = self._wind(typed)
        self._group.read_wind(wind, at.replace(second=0, microsecond=0))
        self._shown_wind = typed_wind(wind, self._units[0])
        return self.view(said=f"kept from now on: wind {self._shown_wind}")

    def write_sheets(self, typed: str) -> tuple[str, ...]:
        """Write tally sheets and the file to type them into; gives the files. Nothing is overwritten."""
        folder = folder_named(typed)
        group = group_of(self._store, self._aliases, self._when, self._stations, self._balls)
        files = group_files(group, by_player=False)
        write_folder(folder, files)
        return tuple(str(folder / name) for name in files)

    def end(self) -> None:
        """End every player's session and let go of the store."""
        self._group.end()
        self._practice.close()

    def view(self, grid: GridView | None = None, said: str = "") -> GroupView:
        """The grid of the station looked at."""
        grid = grid or self._grid.view()
        kept = sum(len(row.marks) for row in grid.rows)
        full = "every ball of this station is kept" if grid.done else ""
        return GroupView(
            when=f"{self._when:%a %d %b %H:%M}",
            station=harmless(print_station(grid.station, self._units[0])),
            number=self._number + 1,
            stations=len(self._grids),
            balls_each=grid.balls_each,
            rows=tuple(GroupRow(harmless(row.alias), row.marks) for row in grid.rows),
            row=grid.row,
            column=grid.column,
            kept=kept,
            left=sum(max(grid.balls_each - len(row.marks), 0) for row in grid.rows),
            wind=self._shown_wind,
            said=harmless(" · ".join(part for part in (said, full) if part)),
            text=self._text(),
        )

    def _text(self) -> str:
        """The evening as `trainer group record` reads it: readings in their order, below each its balls."""
        lines = [session_line(self._when)]
        held = {alias: self._readings(alias) for alias in self._aliases}
        logs = {key: wind for by_id in held.values() for key, wind in by_id.values()}
        for moment in sorted(logs):
            if logs[moment].knowledge is not WindKnowledge.UNKNOWN:
                lines.append(f"wind {moment:%H:%M} {typed_wind(logs[moment], self._units[0])}")
            for number, station in enumerate(self._stations, 1):
                found = [self._line(alias, station, held[alias], moment) for alias in self._aliases]
                told = [line for line in found if line]
                if told:
                    lines += [f"station {number}: {print_station(station, self._units[0])}", *told]
        return harmless("\n".join(lines), keep_lines=True)

    def _readings(self, alias: str) -> dict[int, tuple[datetime, Wind]]:
        """A player's readings of this evening by id: moment and wind."""
        return {
            reading.id: (local(reading.at), reading.wind)
            for session in self._store.sessions(self._ids[alias])
            if local(session.started_at) == self._when
            for reading in self._store.readings(session.id)
        }

    def _line(
        self, alias: str, station: Station, readings: dict[int, tuple[datetime, Wind]], moment: datetime
    ) -> str:
        marks = [
            mark_of(shot.entry)
            for shot in self._group.shots(alias, station)
            if shot.reading_id is not None and readings.get(shot.reading_id, (None, None))[0] == moment
        ]
        return f"{alias}: {' '.join(marks)}" if marks else ""


def _moment(typed: str, now: datetime) -> datetime:
    if not typed.strip():
        return now.replace(second=0, microsecond=0)
    try:
        return local(datetime.fromisoformat(typed.strip())).replace(second=0, microsecond=0)
    except ValueError:
        raise InputError(f"'{harmless(typed)}' is no moment", "began", "write it as 2026-05-14T18:30") from None


def _whole(typed: str) -> int:
    try:
        return int(typed)
    except ValueError:
        raise InputError(f"'{harmless(typed)}' is not a whole number", "balls", "give such as 12") from None
