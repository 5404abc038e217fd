"""`trainer group`: tally sheets for many players, and their entry when they are filled in."""

from __future__ import annotations

import argparse
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.application.views.folding import paragraphs
from trainer.cli.conditions import add_conditions, one_of, read_conditions
from trainer.cli.context import Context, Output
from trainer.cli.lines import typed_lines
from trainer.cli.values import parse_when, whole_number
from trainer.cli.wishes import plan_folders
from trainer.core.errors import InputError
from trainer.core.units import counted

if TYPE_CHECKING:
    from trainer.application.group.evening import LineDone
    from trainer.application.group.sheets import Group
    from trainer.store.store import Store

USUAL_BALLS = 12


class By(StrEnum):
    """Whose a sheet is."""

    STATION = "station"
    PLAYER = "player"


def add_commands(commands: Any) -> None:
    """Add `group` with its two."""
    group = commands.add_parser("group", help="a session of many players: sheets to tally on, and their entry")
    kinds = group.add_subparsers(dest="group_command", metavar="WHAT", required=True)
    sheets = kinds.add_parser(
        "sheets",
        help="sheets to print and a file to type them into",
        description="Such as: trainer group sheets evening --players kestrel,heron "
        "--cells '7 iron, three-quarter, 120yd; 9 iron, half, 80yd' --when 2026-05-14T18:30",
    )
    sheets.add_argument("folder", metavar="DIR")
    sheets.add_argument("--players", metavar="ALIASES", help="parted by commas; left out, everybody in the store")
    sheets.add_argument("--cells", metavar="STATIONS", help="club, grip-down, swing, target; parted by semicolons")
    sheets.add_argument("--plan", metavar="ID", help="instead of --cells: a plan, fitted to each player")
    sheets.add_argument("--balls", metavar="N", help="balls a player and station (12); with --plan balls in all")
    sheets.add_argument("--by", metavar="WHOM", help="a sheet a station or a player (station; with --plan player)")
    sheets.add_argument("--when", metavar="TIME", help="when it begins, such as 2026-05-14T18:30")
    add_conditions(sheets)
    sheets.set_defaults(run=run_sheets)
    record = kinds.add_parser(
        "record",
        help="enter filled sheets: one line a player and station",
        description="A line such as `kestrel, 7 iron, three-quarter, 120yd: 5 5 2 x 8 - 4`: 1 to 9 the zone as on a "
        "number pad, 0 or x a mishit, - not seen; `wind 14mph 1h` holds for the lines below.",
    )
    record.add_argument("file", metavar="FILE", help="the filled file; - for standard input")
    record.add_argument("--when", metavar="TIME", help="when the session began, where no line of the file says it")
    add_conditions(record)
    record.set_defaults(run=run_record)


def run_sheets(args: argparse.Namespace, context: Context) -> Output:
    """Write the sheets and the file to type them into; nothing there is overwritten."""
    from trainer.application.group.sheets import group_files
    from trainer.exchange.private_file import write_folder

    by = one_of(By, args.by, "--by")
    if (args.cells is None) == (args.plan is None):
        raise InputError("what is to be hit?", "group sheets", "give --cells or --plan, one of them")
    with context.open_store(write=False) as store:
        group = _group(args, context, store)
    if by is By.STATION and not group.shared:
        raise InputError("with a plan each player has stations of his own", "--by", "make sheets by player")
    files = group_files(group, by_player=by is By.PLAYER)
    folder = Path(args.folder)
    write_folder(folder, files)
    aliases = [player.alias for player in group.players]
    data = {"folder": str(folder), "files": list(files), "players": aliases, "when": group.when.isoformat()}
    text = (
        f"Wrote {', '.join(files)} to {folder}, players: {', '.join(aliases)}. Print sheets.html (A4 or Letter), "
        f"type the filled sheets into entries.txt, then: trainer group record {folder / 'entries.txt'}"
    )
    return Output(paragraphs(text), data)


def _group(args: argparse.Namespace, context: Context, store: Store) -> Group:
    from trainer.application.group.evening import group_units
    from trainer.application.group.sheets import group_of, group_with_plan
    from trainer.application.planning.agenda import Wish
    from trainer.exchange.group_text import parse_station

    when = (parse_when(args.when) or context.now).replace(second=0, microsecond=0)
    aliases = [alias.strip() for alias in (args.players or "").split(",") if alias.strip()]
    balls = whole_number(args.balls, "--balls")
    if args.plan is not None:
        stated = read_conditions(args, context)
        return group_with_plan(store, aliases, when, Wish(args.plan, balls), stated, plan_folders(context))
    units = group_units(store)
    stations = [parse_station(text, units) for text in args.cells.split(";") if text.strip()]
    if not stations:
        raise InputError("no station is named", "--cells", "write such as '7 iron, three-quarter, 120yd'")
    return group_of(store, aliases, when, stations, USUAL_BALLS if balls is None else balls)


def run_record(args: argparse.Namespace, context: Context) -> Output:
    """Take the lines one by one; each line's balls are on the disk before it is acknowledged."""
    from trainer.application.group.evening import GroupReader

    when = parse_when(args.when)
    stated = read_conditions(args, context)
    done: list[LineDone] = []
    with typed_lines(args.file, context) as opened, context.open_store(write=True) as store:
        reader = GroupReader(store, stated, when)
        for line in reader.lines(opened):
            done.append(line)
            if line.why:
                context.warn(f"line {line.number}: {line.why} (not recorded: {line.text[:60]})")
            elif line.added is not None:
                context.say(_acknowledged(line))
        for group in reader.groups:
            group.end()
    data = _recorded_data(done)
    said = f"{data['recorded']} balls recorded, {data['already']} were there already"
    text = f"{said}, {len(data['refused'])} lines refused.{_unfilled(done)}"
    return Output(paragraphs(text), data, exit_code=0 if data["recorded"] or data["already"] else 1)


def _recorded_data(done: list[LineDone]) -> dict[str, Any]:
    added = [line.added for line in done if line.added is not None]
    players: dict[tuple[str, int], int] = {}
    for each in added:
        key = (each.alias, each.session_id)
        players[key] = players.get(key, 0) + len(each.kept)
    return {
        "recorded": sum(len(each.kept) for each in added),
        "already": sum(each.already for each in added),
        "unfilled": sum(line.unfilled for line in done),
        "players": [
            {"player": alias, "session": session, "recorded": count} for (alias, session), count in players.items()
        ],
        "refused": [{"line": line.number, "text": line.text, "why": line.why} for line in done if line.why],
    }


def _acknowledged(line: LineDone) -> str:
    assert line.added is not None
    if line.added.already:
        return f"line {line.number}: {line.added.alias}: {counted(line.added.already, 'ball')} there already"
    return f"line {line.number}: {line.added.alias}: {counted(len(line.added.kept), 'ball')} kept"


def _unfilled(done: list[LineDone]) -> str:
    count = sum(line.unfilled for line in done)
    return f" Not filled in yet: {counted(count, 'line')}." if count else ""
