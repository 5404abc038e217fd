"""A terminal that goes away, with and without a signal that says so: the program ends, at rest or while it draws."""

from __future__ import annotations

import os
import select
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

if sys.platform == "win32":
    pytest.skip("there are no pseudo-terminals", allow_module_level=True)

import fcntl
import pty
import struct
import termios

PATIENCE_S = 30.0
ROWS, COLUMNS = 24, 80


class Line:
    """The program at a terminal of its own, which can be cut."""

    def __init__(self, store: Path) -> None:
        self._end, terminal = pty.openpty()
        fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
        # A session of its own without a controlling terminal: no SIGHUP comes, as under nohup.
        self.program = subprocess.Popen(
            [sys.executable, "-m", "trainer", "--store", str(store)],
            stdin=terminal,
            stdout=terminal,
            stderr=terminal,
            start_new_session=True,
            env={**os.environ, "TERM": "xterm-256color"},
        )
        os.close(terminal)

    def read_until(self, part: bytes) -> None:
        shown, deadline = b"", time.monotonic() + PATIENCE_S
        while part not in shown:
            assert time.monotonic() < deadline, f"never came: {part!r}"
            shown += self.read(0.1)

    def read(self, wait_s: float) -> bytes:
        return os.read(self._end, 65536) if select.select([self._end], [], [], wait_s)[0] else b""

    def rest(self) -> None:
        """Read until it draws no more."""
        while self.read(0.3):
            pass

    def cut(self) -> None:
        os.close(self._end)

    def draw(self, times: int) -> None:
        """Have it draw everything again, more often than its queue of drawings has room for."""
        for _ in range(times):
            if self.program.poll() is None:
                self.program.send_signal(signal.SIGWINCH)
                time.sleep(0.002)


@pytest.mark.parametrize("drawn", [0, 400])
def test_the_program_ends_with_its_terminal_even_unasked(tmp_path: Path, drawn: int) -> None:
    line = Line(tmp_path / "store.db")
    try:
        line.read_until(b"You know your")
        line.rest()
        line.cut()
        line.draw(drawn)
        assert line.program.wait(PATIENCE_S) == 0
    finally:
        line.program.kill()
        line.program.wait()
