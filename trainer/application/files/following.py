"""A shot table that grows while a session runs: what is new in it, each complete row once.

No store and no screen: `TableFollower.look` reads the file and may run in any thread. A row is new until it is marked
`taken`. A line without its end is not read. A file cut short or replaced is noticed, and said; rows of it that were
taken before are known by their text.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from trainer.application.files.table_opening import Answers, OpenedTable, answered, open_shots
from trainer.core.errors import InputError
from trainer.exchange.row_reader import SkippedRow, TableRow
from trainer.exchange.shot_table import read_rows
from trainer.exchange.table_columns import ColumnMap
from trainer.exchange.table_numbers import DecimalMark
from trainer.exchange.table_text import LARGEST_FILE, complete_part, file_sha256

Row = TableRow | SkippedRow


@dataclass(frozen=True, slots=True)
class Look:
    """What one look at the file found.

    `rows` are new, in order; none while `opened` has open questions. `said` are lines for the player. `replaced` is
    True where the file is no longer the one whose rows were taken: `known` are its rows that were taken before.
    `state` is the hash of the complete part and its length in bytes.
    """

    rows: tuple[Row, ...] = ()
    opened: OpenedTable | None = None
    said: tuple[str, ...] = ()
    replaced: bool = False
    known: tuple[tuple[int, str], ...] = ()
    state: tuple[str, int] = ("", 0)


NOTHING = Look()


class TableFollower:
    """Follows one file. It holds the settled columns and the rows that were taken."""

    def __init__(
        self,
        path: Path,
        columns: ColumnMap | None = None,
        answers: Answers | None = None,
        alias: str | None = None,
        maps: Path | None = None,
        taken: Iterable[tuple[int, str]] = (),
    ) -> None:
        self._path, self._columns, self._alias, self._maps = path, columns, alias, maps
        self._answers = answers or Answers()
        self._taken: dict[int, str] = dict(taken)
        self._mark: DecimalMark | None = None
        self._seen: tuple[int, int] | None = None
        self._said = ""
        self._looked = False
        self._opened: OpenedTable | None = None

    def look(self) -> Look:
        """What is new. Raises InputError where the file can no longer be followed: other columns, another mark."""
        try:
            stat = self._path.stat()
            if (stat.st_size, stat.st_mtime_ns) == self._seen:
                return NOTHING
            if stat.st_size > LARGEST_FILE:
                raise InputError(f"the file is larger than {LARGEST_FILE // 2**20} MB", self._path.name, "begin anew")
            data = self._path.read_bytes()
        except FileNotFoundError:
            return self._once("the file is not there; waiting for it")
        self._seen = (stat.st_size, stat.st_mtime_ns)
        whole = complete_part(data)
        try:
            opened = open_shots(whole, self._path.name, self._columns, self._answers, self._alias, self._maps)
        except InputError as problem:
            return self._once("" if not self._taken and len(whole.splitlines()) < 2 else f"waiting: {problem}")
        return self._look_at(opened, whole)

    def _look_at(self, opened: OpenedTable, whole: bytes) -> Look:
        self._opened = opened
        if opened.open_questions:
            return Look(opened=opened)
        self._require_same_mark(opened.survey.mark)
        every = [(row.number, row.raw_text) for row in opened.table.rows()]
        replaced = any(dict(every).get(number) != text for number, text in self._taken.items())
        known: tuple[tuple[int, str], ...] = ()
        said: tuple[str, ...] = ()
        if replaced:
            known = _known_by_text(every, self._taken.values())
            if not self._looked and len(known) * 2 < len(self._taken):
                known = ()  # another file of the same name: equal rows in it are other balls
            else:
                said = (f"{self._path.name} was cut short or replaced: {len(known)} of its rows are known again",)
            self._taken = dict(known)
        self._looked = True
        rows = read_rows(opened.table, opened.columns, opened.survey, opened.answers.day)
        new = tuple(row for row in rows if _number(row) not in self._taken)
        return Look(new, opened, said, replaced, known, (file_sha256(whole), len(whole)))

    def _require_same_mark(self, mark: DecimalMark) -> None:
        if self._taken and self._mark is DecimalMark.POINT and mark is not DecimalMark.POINT:
            raise InputError(
                "its numbers have a decimal comma now, and were read with a point before",
                self._path.name,
                "stop, undo the import, and import the finished file",
            )
        self._mark = mark

    def _once(self, line: str) -> Look:
        """A look that found nothing; `line` is said unless it was the last thing said."""
        said = () if not line or line == self._said else (f"{self._path.name}: {line}",)
        self._said = line
        return Look(said=said)

    def answer(self, key: str, text: str) -> OpenedTable:
        """Answer an open question; the next look reads the rows. Raises InputError for what is no answer."""
        if self._opened is None:
            raise InputError("the file was not looked at yet", self._path.name, "wait for its first row")
        self._opened = answered(self._opened, key, text)
        self._columns, self._answers = self._opened.columns, self._opened.answers
        self._seen = None
        return self._opened

    def look_again(self) -> None:
        """Let the next look read the file though it did not change, as where rows of it wait to be taken."""
        self._seen = None

    def take(self, number: int, raw_text: str) -> None:
        """Mark a row as taken: it is not new again."""
        self._taken[number] = raw_text

    def unfinished(self) -> str:
        """A line about what stands at the end of the file without its line end; empty where nothing does."""
        try:
            data = self._path.read_bytes()
        except OSError:
            return ""
        rest = data[len(complete_part(data)) :].strip(b"\x00\r\n \t")
        return f"{self._path.name}: the last line is not finished and was not taken" if rest else ""


def _number(row: Row) -> int:
    return row.row if isinstance(row, SkippedRow) else row.row_number


def _known_by_text(rows: Iterable[tuple[int, str]], taken: Iterable[str]) -> tuple[tuple[int, str], ...]:
    """Those of `rows` whose text was taken, each as often as it was."""
    left = Counter(taken)
    known = []
    for number, text in rows:
        if left[text] > 0:
            left[text] -= 1
            known.append((number, text))
    return tuple(known)
