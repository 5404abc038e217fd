"""What the screens for shot tables are given: files to pick, columns with samples, questions, rows. Nothing heavy."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


@dataclass(frozen=True, slots=True)
class FileRow:
    """Something in a folder: its name, what stands in the line once it is picked, and size and day of a file."""

    name: str
    typed: str
    detail: str
    is_folder: bool = False


@dataclass(frozen=True, slots=True)
class FolderView:
    """What fits a typed path: the folder looked at, its rows, and how far the path can be completed without doubt.

    `said` is why there is none.
    """

    folder: str
    rows: tuple[FileRow, ...]
    completed: str
    said: str = ""


@dataclass(frozen=True, slots=True)
class ColumnRow:
    """A column that was recognised: what it is, its header and unit, a cell of it, and how sure that is."""

    what: str
    header: str
    unit: str
    sample: str
    sure: str


@dataclass(frozen=True, slots=True)
class QuestionView:
    """An open question: its answers with what each means, none where a word is to be typed. `left` counts it too."""

    key: str
    text: str
    choices: tuple[tuple[str, str], ...]
    left: int


class TableStep(StrEnum):
    """How far a table has come."""

    ASKING = "a question is open"
    HELD = "imported before"
    READY = "its rows can be read"
    LOOKED_AT = "its rows were looked at"
    KEPT = "kept"
    TAKEN_BACK = "taken back"


@dataclass(frozen=True, slots=True)
class ImportView:
    """A shot table on its way into the store.

    `settled` are sentences about signs, carries and whose rows are read; `counts` say what the rows come to;
    `shots` are the first few as they would be kept, `refused` rows with their reason. `answered` counts the answers
    that can be taken back. `weather` is as typed. `text` is what the command prints.
    """

    name: str
    step: TableStep
    columns: tuple[ColumnRow, ...]
    settled: tuple[str, ...]
    question: QuestionView | None
    answered: int
    counts: tuple[str, ...]
    shots: tuple[str, ...]
    refused: tuple[str, ...]
    weather: str
    said: str
    text: str


@dataclass(frozen=True, slots=True)
class FollowView:
    """A table that grows while a session runs.

    `number` is that of the row that waits to be confirmed, None where none does, `row` says it in words. `ball` is
    the agenda's ball that it is taken for, `doubt` why it may be another one. `kept` and `left` count; `log` is what
    became of the last rows, newest first; `changed` counts up with each row that is kept. `columns` and `question`
    are as in `ImportView`.
    """

    name: str
    columns: tuple[ColumnRow, ...]
    settled: tuple[str, ...]
    question: QuestionView | None
    next_ball: str
    number: int | None
    row: str
    ball: str
    doubt: str
    kept: int
    left: int
    log: tuple[str, ...]
    unasked: bool
    changed: int
    text: str
