"""Balls that nothing of their shot can have been: they are counted, and neither stop nor bend an estimate."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.learning import learn
from trainer.application.estimates.snapshot import Snapshot, snapshot
from trainer.application.evidence.history import read_history
from trainer.application.evidence.unlike import TOO_LONG, TOO_SHORT, unlike
from trainer.application.session.recording import begin
from trainer.application.setup.proposed_bag import propose_bag
from trainer.core.bag import Cell
from trainer.core.conditions import Seen, Wind, WindKnowledge
from trainer.core.profile import CarryBasis, KnownCarry, Profile
from trainer.core.units import to_si
from trainer.store.store import Store, open_store

KNOWN = KnownCarry("7 iron", to_si(150, "yd"), CarryBasis.MEASURED)
PROFILE = Profile("kim", propose_bag(KNOWN), KNOWN, seen=Seen.LASER)
BEGIN = datetime(2026, 4, 1, 18, 0)
BREEZE = Wind(WindKnowledge.READ, 2.0, 0.0)
GALE = Wind(WindKnowledge.READ, 14.0, 0.0)
SEVEN_IRON = Cell("7 iron")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "store.db", write=True) as opened:
        opened.save_profile(PROFILE, BEGIN)
        yield opened


def hit(store: Store, *lines: str, wind: Wind = BREEZE) -> None:
    recorder = begin(store, "kim", StatedConditions(wind=wind), BEGIN)
    for line in lines:
        recorder.line(line, BEGIN)


def whys(store: Store) -> list[str]:
    history = read_history(store, "kim")
    found = unlike(history, learn(history, BEGIN).bench)
    return [found.get(shot.id, "") for shot in history.shots]


def figures(store: Store) -> Snapshot:
    return snapshot(read_history(store, "kim"), StatedConditions(), BEGIN)


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("7 iron: 10", TOO_SHORT),
        ("7 iron: 10 speed=5m/s launch=30 spin=3000", TOO_SHORT),
        ("7 iron: speed=20m/s launch=15", TOO_SHORT),
        ("7 iron: 30/45", TOO_SHORT),
        ("7 iron: 330", TOO_LONG),
        ("7 iron: speed=85m/s launch=12", TOO_LONG),
    ],
)
def test_one_such_ball_alone_is_told_and_stops_no_estimate(store: Store, line: str, why: str) -> None:
    """A first evening may begin with a topped ball: there is an estimate all the same, the prior's."""
    hit(store, line)
    assert whys(store) == [why]
    table = figures(store)
    assert table.silent == {why: 1}
    carry = table.figures(SEVEN_IRON).still_air_carry_m
    assert carry.low80 < KNOWN.carry_m < carry.high80


def test_they_move_no_carry_that_others_tell(store: Store, tmp_path: Path) -> None:
    usual = [f"7 iron: {carry}" for carry in (141, 144, 138, 146, 142, 139, 143, 145)]
    hit(store, *usual)
    with open_store(tmp_path / "other.db", write=True) as other:
        other.save_profile(PROFILE, BEGIN)
        hit(other, *usual, "7 iron: 320", "7 iron: 12")
        odd = figures(other).figures(SEVEN_IRON).still_air_carry_m
    alone = figures(store).figures(SEVEN_IRON).still_air_carry_m
    assert odd.median == pytest.approx(alone.median, abs=0.15 * alone.half_width_m)
    assert odd.half_width_m == pytest.approx(alone.half_width_m, rel=0.2)


def test_what_a_strike_a_mishit_or_a_gale_can_do_is_evidence(store: Store) -> None:
    hit(
        store, "7 iron: 150", "7 iron: 100", "7 iron: 85", "7 iron: 190", "7 iron: x", "7 iron: short", "7 iron: 12 x"
    )
    assert whys(store) == [""] * 7
    hit(store, "7 iron: 75", "7 iron: 110", wind=GALE)
    assert whys(store)[7:] == ["", ""]
