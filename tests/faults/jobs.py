"""What the processes do that are killed: one after the other of the program's commands that write."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from tests.faults.killed import NOW, Teller, command
from trainer.store.keeping import restore
from trainer.store.store import open_store

LINES_AT_ONCE = 400
SIDES = ("--side-positive", "right")


def type_shots(teller: Teller, folder: Path, words: Sequence[str]) -> None:
    """Record hundreds of typed shots, each with a carry of its own."""
    begin = int(words[0])
    lines = (f"7 iron: {100 + number / 100:.2f}" for number in range(begin, begin + LINES_AT_ONCE))
    command(teller, folder / "store.db", "record", "--calm", typed="\n".join(lines) + "\n")


def import_tables(teller: Teller, folder: Path, words: Sequence[str]) -> None:
    """Import one table after the other."""
    teller.write("begun\n")
    for name in words:
        command(teller, folder / "store.db", "import", str(folder / name), "--accept", *SIDES)
        teller.write(f"imported {name}\n")


def watch_table(teller: Teller, folder: Path, words: Sequence[str]) -> None:
    """Follow a table that has grown."""
    table = str(folder / words[0])
    command(teller, folder / "store.db", "import", table, "--watch", "--accept", *SIDES, "--every", "0.05s")


def migrate(teller: Teller, folder: Path, words: Sequence[str]) -> None:
    """Open old stores for writing, which brings each up to date."""
    teller.write("begun\n")
    for name in words:
        open_store(folder / name, write=True).close()
        teller.write(f"opened {name}\n")


def back_up(teller: Teller, folder: Path, words: Sequence[str]) -> None:
    """Make one backup after the other."""
    teller.write("begun\n")
    for name in words:
        command(teller, folder / "store.db", "backup", str(folder / name))
        teller.write(f"copied {name}\n")


def put_back(teller: Teller, folder: Path, words: Sequence[str]) -> None:
    """Restore backups in turn."""
    teller.write("begun\n")
    for name in words:
        restore(folder / "store.db", folder / name, NOW)
        teller.write(f"restored {name}\n")


def purge(teller: Teller, folder: Path, words: Sequence[str]) -> None:
    """Purge one player after the other."""
    teller.write("begun\n")
    for alias in words:
        command(teller, folder / "store.db", "purge", "--yes", "--player", alias)
        teller.write(f"purged {alias}\n")


def collect(teller: Teller, folder: Path, words: Sequence[str]) -> None:
    """Collect a squad's result files."""
    teller.write("begun\n")
    command(teller, folder / "coach.db", "squad", "collect", str(folder / words[0]))
    teller.write("collected\n")
