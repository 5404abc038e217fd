"""A shot table opened: its columns proposed or known from an earlier file, its open questions asked and answered."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from trainer.core.errors import InputError
from trainer.core.shot import CarryOrigin
from trainer.exchange.column_toml import column_map_from_toml, column_map_to_toml
from trainer.exchange.plain_text import shown_text
from trainer.exchange.private_file import write_private
from trainer.exchange.shot_table import ShotTable, open_table, propose, survey_table, table_questions
from trainer.exchange.table_columns import ColumnMap, Question, answered_map, missing_questions
from trainer.exchange.table_survey import Survey
from trainer.exchange.table_text import LARGEST_FILE, file_sha256
from trainer.exchange.table_times import DayOrder
from trainer.exchange.table_words import SideSign


@dataclass(frozen=True, slots=True)
class Answers:
    """What was said of a table beforehand; None where nothing was. `rows_of` is a name in its player column, `day`
    that of clocks without a date."""

    side_positive: SideSign | None = None
    carry_is: CarryOrigin | None = None
    day_order: DayOrder | None = None
    rows_of: str | None = None
    day: date | None = None


@dataclass(frozen=True, slots=True)
class OpenedTable:
    """A table with the map of its columns as settled so far, what its rows tell together, and the open questions.

    `remembered` says that the map was saved with an earlier file of the shape.
    """

    table: ShotTable
    sha256: str
    columns: ColumnMap
    survey: Survey
    answers: Answers
    open_questions: tuple[Question, ...]
    remembered: bool = False


def read_table_file(path: Path) -> bytes:
    """A table's file whole. Raises InputError for one larger than any table, before it is read."""
    if path.stat().st_size > LARGEST_FILE:
        raise InputError(f"the file is larger than {LARGEST_FILE // 2**20} MB", path.name, "split it")
    return path.read_bytes()


def open_shots(
    data: bytes,
    name: str,
    columns: ColumnMap | None,
    answers: Answers,
    alias: str | None = None,
    maps: Path | None = None,
) -> OpenedTable:
    """Open a table and settle its columns with what was said.

    Without `columns` the map saved in the folder `maps` for tables of this shape is taken, else one is proposed.
    `alias` is the player's: rows under that name are his where the table holds several. Raises InputError.
    """
    table = open_table(data, name)
    saved = None if columns is not None or maps is None or table.own else _saved_map(table, maps)
    settled = columns or saved or propose(table)
    if not table.own:
        settled = replace(
            settled,
            side_positive=answers.side_positive or settled.side_positive,
            carry_is=answers.carry_is or settled.carry_is,
            day_order=answers.day_order or settled.day_order,
        )
    opened = _surveyed(table, file_sha256(data), settled, answers, alias)
    return replace(opened, remembered=saved is not None)


MAPS_FOLDER = "columns"
"""Beside the store: the column maps that were confirmed, by the shape of their table."""


def maps_folder(store_path: Path) -> Path:
    """Where the column maps of a store's files are saved."""
    return store_path.parent / MAPS_FOLDER


def _saved_map(table: ShotTable, maps: Path) -> ColumnMap | None:
    path = maps / f"{table.shape}.toml"
    if not path.is_file():
        return None
    return column_map_from_toml(path.read_text(encoding="utf-8"), str(path))


def remember_columns(opened: OpenedTable, maps: Path) -> Path:
    """Save the settled map for the next table of this shape, in place of an earlier one; give where it is."""
    maps.mkdir(mode=0o700, parents=True, exist_ok=True)
    path = maps / f"{opened.table.shape}.toml"
    path.unlink(missing_ok=True)
    write_private(path, column_map_to_toml(opened.columns))
    return path


def _surveyed(
    table: ShotTable, sha256: str, columns: ColumnMap, answers: Answers, alias: str | None = None
) -> OpenedTable:
    found = survey_table(table, columns)
    named = next((name for name in found.players if alias and name.lower() == alias.lower()), None)
    said = answers if answers.rows_of is not None or named is None else replace(answers, rows_of=named)
    _require_known_name(said, found, table.name)
    asked = [*missing_questions(columns, table.header), *table_questions(columns, found)]
    if len(found.players) > 1 and said.rows_of is None:
        asked.append(Question("rows_of", "whose rows are yours?", found.players))
    if found.dayless and said.day is None:
        asked.append(Question("day", "the times have no date: on which day was it (such as 2025-05-03)?", ()))
    return OpenedTable(table, sha256, columns, found, said, tuple(asked))


def _require_known_name(answers: Answers, found: Survey, name: str) -> None:
    wanted = answers.rows_of
    if wanted is not None and wanted.lower() not in {each.lower() for each in found.players}:
        known = ", ".join(shown_text(each) for each in found.players[:10]) or "no player column"
        raise InputError(f"no row is of '{shown_text(wanted)}'", name, f"the table has {known}")


def answered(opened: OpenedTable, key: str, text: str) -> OpenedTable:
    """`opened` with the answer `text` to its open question `key`. Raises InputError for what is no answer."""
    question = next((each for each in opened.open_questions if each.key == key), None)
    if question is None:
        raise InputError("this is not asked", key, "answer an open question")
    word = text.strip()
    if question.choices and word not in question.choices:
        known = " or ".join(shown_text(choice) for choice in question.choices[:10])
        raise InputError(f"'{shown_text(word)}' is no answer", key, f"use {known}")
    answers, columns = opened.answers, opened.columns
    if key == "rows_of":
        answers = replace(answers, rows_of=word)
    elif key == "day":
        answers = replace(answers, day=_day(word))
    else:
        columns = answered_map(columns, key, word, opened.table.header, opened.table.sample)
    settled = _surveyed(opened.table, opened.sha256, columns, answers)
    return replace(settled, remembered=opened.remembered)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(f"'{shown_text(text)}' is no day", "day", "write such as 2025-05-03") from None
