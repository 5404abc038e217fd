"""`trainer demo` at a terminal: its evenings lead up to the day on which it is opened."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tests.cli.program import Program
from tests.cli.terminal import at_a_terminal
from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.snapshot import snapshot
from trainer.application.estimates.trust import Trust
from trainer.application.evidence.history import read_history
from trainer.store.store import open_store


def test_no_shot_of_the_demonstration_is_stale(
    program: Program, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    prepared: list[Callable[[Path], None]] = []
    monkeypatch.setattr("trainer.tui.app.run_screens", lambda *_, prepare, **__: prepared.append(prepare))
    now = program.now = datetime(2031, 12, 24, 23, 50)
    at_a_terminal(program, ("demo",), ())
    path = tmp_path / "demo.db"
    (prepare,) = prepared
    prepare(path)
    with open_store(path, write=False) as store:
        history = read_history(store, None, now)
    began = [session.started_at for session in history.sessions.values()]
    assert (now.date() - max(began).date()).days == 2
    assert max(began) < now
    table: Any = snapshot(history, StatedConditions(), now)
    hit = [row for row in table.cells if row.shots]
    assert hit
    assert Trust.STALE not in {row.trust for row in hit}
