"""How long 200 result files take to collect, beside the least that could be done with them in the same run:
tomllib's parse of each file and one INSERT a shot, committed file by file with the store's own settings."""

from __future__ import annotations

import sqlite3
import time
import tomllib
from contextlib import ExitStack
from pathlib import Path

import pytest

from tests.application.squad.squad_stores import open_coach, open_player
from tests.benchmarks.told import at_most, tell
from trainer.application.squad.coach import collect, result_paths
from trainer.exchange.result_file import read_result, write_result
from trainer.exchange.result_model import ResultTable

PLAYERS, SESSIONS, SHOTS = 20, 10, 45
ALIASES = tuple(f"player {number}" for number in range(PLAYERS))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """200 result files of a squad, 45 balls each: one evening under ever new ids."""
    path = tmp_path_factory.mktemp("season")
    (path / "in").mkdir()
    with ExitStack() as stack:
        player = open_player(stack, path, "template")
        player.begin()
        for number in range(SHOTS):
            player.hit(80.0 + number, on_agenda=True)
        (content,) = player.submit()
    evening = read_result(content, "template")
    for number, alias in enumerate(ALIASES):
        for session in range(SESSIONS):
            result = under_new_ids(evening, alias, f"{number:04}", f"{session:04}")
            (path / "in" / f"{number}-{session}.result.toml").write_text(write_result(result), encoding="utf-8")
    return path


def under_new_ids(evening: ResultTable, alias: str, player: str, session: str) -> ResultTable:
    """The same evening of another player or another day, as far as its ids tell."""
    mark = f"{player}-{session}"
    reading = f"{mark}-reading"
    return evening.model_copy(
        update={
            "alias": alias,
            "player": evening.player.model_copy(update={"id": player}),
            "session": evening.session.model_copy(update={"id": mark}),
            "reading": [each.model_copy(update={"id": reading}) for each in evening.reading],
            "shot": [
                each.model_copy(update={"id": f"{mark}-{each.number}", "reading": reading}) for each in evening.shot
            ],
        }
    )


def peer_s(folder: Path) -> float:
    """Seconds to parse every file and keep one row a shot."""
    start = time.perf_counter()
    connection = sqlite3.connect(folder / "peer.db", isolation_level=None)
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("CREATE TABLE shot (uid TEXT PRIMARY KEY, at TEXT, club TEXT, carry_m REAL)")
    for _, path in result_paths(folder / "in"):
        table = tomllib.loads(path.read_text(encoding="utf-8"))
        connection.execute("BEGIN")
        for shot in table["shot"]:
            row = (shot["id"], shot["at"].isoformat(), shot["club"], shot["carry_m"])
            connection.execute("INSERT INTO shot VALUES (?, ?, ?, ?)", row)
        connection.execute("COMMIT")
    connection.close()
    return time.perf_counter() - start


@pytest.mark.benchmark
def test_two_hundred_files_are_collected(folder: Path) -> None:
    with ExitStack() as stack:
        coach = open_coach(stack, folder / "coach" / "trainer.db", ALIASES)
        start = time.perf_counter()
        files = list(collect(coach, result_paths(folder / "in")))
        first = time.perf_counter() - start
        start = time.perf_counter()
        again = list(collect(coach, result_paths(folder / "in")))
        second = time.perf_counter() - start
        assert sum(each.merged.shots for each in files) == PLAYERS * SESSIONS * SHOTS
        assert not any(each.is_new or each.why for each in again)
        peer = peer_s(folder)
    name, least = f"{len(files)} result files of {SHOTS} balls collected", "tomllib and one INSERT a shot"
    new = tell(name, first, "s", wanted=at_most(5), ratio=first / peer, of="time", peer=least, goal=at_most(5))
    known = tell(f"{name} again", second, "s", ratio=second / peer, of="time", peer=least, goal=at_most(5))
    assert new
    assert known
