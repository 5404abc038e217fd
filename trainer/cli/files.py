"""`trainer export`, `backup`, `restore`, `purge`, `doctor`: contents out, and the store looked after."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.cli.context import Context, Output
from trainer.core.errors import InputError

if TYPE_CHECKING:
    from trainer.store.records import DoctorReport


def add_commands(commands: Any) -> None:
    """Add the five."""
    export = commands.add_parser("export", help="everything of a player out, into a folder")
    export.add_argument("folder", metavar="DIR")
    export.set_defaults(run=run_export)
    backup = commands.add_parser("backup", help="copy the store to a file")
    backup.add_argument("file", metavar="FILE")
    backup.set_defaults(run=run_backup)
    restore = commands.add_parser("restore", help="put a backup in the store's place; the replaced one is kept")
    restore.add_argument("file", metavar="FILE")
    restore.set_defaults(run=run_restore)
    purge = commands.add_parser("purge", help="delete a player with all that is his")
    purge.add_argument("--yes", action="store_true", help="really: it cannot be undone")
    purge.set_defaults(run=run_purge)
    commands.add_parser("doctor", help="check the store, mend what needs no choice").set_defaults(run=run_doctor)


def run_export(args: argparse.Namespace, context: Context) -> Output:
    """Write shots.csv, profile.toml and gaps.json into a folder; nothing there is overwritten."""
    from trainer.application.exporting import export_files

    folder = Path(args.folder)
    with context.open_store(write=False) as store:
        files = export_files(store, context.player_alias, context.now)
    folder.mkdir(parents=True, exist_ok=True)
    existing = [name for name in files if (folder / name).exists()]
    if existing:
        raise InputError(
            "the file exists and is never overwritten", str(folder / existing[0]), "name an empty folder"
        )
    for name, text in files.items():
        # CSV keeps its own line ends (RFC 4180), so the text is written as it is.
        (folder / name).write_bytes(text.encode("utf-8"))
        (folder / name).chmod(0o600)
    names = ", ".join(files)
    return Output(f"Wrote {names} to {folder}.", {"folder": str(folder), "files": list(files)})


def run_backup(args: argparse.Namespace, context: Context) -> Output:
    """Copy the store while others may read or write."""
    target = Path(args.file)
    with context.open_store(write=False) as store:
        store.backup_to(target)
    return Output(f"Backed up to {target}.", {"backup": str(target), "store": str(context.store_path)})


def run_restore(args: argparse.Namespace, context: Context) -> Output:
    """Put a sound backup in the store's place."""
    from trainer.store.keeping import restore

    kept = restore(context.store_path, Path(args.file), context.now)
    said = "" if kept is None else f" The store that was there is kept as {kept}."
    data = {"store": str(context.store_path), "replaced": None if kept is None else str(kept)}
    return Output(f"Restored {context.store_path}.{said}", data)


def run_purge(args: argparse.Namespace, context: Context) -> Output:
    """Delete the named player for good."""
    from trainer.application.history import KEPT_FOLDER
    from trainer.application.kept import KeptPosteriors

    if context.player_alias is None:
        raise InputError("whose data?", "purge", "name the player with --player ALIAS")
    if not args.yes:
        raise InputError(
            f"this deletes {context.player_alias} for good", "purge", "add --yes; backups made before are not reached"
        )
    with context.open_store(write=True) as store:
        alias = store.player(context.player_alias).profile.alias
        store.purge(alias)
    # What was computed from the shots goes with them.
    KeptPosteriors(context.store_path.parent / KEPT_FOLDER).forget()
    return Output(f"{alias} is gone from this store. Backups and exports are yours to delete.", {"purged": alias})


def run_doctor(args: argparse.Namespace, context: Context) -> Output:
    """Look the whole store over; exit code 3 where it is damaged."""
    from trainer.store.keeping import doctor

    report = doctor(context.store_path)
    return Output(_doctor_text(report), _doctor_data(report), exit_code=0 if report.sound else 3)


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


def _doctor_text(report: DoctorReport) -> str:
    counts = report.counts
    lines = [
        f"{report.path}: {'sound' if report.sound else 'DAMAGED'}, version {report.version}",
        f"{counts.players} players, {counts.sessions} sessions, {counts.shots} shots, {counts.imports} imports",
        *(f"Mended: {what}." for what in report.mended),
        *(f"Problem: {what}" for what in report.problems),
    ]
    if not report.sound:
        lines.append("Restore a backup: trainer restore FILE (the damaged store is kept beside it).")
    return "\n".join(lines)
