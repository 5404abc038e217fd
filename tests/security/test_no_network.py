"""At run time the program reaches no network and starts no other program: commands and screens, by an audit hook."""

from __future__ import annotations

import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.cli.program import Program
from tests.tui.helpers import begun, day_is_shown, keep_player, running, settled, typed
from tests.tui.look_helpers import DIGITS, go, keep_evenings

REFUSED = {
    "socket.connect", "socket.bind", "socket.sendto", "socket.getaddrinfo", "socket.gethostbyname",
    "socket.gethostbyaddr", "socket.getnameinfo", "urllib.Request", "http.client.connect", "ftplib.connect",
    "smtplib.connect", "subprocess.Popen", "os.system", "os.exec", "os.posix_spawn", "os.fork", "os.forkpty",
    "pty.spawn", "webbrowser.open", "pickle.find_class", "ctypes.dlopen", "sqlite3.load_extension",
}  # fmt: skip
"""Events of CPython's audit table (docs.python.org, "Audit events table")."""

_watching: list[list[str]] = []


def _audit(event: str, arguments: tuple[Any, ...]) -> None:
    if not _watching:
        return
    # A pair of local sockets is how an event loop wakes itself; any other family reaches out.
    reaches_out = event == "socket.__new__" and arguments[1] not in (socket.AF_UNIX, -1)
    if event in REFUSED or reaches_out:
        _watching[-1].append(f"{event} {arguments!r:.120}")
        raise PermissionError(f"refused here: {event}")


sys.addaudithook(_audit)


@pytest.fixture
def refused() -> Iterator[list[str]]:
    """What was tried and refused while the test ran; an attempt that somebody swallowed is here too."""
    tried: list[str] = []
    _watching.append(tried)
    yield tried
    _watching.remove(tried)
    assert tried == []


def test_the_refusal_refuses(tmp_path: Path) -> None:
    tried: list[str] = []
    _watching.append(tried)
    try:
        for attempt in (
            lambda: socket.getaddrinfo("localhost", 80),
            lambda: socket.create_connection(("127.0.0.1", 9)),
            lambda: socket.socket(socket.AF_INET, socket.SOCK_DGRAM),
            lambda: subprocess.run([sys.executable, "-V"], check=True),
        ):
            with pytest.raises(PermissionError):
                attempt()
    finally:
        _watching.remove(tried)
    assert len(tried) >= 4


def test_no_command_reaches_out(tmp_path: Path, refused: list[str]) -> None:
    program = Program(tmp_path / "store.db")
    assert program("setup", "--from-carry", "7 iron=150yd").code == 0
    program.lines("wind 14mph 1h", "142 6L", "7 iron: 131", options=("--plan", "first-windy-evening"))
    table = tmp_path / "t.csv"
    table.write_text("Club,Carry (yd)\n7 iron,148\n")
    for words in (
        ("gaps",), ("choose", "150yd"), ("compare", "7 iron", "7 iron, 1 in, three-quarter"), ("card",),
        ("progress",), ("report",), ("shots",), ("plan", "list"), ("agenda",), ("import", str(table), "--accept"),
        ("export", str(tmp_path / "out")), ("backup", str(tmp_path / "b.db")), ("doctor",),
        ("restore", str(tmp_path / "b.db")), ("flight", "--carry", "150yd", "--launch", "17", "--spin", "6000"),
    ):  # fmt: skip
        assert program(*words).code == 0, (words, program(*words).err)


@pytest.mark.proof
def test_the_demo_does_not_reach_out(tmp_path: Path, refused: list[str]) -> None:
    assert Program(tmp_path / "store.db")("demo", "--plain").code == 0


async def test_no_screen_reaches_out(tmp_path: Path, refused: list[str]) -> None:
    path = tmp_path / "t.db"
    keep_evenings(path)
    async with running(path) as (app, pilot):
        screen = await begun(app, pilot)
        await typed(screen, pilot, "7 iron: 142 6L")
        await settled(app, pilot)
        await pilot.press("escape", "e")
        await day_is_shown(app, pilot)
        for what in DIGITS:
            await go(app, pilot, what)
            await settled(app, pilot)


async def test_a_first_start_reaches_nothing_out(tmp_path: Path, refused: list[str]) -> None:
    keep_player(tmp_path / "t.db")
    async with running(tmp_path / "t.db") as (app, pilot):
        await day_is_shown(app, pilot)
        await pilot.press("f1")
        await pilot.pause()
