"""The real commands in a process that is killed at a chosen moment, and what they had said until then.

The processes are forked from a server that has the program loaded: hundreds of starts would take an hour otherwise.
Each command line is `trainer.cli.main.run`, as a person's is.
"""

from __future__ import annotations

import io
import multiprocessing
import signal
import time
from collections.abc import Callable, Sequence
from datetime import datetime
from multiprocessing.connection import Connection
from pathlib import Path

from trainer.cli.main import Streams, run

NOW = datetime(2026, 5, 14, 18, 30)
PATIENCE_S = 60.0
_SERVER = multiprocessing.get_context("forkserver")
_SERVER.set_forkserver_preload(["tests.faults.loaded"])

Job = Callable[["Teller", Path, Sequence[str]], None]
"""What runs in the process: it tells what it has done, in a folder, with words of its trial."""


class Teller(io.StringIO):
    """A process's standard output that reaches the other side line by line, at once."""

    def __init__(self, pipe: Connection) -> None:
        super().__init__()
        self._pipe = pipe
        self._begun = ""

    def write(self, text: str) -> int:
        """Send every line that is whole."""
        *whole, self._begun = f"{self._begun}{text}".split("\n")
        for line in whole:
            self._pipe.send_bytes(line.encode())
        return len(text)


def command(teller: Teller, store: Path, *words: str, typed: str = "") -> None:
    """One command line; the process ends in failure where it is refused."""
    errors = io.StringIO()
    streams = Streams(io.StringIO(typed), teller, errors)
    code = run(list(words), streams, {"TRAINER_STORE": str(store)}, lambda: NOW)
    if code:
        raise RuntimeError(f"{words}: {errors.getvalue()}")


def _work(pipe: Connection, job: Job, folder: Path, words: Sequence[str]) -> None:
    job(Teller(pipe), folder, words)


def killed(job: Job, folder: Path, words: Sequence[str], delay_s: float) -> tuple[list[str], bool]:
    """Kill `job` `delay_s` after its first line: the lines it had told, and whether it was still at work."""
    ours, theirs = _SERVER.Pipe(duplex=False)
    process = _SERVER.Process(target=_work, args=(theirs, job, folder, tuple(words)))
    process.start()
    theirs.close()
    told: list[str] = []
    with ours:
        assert ours.poll(PATIENCE_S), "the program never began"
        until = time.monotonic() + delay_s
        try:
            told.append(ours.recv_bytes().decode())
            while (left := until - time.monotonic()) > 0 and ours.poll(left):
                told.append(ours.recv_bytes().decode())
            process.kill()
            while True:
                told.append(ours.recv_bytes().decode())
        except (EOFError, OSError):  # the end, or the middle of a line
            process.kill()
    process.join(PATIENCE_S)
    code = process.exitcode
    assert code in (0, -signal.SIGKILL), f"it failed by itself: {code} {told}"
    process.close()
    return told, code != 0
