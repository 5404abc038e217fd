"""`trainer progress`: retention and transfer apart from practice, and whether called ranges held."""

from __future__ import annotations

import argparse
from typing import Any

from trainer.cli.context import Context, Output
from trainer.cli.values import parse_when


def add_commands(commands: Any) -> None:
    """Add `progress`."""
    parser = commands.add_parser(
        "progress", help="what stayed, what carries over, how often called ranges held; often: no clear change"
    )
    parser.add_argument("--when", metavar="TIME", help="as of this moment, such as 2026-05-14")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, context: Context) -> Output:
    """Tell the progress as of a moment."""
    from trainer.application.evidence.history import read_history
    from trainer.application.reports.progress import past_around, progress_from
    from trainer.application.reports.progress_words import progress_data, progress_text

    asked = parse_when(args.when, end_of_day=True)
    with context.store_out_of_round() as store:
        past = past_around(store, read_history(store, context.player_alias, asked), asked)
    progress = progress_from(past, asked or context.now)
    return Output(progress_text(progress, past.history.profile.units), progress_data(progress))
