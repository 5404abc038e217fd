"""What was learned is computed once, kept, and goes on after each ball; called ranges hold as often as they say."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from trainer.application.conditions.stated import StatedConditions
from trainer.application.demo.playing import Golfer
from trainer.application.estimates import learning
from trainer.application.estimates.calling import BallToCome, Call, call, calls_held
from trainer.application.estimates.kept import KeptPosteriors
from trainer.application.estimates.learning import learn, learn_on
from trainer.application.evidence.history import KEPT_FOLDER, read_history
from trainer.application.session.recording import begin
from trainer.application.setup.proposed_bag import propose_bag
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import REFERENCE_AIR, Conditions, Seen, Wind, WindKnowledge
from trainer.core.flight.aerodynamics import BallFactors
from trainer.core.profile import CarryBasis, KnownCarry, Profile
from trainer.core.units import to_si
from trainer.store.store import Store, open_store

KNOWN = KnownCarry("7 iron", to_si(150, "yd"), CarryBasis.MEASURED)
PROFILE = Profile("kim", propose_bag(KNOWN), KNOWN, seen=Seen.LASER)
BEGIN = datetime(2026, 4, 1, 18, 0)
HEAD = Wind(WindKnowledge.READ, 5.0, math.radians(10))
FULL, LOW = Cell("7 iron"), Cell("6 iron", 0.0254, Swing.THREE_QUARTER)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "store.db", write=True) as opened:
        opened.save_profile(PROFILE, BEGIN)
        yield opened


def play(store: Store, typed: list[str], when: datetime = BEGIN) -> None:
    recorder = begin(store, "kim", StatedConditions(wind=HEAD), when)
    for line in typed:
        recorder.line(line, when)


def test_a_posterior_is_kept_beside_the_store_and_read_again(store: Store, tmp_path: Path) -> None:
    learning.forget_all()
    play(store, ["7 iron: 128"])
    history = read_history(store, "kim")
    first = learn(history, BEGIN)
    (file,) = (tmp_path / KEPT_FOLDER).iterdir()
    assert file.stat().st_mode & 0o077 == 0
    learning.forget_all()
    again = learn(history, BEGIN)
    assert again.key == first.key
    np.testing.assert_array_equal(again.posterior.draws.eta, first.posterior.draws.eta)


def test_a_damaged_or_foreign_file_is_passed_over(store: Store, tmp_path: Path) -> None:
    learning.forget_all()
    play(store, ["7 iron: 128"])
    history = read_history(store, "kim")
    first = learn(history, BEGIN)
    posterior = first.posterior
    (file,) = (tmp_path / KEPT_FOLDER).iterdir()
    for content in (b"", b"no archive", file.read_bytes()[:4000]):
        file.write_bytes(content)
        kept = KeptPosteriors(tmp_path / KEPT_FOLDER)
        assert kept.read(first.key, posterior.cells, posterior.priors, posterior.observations) is None
    learning.forget_all()
    np.testing.assert_array_equal(learn(history, BEGIN).posterior.draws.eta, posterior.draws.eta)


def test_the_key_changes_with_the_evidence_and_the_week_and_nothing_else(store: Store) -> None:
    play(store, ["7 iron: 128"])
    one = learn(read_history(store, "kim"), BEGIN)
    assert learn(read_history(store, "kim"), BEGIN + timedelta(hours=1)).key == one.key
    assert learn(read_history(store, "kim"), BEGIN + timedelta(days=4)).key == one.key  # Wednesday to Sunday
    assert learn(read_history(store, "kim"), BEGIN + timedelta(days=5)).key != one.key
    play(store, ["7 iron: 131"])
    assert learn(read_history(store, "kim"), BEGIN).key != one.key


def test_going_on_after_a_ball_agrees_with_learning_anew(store: Store) -> None:
    rng = np.random.default_rng(4)
    lines = [f"7 iron: {rng.normal(130, 6):.0f}" for _ in range(10)]
    lines += [f"6 iron, 1 in, three-quarter: {rng.normal(126, 5):.0f}" for _ in range(10)]
    recorder = begin(store, "kim", StatedConditions(wind=HEAD), BEGIN)
    for line in lines:
        recorder.line(line, BEGIN)
    before = learn(read_history(store, "kim"), BEGIN)
    recorder.line("7 iron: 122", BEGIN)
    history = read_history(store, "kim")
    quick, anew = learn_on(before, history, BEGIN), learn(history, BEGIN)
    assert not quick.posterior.current
    assert anew.posterior.current
    at = anew.bench.index[FULL]
    for known in (quick, anew):
        assert known.posterior.effective_size > 400
    ends = [
        np.quantile(_weighted(known.posterior.draws.eta[:, at], known.posterior.weights), (0.1, 0.5, 0.9))
        for known in (quick, anew)
    ]
    width = ends[1][2] - ends[1][0]
    assert np.abs(ends[0] - ends[1]).max() < 0.08 * width


def _weighted(values: np.ndarray, weights: np.ndarray) -> np.ndarray:
    return np.random.default_rng(0).choice(values, 20000, p=weights)


def test_a_correction_is_learned_anew(store: Store) -> None:
    play(store, ["7 iron: 128", "7 iron: 30"])
    before = learn(read_history(store, "kim"), BEGIN)
    shot = store.shots(player_id=1)[1]
    store.undo_shot(shot.id, BEGIN)
    after = learn_on(before, read_history(store, "kim"), BEGIN)
    at = after.bench.index[FULL]
    assert after.posterior.draws.eta[:, at].mean() > before.posterior.draws.eta[:, at].mean() - 0.05
    assert len(after.posterior.observations) == 1


def ball(cell: Cell, history_reading: int | None = None) -> BallToCome:
    return BallToCome(cell, Conditions(wind=HEAD), history_reading, BEGIN.date(), Seen.LASER)


def test_a_called_range_is_wider_than_the_estimate_and_shrinks_with_balls(store: Store) -> None:
    nothing = call(learn(read_history(store, "kim"), BEGIN), ball(FULL))
    play(store, ["7 iron: 120", "7 iron: 122", "7 iron: 121", "7 iron: 119"] * 4)
    reading = store.readings(player_id=1)[-1].id
    known = learn(read_history(store, "kim"), BEGIN)
    some = call(known, ball(FULL, reading))
    assert isinstance(nothing, Call)
    assert isinstance(some, Call)
    for said in (nothing, some):
        assert said.low80_m < said.low50_m < said.median_m < said.high50_m < said.high80_m
    assert some.high80_m - some.low80_m < nothing.high80_m - nothing.low80_m
    assert some.median_m == pytest.approx(to_si(120.5, "yd"), abs=4)
    assert call(known, ball(Cell("spoon"))) is None


def test_called_ranges_hold_about_as_often_as_they_say(store: Store) -> None:
    """An invented golfer outside the prior, called before each of 60 balls: binomial bounds at three s.d."""
    rng = np.random.default_rng(9)
    golfer = Golfer(PROFILE, bag_log=-0.05, mishit_share=0.08, eye_sd_m=2.7, ball=BallFactors(1.02, 0.98))
    recorder = begin(store, "kim", StatedConditions(wind=HEAD), BEGIN)
    known = learn(read_history(store, "kim"), BEGIN)
    held_50 = held_80 = 0
    balls = 60
    for i in range(balls):
        cell = (FULL, LOW)[i % 2]
        said = call(known, ball(cell, None if recorder.reading is None else recorder.reading.id))
        assert said is not None
        typed = golfer.strike(cell, HEAD, REFERENCE_AIR, 0.0, rng)
        carry_m = to_si(float(typed.split()[0]), "yd")
        held_50 += said.low50_m <= carry_m <= said.high50_m
        held_80 += said.low80_m <= carry_m <= said.high80_m
        name = "7 iron" if cell is FULL else "6 iron, 1 in, three-quarter"
        recorder.line(f"{name}: {typed}", BEGIN)
        known = learn_on(known, read_history(store, "kim"), BEGIN)
    assert abs(held_80 / balls - 0.8) < 3 * math.sqrt(0.8 * 0.2 / balls)
    assert abs(held_50 / balls - 0.5) < 3 * math.sqrt(0.5 * 0.5 / balls)


def test_balls_that_were_never_called_count_for_nothing(store: Store) -> None:
    play(store, ["7 iron: 128"])
    held = calls_held(store.shots(player_id=1))
    assert (held.balls, held.held_50, held.held_80) == (0, 0, 0)
