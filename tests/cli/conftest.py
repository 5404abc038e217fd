from __future__ import annotations

from pathlib import Path
from shutil import copytree

import pytest

from tests.cli.program import Program


@pytest.fixture(scope="session", autouse=True)
def shared(more_in_memory: None) -> None:
    """Commands of one test ask for what those of another asked for."""


@pytest.fixture
def program(tmp_path: Path) -> Program:
    """A program whose store does not exist yet."""
    return Program(tmp_path / "data" / "store.db")


@pytest.fixture(scope="session")
def set_up(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a store with a player, to be copied and not used itself."""
    store = tmp_path_factory.mktemp("set_up") / "data" / "store.db"
    assert Program(store)("setup", "--from-carry", "7 iron=150yd").code == 0
    return store.parent


@pytest.fixture
def player(program: Program, set_up: Path) -> Program:
    """A program with a player who measured 150 yd with his 7 iron."""
    copytree(set_up, program.store.parent)
    return program


@pytest.fixture
def other(set_up: Path, tmp_path: Path) -> Program:
    """A program whose player is as `player`, in a store of its own."""
    copytree(set_up, tmp_path / "other")
    return Program(tmp_path / "other" / "store.db")
