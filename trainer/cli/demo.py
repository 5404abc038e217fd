"""`trainer demo`: an invented player, his bag and three windy days, in a store that is thrown away."""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path
from typing import Any

from trainer.cli.context import Context, Output


def add_commands(commands: Any) -> None:
    """Add `demo`."""
    parser = commands.add_parser("demo", help="an invented player and three windy days, in a temporary store")
    parser.add_argument("--plain", action="store_true", help="the whole job as text")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, context: Context) -> Output:
    """Play the three days and tell the job from the wind's price to the table."""
    from trainer.application.conditions import StatedConditions
    from trainer.application.demo import ALIAS, DAYS, play_all
    from trainer.application.demo_text import demo_text
    from trainer.application.estimates import snapshot
    from trainer.application.history import read_history
    from trainer.application.reports import gaps_data
    from trainer.store.store import open_store

    with (
        tempfile.TemporaryDirectory(prefix="trainer-demo-") as folder,
        open_store(Path(folder) / "trainer.db", write=True) as store,
    ):
        text = demo_text(store, play_all(store))
        history = read_history(store, ALIAS)
        data = gaps_data(snapshot(history, StatedConditions(), DAYS[-1].when), history.profile)
    return Output(text, {"player": ALIAS, **data})
