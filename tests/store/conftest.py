from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from shutil import copytree

import pytest

from tests.store.samples import PROFILE, START, new_session
from trainer.store.records import SessionRecord
from trainer.store.store import Store, open_store


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "data" / "trainer.db"


@pytest.fixture(scope="session")
def with_player(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a store with a player, to be copied and not used itself."""
    path = tmp_path_factory.mktemp("with_player") / "data" / "trainer.db"
    with open_store(path, write=True) as opened:
        opened.save_profile(PROFILE, START)
    return path.parent


@pytest.fixture
def store(path: Path, with_player: Path) -> Iterator[Store]:
    copytree(with_player, path.parent)
    with open_store(path, write=True) as opened:
        yield opened


@pytest.fixture
def session(store: Store) -> SessionRecord:
    return store.begin_session(new_session(store.player().id))
