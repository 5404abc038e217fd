"""What a coach prints and fills in for a group: tally sheets, and the file in which they are typed up afterwards."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.gapping import cell_words
from trainer.application.evidence.history import read_history
from trainer.application.planning.agenda import Wish, plan_session
from trainer.core.bag import Cell
from trainer.core.errors import InputError
from trainer.core.profile import Profile
from trainer.core.schedule.stages import Stage
from trainer.core.units import UnitChoice, counted, from_si, to_si
from trainer.exchange.group_text import Station, print_player_line, print_station, require_line_alias, session_line
from trainer.exchange.sheet import Box, Sheet, sheets_html, sheets_text
from trainer.store.store import Store

TITLE = "Group session"
MOST_BALLS_EACH = 60


@dataclass(frozen=True, slots=True)
class Task:
    """Balls of one player at one station."""

    station: Station
    balls: int


@dataclass(frozen=True, slots=True)
class Group:
    """Who hits what: a line of tasks for each player. `shared` where all have the same, in the same order."""

    when: datetime
    players: tuple[Profile, ...]
    tasks: tuple[tuple[Task, ...], ...]
    shared: bool


def group_of(store: Store, aliases: Sequence[str], when: datetime, stations: Sequence[Station], balls: int) -> Group:
    """A group in which every player hits `balls` at each of `stations`.

    Raises InputError for a player the store does not hold, a club that is not in his bag, and a grid that cannot be.
    """
    if not 1 <= balls <= MOST_BALLS_EACH:
        raise InputError(f"{balls} balls are out of range", "--balls", f"give 1 to {MOST_BALLS_EACH}")
    players = _players(store, aliases)
    for player in players:
        for station in stations:
            player.bag.club(station.cell.club, player.alias)
    tasks = tuple(Task(station, balls) for station in stations)
    return Group(when, players, tuple(tasks for _ in players), shared=True)


def group_with_plan(
    store: Store,
    aliases: Sequence[str],
    when: datetime,
    wish: Wish,
    stated: StatedConditions,
    plan_folders: Sequence[Path] = (),
) -> Group:
    """A group in which every player hits his own balls of one plan, to targets that fit his own figures.

    The order of the balls is lost on a tally sheet; balls without a target are left out. Raises InputError.
    """
    players = _players(store, aliases)
    tasks = []
    for player in players:
        planned = plan_session(read_history(store, player.alias, when), wish, stated, when, plan_folders)
        counts: Counter[Station] = Counter()
        for ball in planned.agenda.balls:
            if ball.stage is not Stage.WARM_UP and ball.target_m is not None:
                bearing = 0.0 if ball.flag is None else player.flag(ball.flag).bearing_rad
                counts[Station(ball.cell, _whole(ball.target_m, player.units), bearing)] += 1
        tasks.append(tuple(Task(station, balls) for station, balls in counts.items()))
    return Group(when, players, tuple(tasks), shared=False)


def _whole(target_m: float, units: UnitChoice) -> float:
    """A target to the player's whole unit: what a sheet can say."""
    return to_si(float(round(from_si(target_m, units.distance))), units.distance)


def _players(store: Store, aliases: Sequence[str]) -> tuple[Profile, ...]:
    named = aliases or [player.profile.alias for player in store.players()]
    players = tuple(store.player(alias).profile for alias in named)
    found = [player.alias for player in players]
    if twice := next((alias for alias in found if found.count(alias) > 1), None):
        raise InputError(f"'{twice}' is named twice", "--players", "name each player once")
    if not found:
        raise InputError("the store holds no player yet", "--players", "run `trainer setup` first")
    for alias in found:
        require_line_alias(alias)
    return players


def group_files(group: Group, *, by_player: bool) -> Mapping[str, str]:
    """`sheets.html` and `sheets.txt` to print, `entries.txt` to type the filled sheets into, by file name.

    A sheet is a station's, or a player's where `by_player` or where the players' stations differ.
    """
    sheets = _by_station(group) if group.shared and not by_player else _by_player(group)
    return {
        "sheets.html": sheets_html(TITLE, sheets),
        "sheets.txt": sheets_text(sheets),
        "entries.txt": entries_text(group),
    }


def _date(group: Group) -> str:
    return f"{group.when:%d %b %Y, %H:%M}"


def _by_station(group: Group) -> list[Sheet]:
    units = group.players[0].units
    boxes = tuple(Box(f"{number} {player.alias}") for number, player in enumerate(group.players, 1))
    return [
        Sheet(f"Station {number}", f"{_station_words(task, units)} each", _date(group), boxes)
        for number, task in enumerate(group.tasks[0], 1)
    ]


def _by_player(group: Group) -> list[Sheet]:
    sheets = []
    for player, tasks in zip(group.players, group.tasks, strict=True):
        boxes = tuple(
            Box(
                f"{number} {task.station.cell.club}",
                (
                    _how(task.station.cell, player.units),
                    f"to {player.units.shown_distance(task.station.target_m)}, {_balls(task)}",
                ),
            )
            for number, task in enumerate(tasks, 1)
        )
        sheets.append(Sheet(player.alias, counted(len(tasks), "station"), _date(group), boxes))
    return sheets


def _how(cell: Cell, units: UnitChoice) -> str:
    """`1 in, three-quarter`: what is done with the club."""
    grip = f"{units.shown_grip(cell.grip_down_m)}, " if cell.grip_down_m else ""
    return f"{grip}{cell.swing}"


def _balls(task: Task) -> str:
    return counted(task.balls, "ball")


def _station_words(task: Task, units: UnitChoice) -> str:
    cell = cell_words(task.station.cell, units)
    return f"{cell}, to {units.shown_distance(task.station.target_m)}; {_balls(task)}"


def entries_text(group: Group) -> str:
    """The file that `trainer group record` reads, every line waiting for its balls."""
    lines = [
        "# After each colon one key a ball, in order where you know it: 1 to 9 the zone as on a number pad,",
        "# 0 a mishit, - hit and not seen; 5*4 is four balls in zone 5. Empty lines are passed over.",
        "# Put a line such as `wind 18:50 14mph 1h` wherever the wind was read; it holds for all lines below.",
        "# Then: trainer group record entries.txt (again after mending: nothing is kept twice)",
        session_line(group.when),
        "",
    ]
    if group.shared:
        for number, task in enumerate(group.tasks[0], 1):
            lines.append(f"station {number}: {print_station(task.station, group.players[0].units)}")
            lines += [print_player_line(player.alias, None, (), player.units) for player in group.players]
            lines.append("")
    else:
        for player, tasks in zip(group.players, group.tasks, strict=True):
            lines += [print_player_line(player.alias, task.station, (), player.units) for task in tasks]
            lines.append("")
    return "\n".join(lines)
