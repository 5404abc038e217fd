"""`trainer import`: a shot table read in, its columns settled first."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.cli.conditions import add_conditions, one_of, read_conditions
from trainer.cli.context import Context, Output, parse_when
from trainer.cli.setup import read_text
from trainer.core.errors import InputError
from trainer.core.shot import CarryOrigin

if TYPE_CHECKING:
    from trainer.application.importing import OpenedTable, ReadTable
    from trainer.exchange.table_columns import ColumnMap

LARGEST_FILE_BYTES = 200_000_000


def add_commands(commands: Any) -> None:
    """Add `import`."""
    parser = commands.add_parser("import", help="read a shot table: comma, semicolon or tab, with a header")
    add = parser.add_argument
    add("file", metavar="FILE")
    add("--columns", metavar="MAP.toml", help="what each column is, as --write-columns wrote it")
    add("--write-columns", metavar="MAP.toml", help="write the column map for the next file of this shape")
    add("--accept", action="store_true", help="take the proposed columns without asking")
    add("--side-positive", metavar="SIDE", help="which side a positive number is: right or left")
    add("--carry-is", metavar="WHAT", help="seen, computed or corrected (for the weather)")
    add("--dry-run", action="store_true", help="read and report, keep nothing")
    add("--when", metavar="TIME", help="the moment of rows without a time of their own")
    add_conditions(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, context: Context) -> Output:
    """Settle the columns, read the rows, and keep all of them or none."""
    from trainer.application.importing import keep_shots, read_shots

    when = parse_when(args.when) or context.now
    stated = read_conditions(args, context)
    with context.open_store(write=not args.dry_run) as store:
        player = store.player(context.player_alias)
        opened = _opened(args, context)
        before = store.import_by_hash(player.id, opened.sha256)
        if before is not None:
            return _imported_before(opened, before.id, before.rows)
        if opened.open_questions and not args.dry_run:
            asked = "; ".join(f"{q.text} ({' or '.join(q.choices[:4])})" for q in opened.open_questions)
            raise InputError(f"not settled: {asked}", args.file, "answer by an option or in a --columns file")
        if opened.open_questions:
            return Output(_proposal_text(opened), _data(opened, None, kept=False), exit_code=1)
        read = read_shots(opened, player, stated, when, store.shots(player_id=player.id))
        if args.dry_run:
            return Output(_read_text(opened, read, None), _data(opened, read, kept=False))
        if not (args.accept or args.columns) and not _confirmed(opened, read, context):
            raise InputError("the columns are not confirmed", args.file, "add --accept, or name a --columns file")
        import_id = keep_shots(store, player, opened, read, stated, when)
    _write_columns(args, opened)
    data = {**_data(opened, read, kept=True), "import": f"i{import_id}"}
    return Output(_read_text(opened, read, import_id), data)


def _opened(args: argparse.Namespace, context: Context) -> OpenedTable:
    from trainer.application.importing import Answers, open_shots
    from trainer.exchange.column_toml import column_map_from_toml
    from trainer.exchange.table_columns import SideSign

    path = Path(args.file)
    if path.stat().st_size > LARGEST_FILE_BYTES:
        raise InputError("the file is larger than 200 MB", args.file, "split it")
    columns = None if args.columns is None else column_map_from_toml(read_text(Path(args.columns)), args.columns)
    side = None if args.side_positive is None else args.side_positive.strip().lower()
    if side not in (None, "right", "left"):
        raise InputError(f"'{args.side_positive}' is not known", "--side-positive", "use right or left")
    answers = Answers(None if side is None else SideSign(side), one_of(CarryOrigin, args.carry_is, "--carry-is"))
    opened = open_shots(path.read_bytes(), path.name, columns, answers)
    if context.interactive and opened.open_questions and not args.accept:
        return _asked(opened, context)
    return opened


def _asked(opened: OpenedTable, context: Context) -> OpenedTable:
    """Ask the open questions at the terminal, one after another."""
    import dataclasses

    from trainer.exchange.table_columns import SideSign, questions

    columns: ColumnMap = opened.columns
    for question in questions(columns):
        answer = context.ask(f"{question.text} [{'/'.join(question.choices)}]")
        if answer not in question.choices:
            raise InputError(f"'{answer}' is no answer", question.key, f"use {' or '.join(question.choices)}")
        if question.key == "side_positive":
            columns = dataclasses.replace(columns, side_positive=SideSign(answer))
        elif question.key == "carry_is":
            columns = dataclasses.replace(columns, carry_is=CarryOrigin(answer))
        else:
            _, field, what = question.key.split(".")
            change = {"header": answer, "rivals": ()} if what == "header" else {"unit": answer}
            columns = dataclasses.replace(
                columns,
                columns=tuple(
                    dataclasses.replace(column, **change) if column.field.value == field else column
                    for column in columns.columns
                ),
            )
    return dataclasses.replace(opened, columns=columns, open_questions=questions(columns))


def _confirmed(opened: OpenedTable, read: ReadTable, context: Context) -> bool:
    if not context.interactive:
        return False
    context.say(_read_text(opened, read, None))
    return context.ask("Keep these shots? [yes/no]").lower() in ("y", "yes")


def _write_columns(args: argparse.Namespace, opened: OpenedTable) -> None:
    from trainer.exchange.column_toml import column_map_to_toml

    if args.write_columns is None:
        return
    target = Path(args.write_columns)
    if target.exists():
        raise InputError(
            "the shots are kept, but this file exists and is never overwritten", str(target), "rename it"
        )
    target.write_text(column_map_to_toml(opened.columns), encoding="utf-8")


def _columns_data(columns: ColumnMap) -> dict[str, Any]:
    return {
        "side_positive": None if columns.side_positive is None else str(columns.side_positive),
        "carry_is": None if columns.carry_is is None else str(columns.carry_is),
        **{
            column.field.value: {
                "header": column.header,
                "unit": column.unit,
                "confidence": column.confidence,
                "sample": column.sample,
            }
            for column in columns.columns
        },
    }


def _data(opened: OpenedTable, read: ReadTable | None, *, kept: bool) -> dict[str, Any]:
    good = 0 if read is None else len(read.shots)
    return {
        "rows": 0 if read is None else read.rows,
        "imported": good if kept else 0,
        "would_import": good,
        "skipped": [] if read is None else [{"row": row.row, "why": row.why} for row in read.skipped],
        "duplicate": 0 if read is None else read.duplicates,
        "columns": _columns_data(opened.columns),
        "questions": [{"key": q.key, "text": q.text, "choices": list(q.choices)} for q in opened.open_questions],
    }


def _imported_before(opened: OpenedTable, import_id: int, rows: int) -> Output:
    data = {**_data(opened, None, kept=False), "rows": rows, "duplicate": rows, "import": f"i{import_id}"}
    why = (
        f"{opened.table.name}: this file was imported before as i{import_id}; `trainer shots undo i{import_id}` first"
    )
    return Output("Nothing imported.", data, exit_code=1, warnings=(why,))


def _proposal_text(opened: OpenedTable) -> str:
    lines = [f"{opened.table.name}: proposed columns"]
    for column in opened.columns.columns:
        unit = "" if column.unit is None else f" in {column.unit}"
        lines.append(f"  {column.field.value:12} <- '{column.header}'{unit}, such as '{column.sample}'")
    lines += [f"Open: {q.text} ({' or '.join(q.choices[:4])})" for q in opened.open_questions]
    return "\n".join(lines)


def _read_text(opened: OpenedTable, read: ReadTable, import_id: int | None) -> str:
    done = "Would import" if import_id is None else f"Imported as i{import_id}:"
    lines = [
        _proposal_text(opened),
        f"{done} {len(read.shots)} of {read.rows} rows, {read.duplicates} duplicate, {len(read.skipped)} skipped.",
        *(f"  row {row.row}: {row.why}" for row in read.skipped[:20]),
    ]
    if len(read.skipped) > 20:
        lines.append(f"  and {len(read.skipped) - 20} more; --json lists them all")
    return "\n".join(lines)
