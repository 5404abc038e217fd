"""What is believed of a shot along each line of the range: the wind and its error are turned to the line."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest

from trainer.application.estimates.learning import Known, learn
from trainer.application.evidence.history import read_history
from trainer.application.planning.beliefs import AGAINST_THIS_WIND, Tonight, beliefs_tonight
from trainer.application.planning.blocks import blocks_of
from trainer.application.setup.proposed_bag import propose_bag
from trainer.core.bag import Cell
from trainer.core.conditions import Conditions, Wind, WindKnowledge
from trainer.core.profile import CarryBasis, KnownCarry, Profile, RangeFlag
from trainer.core.units import to_si
from trainer.plan.collection import find_plan
from trainer.store.store import open_store

KNOWN_CARRY = KnownCarry("7 iron", to_si(150, "yd"), CarryBasis.MEASURED)
FLAGS = (RangeFlag("red", to_si(130, "yd")), RangeFlag("side", to_si(130, "yd"), math.pi / 2))
PROFILE = Profile("kim", propose_bag(KNOWN_CARRY), KNOWN_CARRY, flags=FLAGS)
MOMENT = datetime(2026, 4, 1, 18, 0)
CELLS = (Cell("7 iron"), Cell("8 iron"))
HEADWIND = Conditions(Wind(WindKnowledge.STATED, 6.0))


@pytest.fixture(scope="module")
def known(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Known]:
    path: Path = tmp_path_factory.mktemp("data") / "store.db"
    with open_store(path, write=True) as store:
        store.save_profile(PROFILE, MOMENT)
        yield learn(read_history(store, "kim", MOMENT), MOMENT)


def test_a_reading_s_error_is_turned_to_each_line(known: Known) -> None:
    """Straight out its error along counts, square to that its error across, and behind the player the first again."""
    exact, unsure = (
        beliefs_tonight(known, CELLS, PROFILE, Tonight(HEADWIND, None, sd, MOMENT.date())) for sd in (0, 2)
    )
    names = [direction.name for direction in exact.directions]
    straight, side, back = (
        len(CELLS) * (1 + names.index(name)) for name in ("straight out", "at side", AGAINST_THIS_WIND)
    )
    added = unsure.covariance - exact.covariance
    root = np.sqrt(np.diag(added)[[straight, side, back]])
    assert np.all(root > 0.01)
    assert abs(added[straight, side]) < 0.2 * root[0] * root[1]
    assert added[straight, back] < -0.9 * root[0] * root[2]


def test_the_wind_meets_a_shot_as_its_line_has_it(known: Known) -> None:
    tonight = Tonight(HEADWIND, None, 0.0, MOMENT.date())
    found = beliefs_tonight(known, CELLS, PROFILE, tonight)
    mean = dict(zip([direction.name for direction in found.directions], found.shot_mean[:, 0], strict=True))
    assert mean["straight out"] < mean["at side"] < mean[AGAINST_THIS_WIND]


def test_balls_hit_for_what_they_tell_may_go_to_any_flag_of_the_range() -> None:
    plan = find_plan("gapping-round")
    (block,) = blocks_of(plan, PROFILE.bag, PROFILE)
    assert block.flags == FLAGS
    one = plan.block[0].model_copy(update={"flag": "red"})
    (named,) = blocks_of(plan.model_copy(update={"block": (one,)}), PROFILE.bag, PROFILE)
    assert (named.flag, named.flags) == (FLAGS[0], ())
    skill = find_plan("club-down-ladder-night")
    assert all(block.flags == () for block in blocks_of(skill, PROFILE.bag, PROFILE) if block.flag is None)
