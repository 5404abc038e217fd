"""A program that is killed, at any moment, loses no shot it said it had and leaves no half of anything.

It is killed with SIGKILL. What a loss of power does to the disk's own cache is not shown by this; against that the
store relies on SQLite's `synchronous=FULL`.
"""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from tests.store.samples import PROFILE, START, ball, new_session
from trainer.store.keeping import doctor
from trainer.store.records import BallState
from trainer.store.store import open_store

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")

WRITER = """
import sys
from pathlib import Path
from tests.store.samples import ENTRY, LATER, ball, new_session, new_shot
from tests.store.test_imports import new_import
from trainer.store.store import open_store

path, session_id, begin = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
with open_store(path, write=True) as store:
    player_id = store.player().id
    print("open", flush=True)
    for number in range(begin, begin + 100_000):
        balls = [ball(number)] if store.next_ball(session_id) is None else []
        store.put_agenda(session_id, balls)
        shot = store.add_shot(session_id, new_shot(entry=ENTRY, agenda_number=number))
        print("shot", shot.uid, flush=True)
        if number % 5 == 0:
            kept = store.add_import(new_import(player_id, new_session(player_id), sha256=f"{number}"))
            print("import", kept.sha256, flush=True)
        if number % 7 == 0:
            store.correct_shot(shot.id, LATER, cell=new_shot().cell)
            print("correction", shot.uid, flush=True)
"""


def killed_run(
    path: Path, session_id: int, begin: int, delay_s: float, script: str = WRITER
) -> list[tuple[str, str]]:
    """Write until killed `delay_s` after the first words; what the program said was done."""
    command = [sys.executable, "-c", script, str(path), str(session_id), str(begin)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as program:
        assert program.stdout is not None
        assert program.stdout.readline() == "open\n"
        time.sleep(delay_s)
        program.kill()
        said = program.stdout.read()
        assert program.wait() == -signal.SIGKILL
    kinds_and_names = (line.split() for line in said[: said.rfind("\n") + 1].splitlines())
    return [(kind, name) for kind, name in kinds_and_names]


def check_whole(path: Path, session_id: int, acknowledged: list[tuple[str, str]]) -> int:
    """Everything acknowledged is there, and nothing is there by half; the next ball's number."""
    report = doctor(path)
    assert report.problems == ()
    with open_store(path, write=True) as store:
        shots = store.shots(session_id)
        uids = {shot.uid for shot in shots}
        assert {uid for kind, uid in acknowledged if kind == "shot"} <= uids
        assert all(shot.entry.tags == ("closer", "cold") for shot in shots)
        corrected = {shot.uid for shot in shots if store.revisions(shot.id)}
        assert {uid for kind, uid in acknowledged if kind == "correction"} <= corrected
        hit = {ball.number for ball in store.agenda(session_id) if ball.state is BallState.HIT}
        assert hit == {shot.agenda_number for shot in shots}
        imports = store.imports(store.player().id)
        assert {sha for kind, sha in acknowledged if kind == "import"} <= {kept.sha256 for kept in imports}
        assert all((kept.rows, kept.shots) == (6, 5) for kept in imports)
        assert all(len(store.shots(kept.session_id)) == 5 for kept in imports)
        assert len(store.sessions(store.player().id)) == 1 + len(imports)
        store.put_agenda(session_id, [])
        return max(hit, default=0) + 1


def kill_often(path: Path, kills: int, seed: int) -> int:
    generator = np.random.default_rng(seed)
    with open_store(path, write=True) as store:
        store.save_profile(PROFILE, START)
        session_id = store.begin_session(new_session(store.player().id)).id
    acknowledged: list[tuple[str, str]] = []
    begin = 1
    for delay_s in generator.uniform(0.0, 0.06, kills):
        acknowledged += killed_run(path, session_id, begin, float(delay_s))
        begin = check_whole(path, session_id, acknowledged)
    return sum(kind == "shot" for kind, _ in acknowledged)


def test_a_killed_writer_loses_no_acknowledged_shot(path: Path) -> None:
    assert kill_often(path, 7, 4) > 7


@pytest.mark.proof
def test_two_hundred_kills_lose_no_acknowledged_shot(path: Path) -> None:
    assert kill_often(path, 200, 5) > 200


PLANNER = """
import json, sys
from pathlib import Path
from tests.store.samples import ball
from trainer.store.store import open_store

path, session_id, begin = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
with open_store(path, write=True) as store:
    print("open", flush=True)
    for turn in range(begin, begin + 100_000):
        store.put_agenda(session_id, [ball(n, cue=f"turn {turn}") for n in range(2, 40)], json.dumps({"turn": turn}))
        print("turn", turn, flush=True)
"""


def test_a_killed_planner_leaves_the_old_rest_or_the_new_one_whole(path: Path) -> None:
    with open_store(path, write=True) as store:
        store.save_profile(PROFILE, START)
        session_id = store.begin_session(new_session(store.player().id)).id
        store.put_agenda(session_id, [ball(1, cue="hit")])
        store.mark_ball(session_id, 1, BallState.HIT)
    begin = 0
    for delay_s in np.random.default_rng(6).uniform(0.0, 0.05, 5):
        said = killed_run(path, session_id, begin, float(delay_s), PLANNER)
        with open_store(path, write=True) as store:
            agenda, basis = store.agenda(session_id), store.agenda_basis(session_id)
        assert [each.number for each in agenda if each.state is BallState.HIT] == [1]
        waiting = [each.ball for each in agenda if each.state is BallState.WAITING]
        last = int(said[-1][1]) if said else begin - 1
        if basis is None:
            assert not said
            assert not waiting
            continue
        turn = json.loads(basis)["turn"]
        assert turn in (last, last + 1)
        assert [each.number for each in waiting] == list(range(2, 40))
        assert {each.cue for each in waiting} == {f"turn {turn}"}
        begin = turn + 1
    assert begin > 5


def test_a_killed_first_opening_leaves_nothing_or_a_whole_store(tmp_path: Path) -> None:
    script = (
        "import sys; from pathlib import Path; from trainer.store.store import open_store\n"
        "print('begin', flush=True); open_store(Path(sys.argv[1]), write=True).close()"
    )
    generator = np.random.default_rng(6)
    for number, delay_s in enumerate(generator.uniform(0.0, 0.02, 4)):
        path = tmp_path / f"{number}" / "trainer.db"
        with subprocess.Popen([sys.executable, "-c", script, str(path)], stdout=subprocess.PIPE) as program:
            assert program.stdout is not None
            program.stdout.readline()
            time.sleep(float(delay_s))
            program.kill()
        open_store(path, write=True).close()
        assert doctor(path).sound
