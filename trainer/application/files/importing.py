"""A shot table read into the store: opened, its questions answered, looked at beforehand, then kept whole or not.

The way: `table_opening.open_shots` gives the proposed columns with samples and the open questions, `answered` settles
one, `read_shots` says what the rows would come to, `keep_shots` keeps them, `table_opening.remember_columns` saves
the map for the next file of the shape. Rows are read one by one, never held all at once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from trainer.application.conditions.stated import StatedConditions
from trainer.application.evidence.history import local
from trainer.application.files.known_again import KnownRows, KnownShots
from trainer.application.files.table_opening import OpenedTable
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import UNKNOWN_WIND, Air, Seen, Turf, Wind
from trainer.core.errors import InputError
from trainer.core.profile import Profile
from trainer.core.shot import CarryOrigin
from trainer.exchange.club_text import club_meant
from trainer.exchange.row_reader import SkippedRow, TableRow
from trainer.exchange.shot_table import read_rows
from trainer.store.records import ImportedRow, NewImport, NewSession, NewShot, PlayerRecord, Source
from trainer.store.store import Store

Progress = Callable[[int, int], None]
"""Told (rows done, rows in all) now and then."""

TELL_EVERY = 500
"""Rows between two words of progress."""

MOST_SESSIONS = 400
"""Days or sessions that one table may hold."""


class Stopped(Exception):  # noqa: N818 - it is no error: the player asked for it
    """The reading was called off; nothing of it was kept."""


def _silent(done: int, rows: int) -> None:
    """Say nothing."""


def _never() -> bool:
    return False


@dataclass(frozen=True, slots=True)
class Work:
    """How long work is watched: told its progress, asked whether to go on. `Stopped` is raised where not."""

    progress: Progress = _silent
    cancelled: Callable[[], bool] = _never

    def step(self, done: int, rows: int) -> None:
        """Tell how far it is, and stop if that was asked for."""
        if done % TELL_EVERY == 0 or done == rows:
            self.progress(done, rows)
            if self.cancelled():
                raise Stopped


IN_SILENCE = Work()


@dataclass(frozen=True, slots=True)
class ReadTable:
    """What the rows of a table would come to.

    `taken` counts shots, `duplicates` those that are held already or in the table twice. `first_shots` are the first
    few, to be looked at. `sessions` are the days (of our own export: its sessions) by key, with their first moment
    and air. `known_rows` are rows of an earlier state of the file.
    """

    rows: int
    taken: int
    duplicates: int
    skipped: tuple[SkippedRow, ...]
    first_shots: tuple[NewShot, ...] = ()
    sessions: Mapping[str, tuple[datetime, Air | None]] = field(default_factory=dict)
    known_rows: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class _Taken:
    """A row that becomes a shot, the key of its session, and what only our own export tells."""

    number: int
    raw_text: str
    shot: NewShot
    session: str
    wind: Wind | None
    air: Air | None


@dataclass(frozen=True, slots=True)
class _Known:
    """A row whose shot is held already."""

    number: int


FIRST_SHOTS = 10


def read_shots(
    store: Store,
    opened: OpenedTable,
    player: PlayerRecord,
    stated: StatedConditions,
    when: datetime,
    work: Work = IN_SILENCE,
) -> ReadTable:
    """Read every row, keep none. A row that is no shot of this bag is skipped with the reason.

    Raises InputError where a question is open, and `Stopped`.
    """
    known_rows = _known_rows(store, opened, player)
    skipped: list[SkippedRow] = []
    first: list[NewShot] = []
    days: dict[str, tuple[datetime, Air | None]] = {}
    taken = duplicates = 0
    for done, row in enumerate(_read(store, opened, player, stated, when, known_rows), start=1):
        if isinstance(row, SkippedRow):
            skipped.append(SkippedRow(row.row, row.why))
        elif isinstance(row, _Known):
            duplicates += 1
        else:
            taken += 1
            _note_session(days, row)
            if len(first) < FIRST_SHOTS:
                first.append(row.shot)
        work.step(done, opened.survey.rows)
    return ReadTable(opened.survey.rows, taken, duplicates, tuple(skipped), tuple(first), days, known_rows)


def _note_session(days: dict[str, tuple[datetime, Air | None]], row: _Taken) -> None:
    held = days.get(row.session)
    if held is None and len(days) == MOST_SESSIONS:
        raise InputError(f"the table holds more than {MOST_SESSIONS} days", f"row {row.number}", "part it")
    if held is None or row.shot.at < held[0]:
        days[row.session] = (row.shot.at, row.air if held is None else held[1])


def _known_rows(store: Store, opened: OpenedTable, player: PlayerRecord) -> frozenset[int]:
    """Rows of an earlier state of the file, where no times tell its shots apart."""
    if opened.survey.timed or opened.table.own:
        return frozenset()
    earlier = (store.raw_rows(each.id) for each in store.imports(player.id) if not each.undone)
    return KnownRows(earlier).known_in((row.number, row.raw_text) for row in opened.table.rows())


def _read(
    store: Store,
    opened: OpenedTable,
    player: PlayerRecord,
    stated: StatedConditions,
    when: datetime,
    known_rows: frozenset[int],
) -> Iterator[_Taken | _Known | SkippedRow]:
    """Every row of the table: a shot to take, one that is known, or the reason why it is none.

    The store is read before this returns: the rows may then be taken inside a transaction of it.
    """
    own, survey = opened.table.own, opened.survey
    held = store.held_shots(player.id) if survey.timed or own else ()
    known = KnownShots(held, times_tell=survey.times_tell_shots or own)
    rows = read_rows(opened.table, opened.columns, survey, opened.answers.day)
    return _sorted_out(
        rows, opened.answers.rows_of, known_rows, known, _ShotMaker(opened, player.profile, stated, when)
    )


def _sorted_out(
    rows: Iterator[TableRow | SkippedRow],
    rows_of: str | None,
    known_rows: frozenset[int],
    known: KnownShots,
    maker: _ShotMaker,
) -> Iterator[_Taken | _Known | SkippedRow]:
    wanted = None if rows_of is None else rows_of.lower()
    for row in rows:
        if isinstance(row, SkippedRow):
            yield row
        elif row.row_number in known_rows:
            yield _Known(row.row_number)
        elif wanted is not None and (row.player or "").lower() != wanted:
            yield SkippedRow(row.row_number, "another player's" if row.player else "no player is named")
        else:
            made = maker.shot(row)
            yield _Known(row.row_number) if row.at is not None and _is_known(made, known) else made


def _is_known(made: _Taken | SkippedRow, known: KnownShots) -> bool:
    if isinstance(made, SkippedRow):
        return False
    return known.is_known(made.shot.at, made.shot.cell.club, made.shot.entry)


class _ShotMaker:
    """Makes shots of rows. It remembers which club each way of writing one means."""

    def __init__(self, opened: OpenedTable, profile: Profile, stated: StatedConditions, when: datetime) -> None:
        self._carry_is = opened.columns.carry_is or CarryOrigin.SEEN
        self._profile, self._stated, self._when = profile, stated, when
        self._clubs: dict[str, str | InputError] = {}
        self._days: dict[date, str] = {}

    def shot(self, row: TableRow) -> _Taken | SkippedRow:
        """The shot of a row, or why it is none of this bag."""
        club = self._club(row.club_text)
        if isinstance(club, InputError):
            return SkippedRow(row.row_number, str(club), row.raw_text)
        at = self._when if row.at is None else local(row.at)
        own, stated, profile = row.own, self._stated, self._profile
        shot = NewShot(
            at=at,
            cell=Cell(club, row.grip_down_m or 0.0, row.swing or Swing.FULL),
            entry=row.entry,
            target_m=None if own is None else own.target_m,
            ball=(own.ball if own else stated.ball) or profile.ball,
            surface=(own.surface if own else stated.surface) or profile.surface,
            seen=(own.seen if own else stated.seen) or Seen.DEVICE,
            carry_origin=own.carry_is if own else self._carry_is,
            source=Source.TABLE,
        )
        session = own.session if own is not None else self._day(at.date())
        told = None if own is None or own.wind == UNKNOWN_WIND else own.wind
        return _Taken(row.row_number, row.raw_text, shot, session, told, None if own is None else own.air)

    def _day(self, day: date) -> str:
        """The key of a day's session."""
        if day not in self._days:
            self._days[day] = day.isoformat()
        return self._days[day]

    def _club(self, text: str) -> str | InputError:
        if text not in self._clubs:
            if len(self._clubs) > 1000:
                self._clubs.clear()
            try:
                self._clubs[text] = club_meant(text, self._profile.bag).name
            except InputError as problem:
                self._clubs[text] = problem
        return self._clubs[text]


def keep_shots(
    store: Store,
    player: PlayerRecord,
    opened: OpenedTable,
    read: ReadTable,
    stated: StatedConditions,
    when: datetime,
    work: Work = IN_SILENCE,
) -> int:
    """Keep the table in one transaction, a session a day; give the id of its import.

    Raises InputError for a file kept before and for one without a shot, and `Stopped`: nothing is kept then.
    """
    if not read.sessions:
        raise InputError("no row could be taken", opened.table.name, "see the reason beside each row")
    sessions = {
        key: NewSession(
            player_id=player.id,
            started_at=began,
            air=air if air is not None and not stated.air_is_stated else stated.air(),
            air_stated=stated.air_is_stated or air is not None,
            turf=stated.turf or Turf.MEDIUM,
            note=f"from {opened.table.name}",
        )
        for key, (began, air) in sorted(read.sessions.items(), key=lambda each: each[1][0])
    }
    first = next(iter(sessions))
    rows = _read(store, opened, player, stated, when, read.known_rows)
    record = store.add_import(
        NewImport(
            player_id=player.id,
            session=sessions.pop(first),
            name=opened.table.name,
            sha256=opened.sha256,
            at=when,
            wind=stated.wind or UNKNOWN_WIND,
            sessions=sessions,
            rows=_kept_rows(rows, first, opened.survey.rows, work),
        )
    )
    return record.id


def _kept_rows(
    rows: Iterator[_Taken | _Known | SkippedRow], first: str, count: int, work: Work
) -> Iterator[ImportedRow]:
    """What is kept of each row: those of shots, and those skipped as they stood; no other player's."""
    for done, row in enumerate(rows, start=1):
        if isinstance(row, _Taken):
            session = "" if row.session == first else row.session
            yield ImportedRow(row.number, row.raw_text, row.shot, session, row.wind)
        elif isinstance(row, SkippedRow) and row.raw_text:
            yield ImportedRow(row.row, row.raw_text)
        work.step(done, count)
