"""When `trainer` opens screens, and when it only prints."""

from __future__ import annotations

import io
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tests.tui.helpers import START, keep_player
from trainer.cli.commands.demo import run as run_demo
from trainer.cli.context import Context
from trainer.cli.summary import run_summary


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def context(path: Path, *, interactive: bool = True, term: str = "xterm-256color", json: bool = False) -> Context:
    def clock() -> datetime:
        return START

    return Context(
        now=START,
        clock=clock,
        environ={"TERM": term},
        stdin=Terminal(),
        stdout=Terminal(),
        stderr=Terminal(),
        store_option=str(path),
        player_alias="Tester",
        json=json,
        interactive=interactive,
    )


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Any, ...]]:
    calls: list[tuple[Any, ...]] = []
    monkeypatch.setattr("trainer.tui.app.run_screens", lambda *words, **named: calls.append((*words, named)))
    return calls


def test_a_terminal_opens_the_screens_over_the_named_store(tmp_path: Path, opened: list[tuple[Any, ...]]) -> None:
    output = run_summary(context(tmp_path / "t.db"))
    assert [call[:2] for call in opened] == [(tmp_path / "t.db", "Tester")]
    assert output.exit_code == 0


@pytest.mark.parametrize("named", [{"interactive": False}, {"term": "dumb"}, {"json": True}])
def test_without_one_the_summary_is_printed(
    tmp_path: Path, opened: list[tuple[Any, ...]], named: dict[str, Any]
) -> None:
    keep_player(tmp_path / "t.db")
    output = run_summary(context(tmp_path / "t.db", **named))
    assert not opened
    assert "Tester" in output.text


def test_the_demo_opens_over_a_store_of_its_own_that_is_gone_afterwards(
    tmp_path: Path, opened: list[tuple[Any, ...]]
) -> None:
    from argparse import Namespace

    run_demo(Namespace(plain=False), context(tmp_path / "t.db"))
    ((path, named),) = opened
    assert path != tmp_path / "t.db"
    assert not path.parent.exists()
    assert named["prepare"] is not None
