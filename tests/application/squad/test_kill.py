"""A collecting that is killed at any moment leaves each file taken whole or not at all, and can be done again."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from contextlib import ExitStack
from pathlib import Path

import numpy as np
import pytest

from tests.application.squad.squad_stores import contents, open_coach, open_player, take_in
from trainer.store.keeping import doctor
from trainer.store.store import Store, open_store

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")

COLLECTOR = """
import sys
from pathlib import Path
from trainer.application.squad.coach import collect, result_paths
from trainer.store.store import open_store

with open_store(Path(sys.argv[1]), write=True) as store:
    paths = result_paths(Path(sys.argv[2]))
    print("open", flush=True)
    for file in collect(store, paths):
        assert not file.why, file.why
        print(file.session, flush=True)
"""
SESSIONS, SHOTS = 12, 25


def files_of_a_season(stack: ExitStack, folder: Path) -> list[bytes]:
    player = open_player(stack, folder, "kestrel")
    for _ in range(SESSIONS):
        player.begin()
        for number in range(SHOTS):
            player.hit(90.0 + number, on_agenda=number % 2 == 0)
    return player.submit()


def killed_collect(coach: Path, folder: Path, delay_s: float) -> set[str]:
    """Collect until killed; the sessions that were said to be in."""
    command = [sys.executable, "-c", COLLECTOR, str(coach), str(folder)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as program:
        assert program.stdout is not None
        assert program.stdout.readline() == "open\n"
        time.sleep(delay_s)
        program.kill()
        said = program.stdout.read()
        assert program.wait() in (0, -signal.SIGKILL)
    return set(said[: said.rfind("\n") + 1].split())


def check_whole(store: Store, said: set[str]) -> int:
    """Every session said to be in is, and each that is in is whole; how many are."""
    member = store.squad.member("kestrel")
    held = () if member.player_id is None else store.sessions(member.player_id)
    assert said <= {session.uid for session in held}
    for session in held:
        shared = store.squad.shared_session(session.id)
        assert len(shared.shots) == SHOTS
        assert [shot.drill != "" for shot in shared.shots] == [number % 2 == 0 for number in range(SHOTS)]
    assert {session.id for session in held} == (
        set() if member.player_id is None else set(store.squad.handed_in(member.player_id))
    )
    return len(held)


def kill_often(folder: Path, kills: int, seed: int) -> int:
    """How many kills met a collecting that was neither at its start nor at its end."""
    generator = np.random.default_rng(seed)
    in_the_middle = 0
    with ExitStack() as stack:
        files = files_of_a_season(stack, folder)
        (folder / "in").mkdir()
        for number, content in enumerate(files):
            (folder / "in" / f"{number:02}.result.toml").write_bytes(content)
        whole = open_coach(stack, folder / "whole" / "trainer.db")
        take_in(whole, files)
        for number, delay_s in enumerate(generator.uniform(0.0, 0.15, kills)):
            path = folder / f"coach-{number}" / "trainer.db"
            with ExitStack() as made:
                open_coach(made, path)
            said = killed_collect(path, folder / "in", float(delay_s))
            assert doctor(path).sound
            with open_store(path, write=True) as store:
                in_the_middle += 0 < check_whole(store, said) < SESSIONS
                take_in(store, files)
                assert contents(store) == contents(whole)
    return in_the_middle


def test_a_killed_collect_leaves_each_file_whole_or_out(tmp_path: Path) -> None:
    assert kill_often(tmp_path, 4, 3) > 0


@pytest.mark.proof
def test_a_hundred_killed_collects_leave_each_file_whole_or_out(tmp_path: Path) -> None:
    assert kill_often(tmp_path, 100, 4) > 30
