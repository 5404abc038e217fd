"""`trainer plan` and `trainer agenda`: plans checked, listed, shown and turned into balls."""

from __future__ import annotations

import argparse
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.cli.conditions import add_conditions, read_conditions
from trainer.cli.context import Context, Output
from trainer.cli.values import parse_when
from trainer.cli.wishes import add_wish, plan_folders, read_wish
from trainer.core.errors import InputError, StoreError

if TYPE_CHECKING:
    from trainer.plan.model import Plan


def add_commands(commands: Any) -> None:
    """Add `plan` with its five, and `agenda`."""
    plan = commands.add_parser("plan", help="practice plans: check, list, show, due, new")
    kinds = plan.add_subparsers(dest="plan_command", metavar="WHAT", required=True)
    check = kinds.add_parser("check", help="say what is wrong with plan files; needs no store")
    check.add_argument("files", metavar="FILE", nargs="+")
    check.set_defaults(run=run_check)
    kinds.add_parser("list", help="shipped and own plans").set_defaults(run=run_list)
    show = kinds.add_parser("show", help="one plan in words")
    show.add_argument("id", metavar="ID")
    show.add_argument("--when", metavar="TIME", help="as of when your own estimates are taken")
    show.set_defaults(run=run_show)
    due = kinds.add_parser("due", help="which plans of a series are due or overdue")
    due.add_argument("--when", metavar="TIME", help="as of when, such as 2026-05-14; now if left out")
    due.add_argument("--event", metavar="DATE", help="the day that a series before an event leads to")
    due.set_defaults(run=run_due)
    new = kinds.add_parser("new", help="a plan to start from")
    new.add_argument("id", metavar="ID", nargs="?", default="my-plan")
    new.add_argument("--title", metavar="TITLE", default="My plan")
    new.add_argument("--write", metavar="FILE", help="write it to a file instead of showing it")
    new.set_defaults(run=run_new)
    agenda = commands.add_parser("agenda", help="the balls of a session, each with its reason")
    add_wish(agenda)
    agenda.add_argument("--when", metavar="TIME", help="the moment of the session, such as 2026-05-14T18:30")
    add_conditions(agenda)
    agenda.set_defaults(run=run_agenda)


def run_check(args: argparse.Namespace, context: Context) -> Output:
    """Check plan files; exit code 1 where one is wrong."""
    from trainer.plan.collection import check_file

    files: list[dict[str, Any]] = []
    lines: list[str] = []
    for name in args.files:
        errors = check_file(name)
        files.append({"path": name, "ok": not errors, "errors": list(errors)})
        lines += errors or [f"{name}: good"]
    bad = any(not file["ok"] for file in files)
    if bad and not context.json:
        return Output(
            "\n".join(line for line in lines if line.endswith(": good")),
            {"files": files},
            exit_code=1,
            warnings=tuple(line for line in lines if not line.endswith(": good")),
        )
    return Output("\n".join(lines), {"files": files}, exit_code=1 if bad else 0)


def run_list(args: argparse.Namespace, context: Context) -> Output:
    """Every plan by id; broken files are named and hide none of the others."""
    from trainer.application.planning.plan_words import plan_list_text
    from trainer.plan.collection import read_library

    library = read_library(plan_folders(context))
    plans = [library.plans[plan_id] for plan_id in sorted(library.plans)]
    data = {"plans": [_plan_head(plan) for plan in plans], "errors": list(library.errors)}
    return Output(plan_list_text(plans), data, warnings=tuple(library.errors))


def _plan_head(plan: Plan) -> dict[str, Any]:
    return {
        "id": plan.id,
        "title": plan.title,
        "level": str(plan.level),
        "balls": plan.balls,
        "minutes": plan.minutes,
        "for": plan.meant_for,
        "ages": plan.ages,
        "due": None if plan.due is None else plan.due.isoformat(),
        "series": None if plan.series is None else plan.series.model_dump(exclude_none=True),
    }


def run_show(args: argparse.Namespace, context: Context) -> Output:
    """One plan in words, with each drill's purpose and cautions."""
    from trainer.application.planning.plan_words import plan_text
    from trainer.plan.collection import find_plan

    plan = find_plan(args.id, plan_folders(context))
    problems: tuple[str, ...] | None = None
    warnings: tuple[str, ...] = ()
    try:
        problems = _problems(plan, parse_when(args.when, end_of_day=True) or context.now, context)
    except StoreError as problem:
        warnings = (f"not held against your own estimates: {problem}",)
    data = {**_plan_head(plan), "plan": plan.model_dump(mode="json", by_alias=True, exclude_none=True)}
    data["problems"] = None if problems is None else list(problems)
    return Output(plan_text(plan, problems or ()), data, warnings=warnings)


def _problems(plan: Plan, when: datetime, context: Context) -> tuple[str, ...] | None:
    """What of the plan this player cannot do, in still air, by his estimates; None where no one player is meant."""
    if not context.store_path.exists():
        return None
    from trainer.application.conditions.stated import StatedConditions
    from trainer.application.evidence.history import read_history
    from trainer.application.planning.agenda import problems_for_player
    from trainer.core.conditions import CALM_WIND

    with context.open_store(write=False) as store:
        if context.player_alias is None and len(store.players()) != 1:
            return None
        history = read_history(store, context.player_alias, when)
    try:
        return problems_for_player(plan, history, StatedConditions(wind=CALM_WIND), when)
    except InputError as problem:
        # A club that he does not have, a flag that he never set up: the plan is not for him as it stands.
        return (str(problem),)


def run_due(args: argparse.Namespace, context: Context) -> Output:
    """Which plans are due: series that were begun or lead to an event, and plans with a day of their own."""
    from trainer.application.evidence.history import read_history
    from trainer.application.planning.due import days_hit, due_rows, due_text, next_row
    from trainer.plan.collection import read_library

    when = parse_when(args.when, end_of_day=True) or context.now
    event = parse_when(args.event, "--event")
    library = read_library(plan_folders(context))
    with context.open_store(write=False) as store:
        history = read_history(store, context.player_alias, when)
    plans = [library.plans[plan_id] for plan_id in sorted(library.plans)]
    rows = due_rows(plans, days_hit(history), when.date(), None if event is None else event.date())
    coming = next_row(rows)
    data = {
        "when": when.date().isoformat(),
        "next": None if coming is None else coming.plan.id,
        "plans": [
            {
                **_plan_head(row.plan),
                "state": row.state.value,
                "due": None if row.due is None else row.due.isoformat(),
                "done": None if row.done is None else row.done.isoformat(),
                "days": row.days,
            }
            for row in rows
        ],
    }
    return Output(due_text(rows), data, warnings=tuple(library.errors))


def run_new(args: argparse.Namespace, context: Context) -> Output:
    """A commented plan to start from."""
    from trainer.application.planning.agenda import own_plans_folder
    from trainer.exchange.private_file import write_private
    from trainer.plan.skeleton import new_plan_text

    try:
        text = new_plan_text(args.id, args.title)
    except ValueError as problem:
        raise InputError(str(problem), args.id, "use small letters, digits and hyphens") from None
    folder = own_plans_folder(context.store_path)
    if args.write is None:
        return Output(text, {"id": args.id, "toml": text, "folder": str(folder)})
    target = Path(args.write)
    write_private(target, text)
    from trainer.application.views.folding import paragraphs

    return Output(
        paragraphs(f"Wrote {target}. Plans in {folder} are found by their id."),
        {"id": args.id, "toml": text, "path": str(target)},
    )


def run_agenda(args: argparse.Namespace, context: Context) -> Output:
    """The balls of a session within balls and minutes."""
    from trainer.application.evidence.history import read_history
    from trainer.application.planning.agenda import plan_session
    from trainer.application.planning.agenda_words import agenda_data, agenda_text

    when = parse_when(args.when) or context.now
    wish, stated = read_wish(args), read_conditions(args, context)
    with context.store_out_of_round() as store:
        history = read_history(store, context.player_alias, when)
    planned = plan_session(history, wish, stated, when, plan_folders(context))
    return Output(agenda_text(planned, history.profile.units), agenda_data(planned))
