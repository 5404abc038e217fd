from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.program import Program


@pytest.fixture
def program(tmp_path: Path) -> Program:
    """A program whose store does not exist yet."""
    return Program(tmp_path / "data" / "store.db")


@pytest.fixture
def player(program: Program) -> Program:
    """A program with a player who measured 150 yd with his 7 iron."""
    assert program("setup", "--from-carry", "7 iron=150yd").code == 0
    return program
