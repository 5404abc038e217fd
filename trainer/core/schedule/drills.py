"""Every drill by its name."""

from __future__ import annotations

import difflib

from trainer.core.errors import InputError
from trainer.core.schedule.drill_kind import DrillKind
from trainer.core.schedule.drills_measuring import MEASURING
from trainer.core.schedule.drills_skill import LOW_FLIGHT, SKILL

DRILLS: dict[str, DrillKind] = {kind.name: kind for kind in (*LOW_FLIGHT, *MEASURING, *SKILL)}
"""Drill kinds by name, those that prepare and teach the low flight first."""

WARM_UP = DRILLS["warm-up"]


def drill_named(text: str, where: str = "") -> DrillKind:
    """The drill that `text` names, in either case; raises InputError with the nearest names where there is none."""
    wanted = " ".join(text.lower().split())
    if wanted in DRILLS:
        return DRILLS[wanted]
    near = difflib.get_close_matches(wanted, DRILLS, n=1, cutoff=0.5)
    remedy = f"did you mean '{near[0]}'?" if near else f"use one of {', '.join(DRILLS)}"
    raise InputError(f"'{text}' is not a drill", where, remedy)
