"""`trainer shots`: list, correct and undo shots, readings and imports. Old values are always kept."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING, Any

from trainer.cli.context import Context, Output
from trainer.cli.values import whole_number
from trainer.core.errors import InputError

if TYPE_CHECKING:
    from trainer.core.profile import Profile
    from trainer.store.store import Store

_ID = re.compile(r"(w|i)?(\d{1,12})")


def add_commands(commands: Any) -> None:
    """Add `shots` with its three."""
    parser = commands.add_parser("shots", help="list, correct and undo shots and readings; old values are kept")
    parser.add_argument("--session", metavar="ID", help="only this session")
    parser.add_argument("--undone", action="store_true", help="what was undone too")
    parser.set_defaults(run=run_list)
    kinds = parser.add_subparsers(dest="shots_command", metavar="WHAT")
    correct = kinds.add_parser(
        "correct",
        help="put a shot or a reading right",
        description="Such as `shots correct 12 142 6L`, `shots correct 12 8 iron: 142`, `shots correct w3 14mph 1h`.",
    )
    correct.add_argument("id", metavar="ID")
    correct.add_argument("words", metavar="WORDS", nargs=argparse.REMAINDER)
    correct.set_defaults(run=run_correct)
    undo = kinds.add_parser("undo", help="take back a shot (12), a reading (w3) or a whole import (i2)")
    undo.add_argument("id", metavar="ID")
    undo.set_defaults(run=run_undo)


def _read_id(text: str) -> tuple[str, int]:
    match = _ID.fullmatch(text.strip().lower())
    if match is None:
        raise InputError(
            f"'{text}' is not an id", "id", "see `trainer shots`: 12 is a shot, w3 a reading, i2 an import"
        )
    return match[1] or "", int(match[2])


def run_list(args: argparse.Namespace, context: Context) -> Output:
    """Shots and readings in recorded order."""
    from trainer.application.session.shot_list import list_shots, shots_data, shots_text

    session_id = whole_number(args.session, "--session")
    with context.open_store(write=False) as store:
        listed = list_shots(store, context.player_alias, session_id, include_undone=args.undone)
    return Output(shots_text(listed), shots_data(listed))


def run_correct(args: argparse.Namespace, context: Context) -> Output:
    """Put new values in the place of a shot's or a reading's."""
    from trainer.application.session.shot_list import correct_reading, correct_shot, reading_data, shot_data

    kind, number = _read_id(args.id)
    words = " ".join(args.words)
    if not words.strip():
        raise InputError(
            "nothing to put in its place", args.id, "write the shot as you would type it, such as 142 6L"
        )
    if kind == "i":
        raise InputError("an import is not corrected", args.id, "undo it, or correct single shots")
    with context.open_store(write=True) as store:
        profile = _owner(store, context, kind, number)
        if kind == "w":
            reading = correct_reading(store, profile, number, words, context.now)
            return Output(f"Corrected w{number}; the old reading is kept.", {"readings": [reading_data(reading)]})
        shot = correct_shot(store, profile, number, words, context.now)
    return Output(f"Corrected {number}; the old values are kept.", {"shots": [shot_data(shot, None)]})


def run_undo(args: argparse.Namespace, context: Context) -> Output:
    """Take back a shot, a reading or a whole import; nothing is deleted."""
    kind, number = _read_id(args.id)
    with context.open_store(write=True) as store:
        _owner(store, context, kind, number)
        if kind == "w":
            store.undo_reading(number, context.now)
        elif kind == "i":
            store.undo_import(number, context.now)
        else:
            store.undo_shot(number, context.now)
    return Output(f"Undone {args.id}; it is kept, and counts no more.", {"undone": args.id})


def _owner(store: Store, context: Context, kind: str, number: int) -> Profile:
    """The profile of the player it belongs to; InputError where that is another than the one named."""
    player = store.player(context.player_alias)
    if kind == "i":
        owned = number in {each.id for each in store.imports(player.id)}
    else:
        session_id = store.reading(number).session_id if kind == "w" else store.shot(number).session_id
        owned = store.session(session_id).player_id == player.id
    if not owned:
        raise InputError(f"{kind}{number} is not {player.profile.alias}'s", "id", "see `trainer shots`")
    return player.profile
