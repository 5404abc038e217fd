"""`trainer card`: the pocket card, made before the round."""

from __future__ import annotations

import argparse
from enum import StrEnum
from typing import Any

from trainer.cli.conditions import add_conditions, one_of, read_conditions
from trainer.cli.context import Context, Output, parse_when


class Form(StrEnum):
    """How a card is printed."""

    TEXT = "text"
    HTML = "html"
    SVG = "svg"


def add_commands(commands: Any) -> None:
    """Add `card`."""
    parser = commands.add_parser(
        "card",
        help="the pocket card: carries by wind, made before the round",
        description="Such as: trainer card --clubs '6 iron, 7 iron, 8 iron, 9 iron' --format svg > card.svg",
    )
    parser.add_argument("--clubs", metavar="CLUBS", nargs="+", help="up to six, parted by commas")
    parser.add_argument("--format", metavar="FORM", default="text", help="text, html or svg (one A6 page)")
    parser.add_argument("--when", metavar="TIME", help="as of this moment, such as 2026-05-14")
    add_conditions(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, context: Context) -> Output:
    """Make the card from what is known at a moment."""
    from trainer.application.card import card_data, make_card
    from trainer.application.card_print import printed
    from trainer.application.history import read_history

    form = one_of(Form, args.format, "--format") or Form.TEXT
    asked = parse_when(args.when, end_of_day=True)
    stated = read_conditions(args, context)
    clubs = [name.strip() for words in args.clubs or () for name in words.split(",") if name.strip()]
    with context.open_store(write=False) as store:
        history = read_history(store, context.player_alias, asked)
    units = history.profile.units
    card = make_card(history, stated, asked or context.now, clubs)
    return Output(printed(card, units, form), card_data(card, units))
