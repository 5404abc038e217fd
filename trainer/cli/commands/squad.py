"""`trainer squad`: plans out and results in by file, between a coach's store and his players'."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from trainer.application.views.folding import paragraphs
from trainer.cli.conditions import one_of
from trainer.cli.context import Context, Output
from trainer.cli.values import whole_number
from trainer.cli.wishes import plan_folders
from trainer.core.errors import InputError


def add_commands(commands: Any) -> None:
    """Add `squad` with what a coach and what a player does."""
    squad = commands.add_parser("squad", help="coach and players by file: assign, start, submit, collect, show")
    kinds = squad.add_subparsers(dest="squad_command", metavar="WHAT", required=True)
    _add_coach(kinds)
    start = kinds.add_parser("start", help="player: take up an assigned plan")
    start.add_argument("folder", metavar="DIR", help="the folder the coach wrote")
    start.set_defaults(run=run_start)
    submit = kinds.add_parser("submit", help="player: write result files, without a name, for the coach")
    submit.add_argument("folder", metavar="DIR")
    submit.add_argument("--session", metavar="N", help="this session only; see `trainer shots`")
    submit.add_argument("--as", dest="known_as", metavar="ALIAS", help="the alias the coach knows you by")
    submit.add_argument("--with-note", action="store_true", help="let the session's note go along")
    submit.add_argument("--whole-squad", action="store_true", help="coach: all that was collected, for another coach")
    submit.set_defaults(run=run_submit)


def _add_coach(kinds: Any) -> None:
    add = kinds.add_parser("add", help="coach: a member by alias and age band, or a change to one")
    add.add_argument("alias", metavar="ALIAS")
    add.add_argument("--age-band", metavar="BAND", help="under 11, 11-13, 14-15, 16-17 or adult")
    add.add_argument("--consent", metavar="DATE", help="the day consent was given")
    add.add_argument("--no-consent", action="store_true", help="consent was withdrawn")
    add.add_argument("--keep-until", metavar="DATE", help="when the data is to go; a year from now if not said")
    add.set_defaults(run=run_add)
    assign = kinds.add_parser("assign", help="coach: write a plan out for players")
    assign.add_argument("plan", metavar="PLAN", help="a plan's id; see `trainer plan list`")
    assign.add_argument("folder", metavar="DIR", help="each player gets a folder in it")
    assign.add_argument("--to", metavar="ALIAS,ALIAS", required=True, help="the members, or `all`")
    assign.add_argument("--due", metavar="DATE", required=True)
    assign.set_defaults(run=run_assign)
    collect = kinds.add_parser("collect", help="coach: read result files in; nothing is ever overwritten")
    collect.add_argument("folder", metavar="DIR")
    collect.add_argument(
        "--take-corrections",
        action="store_true",
        help="what was put right since is put right here; the old is kept",
    )
    collect.set_defaults(run=run_collect)
    show = kinds.add_parser("show", help="what is due, and each beside his own past; nobody is ranked")
    show.add_argument(
        "alias",
        metavar="ALIAS",
        nargs="?",
        help="this member closely, with progress and your notes; else all, in short",
    )
    show.set_defaults(run=run_show)
    for name, words in (("accept", "coach: accept"), ("return", "coach: give back, to be done again")):
        decide = kinds.add_parser(name, help=f"{words} what was submitted")
        decide.add_argument("id", metavar="ID", help="the assignment's id; see `trainer squad show`")
        decide.set_defaults(run=run_decide)
    note = kinds.add_parser("note", help="coach: words on a member that stay in this store")
    note.add_argument("alias", metavar="ALIAS")
    note.add_argument("text", metavar="TEXT")
    note.set_defaults(run=run_note)


def run_add(args: argparse.Namespace, context: Context) -> Output:
    """Keep a member."""
    from trainer.application.squad.coach import KEY_FILE_WORDS, add_member, read_day
    from trainer.application.squad.words import member_data, member_words
    from trainer.core.profile import AgeBand

    consent = None if args.consent is None else read_day(args.consent, "--consent")
    if consent is not None and args.no_consent:
        raise InputError("consent is given and withdrawn", "--no-consent", "leave one out")
    with context.open_store(write=True) as store:
        first = not store.squad.members()
        member = add_member(
            store,
            args.alias,
            context.now,
            age_band=one_of(AgeBand, args.age_band, "--age-band"),
            consent_date=consent,
            withdraw_consent=args.no_consent,
            keep_until=None if args.keep_until is None else read_day(args.keep_until, "--keep-until"),
        )
    lines = [member_words(member)]
    if args.no_consent and member.player_id is not None:
        lines.append(f"What is held of him stays until you remove it: trainer purge --player '{member.alias}' --yes")
    if member.age_band.is_junior and member.consent_date is None:
        lines.append("Nothing is assigned to him or taken in from him before consent is kept (--consent DATE).")
    if first:
        lines += ["", KEY_FILE_WORDS]
    return Output(paragraphs(*lines), member_data(member))


def run_assign(args: argparse.Namespace, context: Context) -> Output:
    """Write a folder a player, with the plan and the record of it."""
    from trainer.application.squad.coach import aliases_meant, assign, read_day, write_assigned
    from trainer.application.squad.words import assigned_data, assigned_text

    due = read_day(args.due, "--due")
    with context.open_store(write=True) as store:
        aliases = aliases_meant(store, args.to)
        assigned = assign(store, args.plan, aliases, due, context.now, plan_folders(context))
        write_assigned(store, Path(args.folder), assigned)
    text = assigned_text(args.plan, due, args.folder, assigned)
    return Output(text, {"folder": args.folder, "assigned": assigned_data(assigned)})


def run_start(args: argparse.Namespace, context: Context) -> Output:
    """Take an assignment up."""
    from trainer.application.planning.agenda import own_plans_folder
    from trainer.application.squad.player import take_up
    from trainer.application.squad.words import day_words

    plans = own_plans_folder(context.store_path)
    with context.open_store(write=True) as store:
        taken = take_up(store, context.player_alias, Path(args.folder), context.now, plans)
    text = (
        f"{taken.title}, due {day_words(taken.due)}. Play it: trainer agenda --plan {taken.plan_id}, then "
        f"trainer record --plan {taken.plan_id}. Hand it in: trainer squad submit DIR"
    )
    return Output(paragraphs(text), {"id": taken.plan_id, "alias": taken.alias, "due": taken.due.isoformat()})


def run_submit(args: argparse.Namespace, context: Context) -> Output:
    """Write result files."""
    from trainer.application.squad.player import hand_in, hand_on, write_handed_in
    from trainer.core.units import counted

    session_id = whole_number(args.session, "--session")
    if args.whole_squad and (session_id is not None or args.known_as):
        raise InputError("the whole squad has no one session or alias", "--whole-squad", "leave the others out")
    folder = Path(args.folder)
    with context.open_store(write=True) as store:
        if args.whole_squad:
            found = hand_on(store, context.now)
        else:
            found = hand_in(
                store,
                context.player_alias,
                context.now,
                session_id=session_id,
                known_as=args.known_as,
                with_note=args.with_note,
            )
        names = [name for each in found for name in write_handed_in(folder, each)]
        if not args.whole_squad:
            store.squad.note_handed_in([each.session_id for each in found], context.now)
    aliases = sorted({result.alias for each in found for result in each.results})
    said = f"Wrote {counted(len(names), 'file')} of {counted(len(found), 'session')} to {folder}."
    under = f" They go under {', '.join(aliases)}; no name or birth date is in them." if aliases else ""
    return Output(paragraphs(f"{said}{under}"), {"folder": str(folder), "files": names, "aliases": aliases})


def run_collect(args: argparse.Namespace, context: Context) -> Output:
    """Take result files in; exit code 1 where none could be used."""
    from trainer.application.squad.coach import collect, result_paths
    from trainer.application.squad.words import collected_data, collected_text, collected_warnings

    paths = result_paths(Path(args.folder))
    with context.open_store(write=True) as store:
        files = tuple(collect(store, paths, corrections=args.take_corrections))
    unusable = all(each.why for each in files)
    return Output(
        collected_text(files),
        {"folder": args.folder, **collected_data(files)},
        exit_code=1 if unusable else 0,
        warnings=collected_warnings(files),
    )


def run_show(args: argparse.Namespace, context: Context) -> Output:
    """The squad, or one member closely; in a player's own store what he took up."""
    from trainer.application.squad.overview import units_of, view_member, view_squad, view_taken
    from trainer.application.squad.words import (
        assignment_data,
        closely_text,
        squad_text,
        view_data,
    )

    with context.open_store(write=False) as store:
        if args.alias is not None:
            view = view_member(store, args.alias, context.now)
            return Output(closely_text(view, units_of(store, view)), view_data(view))
        views = view_squad(store, context.now)
        own = not views or context.player_alias is not None
        taken = view_taken(store, context.player_alias, context.now.date()) if own and store.players() else ()
    data = {"members": [view_data(view) for view in views], "taken_up": [assignment_data(each) for each in taken]}
    return Output(squad_text(views, taken), data)


def run_decide(args: argparse.Namespace, context: Context) -> Output:
    """Accept or return what was submitted."""
    from trainer.application.squad.coach import decide
    from trainer.store.squad_records import Decision

    decision = Decision.ACCEPTED if args.squad_command == "accept" else Decision.RETURNED
    with context.open_store(write=True) as store:
        record = decide(store, args.id, decision, context.now)
    data = {"id": record.plan_id, "decision": str(decision), "decided": context.now.isoformat()}
    return Output(f"{record.plan_id}: {decision}.", data)


def run_note(args: argparse.Namespace, context: Context) -> Output:
    """Keep the coach's words on a member."""
    from trainer.application.squad.coach import keep_note

    with context.open_store(write=True) as store:
        member, text = keep_note(store, args.alias, args.text, context.now)
    return Output(f"Noted on {member.alias}. It stays in this store.", {"alias": member.alias, "noted": text})
