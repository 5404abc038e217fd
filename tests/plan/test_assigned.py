from __future__ import annotations

from datetime import date

import pytest

from trainer.core.profile import AgeBand
from trainer.core.schedule.ages import JUNIOR_MOST_MINUTES, MOST_BALLS
from trainer.plan.assigned import assigned_plan
from trainer.plan.collection import shipped_plans
from trainer.plan.model import Plan
from trainer.plan.reading import read_plan
from trainer.plan.writing import plan_to_toml

DUE = date(2026, 5, 21)
MARK = "3f9a1c2d"


@pytest.mark.parametrize("plan", shipped_plans(), ids=lambda plan: plan.id)
@pytest.mark.parametrize("band", AgeBand)
def test_every_shipped_plan_can_be_given_to_every_age(plan: Plan, band: AgeBand) -> None:
    own = assigned_plan(plan, MARK, DUE, band)
    assert own.id.endswith(f"-{MARK}")
    assert own.due == DUE
    assert own.extends is None
    assert sum(block.balls for block in own.block) <= own.balls <= plan.balls
    if band.is_junior:
        assert own.ages == band.value
        assert own.balls <= MOST_BALLS[band]
        assert own.minutes <= JUNIOR_MOST_MINUTES
    elif plan.extends is None:
        assert [block.drill for block in own.block] == [block.drill for block in plan.block]
    assert read_plan(plan_to_toml(own), "a") == own


def test_a_long_id_keeps_its_mark() -> None:
    plan = shipped_plans()[0].model_copy(update={"id": "a" * 60})
    assert assigned_plan(plan, MARK, DUE, AgeBand.ADULT).id == f"{'a' * 51}-{MARK}"
