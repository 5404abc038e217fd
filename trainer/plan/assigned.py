"""A plan as it is given to one player: under an id of its own, with its due date, and within what his age allows."""

from __future__ import annotations

import datetime
from typing import Any

from trainer.core.profile import AgeBand
from trainer.core.schedule.ages import JUNIOR_MOST_MINUTES, MOST_BALLS
from trainer.plan.collection import plan_for, with_balls
from trainer.plan.model import Plan
from trainer.plan.words import LONGEST_ID


def assigned_plan(plan: Plan, mark: str, due: datetime.date, age_band: AgeBand) -> Plan:
    """`plan`, whole in itself, for one player: its id ends in `mark`, so that its sessions tell whose they are.

    A junior gets the plan's junior variant where there is one, his age band, and no more balls and minutes than that
    allows, taken from all blocks alike. `mark` is lower-case letters and digits. Raises pydantic's ValidationError
    where what is left is no plan (more blocks than balls).
    """
    chosen = plan_for(plan, "junior") if age_band.is_junior else plan
    said = chosen.said()
    for key in ("extends", "series"):
        said.pop(key, None)
    stem = plan.id[: LONGEST_ID - len(mark) - 1].rstrip("-")
    said |= {"id": f"{stem}-{mark}", "due": due}
    if age_band.is_junior:
        said.pop("levels", None)
        said |= _within(said, age_band)
    return Plan.model_validate(said)


def _within(said: dict[str, Any], age_band: AgeBand) -> dict[str, Any]:
    """What of a plan changes for a junior's limits."""
    balls = min(said["balls"], MOST_BALLS[age_band])
    blocks = tuple(said.get("block", ()))
    in_blocks = sum(block["balls"] for block in blocks)
    if len(blocks) <= balls < in_blocks:
        blocks = with_balls(blocks, balls)
    minutes = min(said["minutes"], JUNIOR_MOST_MINUTES)
    return {"ages": age_band.value, "balls": balls, "minutes": minutes, "block": blocks}
