"""A plan's balls in one wind as a screen shows them: swaps first, then each ball with its reason."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trainer.application.planning.agenda import PlannedSession
from trainer.application.planning.agenda_words import agenda_text
from trainer.application.views.gaps import short_cell
from trainer.application.views.look import PlanBallsView
from trainer.application.views.practice import harmless
from trainer.application.views.wind import typed_wind
from trainer.application.views.words import wind_words
from trainer.core.schedule.balls import AgendaBall
from trainer.core.units import UnitChoice


def plan_balls_view(planned: PlannedSession, units: UnitChoice) -> PlanBallsView:
    """The agenda of a plan. A swap names what it was, why it does not suit, and what stands in its place."""
    wind = planned.conditions.wind
    agenda = planned.agenda
    head = wind_words(wind, units) if planned.wind_is_known else "wind not read yet"
    swaps = [f"{swap.what}: {swap.why}. Instead: {swap.instead}." for swap in agenda.swaps]
    said = [*planned.problems, *agenda.notes]
    # The agenda tells each swap among its notes too.
    notes = [note for note in said if not any(note.startswith(f"{swap.what} is swapped") for swap in agenda.swaps)]
    return PlanBallsView(
        plan_id=planned.plan.id,
        title=harmless(planned.plan.title),
        head=f"{len(agenda.balls)} balls in {planned.plan.minutes} minutes; {harmless(head)}",
        swaps=tuple(harmless(swap) for swap in swaps),
        notes=tuple(harmless(note) for note in notes),
        balls=tuple(harmless(line, keep_lines=True) for line in _ball_lines(agenda.balls, units)),
        wind_typed=typed_wind(wind, units) if planned.wind_is_known else "",
        text=harmless(agenda_text(planned, units), keep_lines=True),
    )


def _ball_lines(balls: Sequence[AgendaBall], units: UnitChoice) -> Iterator[str]:
    """A line for each run of like balls; before it a new drill, behind it each reason once a drill."""
    drill, told = "", set[str]()
    for alike in _runs(balls):
        first, last = alike[0], alike[-1]
        if first.drill != drill:
            drill, told = first.drill, set()
            yield ""
            yield f"{drill} ({first.stage.value}): {first.cue}"
        number = f"{first.number}" if first is last else f"{first.number}–{last.number}"
        target = "" if first.target_m is None else f" to {units.shown_distance(first.target_m)}"
        flag = "" if first.flag is None else f" at {first.flag}"
        yield f"{number:>6}  {short_cell(first.cell, units)}{target}{flag}"
        if first.reason not in told:
            told.add(first.reason)
            yield f"        {first.reason}"
        if last.rest_after:
            yield "        rest 2 to 3 minutes"


def _runs(balls: Sequence[AgendaBall]) -> list[list[AgendaBall]]:
    """Neighbours with the same shot, target and reason; a rest ends a run."""
    runs: list[list[AgendaBall]] = []
    for ball in balls:
        before = runs[-1][-1] if runs else None
        if before is None or before.rest_after or _same(before) != _same(ball):
            runs.append([ball])
        else:
            runs[-1].append(ball)
    return runs


def _same(ball: AgendaBall) -> tuple[object, ...]:
    return ball.drill, ball.stage, ball.cell, ball.target_m, ball.flag, ball.reason
