"""The real command line run in this process, with its streams, environment and clock in the test's hands."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any
from unittest import mock

from trainer.cli.main import Streams, run

NOW = datetime(2026, 5, 14, 18, 30)


@dataclass(frozen=True)
class Result:
    """What one command did."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> dict[str, Any]:
        """The one JSON object on standard output."""
        loaded = json.loads(self.out)
        assert isinstance(loaded, dict)
        return loaded

    def refused(self, code: int = 1) -> str:
        """The one line on standard error of a refusal with `code`."""
        assert self.code == code, (self.code, self.out, self.err)
        assert "Traceback" not in self.err
        lines = self.err.strip().splitlines()
        assert len(lines) == 1, lines
        return lines[0]


@dataclass
class Program:
    """A command line with a store of its own."""

    store: Path
    now: datetime = NOW
    environ: dict[str, str] = field(default_factory=dict)

    def __call__(self, *words: str, typed: str = "", now: datetime | None = None) -> Result:
        out, err = io.StringIO(), io.StringIO()
        streams = Streams(io.StringIO(typed), out, err)
        environ = {"TRAINER_STORE": str(self.store), **self.environ}
        moment = now or self.now
        code = run(list(words), streams, environ, lambda: moment)
        return Result(code, out.getvalue(), err.getvalue())

    def json(self, *words: str, typed: str = "", now: datetime | None = None) -> dict[str, Any]:
        """The JSON of a command that must be done."""
        result = self(*words, "--json", typed=typed, now=now)
        assert result.code == 0, result.err
        return result.data

    def lines(self, *typed: str, options: tuple[str, ...] = (), now: datetime | None = None) -> dict[str, Any]:
        """Record typed lines."""
        return self.json("record", *options, typed="\n".join(typed) + "\n", now=now)

    def hit(self, *typed: str, options: tuple[str, ...] = (), now: datetime | None = None) -> dict[str, Any]:
        """As `lines`, but no ball is called before it is hit, and a plan's rest stays as it was first planned.

        For balls that are evidence and nothing else: a call, or a rest planned anew, is an estimate from all balls
        before, and takes as long as everything else of a line many times over.
        """
        with (
            mock.patch("trainer.application.estimates.calling.Caller", return_value=None),
            mock.patch("trainer.application.session.replanning.plan_anew", return_value=()),
        ):
            return self.lines(*typed, options=options, now=now)


Cell = dict[str, Any]
CellOf = Callable[..., Cell]


def cell_of(table: dict[str, Any], club: str, grip_down_m: float = 0.0, swing: str = "full") -> Cell:
    """One cell of a gapping table."""
    found = [
        cell
        for cell in table["cells"]
        if (cell["club"], cell["swing"]) == (club, swing) and abs(cell["grip_down_m"] - grip_down_m) < 1e-9
    ]
    assert len(found) == 1, (club, grip_down_m, swing)
    return dict(found[0])


def half_width(carry: dict[str, float]) -> float:
    """Half of an interval's width, m."""
    return (carry["high80"] - carry["low80"]) / 2
