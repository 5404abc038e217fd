"""Plan -> TOML text, without losing meaning: reading it back gives the same plan."""

from __future__ import annotations

import tomli_w

from trainer.plan.model import Plan


def plan_to_toml(plan: Plan) -> str:
    """The plan as TOML; what is at its default stays unwritten."""
    return tomli_w.dumps(plan.model_dump(by_alias=True, exclude_none=True, exclude_defaults=True))
