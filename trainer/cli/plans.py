"""`trainer plan` and `trainer agenda`: plans checked, listed, shown and turned into balls."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.cli.conditions import add_conditions, read_conditions
from trainer.cli.context import Context, Output, parse_when
from trainer.core.errors import InputError
from trainer.core.units import from_si

if TYPE_CHECKING:
    from trainer.application.planning import PlannedSession, Wish
    from trainer.core.schedule.balls import AgendaBall
    from trainer.core.units import UnitChoice
    from trainer.plan.model import Plan


def add_commands(commands: Any) -> None:
    """Add `plan` with its four, and `agenda`."""
    plan = commands.add_parser("plan", help="practice plans: check, list, show, new")
    kinds = plan.add_subparsers(dest="plan_command", metavar="WHAT", required=True)
    check = kinds.add_parser("check", help="say what is wrong with plan files; needs no store")
    check.add_argument("files", metavar="FILE", nargs="+")
    check.set_defaults(run=run_check)
    kinds.add_parser("list", help="shipped and own plans").set_defaults(run=run_list)
    show = kinds.add_parser("show", help="one plan in words")
    show.add_argument("id", metavar="ID")
    show.set_defaults(run=run_show)
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
    from trainer.application.planning import Wish

    return Wish(
        args.plan,
        whole_number(args.balls, "--balls"),
        whole_number(args.minutes, "--minutes"),
        whole_number(args.seed, "--seed"),
        args.level,
    )


def whole_number(text: str | None, where: str) -> int | None:
    """`text` as a whole number, None for None. Raises InputError."""
    if text is None:
        return None
    try:
        return int(text)
    except ValueError:
        raise InputError(f"'{text}' is not a whole number", where, "give such as 45") from None


def plan_folders(context: Context) -> Sequence[Path]:
    """Where own plans are looked for."""
    from trainer.application.planning import own_plans_folder

    return [own_plans_folder(context.store_path)]


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
    from trainer.plan.collection import read_library

    library = read_library(plan_folders(context))
    plans = [library.plans[plan_id] for plan_id in sorted(library.plans)]
    width = max((len(plan.id) for plan in plans), default=0)
    lines = [f"{plan.id:{width}}  {plan.balls:>3} balls {plan.minutes:>3} min  {plan.title}" for plan in plans]
    data = {"plans": [_plan_head(plan) for plan in plans], "errors": list(library.errors)}
    return Output("\n".join(lines), data, warnings=tuple(library.errors))


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
    from trainer.application.plan_words import plan_text
    from trainer.plan.collection import find_plan

    plan = find_plan(args.id, plan_folders(context))
    data = {**_plan_head(plan), "plan": plan.model_dump(mode="json", by_alias=True, exclude_none=True)}
    return Output(plan_text(plan), data)


def run_new(args: argparse.Namespace, context: Context) -> Output:
    """A commented plan to start from."""
    from trainer.application.planning import own_plans_folder
    from trainer.plan.skeleton import new_plan_text

    try:
        text = new_plan_text(args.id, args.title)
    except ValueError as problem:
        raise InputError(str(problem), args.id, "use small letters, digits and hyphens") from None
    folder = own_plans_folder(context.store_path)
    if args.write is None:
        return Output(text, {"id": args.id, "toml": text, "folder": str(folder)})
    target = Path(args.write)
    if target.exists():
        raise InputError("the file exists and is never overwritten", str(target), "name another file")
    target.write_text(text, encoding="utf-8")
    return Output(
        f"Wrote {target}. Plans in {folder} are found by their id.",
        {"id": args.id, "toml": text, "path": str(target)},
    )


def run_agenda(args: argparse.Namespace, context: Context) -> Output:
    """The balls of a session within balls and minutes."""
    from trainer.application.history import read_history
    from trainer.application.planning import plan_session

    when = parse_when(args.when) or context.now
    wish, stated = read_wish(args), read_conditions(args, context)
    with context.open_store(write=False) as store:
        history = read_history(store, context.player_alias, when)
    planned = plan_session(history, wish, stated, when, plan_folders(context))
    return Output(agenda_text(planned, history.profile.units), agenda_data(planned))


def agenda_data(planned: PlannedSession) -> dict[str, Any]:
    """The agenda in SI."""
    from trainer.application.reports import cell_data

    return {
        "plan": planned.plan.id,
        "seed": planned.seed,
        "balls": [
            {
                "number": ball.number,
                "drill": ball.drill,
                **cell_data(ball.cell),
                "target_m": ball.target_m,
                "flag": ball.flag,
                "stage": ball.stage.value,
                "reason": ball.reason,
                "cue": ball.cue,
                "called_80_m": None if ball.called is None else [ball.called.low80_m, ball.called.high80_m],
                "called_50_m": None if ball.called is None else [ball.called.low50_m, ball.called.high50_m],
                "flight_checked": ball.flight_checked,
                "rest_after": ball.rest_after,
            }
            for ball in planned.agenda.balls
        ],
        "swaps": [
            {"drill": s.drill, "what": s.what, "why": s.why, "instead": s.instead} for s in planned.agenda.swaps
        ],
        "notes": list(planned.agenda.notes),
        "can_prove": list(planned.can_prove),
    }


def agenda_text(planned: PlannedSession, units: UnitChoice) -> str:
    """The agenda for a person: what to say first, then the balls, a reason where it changes."""
    from trainer.application.gapping import cell_words
    from trainer.application.reports import wind_words, wrapped

    agenda, plan = planned.agenda, planned.plan
    wind = wind_words(planned.conditions.wind, units) if planned.wind_is_known else "wind not read yet"
    lines = [f"{plan.title}: {len(agenda.balls)} balls, seed {planned.seed}; {wind}", *wrapped(agenda.notes)]
    if planned.can_prove:
        lines += ["Balls needed to show a change tonight:", *wrapped(list(planned.can_prove))]
    lines.append("")
    drill = ""
    reason = ""
    for ball in agenda.balls:
        if ball.drill != drill:
            drill = ball.drill
            lines.append(f"{drill} ({ball.stage.value}): {ball.cue}")
        target = "" if ball.target_m is None else units.shown_distance(ball.target_m)
        flag = "" if ball.flag is None else f" at {ball.flag}"
        lines.append(
            f"{ball.number:>4}  {cell_words(ball.cell, units):34.34} {target:>7}{flag}{_called(ball, units)}"
        )
        if ball.reason != reason:
            reason = ball.reason
            lines += [f"      {line}" for line in wrapped([reason], 72)]
        if ball.rest_after:
            lines.append("      rest 2 to 3 minutes")
    return "\n".join(lines)


def _called(ball: AgendaBall, units: UnitChoice) -> str:
    """Where 8 in 10 struck balls are called to land; empty where nothing is believed of the shot."""
    if ball.called is None:
        return ""
    low, high = (round(from_si(end_m, units.distance)) for end_m in (ball.called.low80_m, ball.called.high80_m))
    return f", 8 in 10 within {low}–{high}"
