"""`trainer card`: the pocket card, made before the round."""

from __future__ import annotations

import argparse
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from trainer.cli.conditions import add_conditions, one_of, read_conditions
from trainer.cli.context import Context, Output
from trainer.cli.values import parse_when
from trainer.core.errors import InputError

if TYPE_CHECKING:
    from trainer.application.choosing.card import Card
    from trainer.application.choosing.rounds import RoundLock
    from trainer.core.units import UnitChoice


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
    """Make the card from what is known at a moment; in a round, show the one made before it."""
    from trainer.application.choosing.card import card_data
    from trainer.application.choosing.card_print import printed
    from trainer.application.choosing.rounds import round_on

    form = one_of(Form, args.format, "--format") or Form.TEXT
    with context.open_store(write=False) as store:
        lock = round_on(store, context.player_alias, context.now)
    if lock is not None:
        return _made_before(args, lock, form)
    card, units = card_asked_for(args, context)
    return Output(printed(card, units, form), card_data(card, units))


def card_asked_for(args: argparse.Namespace, context: Context) -> tuple[Card, UnitChoice]:
    """The card that the options ask for, and the units of its player."""
    from trainer.application.choosing.card import make_card
    from trainer.application.choosing.course import course_report
    from trainer.application.evidence.history import read_history
    from trainer.store.records import SessionKind

    asked = parse_when(args.when, end_of_day=True)
    stated = read_conditions(args, context)
    clubs = [name.strip() for words in args.clubs or () for name in words.split(",") if name.strip()]
    with context.open_store(write=False) as store:
        history = read_history(store, context.player_alias, asked)
        course = read_history(store, context.player_alias, asked, SessionKind.COURSE)
    moment = asked or context.now
    report = course_report(course, history, moment)
    return make_card(history, stated, moment, clubs, report), history.profile.units


def _made_before(args: argparse.Namespace, lock: RoundLock, form: Form) -> Output:
    import json

    given = [name for name, value in vars(args).items() if value and name not in ("command", "run", "format")]
    if given:
        where = f"--{given[0].replace('_', '-')}"
        raise InputError("in a round only the card made before it is shown", where, "leave the option out")
    return Output(lock.card[form], json.loads(lock.card["json"]))
