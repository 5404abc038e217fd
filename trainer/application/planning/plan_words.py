"""A plan in words for the person who is to hit it."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.application.views.folding import folded, wrapped
from trainer.core.schedule.drills import drill_named
from trainer.plan.model import Plan, PlanBlock


def plan_list_text(plans: Sequence[Plan]) -> str:
    """A line a plan: its id, balls, minutes and title; a second line where they need it."""
    width = max((len(plan.id) for plan in plans), default=0)
    rows = (f"{plan.id:{width}}  {plan.balls:>3} balls {plan.minutes:>3} min  {plan.title}" for plan in plans)
    return "\n".join(line for row in rows for line in folded(row, hanging="    "))


def plan_text(plan: Plan, problems: Sequence[str] = ()) -> str:
    """The plan's purpose, its blocks with set-up and cues, the cautions of its drills.

    `problems` say what of it the player cannot do, by his own estimates.
    """
    head = f"{plan.title} ({plan.id}): {plan.balls} balls in {plan.minutes} minutes, level {plan.level}"
    lines = folded(head, hanging="  ")
    if plan.series is not None:
        lines += folded(f"Number {plan.series.number} of {plan.series.of} of {plan.series.id}{_when(plan)}.")
    if plan.meant_for:
        lines += folded(f"For {plan.meant_for}.")
    lines += wrapped([plan.note] if plan.note else [])
    for number, block in enumerate(plan.block, 1):
        first = next(place for place, one in enumerate(plan.block, 1) if one.drill == block.drill)
        lines += ["", *_block_lines(number, block, first)]
    if problems:
        lines += ["", "By your own estimates, in still air:", *wrapped(list(problems))]
    cautions = dict.fromkeys(caution for block in plan.block for caution in drill_named(block.drill).cautions)
    if cautions:
        lines += ["", "Mind:", *wrapped(list(cautions))]
    lines += [
        "",
        *folded("The facility's rules and staff decide; at thunder stop, and wait 30 minutes from the last."),
    ]
    return "\n".join(lines)


def _when(plan: Plan) -> str:
    """When a plan of a series is due, in words."""
    if plan.due is not None:
        return f", due {plan.due.isoformat()}"
    if plan.series is not None and plan.series.days_before is not None:
        return f", {plan.series.days_before} days before the event"
    if plan.series is not None and plan.series.every_days is not None:
        return f", every {plan.series.every_days} days"
    return ""


def _block_lines(number: int, block: PlanBlock, first: int) -> list[str]:
    """A block's shots, and what its drill is about where block `first`, the drill's first, has not told that yet."""
    drill = drill_named(block.drill)
    stage = block.stage or drill.stage.value
    details = [", ".join(block.clubs), f"{block.balls} balls", stage]
    if block.grip_down:
        details.append(f"grip down {', '.join(block.grip_down)}")
    if block.swing:
        details.append(f"swing {', '.join(block.swing)}")
    if block.target:
        details.append(f"target {block.target}")
    said = [f"Cue: {block.cue or drill.cues[0]}"]
    if first == number:
        said = [
            drill.purpose,
            drill.set_up,
            f"Each ball: {drill.asks}.",
            *said,
            f"Scored by {drill.scored_by}; it teaches {drill.teaches}.",
            f"Easier: {drill.easier}. Harder: {drill.harder}.",
        ]
    else:
        said = [f"As in {first}.", *said]
    if block.aim is not None:
        bound = f"at most {block.aim.at_most}" if block.aim.at_most else f"at least {block.aim.at_least}"
        over = f", over {block.aim.over_sessions} sessions" if block.aim.over_sessions > 1 else ""
        said.append(f"Aim: {block.aim.measure} {bound}{over}.")
    if block.note:
        said.append(block.note)
    return [*folded(f"{number}. {drill.name}: {'; '.join(details)}", hanging="   "), *wrapped(said)]
