"""A table imported in a real terminal: picked, its question answered, looked at, kept; the same as by command."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli.program import Program
from tests.end_to_end.test_terminal import Terminal
from tests.end_to_end.test_terminal import pytestmark as pytestmark  # noqa: PLC0414 - where there is a tmux
from trainer.store.store import Store, open_store

ROWS = (
    "Time;Club;Carry (yd);Side (yd)",
    "2026-05-14T18:30:00;7 iron;140,5;6,0",
    "2026-05-14T18:31:00;banana;139;-4",
    "2026-05-14T18:32:00;6 iron;151;-2,5",
    "Average;;145;1",
)


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Terminal]:
    window = Terminal(f"import-{os.getpid()}-{tmp_path.name}"[:60])
    yield window
    window.close()


def kept(store: Store) -> list[tuple[object, ...]]:
    return [(shot.at, shot.cell, shot.entry, shot.seen, shot.carry_origin, shot.source) for shot in store.shots()]


def test_a_table_comes_in_as_by_command(terminal: Terminal, tmp_path: Path) -> None:
    path, table = tmp_path / "screen.db", tmp_path / "evening.csv"
    table.write_text("\n".join(ROWS) + "\n", encoding="utf-8")
    terminal.start(path)
    terminal.wait_for("You know your")
    terminal.enter("150")
    terminal.wait_for("1 of 4")
    terminal.keys("Escape")
    terminal.wait_for("Enter begins: First windy evening")
    terminal.keys("F2")
    terminal.wait_for("7  Import")
    terminal.keys("7")
    terminal.wait_for("Import a shot table")
    terminal.enter(str(tmp_path) + "/even")
    terminal.wait_for("positive number in 'Side (yd)'")
    terminal.keys("2")
    text = terminal.wait_for("Would import 2 of 4 rows")
    assert "row 3" in text
    terminal.keys("Enter")
    terminal.wait_for("kept as i1")
    terminal.keys("Escape")
    terminal.wait_for("Import a shot table")
    terminal.keys("Escape")
    terminal.wait_for("2 shots in 1 session")
    terminal.keys("C-q")
    terminal.wait_for("back 0")

    twin = Program(tmp_path / "twin.db")
    assert twin("setup", "--from-belief", "7 iron=150yd").code == 0
    assert twin("import", str(table), "--accept", "--side-positive", "left").code == 0
    with open_store(path, write=False) as store, open_store(twin.store, write=False) as other:
        assert kept(store) == kept(other)
        assert len(kept(store)) == 2
