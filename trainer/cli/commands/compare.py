"""`trainer compare`: full against low, side by side in one wind."""

from __future__ import annotations

import argparse
from typing import Any

from trainer.cli.conditions import add_conditions, read_conditions
from trainer.cli.context import Context, Output
from trainer.cli.values import parse_when


def add_commands(commands: Any) -> None:
    """Add `compare`."""
    parser = commands.add_parser(
        "compare",
        help="two shots side by side: height, descent, run, carry, drift, the wind's cost",
        description='Such as: trainer compare "7 iron" "5 iron, 1 in, three-quarter" --wind 15mph --wind-from 12h',
    )
    parser.add_argument("one", metavar="CELL")
    parser.add_argument("other", metavar="CELL")
    parser.add_argument("--when", metavar="TIME", help="as of this moment, such as 2026-05-14")
    add_conditions(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, context: Context) -> Output:
    """Compare two cells of the player's bag."""
    from trainer.application.evidence.history import read_history
    from trainer.application.flights.comparing import compare, comparison_data, comparison_text
    from trainer.exchange.cell_text import parse_cell

    asked = parse_when(args.when, end_of_day=True)
    stated = read_conditions(args, context)
    with context.store_out_of_round() as store:
        history = read_history(store, context.player_alias, asked)
    profile = history.profile
    one, other = (parse_cell(text, profile.bag, profile.units) for text in (args.one, args.other))
    comparison = compare(history, (one, other), stated, asked or context.now)
    return Output(comparison_text(comparison, profile.units), comparison_data(comparison))
