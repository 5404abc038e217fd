"""What every command is given, and the one way it reads a value with a unit."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

from trainer.application.views.folding import folded
from trainer.application.views.practice import harmless
from trainer.core.units import UnitChoice

if TYPE_CHECKING:
    from trainer.store.store import Store


def local_now() -> datetime:
    """The clock: local time to the second."""
    return datetime.now().replace(microsecond=0)


@dataclass(frozen=True, slots=True)
class Output:
    """A command's result: `text` for a person, `data` for a program, `warning` lines for standard error."""

    text: str
    data: Mapping[str, Any]
    exit_code: int = 0
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True)
class Context:
    """The surroundings of one command. Time and the outside world come in here and nowhere else."""

    now: datetime
    clock: Callable[[], datetime]
    environ: Mapping[str, str]
    stdin: TextIO
    stdout: TextIO
    stderr: TextIO
    store_option: str | None = None
    player_alias: str | None = None
    json: bool = False
    interactive: bool = False

    @cached_property
    def store_path(self) -> Path:
        """Where the store is, whether or not it exists yet."""
        from trainer.store.location import store_path

        return store_path(self.store_option, self.environ)

    def say(self, line: str) -> None:
        """Tell a person something at once; a program that asked for JSON is told at the end."""
        if line and not self.json:
            self._write(self.stdout, line)

    def prompt(self, line: str) -> None:
        """Tell a person on standard error what is expected of him. Only where one sits at the terminal."""
        self._write(self.stderr, line)

    @staticmethod
    def _write(stream: TextIO, line: str) -> None:
        """A line for a person, folded; what is folded off stands two columns further in."""
        said = harmless(line)
        hanging = " " * (len(said) - len(said.lstrip()) + 2)
        stream.writelines(f"{part}\n" for part in folded(said, hanging=hanging))
        stream.flush()

    def warn(self, line: str) -> None:
        """Say on standard error, at once, what was refused."""
        self.stderr.write(f"{harmless(line)}\n")
        self.stderr.flush()

    def ask(self, question: str) -> str:
        """Ask a person at the terminal; only where `interactive`."""
        self.stdout.write(f"{harmless(question)} ")
        self.stdout.flush()
        return self.stdin.readline().strip()

    def open_store(self, *, write: bool) -> Store:
        """The store, opened; for use in a `with` statement. Raises StoreError."""
        from trainer.store.store import open_store

        return open_store(self.store_path, write=write)

    @contextmanager
    def store_out_of_round(self) -> Iterator[Store]:
        """The store for reading, for what advises. Raises InputError where the player is in a round."""
        from trainer.application.choosing.rounds import require_no_round

        with self.open_store(write=False) as store:
            require_no_round(store, self.player_alias, self.now)
            yield store

    @cached_property
    def units(self) -> UnitChoice:
        """The player's units; yards and mph where no one player is meant (a command that needs him says so)."""
        if not self.store_path.exists():
            return UnitChoice()
        with self.open_store(write=False) as store:
            players = store.players()
            if not players or (self.player_alias is None and len(players) > 1):
                return UnitChoice()
            return store.player(self.player_alias).profile.units

    def quantity(self, text: str, kind: str, bare: str | None, where: str) -> float:
        """`text` as SI. A bare number takes the player's unit for `bare` (a field of UnitChoice) or `bare` itself."""
        from trainer.application.conditions.stating import quantity_in_those_of

        return quantity_in_those_of(lambda: self.units)(text, kind, bare, where)

    def optional(self, text: str | None, kind: str, bare: str | None, where: str) -> float | None:
        """As `quantity`, None where the option was left out."""
        return None if text is None else self.quantity(text, kind, bare, where)
