"""`trainer round`: while a round is on, only the card made before it is shown (Rule 4.3a)."""

from __future__ import annotations

import argparse
from typing import Any

from trainer.application.views.folding import paragraphs
from trainer.cli.commands.card import card_asked_for
from trainer.cli.conditions import add_conditions
from trainer.cli.context import Context, Output


def add_commands(commands: Any) -> None:
    """Add `round` with its two."""
    parser = commands.add_parser(
        "round",
        help="begin or end a round: meanwhile only the card made before it is shown",
        description="Rule 4.3a (Rules of Golf 2023) bars advice on a club in a round; local rules decide.",
    )
    parser.set_defaults(run=run_status)
    kinds = parser.add_subparsers(dest="round_command", metavar="WHAT")
    start = kinds.add_parser("start", help="make the card, and show nothing else until the round is over")
    start.add_argument("--clubs", metavar="CLUBS", nargs="+", help="clubs of the card, up to six, parted by commas")
    add_conditions(start)
    start.set_defaults(run=run_start, when=None)
    end = kinds.add_parser("end", help="the round is over; one forgotten ends by itself at midnight")
    end.set_defaults(run=run_end)


def run_status(args: argparse.Namespace, context: Context) -> Output:
    """Say whether a round is on."""
    from trainer.application.choosing.rounds import lock_data, round_on

    with context.open_store(write=False) as store:
        lock = round_on(store, context.player_alias, context.now)
    text = "No round is on. Before one: trainer round start" if lock is None else lock.words
    return Output(paragraphs(text), lock_data(lock))


def run_start(args: argparse.Namespace, context: Context) -> Output:
    """Make the card and begin the round."""
    from trainer.application.choosing.card_print import every_form
    from trainer.application.choosing.rounds import lock_data, require_no_round, start_round

    with context.open_store(write=False) as store:
        require_no_round(store, context.player_alias, context.now)
    card, units = card_asked_for(args, context)
    with context.open_store(write=True) as store:
        lock = start_round(store, context.player_alias, context.now, every_form(card, units))
    said = (
        f"The round is on since {lock.started_at:%H:%M}. Until `trainer round end`, or midnight, "
        "`trainer card` shows this card and nothing else is advised (Rule 4.3a); local rules decide."
    )
    return Output(f"{lock.card['text']}\n\n{paragraphs(said)}", lock_data(lock))


def run_end(args: argparse.Namespace, context: Context) -> Output:
    """End the round, and offer the course log."""
    from trainer.application.choosing.rounds import end_round, lock_data

    with context.open_store(write=True) as store:
        ended = end_round(store, context.player_alias, context.now)
    text = paragraphs(
        f"The round begun at {ended.started_at:%H:%M} is over; everything is shown again.",
        "How did the card do? Enter three to six windy approaches with `trainer course-log`, one a line:",
        "7 iron, three-quarter, to 150yd: flag-6 4L",
    )
    return Output(text, lock_data(None))
