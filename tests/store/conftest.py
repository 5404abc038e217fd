from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.store.samples import PROFILE, START, new_session
from trainer.store.records import SessionRecord
from trainer.store.store import Store, open_store


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "data" / "trainer.db"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    with open_store(path, write=True) as opened:
        opened.save_profile(PROFILE, START)
        yield opened


@pytest.fixture
def session(store: Store) -> SessionRecord:
    return store.begin_session(new_session(store.player().id))
