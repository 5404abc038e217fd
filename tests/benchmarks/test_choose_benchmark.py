"""How long a full choice and a card take, beside scipy's solve_ivp flying every cell once, in the same run."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from tests.benchmarks.told import at_least, at_most, best_s, tell
from tests.reference.numerical_flight import Shot, fly_one
from trainer.application.choosing.card import make_card
from trainer.application.choosing.options import choose
from trainer.application.conditions.stated import StatedConditions
from trainer.application.demo.playing import ALIAS, play_all
from trainer.application.estimates.learning import learn
from trainer.application.evidence.history import History, read_history
from trainer.core.bag import Bag, Club
from trainer.core.conditions import Wind, WindKnowledge
from trainer.core.decide.target import Target
from trainer.store.store import open_store

pytestmark = pytest.mark.benchmark

NOW = datetime(2026, 4, 26, 9, 0)
CLUBS, GRIPS_M = 14, (0.0, 0.0127, 0.0254, 0.0508)
CELLS = CLUBS * len(GRIPS_M) * 3
PEER = f"scipy's solve_ivp flying each of {CELLS} cells once"


@pytest.fixture(scope="module")
def history(tmp_path_factory: pytest.TempPathFactory) -> History:
    """The demonstration's three evenings with a bag of fourteen clubs and four grips, learned."""
    path: Path = tmp_path_factory.mktemp("store") / "trainer.db"
    with open_store(path, write=True) as store:
        play_all(store)
        told = read_history(store, ALIAS)
    profile = told.profile
    more = [
        Club(f"wedge {i}", math.radians(48 + 3 * i), 0.89, 95 - 6 * i) for i in range(CLUBS - len(profile.bag.clubs))
    ]
    bag = Bag((*profile.bag.clubs, *more), GRIPS_M)
    full = replace(told, player=replace(told.player, profile=replace(profile, bag=bag)))
    learn(full, NOW)
    return full


def scipy_s() -> float:
    """Seconds of one flight by scipy's DOP853 at rtol 1e-6."""
    shot = Shot(55.0, 0.3, 600.0, along_mps=-6.0, across_mps=2.0, roughness_m=0.03)
    return best_s(lambda: fly_one(shot, 1e-6), 10)


def stated(number: int) -> StatedConditions:
    """A gusty wind that was not asked for before."""
    return StatedConditions(wind=Wind(WindKnowledge.STATED, 6.0 + 0.05 * number, 0.4, gust_mps=10.0))


def test_a_full_choice(history: History) -> None:
    number = itertools.count()
    whole = best_s(lambda: choose(history, Target.at(140.0), stated(next(number)), NOW), 5)
    assert tell(
        f"a choice among {CELLS} cells", whole * 1e3, "ms", wanted=at_most(250),
        ratio=CELLS * scipy_s() / whole, of="speed", peer=PEER, goal=at_least(3),
    )  # fmt: skip


def test_a_card(history: History) -> None:
    number = itertools.count()
    whole = best_s(lambda: make_card(history, stated(next(number)), NOW), 5)
    assert tell(
        "a pocket card", whole * 1e3, "ms", wanted=at_most(1000),
        ratio=CELLS * scipy_s() / whole, of="speed", peer=PEER, goal=at_least(3),
    )  # fmt: skip
