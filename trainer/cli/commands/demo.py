"""`trainer demo`: an invented player, his bag and three windy days, in a store that is thrown away."""

from __future__ import annotations

import argparse
import tempfile
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Any

from trainer.application.views.folding import paragraphs
from trainer.cli.context import Context, Output
from trainer.cli.summary import screens_can_open


def add_commands(commands: Any) -> None:
    """Add `demo`."""
    parser = commands.add_parser("demo", help="an invented player and three windy days, in a temporary store")
    parser.add_argument("--plain", action="store_true", help="the whole job as text")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, context: Context) -> Output:
    """Open the screens on the three days played; with --plain tell the job from the wind's price to the table."""
    if not args.plain and screens_can_open(context):
        return _run_screens(context)
    from trainer.application.conditions.stated import StatedConditions
    from trainer.application.demo.playing import ALIAS, DAYS, play_all
    from trainer.application.demo.text import demo_text
    from trainer.application.estimates.snapshot import snapshot
    from trainer.application.evidence.history import read_history
    from trainer.application.views.words import gaps_data
    from trainer.store.store import open_store

    with (
        tempfile.TemporaryDirectory(prefix="trainer-demo-") as folder,
        open_store(Path(folder) / "trainer.db", write=True) as store,
    ):
        text = demo_text(store, play_all(store))
        history = read_history(store, ALIAS)
        data = gaps_data(snapshot(history, StatedConditions(), DAYS[-1].when), history.profile)
    return Output(text, {"player": ALIAS, **data})


def _run_screens(context: Context) -> Output:
    """The screens over a temporary store; the three evenings are played while the first screen stands there."""
    from trainer.tui.app import run_screens

    with tempfile.TemporaryDirectory(prefix="trainer-demo-") as folder:
        prepare = partial(_play_into, now=context.now)
        run_screens(Path(folder) / "trainer.db", environ=context.environ, prepare=prepare)
    said = "The demonstration's store is thrown away. Your own: trainer setup --help, then trainer"
    return Output(paragraphs(said), {})


def _play_into(path: Path, now: datetime) -> None:
    """Play the three evenings into the store at `path`, on days that lead up to `now`."""
    from trainer.application.demo.playing import days_before, play_all
    from trainer.store.store import open_store

    with open_store(path, write=True) as store:
        play_all(store, days_before(now))
