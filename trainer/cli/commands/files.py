"""`trainer export`, `backup`, `restore`, `purge`, `doctor`: contents out, and the store looked after."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.application.views.folding import paragraphs
from trainer.cli.context import Context, Output
from trainer.core.errors import InputError

if TYPE_CHECKING:
    from trainer.store.records import DoctorReport
    from trainer.store.store import Store


def add_commands(commands: Any) -> None:
    """Add the five."""
    export = commands.add_parser("export", help="everything of a player out, into a folder")
    export.add_argument("folder", metavar="DIR")
    export.add_argument(
        "--nameless", action="store_true", help="no alias, note or own word; the first day becomes 1 January 2000"
    )
    export.set_defaults(run=run_export)
    backup = commands.add_parser("backup", help="copy the store to a file")
    backup.add_argument("file", metavar="FILE")
    backup.set_defaults(run=run_backup)
    restore = commands.add_parser("restore", help="put a backup in the store's place; the replaced one is kept")
    restore.add_argument("file", metavar="FILE")
    restore.set_defaults(run=run_restore)
    purge = commands.add_parser("purge", help="delete a player or squad member with all that is his")
    purge.add_argument("--yes", action="store_true", help="really: it cannot be undone")
    purge.add_argument("--past-keep-date", action="store_true", help="every squad member whose date to go is past")
    purge.add_argument("--with-copies", action="store_true", help="older copies beside the store too")
    purge.set_defaults(run=run_purge)
    commands.add_parser("doctor", help="check the store, mend what needs no choice").set_defaults(run=run_doctor)


def run_export(args: argparse.Namespace, context: Context) -> Output:
    """Write a player's shots, readings, sessions and gaps into a folder; nothing there is overwritten.

    Not in a round: the gapping table is among the files.
    """
    from trainer.application.files.exporting import export_files
    from trainer.exchange.private_file import write_folder

    folder = Path(args.folder)
    with context.store_out_of_round() as store:
        files = export_files(store, context.player_alias, context.now, nameless=args.nameless)
    write_folder(folder, files)
    said = "Nameless; the first day is given as 1 January 2000. " if args.nameless else ""
    text = f"Wrote {', '.join(files)} to {folder}. {said}What each column is: columns.md."
    return Output(paragraphs(text), {"folder": str(folder), "files": list(files), "nameless": args.nameless})


def run_backup(args: argparse.Namespace, context: Context) -> Output:
    """Copy the store while others may read or write."""
    target = Path(args.file)
    with context.open_store(write=False) as store:
        store.backup_to(target)
    return Output(paragraphs(f"Backed up to {target}."), {"backup": str(target), "store": str(context.store_path)})


def run_restore(args: argparse.Namespace, context: Context) -> Output:
    """Put a sound backup in the store's place."""
    from trainer.store.keeping import restore

    kept = restore(context.store_path, Path(args.file), context.now)
    said = "" if kept is None else f" The store that was there is kept as {kept}."
    data = {"store": str(context.store_path), "replaced": None if kept is None else str(kept)}
    return Output(paragraphs(f"Restored {context.store_path}.{said}"), data)


def run_purge(args: argparse.Namespace, context: Context) -> Output:
    """Delete the named player, or every member past his date, for good."""
    from trainer.application.estimates.kept import KeptPosteriors
    from trainer.application.evidence.history import KEPT_FOLDER
    from trainer.store.keeping import copies_beside

    with context.open_store(write=True) as store:
        aliases = _to_purge(args, context, store)
        if not aliases:
            return Output("Nobody is past his keep-until date.", {"purged": [], "copies": []})
        if not args.yes:
            raise InputError(
                f"this deletes {', '.join(aliases)} for good", "purge", "add --yes; backups are not reached"
            )
        # What was computed from the shots goes with them: first, so that a program killed in between leaves none.
        kept = KeptPosteriors(context.store_path.parent / KEPT_FOLDER)
        kept.forget()
        try:
            store.purge(*aliases)
        finally:
            kept.forget()
    copies = copies_beside(context.store_path)
    if args.with_copies:
        for copy in copies:
            copy.unlink()
        copies = ()
    lines = [f"{', '.join(aliases)} is gone from this store. Backups and exports are yours to delete."]
    if copies:
        lines.append(f"Older copies may hold him still: {', '.join(map(str, copies))} (--with-copies deletes them).")
    data = {"purged": list(aliases), "copies": [str(copy) for copy in copies]}
    return Output(paragraphs(*lines), data)


def _to_purge(args: argparse.Namespace, context: Context, store: Store) -> tuple[str, ...]:
    """Whose data is to go, by alias as the store writes it."""
    today = context.now.date()
    if args.past_keep_date:
        if context.player_alias is not None:
            raise InputError("one player, or all past their date?", "purge", "give one of the two")
        return tuple(member.alias for member in store.squad.members() if member.is_past_keep(today))
    if context.player_alias is None:
        raise InputError("whose data?", "purge", "name the player with --player ALIAS")
    wanted = context.player_alias.lower()
    known = [member.alias for member in store.squad.members()]
    known += [player.profile.alias for player in store.players()]
    found = next((alias for alias in known if alias.lower() == wanted), None)
    if found is None:
        raise InputError(
            f"nobody here is called '{context.player_alias}'",
            "purge",
            f"the store holds {', '.join(known) or 'nobody'}",
        )
    return (found,)


def run_doctor(args: argparse.Namespace, context: Context) -> Output:
    """Look the whole store over; exit code 3 where it is damaged."""
    from trainer.store.keeping import doctor

    report = doctor(context.store_path)
    past: tuple[str, ...] = ()
    if report.sound:
        with context.open_store(write=False) as store:
            today = context.now.date()
            past = tuple(member.alias for member in store.squad.members() if member.is_past_keep(today))
    lines = _doctor_lines(report)
    if past:
        lines.append(f"Past their keep-until date: {', '.join(past)}. Remove them: trainer purge --past-keep-date")
    return Output(
        paragraphs(*lines), {**_doctor_data(report), "past_keep_date": list(past)}, exit_code=0 if report.sound else 3
    )


def _doctor_data(report: DoctorReport) -> dict[str, Any]:
    return {
        "store": report.path,
        "sound": report.sound,
        "version": report.version,
        "known_version": report.known_version,
        "problems": list(report.problems),
        "mended": list(report.mended),
        "checkpointed": report.checkpointed,
        "size_bytes": report.size_bytes,
        "counts": {name: getattr(report.counts, name) for name in type(report.counts).__dataclass_fields__},
    }


def _doctor_lines(report: DoctorReport) -> list[str]:
    from trainer.core.units import counted

    counts = report.counts
    lines = [
        f"{report.path}: {'sound' if report.sound else 'DAMAGED'}, version {report.version}",
        ", ".join(counted(getattr(counts, f"{what}s"), what) for what in ("player", "session", "shot", "import")),
        *(f"Mended: {what}." for what in report.mended),
        *(f"Problem: {what}" for what in report.problems),
    ]
    if not report.sound:
        lines.append("Restore a backup: trainer restore FILE (the damaged store is kept beside it).")
    return lines
