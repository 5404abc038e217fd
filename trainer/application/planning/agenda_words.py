"""The balls of a session as text for a person and as data for a program."""

from __future__ import annotations

from typing import Any

from trainer.application.estimates.gapping import cell_words
from trainer.application.planning.agenda import PlannedSession
from trainer.application.views.folding import folded, wrapped
from trainer.application.views.words import cell_data, wind_words
from trainer.core.schedule.balls import AgendaBall
from trainer.core.units import UnitChoice, from_si

_UNDER_THE_SHOT = " " * 6


def agenda_data(planned: PlannedSession) -> dict[str, Any]:
    """The agenda in SI."""
    return {
        "plan": planned.plan.id,
        "seed": planned.seed,
        "balls": [
            {
                "number": ball.number,
                "drill": ball.drill,
                **cell_data(ball.cell),
                "target_m": ball.target_m,
                "flag": ball.flag,
                "stage": ball.stage.value,
                "reason": ball.reason,
                "cue": ball.cue,
                "called_80_m": None if ball.called is None else [ball.called.low80_m, ball.called.high80_m],
                "called_50_m": None if ball.called is None else [ball.called.low50_m, ball.called.high50_m],
                "flight_checked": ball.flight_checked,
                "rest_after": ball.rest_after,
            }
            for ball in planned.agenda.balls
        ],
        "swaps": [
            {"drill": s.drill, "what": s.what, "why": s.why, "instead": s.instead} for s in planned.agenda.swaps
        ],
        "notes": list(planned.agenda.notes),
        "can_prove": list(planned.can_prove),
        "problems": list(planned.problems),
        "age_band": planned.age_band.value,
    }


def agenda_text(planned: PlannedSession, units: UnitChoice) -> str:
    """The agenda for a person: what to say first, then the balls, each reason once a drill."""
    agenda, plan = planned.agenda, planned.plan
    wind = wind_words(planned.conditions.wind, units) if planned.wind_is_known else "wind not read yet"
    head = f"{plan.title}: {len(agenda.balls)} balls, seed {planned.seed}; {wind}"
    lines = [*folded(head, hanging="  "), *wrapped(agenda.notes)]
    if planned.can_prove:
        lines += ["Balls needed to show a change tonight:", *wrapped(list(planned.can_prove))]
    lines.append("")
    drill, told = "", set[str]()
    for ball in agenda.balls:
        if ball.drill != drill:
            drill, told = ball.drill, set()
            lines += folded(f"{drill} ({ball.stage.value}): {ball.cue}", hanging="  ")
        target = "" if ball.target_m is None else units.shown_distance(ball.target_m)
        flag = "" if ball.flag is None else f" at {ball.flag}"
        row = f"{ball.number:>4}  {cell_words(ball.cell, units):34.34} {target:>7}{flag}{_called(ball, units)}"
        lines += folded(row, hanging=_UNDER_THE_SHOT)
        if ball.reason not in told:
            told.add(ball.reason)
            lines += [f"{_UNDER_THE_SHOT}{line}" for line in wrapped([ball.reason], 72)]
        if ball.rest_after:
            lines.append(f"{_UNDER_THE_SHOT}rest 2 to 3 minutes")
    return "\n".join(lines)


def _called(ball: AgendaBall, units: UnitChoice) -> str:
    """Where 8 in 10 struck balls are called to land; empty where nothing is believed of the shot."""
    if ball.called is None:
        return ""
    low, high = (round(from_si(end_m, units.distance)) for end_m in (ball.called.low80_m, ball.called.high80_m))
    return f", 8 in 10 within {low}–{high}"
