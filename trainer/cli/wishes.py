"""What may be asked of an agenda, for every command that plans a session."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.cli.context import Context
from trainer.cli.values import whole_number
from trainer.core.errors import InputError

if TYPE_CHECKING:
    from trainer.application.planning.agenda import Wish


def add_wish(parser: argparse.ArgumentParser) -> None:
    """Add what may be asked of an agenda."""
    parser.add_argument("--plan", metavar="ID", help="a plan's id; see `trainer plan list`")
    parser.add_argument("--balls", metavar="N", help="balls in all, the warm-up included")
    parser.add_argument("--minutes", metavar="N", help="minutes in all")
    parser.add_argument("--seed", metavar="N", help="the same seed gives the same order")
    parser.add_argument(
        "--level", metavar="LEVEL", help="junior, club, low-handicap or elite, where the plan differs"
    )


def read_wish(args: argparse.Namespace) -> Wish:
    """What is asked of the agenda. Raises InputError."""
    from trainer.application.planning.agenda import Wish

    return Wish(
        args.plan,
        whole_number(args.balls, "--balls"),
        whole_number(args.minutes, "--minutes"),
        whole_number(args.seed, "--seed"),
        args.level,
    )


def read_plan_wish(args: argparse.Namespace) -> Wish | None:
    """As `read_wish`, None where no plan is named. Raises InputError for what only a plan can have."""
    from trainer.application.planning.agenda import Wish

    wish = read_wish(args)
    if wish.plan_id is not None:
        return wish
    if wish != Wish():
        raise InputError(
            "balls, minutes, seed and level belong to a plan", "--plan", "name the plan, or leave them out"
        )
    return None


def plan_folders(context: Context) -> Sequence[Path]:
    """Where own plans are looked for."""
    from trainer.application.planning.agenda import own_plans_folder

    return [own_plans_folder(context.store_path)]
