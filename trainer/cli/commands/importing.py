"""`trainer import`: a shot table read in, its columns settled first; with `--watch`, one that still grows."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.cli.conditions import add_conditions, read_conditions
from trainer.cli.context import Context, Output
from trainer.cli.table_options import read_answers, read_columns
from trainer.cli.values import parse_when
from trainer.cli.wishes import add_wish
from trainer.core.errors import InputError

if TYPE_CHECKING:
    from trainer.application.files.importing import ReadTable
    from trainer.application.files.table_opening import OpenedTable
    from trainer.exchange.table_columns import ColumnMap

ANSWERED_BY = {
    "side_positive": "--side-positive",
    "carry_is": "--carry-is",
    "day_order": "--day-order",
    "rows_of": "--rows-of",
    "day": "--when",
}
"""The option that answers a question beforehand; the others are answered in a --columns file."""

ONLY_WATCHED = ("session", "plan", "balls", "minutes", "seed", "level", "stop_after")


def add_commands(commands: Any) -> None:
    """Add `import`."""
    parser = commands.add_parser("import", help="read a shot table: comma, semicolon or tab, with a header")
    add = parser.add_argument
    add("file", metavar="FILE")
    add("--columns", metavar="MAP.toml", help="what each column is, as --write-columns wrote it")
    add("--write-columns", metavar="MAP.toml", help="write the column map for the next file of this shape")
    add("--remember", action="store_true", help="save the column map with the store: files of this shape are known")
    add("--accept", action="store_true", help="take the proposed columns without asking; with --watch, each row too")
    add("--side-positive", metavar="SIDE", help="which side a positive number is: right or left")
    add("--carry-is", metavar="WHAT", help="seen, computed or corrected (for the weather)")
    add("--day-order", metavar="ORDER", help="dates such as 03/05/2025: 'day first', 'month first' or 'year first'")
    add("--rows-of", metavar="NAME", help="whose rows are yours, as the table's player column has it")
    add("--dry-run", action="store_true", help="read and report, keep nothing")
    add("--when", metavar="TIME", help="the moment of rows without a time of their own, the day of bare clocks")
    add("--watch", action="store_true", help="follow a table that grows while you play; Ctrl-C ends it")
    add("--session", metavar="ID", help="with --watch: the session that the rows belong to; a new one if left out")
    add_wish(parser)
    add("--every", metavar="TIME", default="1s", help="with --watch: how often to look, such as 1s")
    add("--stop-after", metavar="TIME", help="with --watch: end when nothing was new for so long, such as 20min")
    add_conditions(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, context: Context) -> Output:
    """Settle the columns, read the rows, and keep all of them or none."""
    from trainer.application.files.import_words import proposal_text, rows_text
    from trainer.application.files.importing import keep_shots, read_shots
    from trainer.application.files.table_opening import maps_folder, remember_columns
    from trainer.cli.progress_bar import watched_work

    if args.watch:
        from trainer.cli.commands.watching import run_watched

        return run_watched(args, context)
    for name in ONLY_WATCHED:
        if getattr(args, name) is not None:
            raise InputError("this belongs to --watch", f"--{name.replace('_', '-')}", "add --watch, or leave it out")
    when = parse_when(args.when) or context.now
    stated = read_conditions(args, context)
    with context.open_store(write=not args.dry_run) as store:
        player = store.player(context.player_alias)
        maps = maps_folder(store.path)
        opened = _opened(args, context, player.profile.alias, maps)
        before = store.import_by_hash(player.id, opened.sha256)
        if before is not None:
            return _imported_before(opened, before.id, before.rows)
        if opened.open_questions and not args.dry_run:
            raise InputError(f"not settled: {_asked_words(opened)}", args.file, _answer_words(opened))
        if opened.open_questions:
            return Output(proposal_text(opened), _data(opened, None, kept=False), exit_code=1)
        with watched_work(context, "Reading", opened.survey.rows) as work:
            read = read_shots(store, opened, player, stated, when, work)
        if args.dry_run:
            return Output(rows_text(opened, read, None), _data(opened, read, kept=False))
        confirmed = args.accept or args.columns is not None
        if not confirmed and not _confirmed(opened, read, context):
            raise InputError("the columns are not confirmed", args.file, "add --accept, or name a --columns file")
        with watched_work(context, "Keeping", opened.survey.rows) as work:
            import_id = keep_shots(store, player, opened, read, stated, when, work)
        # What a person looked at and confirmed serves the next file of the shape.
        if (args.remember or not confirmed) and not opened.table.own:
            remember_columns(opened, maps)
    _write_columns(args, opened)
    data = {**_data(opened, read, kept=True), "import": f"i{import_id}"}
    return Output(rows_text(opened, read, import_id), data)


def _opened(args: argparse.Namespace, context: Context, alias: str, maps: Path) -> OpenedTable:
    from trainer.application.files.table_opening import answered, open_shots, read_table_file

    path = Path(args.file)
    columns = read_columns(args)
    opened = open_shots(read_table_file(path), path.name, columns, read_answers(args), alias, maps)
    while opened.open_questions and context.interactive and not args.accept:
        question = opened.open_questions[0]
        choices = f" [{'/'.join(question.choices)}]" if question.choices else ""
        opened = answered(opened, question.key, context.ask(f"{question.text}{choices}"))
    return opened


def _asked_words(opened: OpenedTable) -> str:
    from trainer.application.files.import_words import MOST_CHOICES

    return "; ".join(
        f"{q.text} ({' or '.join(q.choices[:MOST_CHOICES])})" if q.choices else q.text for q in opened.open_questions
    )


def _answer_words(opened: OpenedTable) -> str:
    options = [ANSWERED_BY[q.key] for q in opened.open_questions if q.key in ANSWERED_BY]
    others = len(options) < len(opened.open_questions)
    named = [*options, *(["a --columns file"] if others else [])]
    return f"answer by {' and '.join(named)}"


def _confirmed(opened: OpenedTable, read: ReadTable, context: Context) -> bool:
    from trainer.application.files.import_words import rows_text

    if not context.interactive:
        return False
    for line in rows_text(opened, read, None).splitlines():
        context.say(line)
    return context.ask("Keep these shots? [yes/no]").lower() in ("y", "yes")


def _write_columns(args: argparse.Namespace, opened: OpenedTable) -> None:
    from trainer.exchange.column_toml import column_map_to_toml
    from trainer.exchange.private_file import write_private

    if args.write_columns is None:
        return
    target = Path(args.write_columns)
    if target.exists():
        raise InputError(
            "the shots are kept, but this file exists and is never overwritten", str(target), "rename it"
        )
    write_private(target, column_map_to_toml(opened.columns))


def _columns_data(columns: ColumnMap) -> dict[str, Any]:
    return {
        "side_positive": None if columns.side_positive is None else str(columns.side_positive),
        "carry_is": None if columns.carry_is is None else str(columns.carry_is),
        "day_order": None if columns.day_order is None else str(columns.day_order),
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
    good = 0 if read is None else read.taken
    return {
        "rows": 0 if read is None else read.rows,
        "imported": good if kept else 0,
        "would_import": good,
        "skipped": [] if read is None else [{"row": row.row, "why": row.why} for row in read.skipped],
        "duplicate": 0 if read is None else read.duplicates,
        "columns": _columns_data(opened.columns),
        "columns_from": "our own export" if opened.table.own else "an earlier file" if opened.remembered else "this",
        "rows_of": opened.answers.rows_of,
        "sessions": 0 if read is None else len(read.sessions),
        "questions": [{"key": q.key, "text": q.text, "choices": list(q.choices)} for q in opened.open_questions],
    }


def _imported_before(opened: OpenedTable, import_id: int, rows: int) -> Output:
    data = {**_data(opened, None, kept=False), "rows": rows, "duplicate": rows, "import": f"i{import_id}"}
    why = (
        f"{opened.table.name}: this file was imported before as i{import_id}; `trainer shots undo i{import_id}` first"
    )
    return Output("Nothing imported.", data, exit_code=1, warnings=(why,))
