"""`trainer choose`: club, grip and swing for a target in a wind, for practice and planning."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from trainer.cli.conditions import add_conditions, read_conditions
from trainer.cli.context import Context, Output
from trainer.cli.values import parse_when

if TYPE_CHECKING:
    from trainer.core.decide.target import Target


def add_commands(commands: Any) -> None:
    """Add `choose`."""
    parser = commands.add_parser(
        "choose",
        help="three choices for a target in a wind, for practice and planning",
        description="Such as: trainer choose 150yd --front 141yd --back 163yd --wind 14mph --wind-from 1h",
    )
    add = parser.add_argument
    add("distance", metavar="DISTANCE", help="how far the target is, such as 150yd")
    add("--front", metavar="D", help="front edge, from you (10 yd short of the target)")
    add("--back", metavar="D", help="back edge, from you (10 yd past the target)")
    add("--left", metavar="D", help="left edge, from the target line (10 yd)")
    add("--right", metavar="D", help="right edge, from the target line (10 yd)")
    add("--carry-over", metavar="D", help="what must be carried, from you")
    add("--slope", metavar="D", help="height of the target above you; -4yd is below")
    add("--aim", metavar="AIM", default="hold", help="hold, never-short or nearest")
    add("--when", metavar="TIME", help="as of this moment, such as 2026-05-14")
    add_conditions(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, context: Context) -> Output:
    """Rank what could do it in the stated conditions, or today's."""
    from trainer.application.choosing.choice_words import choice_data, choice_text
    from trainer.application.choosing.course import course_data, course_report
    from trainer.application.choosing.options import choose
    from trainer.application.evidence.history import read_history
    from trainer.cli.conditions import one_of
    from trainer.core.decide.choose import Aim
    from trainer.store.records import SessionKind

    asked = parse_when(args.when, end_of_day=True)
    stated = read_conditions(args, context)
    aim = one_of(Aim, args.aim, "--aim") or Aim.HOLD
    with context.store_out_of_round() as store:
        history = read_history(store, context.player_alias, asked)
        course = read_history(store, context.player_alias, asked, SessionKind.COURSE)
    target = _target(args, context)
    choice = choose(history, target, stated, asked or context.now, aim)
    report = course_report(course, history, asked or context.now)
    text = choice_text(choice, history.profile.bag, history.profile.units, report)
    return Output(text, {**choice_data(choice), "course": course_data(report)})


def _target(args: argparse.Namespace, context: Context) -> Target:
    from trainer.application.conditions.asking import TARGET_WORDS, state_target

    values = {word: getattr(args, word.replace("-", "_")) for word in TARGET_WORDS if word != "aim"}
    said = {word: str(value) for word, value in values.items() if value is not None}
    return state_target(args.distance, said, context.units)
