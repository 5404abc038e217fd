"""A coach's program and a player's, each with a store of its own."""

from __future__ import annotations

import stat
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.cli.program import Program

PLAN = "first-windy-evening"
DUE = "2026-05-21"
BALLS = ("wind 12mph 1h", "142 6L", "130 #closer", "7 iron: 118", "x")


@dataclass(frozen=True)
class Squad:
    """Where a coach and the player he knows as kestrel keep what is theirs, and the folders between them."""

    coach: Program
    player: Program
    out: Path
    back: Path

    def assign(self, *aliases: str) -> list[dict[str, Any]]:
        assigned: list[dict[str, Any]] = self.coach.json(
            "squad", "assign", PLAN, "--to", ",".join(aliases or ("kestrel",)), "--due", DUE, str(self.out)
        )["assigned"]
        return assigned

    def start(self) -> str:
        """The player takes up a new assignment; its id."""
        (assigned,) = self.assign()
        assert self.player("squad", "start", str(self.out / assigned["folder"])).code == 0
        return str(assigned["id"])

    def play(self, plan_id: str) -> None:
        assert self.player.hit(*BALLS, options=("--plan", plan_id))["recorded"] == 4

    def submit(self, *options: str) -> dict[str, Any]:
        return self.player.json("squad", "submit", str(self.back), *options)

    def collect(self) -> dict[str, Any]:
        return self.coach.json("squad", "collect", str(self.back))

    def member(self, alias: str = "kestrel") -> dict[str, Any]:
        found = [each for each in self.coach.json("squad", "show")["members"] if each["alias"] == alias]
        assert len(found) == 1
        return dict(found[0])


def squad_in(folder: Path) -> Squad:
    """The squad whose stores are, or will be, in `folder`."""
    return Squad(
        Program(folder / "coach" / "store.db"),
        Program(folder / "player" / "store.db"),
        folder / "out",
        folder / "back",
    )


def made(folder: Path) -> Squad:
    """A squad of one junior, kestrel, whose own store calls him otherwise."""
    squad = squad_in(folder)
    squad.coach.json("squad", "add", "kestrel", "--age-band", "14-15", "--consent", "2026-05-01")
    assert squad.player("setup", "--from-carry", "7 iron=120yd", "--player", "Robin Realname").code == 0
    return squad


def modes(folder: Path) -> set[tuple[bool, int]]:
    """Of all that lies in `folder`, it included: whether it is a folder, and its rights."""
    return {(path.is_dir(), stat.S_IMODE(path.stat().st_mode)) for path in (folder, *folder.rglob("*"))}
