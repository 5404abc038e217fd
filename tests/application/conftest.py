from __future__ import annotations

import pytest


@pytest.fixture(scope="session", autouse=True)
def shared(more_in_memory: None) -> None:
    """Use cases of one test ask for what those of another asked for."""
