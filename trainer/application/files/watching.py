"""Rows of a table that grows, matched to the agenda's balls and kept in the running session.

`Watch.next` gives each new row as a `Match`; `keep` or `leave` it, in order. Each is one transaction together with
how much of the file was taken, so a program that dies between two rows takes up at the second.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

from trainer.application.evidence.history import local
from trainer.application.files.following import Look, TableFollower
from trainer.application.files.known_again import KnownShots
from trainer.application.files.table_opening import Answers, OpenedTable
from trainer.application.session.recording import Recorder
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import Seen
from trainer.core.errors import InputError
from trainer.core.shot import CarryOrigin, ShotEntry
from trainer.exchange.cell_text import print_cell
from trainer.exchange.club_text import club_meant
from trainer.exchange.row_reader import SkippedRow, TableRow
from trainer.exchange.table_columns import ColumnMap
from trainer.store.records import AgendaBallRecord, ImportedRow, ImportRecord, NewImport, ShotRecord, Source
from trainer.store.store import Store

BEFORE = timedelta(minutes=1)
"""A device's clock may be so much behind; a row older than that was hit before the session."""


@dataclass(frozen=True, slots=True)
class Match:
    """A new row and what it would be kept as.

    `cell` and `entry` are None where the row is no shot, `why` says why then. `ball` is the agenda's ball that it is,
    None where it is none; `doubt` says why it is not the next one, and `next_ball` is that one.
    """

    number: int
    raw_text: str
    why: str = ""
    cell: Cell | None = None
    entry: ShotEntry | None = None
    at: datetime | None = None
    ball: AgendaBallRecord | None = None
    next_ball: AgendaBallRecord | None = None
    doubt: str = ""

    def as_next_ball(self) -> Match:
        """The same row kept as the agenda's next ball: the club in the file was wrong."""
        if self.next_ball is None:
            return self
        return replace(self, cell=self.next_ball.ball.cell, ball=self.next_ball, doubt="")


class Watch:
    """A file watched for a running session. Use it in the store's thread; `follower` alone may look in another."""

    def __init__(
        self,
        store: Store,
        recorder: Recorder,
        follower: TableFollower,
        import_id: int | None,
        carried: tuple[tuple[int, str], ...] = (),
    ) -> None:
        self.follower = follower
        self.recorder = recorder
        self._store = store
        self._import_id = import_id
        self._carried = carried
        self._name = ""
        self._carry_is = CarryOrigin.SEEN
        self._state = ("", 0)
        self._known = KnownShots(store.held_shots(recorder.session.player_id), times_tell=True)
        self._held: dict[int, bool] = {}
        self._rows: list[TableRow | SkippedRow] = []

    @property
    def import_id(self) -> int | None:
        """The import that the rows fall under, None before the first was taken."""
        return self._import_id

    def take_in(self, look: Look) -> None:
        """Take in what a look found; its rows wait for `next`."""
        if look.opened is not None:
            self._name = look.opened.table.name
            self._carry_is = look.opened.columns.carry_is or CarryOrigin.SEEN
        if look.replaced:
            # A replaced file falls under an import of its own; rows known again stand in it without shots.
            self._import_id, self._carried, self._held = None, look.known, {}
        if look.state[0]:
            self._state = look.state
            self._rows = list(look.rows)

    def next(self, now: datetime) -> Match | None:
        """The next row that waits, matched to the agenda's next ball as it is now; None where none waits."""
        if not self._rows:
            return None
        row = self._rows[0]
        if isinstance(row, SkippedRow):
            return Match(row.row, row.raw_text, row.why)
        at = now if row.at is None else local(row.at)
        if row.at is not None and at < local(self.recorder.session.started_at) - BEFORE:
            return Match(row.row_number, row.raw_text, "hit before this session began")
        try:
            club = club_meant(row.club_text, self.recorder.profile.bag).name
        except InputError as problem:
            return Match(row.row_number, row.raw_text, str(problem))
        if row.at is not None and self._is_held(row, at, club):
            return Match(row.row_number, row.raw_text, "held already")
        return self._matched(row, club, at)

    def _is_held(self, row: TableRow, at: datetime, club: str) -> bool:
        if row.row_number not in self._held:
            self._held[row.row_number] = self._known.is_known(at, club, row.entry)
        return self._held[row.row_number]

    def _matched(self, row: TableRow, club: str, at: datetime) -> Match:
        ball = self.recorder.next_ball()
        own = Cell(club, row.grip_down_m or 0.0, row.swing or Swing.FULL)
        found = Match(row.row_number, row.raw_text, "", own, row.entry, at, None, ball)
        if ball is None:
            return found
        if _may_be(row, club, ball.ball.cell):
            return replace(found, cell=ball.ball.cell, ball=ball)
        units = self.recorder.profile.units
        doubt = f"the next ball is {print_cell(ball.ball.cell, units)}, the row says {print_cell(own, units)}"
        return replace(found, doubt=doubt)

    def keep(self, match: Match) -> ShotRecord:
        """Keep the row that `next` gave, as `match` says. Raises InputError for one that is no shot."""
        if match.cell is None or match.entry is None or match.at is None:
            raise InputError("this row is no shot", f"row {match.number}", "leave it")
        seen = self.recorder.shot_as_seen(match.cell, match.entry, match.ball, None, match.at)
        shot = replace(
            seen,
            seen=self.recorder.stated.seen or Seen.DEVICE,
            carry_origin=self._carry_is,
            source=Source.TABLE,
        )
        (shot_id,) = self._put(ImportedRow(match.number, match.raw_text, shot))
        self.recorder.count_shot()
        self._done(match)
        return self._store.shot(shot_id)

    def leave(self, match: Match) -> None:
        """Pass the row by for good: it is kept as it stood, without a shot."""
        self._put(ImportedRow(match.number, match.raw_text))
        self._done(match)

    def _done(self, match: Match) -> None:
        self.follower.take(match.number, match.raw_text)
        self._rows.pop(0)

    def _put(self, row: ImportedRow) -> tuple[int, ...]:
        """Keep a row with how much of the file is taken: all that is complete once none waits behind it."""
        sha256, size = self._state
        if len(self._rows) > 1:
            sha256 = f"{sha256}:{row.number}"  # not this file's hash: more of it is still to be taken
        if self._import_id is not None:
            return self._store.extend_import(self._import_id, [row], sha256, size)
        session = self.recorder.session
        carried = [ImportedRow(number, text) for number, text in self._carried]
        record = self._store.add_import(
            NewImport(
                session.player_id,
                session.id,
                self._name,
                sha256,
                session.started_at,
                rows=[*carried, row],
                taken_bytes=size,
            )
        )
        self._import_id, self._carried = record.id, ()
        return tuple(shot.id for shot in self._store.shots(session.id) if shot.import_id == record.id)


def _may_be(row: TableRow, club: str, cell: Cell) -> bool:
    """Whether a row may be a ball of `cell`: the same club, and the same grip and swing where it says them."""
    return (
        club == cell.club
        and row.grip_down_m in (None, cell.grip_down_m)
        and (row.swing is None or row.swing is cell.swing)
    )


def watched_before(store: Store, player_id: int, path: Path) -> ImportRecord | None:
    """The newest standing import of a file of this name that was watched, or None."""
    held = (each for each in store.imports(player_id) if not each.undone and each.taken_bytes is not None)
    return max((each for each in held if each.name == path.name), key=lambda each: each.id, default=None)


def watch(
    store: Store,
    recorder: Recorder,
    path: Path,
    columns: ColumnMap | None = None,
    answers: Answers | None = None,
    maps: Path | None = None,
) -> Watch:
    """Watch `path` for a running session; rows that an earlier watch took, of this session or before, are not new."""
    held = watched_before(store, recorder.session.player_id, path)
    taken = () if held is None else store.raw_rows(held.id)
    follower = TableFollower(path, columns, answers, recorder.profile.alias, maps, taken)
    if held is not None and held.session_id == recorder.session.id:
        return Watch(store, recorder, follower, held.id)
    return Watch(store, recorder, follower, None, taken)


@dataclass(frozen=True, slots=True)
class Waiting:
    """How a watch waits and ends. Time is an argument: `clock` tells it, `sleep` lets it pass."""

    clock: Callable[[], datetime]
    sleep: Callable[[float], None]
    every_s: float = 1.0
    quiet_for: timedelta | None = None
    stopped: Callable[[], bool] = lambda: False


@dataclass(frozen=True, slots=True)
class Replies:
    """Who is asked: open questions of the columns (None ends the watch), each row, and whom lines are told.

    `decide` gives the match to keep, or None to leave the row.
    """

    ask: Callable[[OpenedTable, Callable[[str, str], OpenedTable]], bool]
    decide: Callable[[Match], Match | None]
    kept: Callable[[Match, ShotRecord], None]
    left: Callable[[Match], None]
    tell: Callable[[str], None]


def run_watch(watched: Watch, waiting: Waiting, replies: Replies) -> None:
    """Look, ask, keep, wait, until it is stopped or nothing was new for long enough. Raises InputError."""
    last_new = waiting.clock()
    while not waiting.stopped():
        look = watched.follower.look()
        for line in look.said:
            replies.tell(line)
        if look.opened is not None and look.opened.open_questions:
            if not replies.ask(look.opened, watched.follower.answer):
                return
            continue
        watched.take_in(look)
        while not waiting.stopped() and (match := watched.next(waiting.clock())) is not None:
            last_new = waiting.clock()
            _settle(watched, match, replies)
        if waiting.quiet_for is not None and waiting.clock() - last_new >= waiting.quiet_for:
            return
        waiting.sleep(waiting.every_s)


def _settle(watched: Watch, match: Match, replies: Replies) -> None:
    chosen = None if match.cell is None else replies.decide(match)
    if chosen is None:
        watched.leave(match)
        replies.left(match)
        return
    replies.kept(chosen, watched.keep(chosen))
