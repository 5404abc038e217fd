"""A shot table's columns, questions and rows in words, for the command and for the screens."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.application.files.importing import ReadTable
from trainer.application.files.table_opening import OpenedTable
from trainer.application.session.typed_check import entry_words
from trainer.application.views.folding import folded
from trainer.application.views.practice import harmless
from trainer.application.views.table import ColumnRow, QuestionView
from trainer.core.units import UNITS, UnitChoice
from trainer.exchange.cell_text import print_cell
from trainer.exchange.row_reader import SkippedRow
from trainer.exchange.table_columns import Column, Question
from trainer.store.records import NewShot

MOST_CHOICES = 6
"""Answers to a question that the command names."""

MOST_SKIPPED = 20
"""Refused rows that the command names."""

_MEANINGS = {
    "side_positive": {
        "right": "12 landed right of the line, -12 left",
        "left": "12 landed left of the line, -12 right",
    },
    "carry_is": {
        "seen": "where the ball landed, in the weather of the day",
        "computed": "worked out from launch data, in the weather of the day",
        "corrected": "changed already to what it would be without wind: never corrected again",
    },
}


def proposal_text(opened: OpenedTable) -> str:
    """The columns as settled so far, and the questions that are open."""
    lines = [heading(opened), *(_column_text(column) for column in opened.columns.columns if not opened.table.own)]
    lines += [f"  {said}" for said in settled_words(opened)]
    lines += [
        f"Open: {q.text}{f' ({chr(32).join(q.choices[:MOST_CHOICES])})' if q.choices else ''}"
        for q in opened.open_questions
    ]
    return "\n".join(lines)


def heading(opened: OpenedTable) -> str:
    """The file, and where its columns are known from."""
    if opened.table.own:
        return f"{opened.table.name}: written by `trainer export`; units and signs are known"
    known = "columns as confirmed for an earlier file" if opened.remembered else "proposed columns"
    return f"{opened.table.name}: {known}"


def settled_words(opened: OpenedTable) -> list[str]:
    """Which side is positive, what the carries are, whose rows are read."""
    columns = opened.columns
    said = []
    if not opened.table.own:
        if columns.side_positive is not None and str(columns.side_positive) != "letters":
            said.append(f"a positive side is {columns.side_positive}")
        said.append(f"the carry is taken as {columns.carry_is or 'unknown'}")
    if opened.answers.rows_of is not None:
        said.append(f"only the rows of {opened.answers.rows_of}")
    elif len(opened.survey.players) == 1:
        said.append(f"all rows are of {opened.survey.players[0]}")
    return said


def _column_text(column: Column) -> str:
    unit = "" if column.unit is None else f" in {column.unit}"
    sure = "" if column.confidence == 1 else f" ({_percent(column)} sure)"
    sample = f", such as '{column.sample}'" if column.sample else ""
    return f"  {column.field.value:12} <- '{column.header}'{unit}{sample}{sure}"


def _percent(column: Column) -> str:
    return f"{round(column.confidence * 20) * 5} %"


def rows_text(opened: OpenedTable, read: ReadTable, import_id: int | None) -> str:
    """The columns, what the rows come to, and why some were refused; `import_id` once they are kept."""
    lines = [
        proposal_text(opened),
        counts_text(read, import_id),
        *(line for row in read.skipped[:MOST_SKIPPED] for line in _skipped_lines(row)),
    ]
    if len(read.skipped) > MOST_SKIPPED:
        lines.append(f"  and {len(read.skipped) - MOST_SKIPPED} more; --json lists them all")
    return "\n".join(lines)


def _skipped_lines(row: SkippedRow) -> list[str]:
    return folded(f"  row {row.row}: {row.why}", hanging="    ")


def counts_text(read: ReadTable, import_id: int | None) -> str:
    """How many rows are shots, how many were known, how many were refused."""
    done = "Would import" if import_id is None else f"Imported as i{import_id}:"
    days = f", {len(read.sessions)} sessions" if len(read.sessions) > 1 else ""
    return f"{done} {read.taken} of {read.rows} rows{days}, {read.duplicates} duplicate, {len(read.skipped)} skipped."


def column_rows(opened: OpenedTable) -> tuple[ColumnRow, ...]:
    """Each column that was recognised; none of our own export, whose columns are known."""
    if opened.table.own:
        return ()
    return tuple(
        ColumnRow(
            what=column.field.value.replace("_", " "),
            header=harmless(column.header),
            unit=column.unit or ("?" if _has_unit_question(opened, column) else ""),
            sample=harmless(column.sample),
            sure="sure" if column.confidence == 1 else f"{_percent(column)} sure",
        )
        for column in opened.columns.columns
    )


def _has_unit_question(opened: OpenedTable, column: Column) -> bool:
    return any(q.key == f"columns.{column.field.value}.unit" for q in opened.open_questions)


def question_view(opened: OpenedTable) -> QuestionView | None:
    """The first open question, with what each answer means; None where all are settled."""
    if not opened.open_questions:
        return None
    asked = opened.open_questions[0]
    choices = tuple((choice, _meaning(asked, choice)) for choice in asked.choices)
    return QuestionView(asked.key, harmless(asked.text), choices, len(opened.open_questions))


def _meaning(asked: Question, choice: str) -> str:
    if asked.key.endswith(".unit"):
        return _EXAMPLES.get(choice, "") if choice in UNITS else ""
    return _MEANINGS.get(asked.key, {}).get(choice, "")


_EXAMPLES = {
    "yd": "yards", "m": "metres", "ft": "feet", "in": "inches", "cm": "centimetres", "km": "kilometres",
    "mi": "miles", "mph": "miles an hour", "km/h": "kilometres an hour", "m/s": "metres a second", "kn": "knots",
    "ft/s": "feet a second",
}  # fmt: skip


def shot_lines(shots: Sequence[NewShot], units: UnitChoice) -> tuple[str, ...]:
    """Shots as they would be kept: when, which shot, where it went."""
    cells = [print_cell(shot.cell, units) for shot in shots]
    width = max(map(len, cells), default=0)
    return tuple(
        harmless(f"{shot.at:%d %b %H:%M}  {cell:{width}}  {entry_words(shot.entry, units)}")
        for shot, cell in zip(shots, cells, strict=True)
    )
