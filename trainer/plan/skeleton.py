"""The text of a new plan to start from: valid as it stands, each key explained."""

from __future__ import annotations

import json

from trainer.core.schedule.drills import DRILLS
from trainer.plan.words import slug


def new_plan_text(plan_id: str = "my-plan", title: str = "My plan") -> str:
    """A commented plan; raises ValueError for an id that is none."""
    drills = _wrapped([name for name in DRILLS if name != "warm-up"])
    return _TEXT.format(
        id=slug(plan_id), title=json.dumps(" ".join(title.split()), ensure_ascii=False), drills=drills
    )


def _wrapped(names: list[str], width: int = 74) -> str:
    lines = [""]
    for name in names:
        if len(lines[-1]) + len(name) > width:
            lines.append("")
        lines[-1] += f"{name}, "
    return "\n".join(f"#   {line.strip()}" for line in lines).rstrip(",")


_TEXT = """\
format = 1                # always 1
id = "{id}"
title = {title}
level = "club"            # junior, club, low-handicap, elite
balls = 40                # all balls of the session; the warm-up is in it
minutes = 45              # 25 to 40 seconds a ball with your routine
note = "What this session is for, in a sentence."
# for = "who it is meant for"
# due = 2026-05-01        # a date, without quotes
# extends = "first-windy-evening"   # take from that plan what is not said here
# series = {{ id = "my-week", number = 1, of = 3 }}

# What the wind must offer; a block that today's wind does not suit is swapped,
# and the agenda says so. Keys: along_at_least, across_at_least, speed_at_least,
# speed_at_most, gust_at_most (each with a unit), and from (into, behind, left,
# right).
# wind = {{ along_at_least = "6 mph" }}

# Drills:
{drills}

[[block]]
drill = "swing-length steps"
clubs = ["8 iron"]
swing = ["full", "three-quarter", "half"]
balls = 12
cue = "the chest turns through at every length"

[[block]]
drill = "club-down ladder"
clubs = ["8 iron", "7 iron", "6 iron"]   # the stock club, then longer ones
fit = "grip-down, swing"                 # what may be varied, one or both
target = "stock carry of 8 iron"         # or a distance: "140 yd"
balls = 18
stage = "step"                           # settle, step, mix, test
aim = {{ measure = "median error", at_most = "8 %", over_sessions = 2 }}
# grip_down = ["0 in", "1 in", "2 in"]
# flag = "red"                           # a flag of your profile, or "nearest"
# wind = {{ speed_at_most = "20 mph" }}    # for this block alone
# note = "anything to remember"

# What another level does differently; the blocks change in proportion.
[levels.junior]
balls = 30
minutes = 35
"""
