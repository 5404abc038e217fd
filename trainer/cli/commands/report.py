"""`trainer report`: a player's report or a squad's sheet, to print or to send."""

from __future__ import annotations

import argparse
from enum import StrEnum
from pathlib import Path
from typing import Any

from trainer.application.views.practice import harmless
from trainer.cli.conditions import add_conditions, one_of, read_conditions
from trainer.cli.context import Context, Output
from trainer.cli.values import parse_when


class Form(StrEnum):
    """How a report is printed."""

    TEXT = "text"
    HTML = "html"


def add_commands(commands: Any) -> None:
    """Add `report`."""
    parser = commands.add_parser(
        "report",
        help="a player's report, or a squad's sheet: one page, text or HTML",
        description="Such as: trainer report --format html --out report.html; trainer report --squad kestrel,heron",
    )
    parser.add_argument(
        "--squad",
        metavar="ALIASES",
        nargs="?",
        const="",
        help="a line a player instead, by alias; no alias means everybody in the store",
    )
    parser.add_argument("--format", metavar="FORM", default="text", help="text or html")
    parser.add_argument("--out", metavar="FILE", help="write it there instead of showing it")
    parser.add_argument("--when", metavar="TIME", help="as of this moment, such as 2026-05-14")
    add_conditions(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, context: Context) -> Output:
    """Make the report as of a moment; with `--out` it goes to a new file of its owner alone."""
    from trainer.exchange.private_file import require_free, write_private

    form = one_of(Form, args.format, "--format") or Form.TEXT
    if args.out is not None:
        require_free(Path(args.out))
    text, data = _made(args, context, form)
    if args.out is None:
        return Output(text, data)
    write_private(Path(args.out), harmless(text, keep_lines=True).rstrip("\n") + "\n")
    return Output(f"Wrote {args.out}.", {**data, "file": args.out})


def _made(args: argparse.Namespace, context: Context, form: Form) -> tuple[str, dict[str, Any]]:
    from trainer.application.choosing.rounds import require_no_round
    from trainer.application.reports.player_report import make_report, report_data
    from trainer.application.reports.report_print import report_html, report_text
    from trainer.application.squad.sheet import make_squad_sheet, squad_data, squad_html, squad_text

    asked = parse_when(args.when, end_of_day=True)
    stated = read_conditions(args, context)
    with context.open_store(write=False) as store:
        if args.squad is not None:
            aliases = [alias.strip() for alias in args.squad.split(",") if alias.strip()]
            sheet = make_squad_sheet(store, aliases, asked, context.now)
            return (squad_html if form is Form.HTML else squad_text)(sheet), squad_data(sheet)
        require_no_round(store, context.player_alias, context.now)
        report = make_report(store, context.player_alias, stated, asked, context.now)
    return (report_html if form is Form.HTML else report_text)(report), report_data(report)
