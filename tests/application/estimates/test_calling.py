"""A called range keeps its whole shape for a score, and says nothing where the estimate has not settled."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest

from tests.reference.draws_score import crps_of_draws
from trainer.application.choosing.course_calls import before_the_round, call_rest
from trainer.application.choosing.course_log import begin_log
from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.calling import BallToCome, Caller, call, call_from
from trainer.application.estimates.learning import learn
from trainer.application.evidence.history import read_history
from trainer.application.session.recording import begin, resume
from trainer.application.setup.proposed_bag import propose_bag
from trainer.core.bag import Cell
from trainer.core.conditions import Conditions, Seen, Wind, WindKnowledge
from trainer.core.decide.scoring import LEVELS, crps_of_quantiles
from trainer.core.errors import InputError
from trainer.core.estimate.diagnostics import Diagnostics
from trainer.core.profile import CarryBasis, KnownCarry, Profile
from trainer.core.units import to_si
from trainer.store.store import Store, open_store

KNOWN = KnownCarry("7 iron", to_si(150, "yd"), CarryBasis.MEASURED)
PROFILE = Profile("kim", propose_bag(KNOWN), KNOWN, seen=Seen.LASER)
BEGIN = datetime(2026, 4, 1, 18, 0)
BALL = BallToCome(Cell("7 iron"), Conditions(), None, BEGIN.date(), Seen.LASER)
UNSETTLED = Diagnostics(1.2, 100.0, 100.0, "cell 3")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "store.db", write=True) as opened:
        opened.save_profile(PROFILE, BEGIN)
        yield opened


def test_the_shape_holds_the_ranges_and_rises(store: Store) -> None:
    said = call(learn(read_history(store, "kim"), BEGIN), BALL)
    assert said is not None
    assert len(said.shape_m) == len(LEVELS)
    assert list(said.shape_m) == sorted(said.shape_m)
    for level, value in ((0.1, said.low80_m), (0.25, said.low50_m), (0.5, said.median_m), (0.9, said.high80_m)):
        assert said.shape_m[LEVELS.index(level)] == pytest.approx(value, abs=1e-3)


def test_what_is_kept_scores_as_all_that_was_drawn() -> None:
    # the sample's own score, every draw in it (Gneiting & Raftery 2007, eq. 21)
    rng = np.random.default_rng(1)
    bad = rng.random(2048) < 0.12
    balls = 130 * np.exp(0.05 * rng.standard_normal(2048) - 0.18 * bad)
    weights = rng.dirichlet(np.full(2048, 2.0))
    said = call_from(Cell("7 iron"), None, balls, weights)
    for seen in (90.0, 118.0, 128.0, 131.0, 150.0):
        exact = crps_of_draws(balls, weights, seen)
        assert crps_of_quantiles(said.shape_m, seen) == pytest.approx(exact, rel=0.01)


def test_it_is_kept_with_the_ball(store: Store) -> None:
    recorder = begin(store, "kim", StatedConditions(wind=Wind(WindKnowledge.CALM)), BEGIN)
    recorder.caller = Caller(store, "kim")
    shot = recorder.line("7 iron: 131", BEGIN).shot
    assert shot is not None
    assert shot.called_80_m is not None
    assert shot.called_shape_m is not None
    assert shot.called_shape_m[LEVELS.index(0.9)] == pytest.approx(shot.called_80_m[1], abs=1e-3)


def test_an_estimate_that_has_not_settled_calls_nothing(store: Store) -> None:
    history = read_history(store, "kim")
    known = learn(history, BEGIN)
    shaky = replace(known, posterior=replace(known.posterior, diagnostics=UNSETTLED))
    assert call(shaky, BALL) is None
    before = before_the_round(history, BEGIN)
    assert call_rest(before, Cell("7 iron"), Conditions(), Seen.LASER) is not None
    assert call_rest(replace(before, known=shaky), Cell("7 iron"), Conditions(), Seen.LASER) is None


def test_a_course_log_is_not_gone_on_with_as_practice(store: Store) -> None:
    log = begin_log(store, "kim", StatedConditions(), BEGIN)
    with pytest.raises(InputError):
        resume(store, "kim", log.session.id)
