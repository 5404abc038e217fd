"""`trainer gaps`: how far each shot goes, and how sure that is."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from trainer.cli.conditions import add_conditions, read_conditions
from trainer.cli.context import Context, Output
from trainer.cli.values import parse_when

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.application.conditions.stated import StatedConditions
    from trainer.application.evidence.history import History


def add_commands(commands: Any) -> None:
    """Add `gaps`."""
    parser = commands.add_parser("gaps", help="the gapping table: how far each shot goes, and how sure that is")
    parser.add_argument("--all", action="store_true", help="every cell, not the hit ones and their neighbours alone")
    parser.add_argument("--cell", metavar="CELL", help="all of one shot, such as '7 iron, 1 in, three-quarter'")
    parser.add_argument("--when", metavar="TIME", help="as of this moment, such as 2026-05-14")
    add_conditions(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, context: Context) -> Output:
    """The gapping table as of a moment, in stated conditions or today's."""
    from trainer.application.estimates.snapshot import snapshot
    from trainer.application.evidence.history import read_history
    from trainer.application.views.words import gaps_data, gaps_text

    asked = parse_when(args.when, end_of_day=True)
    stated = read_conditions(args, context)
    with context.store_out_of_round() as store:
        history = read_history(store, context.player_alias, asked)
    if args.cell is not None:
        return _one_cell(args.cell, history, stated, asked or context.now)
    table = snapshot(history, stated, asked or context.now)
    return Output(gaps_text(table, history.profile, every_cell=args.all), gaps_data(table, history.profile))


def _one_cell(text: str, history: History, stated: StatedConditions, as_of: datetime) -> Output:
    """Its last balls, its pattern and estimate, and its flight beside its counterpart's."""
    from trainer.application.estimates.learning import learn
    from trainer.application.flights.cell_page import cell_page_data, cell_view
    from trainer.exchange.cell_text import parse_cell

    cell = parse_cell(text, history.profile.bag, history.profile.units)
    known = learn(history, as_of, [cell])
    view = cell_view(history, cell, stated, as_of, known)
    return Output(view.text, cell_page_data(history, cell, stated, as_of, known))
