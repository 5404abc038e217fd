"""Every shipped plan: valid, runnable for an ordinary bag in any wind, in plain words, with its cautions."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from tests.core.schedule.bags import BAG, carry_m
from trainer.application.planning.blocks import blocks_of
from trainer.core.conditions import CALM_WIND, UNKNOWN_WIND, Conditions, Wind, WindKnowledge
from trainer.core.profile import CarryBasis, KnownCarry, Profile
from trainer.core.schedule.agenda import build_agenda
from trainer.core.schedule.drills import DRILLS
from trainer.plan.collection import plan_for, read_library, shipped_folder, shipped_plans
from trainer.plan.model import LEVELS, Plan
from trainer.plan.reading import load_plan, read_plan
from trainer.plan.words import MEASURES
from trainer.plan.writing import plan_to_toml

BARE_CLUB_DOWN = re.compile(r"\bclub(s|bing)? down\b", re.IGNORECASE)
JUNIOR_BALLS = {"junior-short-session": 30, "junior-wind-games": 40}
PLAYER = Profile("somebody", BAG, KnownCarry("7 iron", 137.0, CarryBasis.MEASURED))
WINDS = [
    CALM_WIND,
    UNKNOWN_WIND,
    Wind(WindKnowledge.STATED, 6.0, 0.1, gust_mps=8.0),
    Wind(WindKnowledge.STATED, 6.0, 1.6),
    Wind(WindKnowledge.STATED, 15.0, 3.1, gust_mps=19.0),
]
PATHS = sorted(shipped_folder().glob("*.toml"))
every_file = pytest.mark.parametrize("path", PATHS, ids=[path.stem for path in PATHS])
every_plan = pytest.mark.parametrize("plan", shipped_plans(), ids=lambda plan: plan.id)


def test_none_is_broken_and_there_are_enough() -> None:
    library = read_library()
    assert library.errors == ()
    assert set(library.plans) >= {
        "first-windy-evening",
        "grip-down-gapping",
        "club-down-ladder-night",
        "crosswind-start-line",
        "calm-day-companion",
        "flags-only-evening",
        "junior-short-session",
    }


@every_file
def test_the_file_is_named_by_its_id_and_survives_writing(path: Path) -> None:
    plan = load_plan(path)
    assert plan.id == path.stem
    assert read_plan(plan_to_toml(plan), path.name) == plan


@every_file
def test_words(path: Path) -> None:
    assert not BARE_CLUB_DOWN.search(path.read_text(encoding="utf-8"))
    assert load_plan(path).note


@every_plan
@pytest.mark.parametrize("wind", WINDS, ids=["calm", "unknown", "into", "across", "strong"])
def test_an_agenda_comes_of_it(plan: Plan, wind: Wind) -> None:
    for level in LEVELS:
        leveled = plan_for(plan, level)
        agenda = build_agenda(
            blocks_of(leveled, BAG, PLAYER),
            BAG,
            balls=leveled.balls,
            minutes=leveled.minutes,
            conditions=Conditions(wind),
            rng=np.random.default_rng(7),
            expected_carry_m=carry_m,
        )
        assert leveled.balls - (leveled.level != plan.level) <= len(agenda.balls) <= leveled.balls
        assert not any(BARE_CLUB_DOWN.search(ball.reason + ball.cue) for ball in agenda.balls)


@every_plan
def test_juniors_limits(plan: Plan) -> None:
    if plan.id in JUNIOR_BALLS:
        assert plan.level == "junior"
        assert plan.balls <= JUNIOR_BALLS[plan.id]
        assert plan.minutes <= 60
        assert plan.wind is not None
        assert plan.wind.gate().gust_at_most_mps is not None
    assert (plan.level == "junior") is (plan.id in JUNIOR_BALLS)


def test_the_page_of_plans_names_every_measure_and_every_drill() -> None:
    page = (shipped_folder() / "README.md").read_text(encoding="utf-8")
    assert [name for name in (*MEASURES, *DRILLS) if name not in page] == []
