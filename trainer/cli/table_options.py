"""The options that say of a shot table what its columns are, for reading one and for following one."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.cli.conditions import one_of
from trainer.cli.values import parse_when, read_text
from trainer.core.errors import InputError

if TYPE_CHECKING:
    from trainer.application.files.table_opening import Answers
    from trainer.exchange.table_columns import ColumnMap


def read_answers(args: argparse.Namespace) -> Answers:
    """What the options say of the table beforehand. Raises InputError."""
    from trainer.application.files.table_opening import Answers
    from trainer.core.shot import CarryOrigin
    from trainer.exchange.table_times import DayOrder
    from trainer.exchange.table_words import SideSign

    side = None if args.side_positive is None else args.side_positive.strip().lower()
    if side not in (None, "right", "left"):
        raise InputError(f"'{args.side_positive}' is not known", "--side-positive", "use right or left")
    when = parse_when(args.when)
    return Answers(
        side_positive=None if side is None else SideSign(side),
        carry_is=one_of(CarryOrigin, args.carry_is, "--carry-is"),
        day_order=one_of(DayOrder, args.day_order, "--day-order"),
        rows_of=args.rows_of,
        day=None if when is None else when.date(),
    )


def read_columns(args: argparse.Namespace) -> ColumnMap | None:
    """The map of the --columns file, None without one. Raises InputError."""
    from trainer.exchange.column_toml import column_map_from_toml

    return None if args.columns is None else column_map_from_toml(read_text(Path(args.columns)), args.columns)
