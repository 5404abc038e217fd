"""A store damaged at random: opening refuses it, the doctor names it, or what it says is what it said before.

SQLite keeps no checksum of a page: a few bytes changed inside one number leave a well-formed file that says another
number, and nothing in it can tell. What SQLite can tell (the shape of pages and rows, types, the tables' own CHECKs,
indexes against rows) must never pass silently; how often the rest happens is measured, not hidden.
"""

from __future__ import annotations

import random
import shutil
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from tests.store.samples import BREEZE, ENTRY, PROFILE, START, ball, new_session, new_shot
from trainer.core.errors import StoreError
from trainer.store.keeping import doctor
from trainer.store.store import open_store

WHOLE_ROW_BYTES = 400
"""Longer than any row of the sample store: damage of this length reaches the shape of a page or a row."""

SIZES = (1, 4, 16, 64, WHOLE_ROW_BYTES, 4096)


def fill(path: Path) -> None:
    """A player, a session with its wind and agenda, and many shots."""
    with open_store(path, write=True) as store:
        store.save_profile(PROFILE, START)
        session = store.begin_session(new_session(store.player().id))
        reading = store.add_reading(session.id, BREEZE, START)
        store.put_agenda(session.id, [ball(number) for number in range(1, 31)])
        for number in range(240):
            entry = replace(ENTRY, carry_m=100.0 + number / 8)
            agenda_number = number + 1 if number < 30 else None
            store.add_shot(session.id, new_shot(entry=entry, reading_id=reading.id, agenda_number=agenda_number))


def said(path: Path) -> str:
    """All that the store tells its readers."""
    with open_store(path, write=False) as store:
        sessions = [each for player in store.players() for each in store.sessions(player.id)]
        agendas = [store.agenda(session.id) for session in sessions]
        clubs = [store.clubs(player.id, include_retired=True) for player in store.players()]
        return repr((store.players(), clubs, sessions, agendas, store.readings(), store.shots(include_undone=True)))


def outcome(path: Path, before: str) -> str:
    """What becomes of a damaged store: refused, named by the doctor, unharmed, or another figure unseen."""
    try:
        now = said(path)
    except StoreError as error:
        return "refused" if error.remedy and "\n" not in str(error) else "refused badly"
    try:
        if not doctor(path).sound:
            return "named"
    except StoreError:
        return "named"
    return "unharmed" if now == before else "unseen"


def damage_often(folder: Path, count: int, seed: int) -> Counter[tuple[int, str]]:
    """`count` stores damaged at random, each at one place: outcomes by the size of the damage."""
    whole, path = folder / "whole.db", folder / "damaged.db"
    fill(whole)
    content, before = whole.read_bytes(), said(whole)
    chance = random.Random(seed)
    outcomes: Counter[tuple[int, str]] = Counter()
    for number in range(count):
        size = SIZES[number % len(SIZES)]
        offset = chance.randrange(len(content) - size + 1)
        path.write_bytes(content[:offset] + chance.randbytes(size) + content[offset + size :])
        outcomes[size, outcome(path, before)] += 1
        for left in (*folder.glob("damaged.db-*"), path):
            left.unlink()
    return outcomes


def require_told(outcomes: Counter[tuple[int, str]]) -> None:
    """Whatever reaches a whole row is told of; of less, most."""
    for size in SIZES:
        unseen = outcomes[size, "unseen"]
        told = outcomes[size, "refused"] + outcomes[size, "named"]
        assert told > 0
        assert outcomes[size, "refused badly"] == 0
        assert unseen == 0 or size < WHOLE_ROW_BYTES, outcomes


def test_damage_is_refused_or_named(tmp_path: Path) -> None:
    require_told(damage_often(tmp_path, 120, 21))


@pytest.mark.proof
def test_damage_of_every_size_is_refused_or_named(tmp_path: Path) -> None:
    outcomes = damage_often(tmp_path, 3000, 22)
    for size in SIZES:
        words = {word: outcomes[size, word] for word in ("refused", "named", "unharmed", "unseen")}
        print(f"{size:>5} bytes overwritten: {words}")  # noqa: T201
    require_told(outcomes)


def test_a_log_cut_off_anywhere_loses_only_its_end(tmp_path: Path) -> None:
    # What a loss of power may leave of the write-ahead log: SQLite's own checksums find where the whole part ends.
    path, cut = tmp_path / "store.db", tmp_path / "cut"
    fill(path)
    with open_store(path, write=True) as store:
        session = store.sessions(store.player().id)[0]
        for number in range(10):
            store.add_shot(session.id, new_shot(200.0 + number))
        files = [path, path.with_name("store.db-wal")]
        copies = [file.read_bytes() for file in files]
    chance = random.Random(23)
    counts = set()
    for _ in range(25):
        shutil.rmtree(cut, ignore_errors=True)
        cut.mkdir()
        (cut / "store.db").write_bytes(copies[0])
        (cut / "store.db-wal").write_bytes(copies[1][: chance.randrange(len(copies[1]))])
        open_store(cut / "store.db", write=True).close()
        assert doctor(cut / "store.db").sound
        with open_store(cut / "store.db", write=False) as store:
            late = [shot.entry.carry_m for shot in store.shots()][240:]
        assert late == [200.0 + number for number in range(len(late))]
        counts.add(len(late))
    assert len(counts) > 3
