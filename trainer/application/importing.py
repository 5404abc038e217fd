"""A shot table read into the store: columns settled, rows matched to the bag, all of it kept or none."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime

from trainer.application.conditions import StatedConditions
from trainer.application.history import local
from trainer.core.bag import Bag, Cell, Swing
from trainer.core.conditions import UNKNOWN_WIND, Seen, Turf
from trainer.core.errors import InputError
from trainer.core.shot import CarryOrigin, ShotEntry
from trainer.exchange.shot_table import ShotTable, SkippedRow, TableRow, open_table, read_rows
from trainer.exchange.table_columns import ColumnMap, Question, SideSign, propose_columns, questions
from trainer.exchange.table_text import file_sha256
from trainer.store.records import NewImport, NewSession, NewShot, PlayerRecord, ShotRecord, Source
from trainer.store.store import Store

ShotKey = tuple[datetime, str, ShotEntry]


@dataclass(frozen=True, slots=True)
class Answers:
    """What was said of a table's columns beforehand; None where nothing was."""

    side_positive: SideSign | None = None
    carry_is: CarryOrigin | None = None


@dataclass(frozen=True, slots=True)
class OpenedTable:
    """A table with the map of its columns as settled so far, and the questions still open."""

    table: ShotTable
    sha256: str
    columns: ColumnMap
    open_questions: tuple[Question, ...]


@dataclass(frozen=True, slots=True)
class ReadTable:
    """What the rows of a table came to. `duplicates` counts shots that are in the store, or in the table, already."""

    shots: tuple[NewShot, ...]
    raw_rows: tuple[tuple[int, str], ...]
    skipped: tuple[SkippedRow, ...]
    duplicates: int

    @property
    def rows(self) -> int:
        """Rows below the header."""
        return len(self.shots) + len(self.skipped) + self.duplicates


def open_shots(data: bytes, name: str, columns: ColumnMap | None, answers: Answers) -> OpenedTable:
    """Open a table and settle its columns with what was said. Raises InputError."""
    table = open_table(data, name)
    settled = columns or propose_columns(table.header, table.sample)
    if answers.side_positive is not None:
        settled = replace(settled, side_positive=answers.side_positive)
    if answers.carry_is is not None:
        settled = replace(settled, carry_is=answers.carry_is)
    return OpenedTable(table, file_sha256(data), settled, questions(settled))


def read_shots(
    opened: OpenedTable, player: PlayerRecord, stated: StatedConditions, when: datetime, held: tuple[ShotRecord, ...]
) -> ReadTable:
    """Read every row. A row that is no shot of this bag is skipped with the reason. Raises InputError."""
    seen_before: set[ShotKey] = {(local(shot.at), shot.cell.club, shot.entry) for shot in held}
    shots: list[NewShot] = []
    raw: list[tuple[int, str]] = []
    skipped: list[SkippedRow] = []
    duplicates = 0
    for row in _one_player(read_rows(opened.table, opened.columns), player.profile.alias):
        if isinstance(row, SkippedRow):
            skipped.append(row)
            continue
        shot = _shot(row, opened.columns, player, stated, when)
        if isinstance(shot, SkippedRow):
            skipped.append(shot)
            continue
        key = (shot.at, shot.cell.club, shot.entry)
        # Without a time of its own two equal rows may well be two balls.
        if row.at is not None and key in seen_before:
            duplicates += 1
            continue
        seen_before.add(key)
        shots.append(shot)
        raw.append((row.row_number, row.raw_text))
    return ReadTable(tuple(shots), tuple(raw), tuple(skipped), duplicates)


def _one_player(rows: Iterator[TableRow | SkippedRow], alias: str) -> Iterator[TableRow | SkippedRow]:
    """The rows of one player: where the table names several, those named like `alias`."""
    kept = list(rows)
    names = {row.player for row in kept if isinstance(row, TableRow) and row.player}
    if len(names) < 2:
        yield from kept
        return
    if alias.lower() not in {name.lower() for name in names}:
        raise InputError(
            f"the table holds {len(names)} players", "player column", "name yours with --player, as the table has it"
        )
    for row in kept:
        if isinstance(row, TableRow) and (row.player or "").lower() != alias.lower():
            yield SkippedRow(row.row_number, "another player's")
        else:
            yield row


def _shot(
    row: TableRow, columns: ColumnMap, player: PlayerRecord, stated: StatedConditions, when: datetime
) -> NewShot | SkippedRow:
    profile = player.profile
    try:
        cell = _cell(row, profile.bag)
    except InputError as problem:
        return SkippedRow(row.row_number, problem.what)
    return NewShot(
        at=when if row.at is None else local(row.at),
        cell=cell,
        entry=row.entry,
        ball=stated.ball or profile.ball,
        surface=stated.surface or profile.surface,
        seen=stated.seen or Seen.DEVICE,
        carry_origin=columns.carry_is or CarryOrigin.SEEN,
        source=Source.TABLE,
    )


def _cell(row: TableRow, bag: Bag) -> Cell:
    return Cell(bag.club(row.club_text).name, row.grip_down_m or 0.0, row.swing or Swing.FULL)


def keep_shots(
    store: Store,
    player: PlayerRecord,
    opened: OpenedTable,
    read: ReadTable,
    stated: StatedConditions,
    when: datetime,
) -> int:
    """Keep the table in one transaction; give the id of its import. Raises InputError for a file kept before."""
    if not read.shots:
        raise InputError("no row could be taken", opened.table.name, "see the reason beside each row")
    session = NewSession(
        player_id=player.id,
        started_at=min(shot.at for shot in read.shots),
        air=stated.air(),
        air_stated=stated.air_is_stated,
        turf=stated.turf or Turf.MEDIUM,
        note=f"from {opened.table.name}",
    )
    record = store.add_import(
        NewImport(
            player_id=player.id,
            session=session,
            name=opened.table.name,
            sha256=opened.sha256,
            at=when,
            raw_rows=read.raw_rows,
            shots=read.shots,
            wind=stated.wind or UNKNOWN_WIND,
        )
    )
    return record.id
