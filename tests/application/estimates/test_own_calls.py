"""What the player says first is held against what was seen and read."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.calling import Caller
from trainer.application.estimates.own_calls import (
    OwnCalls,
    guess_wind,
    own_calls_data,
    own_calls_of,
    own_calls_sentences,
    say_carry,
)
from trainer.application.evidence.history import read_history
from trainer.application.session.recording import Recorder, begin
from trainer.application.setup.proposed_bag import propose_bag
from trainer.core.conditions import Seen, Wind, WindKnowledge
from trainer.core.errors import InputError
from trainer.core.profile import CarryBasis, KnownCarry, Profile
from trainer.core.units import UnitChoice, to_si
from trainer.store.store import Store, open_store

KNOWN = KnownCarry("7 iron", to_si(150, "yd"), CarryBasis.MEASURED)
PROFILE = Profile("kim", propose_bag(KNOWN), KNOWN, seen=Seen.LASER)
BEGIN = datetime(2026, 4, 1, 18, 0)
YARD, MPH = 0.9144, 0.44704


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "store.db", write=True) as opened:
        opened.save_profile(PROFILE, BEGIN)
        yield opened


def session(store: Store, *, calls: bool = True) -> Recorder:
    """A session in which each ball is called before it is hit, or none."""
    recorder = begin(store, "kim", StatedConditions(wind=Wind(WindKnowledge.READ, 5.0, 0.0)), BEGIN)
    if calls:
        recorder.caller = Caller(store, "kim")
    return recorder


def told(store: Store) -> OwnCalls:
    history = read_history(store, "kim")
    return own_calls_of(store.own_calls(history.player.id), history)


def test_nothing_said_is_nothing_told(store: Store) -> None:
    session(store).line("7 iron: 130", BEGIN)
    assert told(store) == OwnCalls()
    assert own_calls_sentences(told(store), UnitChoice()) == []
    assert own_calls_data(told(store)) == {"carry": None, "wind": None}


def test_carries_said_are_scored_beside_the_called_middle(store: Store) -> None:
    recorder = session(store)
    for said, seen in ((140, 130), (138, 131), (128, 130), (139, 129), (141, 133), (136, 130)):
        recorder.line(f"say {said}", BEGIN)
        recorder.line(f"7 iron: {seen}", BEGIN)
    recorder.line("7 iron: 90", BEGIN)  # nothing was said of this one
    carries = told(store).carries
    assert carries is not None
    assert carries.balls == 6
    assert carries.off_m is not None
    assert carries.signed_m is not None
    assert carries.called_off_m is not None
    assert carries.against_called_m is not None
    assert carries.off_m.mean == pytest.approx(YARD * (10 + 7 + 2 + 10 + 8 + 6) / 6)
    assert carries.signed_m.mean == pytest.approx(YARD * (10 + 7 - 2 + 10 + 8 + 6) / 6)
    shots = [shot for shot in read_history(store, "kim").shots if shot.called_shape_m][:6]
    middles = [sum(shot.called_50_m or (0.0, 0.0)) / 2 for shot in shots]
    off = sum(abs(m - (shot.entry.carry_m or 0.0)) for m, shot in zip(middles, shots, strict=True)) / 6
    assert carries.called_off_m.mean == pytest.approx(off, abs=1.0)
    assert carries.against_called_m.mean == pytest.approx(carries.off_m.mean - carries.called_off_m.mean)


def test_too_few_tell_nothing_yet(store: Store) -> None:
    recorder = session(store)
    recorder.line("say 140", BEGIN)
    recorder.line("7 iron: 130", BEGIN)
    carries = told(store).carries
    assert carries is not None
    assert (carries.balls, carries.off_m) == (1, None)
    assert "too few" in own_calls_sentences(told(store), UnitChoice())[0]


def test_winds_guessed_are_scored_against_the_reading_and_its_error(store: Store) -> None:
    recorder = session(store, calls=False)
    for number in range(6):
        recorder.line("guess 15mph 1h", BEGIN)
        recorder.line(f"wind {12 if number % 2 else 11}mph 2h", BEGIN)
        recorder.line("7 iron: 130", BEGIN)
    recorder.line("guess calm", BEGIN)
    recorder.line("wind calm", BEGIN)
    winds = told(store).winds
    assert winds is not None
    assert winds.readings == 7
    assert winds.speed_mps is not None
    assert winds.direction_rad is not None
    assert winds.speed_mps.mean == pytest.approx(MPH * (3 * 3 + 3 * 4 + 0) / 7)
    assert winds.direction_rad.mean == pytest.approx(math.radians(30))
    assert winds.direction_rad.balls == 6
    assert winds.reading_sd_mps > 0


def test_a_direction_is_the_shorter_way_round(store: Store) -> None:
    recorder = session(store, calls=False)
    for _ in range(5):
        recorder.line("guess 12mph 11h", BEGIN)
        recorder.line("wind 12mph 1h", BEGIN)
        recorder.line("7 iron: 130", BEGIN)
    winds = told(store).winds
    assert winds is not None
    assert winds.direction_rad is not None
    assert winds.direction_rad.mean == pytest.approx(math.radians(60))


def test_a_screen_may_keep_them_without_typing(store: Store) -> None:
    recorder = session(store)
    say_carry(store, recorder.session.id, 120.0, BEGIN, recorder.profile.units)
    guess_wind(store, recorder.session.id, Wind(WindKnowledge.READ, 4.0, 0.5), BEGIN)
    assert len(store.own_calls(1)) == 2
    with pytest.raises(InputError):
        say_carry(store, recorder.session.id, 4000.0, BEGIN, recorder.profile.units)


def test_saying_it_first_does_not_move_the_called_range(store: Store) -> None:
    recorder = session(store)
    quiet = recorder.line("7 iron: 130", BEGIN).shot
    other = session(store)
    store.undo_shot(quiet.id if quiet else 0, BEGIN)
    other.line("say 190", BEGIN)
    loud = other.line("7 iron: 130", BEGIN).shot
    assert quiet is not None
    assert loud is not None
    assert loud.called_80_m == pytest.approx(quiet.called_80_m, rel=0.02)
