"""Called ranges scored against the fixed baselines: on the same balls, from earlier balls alone, and not too soon."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest

from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.call_scores import (
    LEAST_SCORED,
    OTHERS,
    CallScores,
    call_scores,
    scores_data,
    scores_sentence,
)
from trainer.application.estimates.calling import Caller
from trainer.application.estimates.learning import learn
from trainer.application.evidence.history import History, read_history
from trainer.application.session.recording import begin
from trainer.application.setup.proposed_bag import propose_bag
from trainer.core.conditions import Seen, Wind, WindKnowledge
from trainer.core.decide.scoring import crps_of_quantiles
from trainer.core.profile import CarryBasis, KnownCarry, Profile
from trainer.core.units import UnitChoice, to_si
from trainer.store.store import Store, open_store

KNOWN = KnownCarry("7 iron", to_si(150, "yd"), CarryBasis.MEASURED)
PROFILE = Profile("kim", propose_bag(KNOWN), KNOWN, seen=Seen.LASER)
BEGIN = datetime(2026, 4, 1, 18, 0)
CLUBS = {"6 iron": 152, "7 iron": 141, "8 iron": 131, "9 iron": 121}
"""Carries of a player who hits everything five per cent shorter than he says, in yards."""


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    rng = np.random.default_rng(4)
    with open_store(tmp_path_factory.mktemp("scores") / "store.db", write=True) as store:
        store.save_profile(PROFILE, BEGIN)
        for evening in range(2):
            when = BEGIN + timedelta(days=7 * evening)
            recorder = begin(store, "kim", StatedConditions(wind=Wind(WindKnowledge.CALM)), when)
            recorder.caller = Caller(store, "kim")
            for number in range(22):
                club = list(CLUBS)[number % 4]
                recorder.line(f"{club}: {CLUBS[club] * np.exp(0.04 * rng.standard_normal()):.0f}", when)
        yield store


def scored(history: History) -> CallScores:
    scores = call_scores(history, learn(history, BEGIN + timedelta(days=8)))
    assert scores is not None
    return scores


def test_the_calls_are_scored_beside_every_other_way(played: Store) -> None:
    history = read_history(played, "kim")
    scores = scored(history)
    assert LEAST_SCORED <= scores.balls < len(history.shots)
    assert {each.name for each in scores.others} == set(OTHERS)
    late = history.shots[-scores.balls :]
    own = [crps_of_quantiles(shot.called_shape_m or (), shot.entry.carry_m or 0.0) for shot in late]
    assert scores.mean_m == pytest.approx(float(np.mean(own)))
    for each in scores.others:
        assert each.mean_m + each.difference_m.mean == pytest.approx(scores.mean_m)
        assert each.difference_m.low95 < each.difference_m.mean < each.difference_m.high95
    # five per cent off what he states: who learns from balls is nearer than who does not
    means = {each.name: each.mean_m for each in scores.others}
    assert scores.mean_m < means["no_balls"]
    assert means["cell_means"] < means["no_balls"]


def test_a_ball_s_score_rests_on_no_later_ball(played: Store) -> None:
    history = read_history(played, "kim")
    shorter = replace(history, shots=history.shots[:-6])
    before, after = scored(shorter), scored(history)
    gone = history.shots[-6:]
    own = [crps_of_quantiles(shot.called_shape_m or (), shot.entry.carry_m or 0.0) for shot in gone]
    assert after.balls == before.balls + 6
    assert after.mean_m * after.balls == pytest.approx(before.mean_m * before.balls + sum(own))
    for early, late in zip(before.others, after.others, strict=True):
        assert late.mean_m * after.balls >= early.mean_m * before.balls - 1e-9


def test_too_few_say_nothing(played: Store) -> None:
    history = read_history(played, "kim")
    few = replace(history, shots=history.shots[: LEAST_SCORED - 1])
    known = learn(history, BEGIN + timedelta(days=8))
    assert call_scores(few, known) is None
    silent = replace(history, shots=tuple(replace(shot, called_shape_m=None) for shot in history.shots))
    assert call_scores(silent, known) is None
    assert scores_data(None) is None
    assert scores_sentence(None, UnitChoice()) == ""


def test_it_is_said_in_the_player_s_unit_with_how_many(played: Store) -> None:
    scores = scored(read_history(played, "kim"))
    words = scores_sentence(scores, UnitChoice.following("m"))
    assert str(scores.balls) in words
    assert f"{scores.mean_m:.1f}" in words
    data = scores_data(scores)
    assert data is not None
    assert data["called_m"] == scores.mean_m
    assert set(data["against"]) == set(OTHERS)
