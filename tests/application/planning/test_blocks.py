"""A plan's words become the player's clubs, flags and SI."""

from __future__ import annotations

import pytest

from tests.core.schedule.bags import BAG
from tests.plan.examples import GOOD
from trainer.application.planning.blocks import blocks_of
from trainer.core.bag import Bag, Cell, Swing
from trainer.core.errors import InputError
from trainer.core.profile import CarryBasis, KnownCarry, Profile, RangeFlag
from trainer.core.schedule.block import Block
from trainer.core.schedule.drill_kind import Fit
from trainer.core.schedule.stages import Stage
from trainer.plan.reading import read_plan

RED = RangeFlag("Red", 120.0, 0.2)
PLAYER = Profile("somebody", BAG, KnownCarry("7 iron", 137.0, CarryBasis.MEASURED), flags=(RED,))


def blocks(text: str = GOOD, bag: Bag = BAG) -> tuple[Block, ...]:
    return blocks_of(read_plan(text, "x.toml"), bag, PLAYER)


def test_the_example() -> None:
    ladder, steps = blocks()
    assert ladder.clubs == ("8 iron", "7 iron", "6 iron")
    assert (ladder.target, ladder.fit, ladder.stage) == (Cell("8 iron"), Fit.GRIP_AND_SWING, Stage.STEP)
    assert ladder.gate is not None
    assert ladder.gate.along_at_least_mps == pytest.approx(6 * 0.44704)  # mph, exact by definition
    assert steps.grips_m == pytest.approx((0.0, 0.0254, 0.0508))
    assert steps.swings == (Swing.THREE_QUARTER,)


def test_a_plan_s_need_of_wind_is_not_asked_of_a_drill_that_calm_teaches_but_its_limits_are() -> None:
    assert blocks()[1].gate is None
    limited = blocks(GOOD.replace('along_at_least = "6 mph"', 'along_at_least = "6 mph", speed_at_most = "20 mph"'))[
        1
    ]
    assert limited.gate is not None
    assert limited.gate.along_at_least_mps == 0
    assert limited.gate.speed_at_most_mps == pytest.approx(20 * 0.44704)


def test_a_block_s_own_need_goes_before_the_plan_s() -> None:
    own = blocks(GOOD.replace("balls = 18", 'balls = 18\nwind = { speed_at_least = "1 m/s" }'))[1]
    assert own.gate is not None
    assert own.gate.speed_at_least_mps == 1.0


def test_distances_and_flags() -> None:
    assert blocks(GOOD.replace("stock carry of 8 iron", "140 yd"))[0].target == pytest.approx(140 * 0.9144)
    assert blocks(GOOD.replace("balls = 18", 'balls = 18\nflag = "red"'))[1].flag == RED
    assert blocks(GOOD.replace("balls = 18", 'balls = 18\nflag = "nearest"'))[1].flags == (RED,)


def test_a_flag_nobody_knows() -> None:
    with pytest.raises(InputError, match="block 2"):
        blocks(GOOD.replace("balls = 18", 'balls = 18\nflag = "blue"'))


@pytest.mark.parametrize("missing", ['"8 iron"', '"my rescue"'])
def test_a_club_that_is_not_in_the_bag_names_plan_club_and_remedy(missing: str) -> None:
    bag = Bag(tuple(club for club in BAG.clubs if club.name != "8 iron"))
    with pytest.raises(InputError) as caught:
        blocks(GOOD.replace('"8 iron"', missing), bag)
    line = str(caught.value)
    assert "first-windy-evening" in line
    assert missing.strip('"') in line
    assert caught.value.remedy


def test_a_club_by_the_player_s_own_name() -> None:
    spoon = Bag((*BAG.clubs, BAG.clubs[0].__class__("Old Spoon", 0.3, 1.0, 180.0)))
    assert blocks(GOOD.replace('clubs = ["7 iron"]', 'clubs = ["my old spoon"]'), spoon)[1].clubs == ("Old Spoon",)
