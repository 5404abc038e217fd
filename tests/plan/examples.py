"""A plan to break in one place at a time, and drawn plans of every shape."""

from __future__ import annotations

import datetime
from typing import Any

from hypothesis import strategies as st

from trainer.core.bag import Swing
from trainer.core.schedule.drill_kind import Fit
from trainer.core.schedule.drills import DRILLS
from trainer.core.schedule.stages import STAGES
from trainer.plan.model import LEVELS, Plan
from trainer.plan.words import MEASURES

GOOD = """\
format = 1
id = "first-windy-evening"
title = "First windy evening"
level = "club"                       # junior, club, low-handicap, elite
balls = 45
minutes = 50
wind = { along_at_least = "6 mph" }

[[block]]
drill = "club-down ladder"
clubs = [
    "8 iron",
    "7 iron",  # a longer one
    "6 iron",
]
fit = "grip-down, swing"
target = "stock carry of 8 iron"     # or "140 yd"
balls = 15
stage = "step"
aim = { measure = "median error", at_most = "8 %", over_sessions = 2 }
cue = \"\"\"
chest turns through, balls = [ what
hands finish shoulder-high\"\"\"

[[block]]
drill = "grip-down steps"
clubs = ["7 iron"]
grip_down = ["0 in", "1 in", "2 in"]
swing = ["three-quarter"]
balls = 18

[levels.junior]
balls = 30
minutes = 35
"""

UNIT_OF_KIND = {"fraction": "%", "length": "yd", "speed": "mph", "angle": "deg"}

words = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), min_size=1, max_size=40).filter(
    lambda text: text == text.strip() != ""
)
slugs = st.from_regex(r"[a-z0-9]{1,8}(-[a-z0-9]{1,8}){0,3}", fullmatch=True)
tenths = st.integers(0, 90).map(lambda number: f"{number / 10:g}")
clubs = st.sampled_from(["driver", "3 wood", "4h", "8 iron", "7i", "6 iron", "5-iron", "PW", "my old spoon"])
wind = st.one_of(
    st.fixed_dictionaries(
        {}, optional={"along_at_least": tenths.map("{} mph".format), "speed_at_most": st.just("40 mph")}
    ),
    st.fixed_dictionaries({"from": st.sampled_from(["into", "left"])}),
).filter(bool)


@st.composite
def aims(draw: st.DrawFn) -> dict[str, Any]:
    measure = draw(st.sampled_from(sorted(MEASURES)))
    bound = f"{draw(tenths)} {UNIT_OF_KIND[MEASURES[measure]]}"
    aim = {"measure": measure, draw(st.sampled_from(["at_most", "at_least"])): bound}
    return aim | draw(st.fixed_dictionaries({}, optional={"over_sessions": st.integers(1, 9)}))


@st.composite
def raw_blocks(draw: st.DrawFn) -> dict[str, Any]:
    required = {
        "drill": st.sampled_from(
            sorted(name for name, kind in DRILLS.items() if name != "warm-up" and not kind.wind)
        ),
        "clubs": st.lists(clubs, min_size=2, max_size=5, unique=True),
        "balls": st.integers(1, 12),
    }
    optional = {
        "grip_down": st.lists(tenths.map("{} cm".format), min_size=2, max_size=4),
        "swing": st.lists(st.sampled_from([swing.value for swing in Swing]), min_size=2, max_size=3),
        "fit": st.sampled_from([fit.value for fit in Fit]),
        "target": st.sampled_from(["140 yd", "95m", "stock carry of 8 iron"]),
        "stage": st.sampled_from([stage.value for stage in STAGES]),
        "aim": aims(),
        "cue": words,
        "wind": wind,
        "flag": words,
        "note": words,
    }
    return draw(st.fixed_dictionaries(required, optional=optional))


@st.composite
def raw_plans(draw: st.DrawFn) -> dict[str, Any]:
    variant = st.fixed_dictionaries({"note": words}, optional={"balls": st.integers(5, 40), "wind": wind})
    required = {
        "format": st.just(1),
        "id": slugs,
        "title": words,
        "level": st.sampled_from(LEVELS),
        "balls": st.integers(60, 90),
        "minutes": st.integers(45, 90),
        "block": st.lists(raw_blocks(), min_size=1, max_size=5),
    }
    optional = {
        "wind": wind,
        "extends": st.just("another-plan-altogether-here"),
        "for": words,
        "due": st.dates(datetime.date(2000, 1, 1)),
        "series": st.fixed_dictionaries({"id": slugs, "number": st.integers(1, 3), "of": st.integers(3, 9)}),
        "note": words,
        "levels": st.dictionaries(st.sampled_from(LEVELS), variant, min_size=1),
    }
    return draw(st.fixed_dictionaries(required, optional=optional))


plans = raw_plans().map(Plan.model_validate)
