"""The demonstration told as text: what the wind costs, a plan, its balls, the shots, the table, what is not known."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import timedelta

from trainer.application.conditions.stated import StatedConditions
from trainer.application.demo.playing import ALIAS, DAYS, PLACE
from trainer.application.estimates.gapping import cell_words
from trainer.application.estimates.snapshot import snapshot
from trainer.application.evidence.cells import lay_out
from trainer.application.evidence.history import read_history
from trainer.application.session.recording import Recorder
from trainer.application.session.shot_list import list_shots, shots_text
from trainer.application.views.folding import wrapped
from trainer.application.views.words import gaps_text, wind_words
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import Conditions, Wind
from trainer.core.profile import Profile
from trainer.core.units import change_from_si, whole
from trainer.store.store import Store

SHOWN_BALLS, SHOWN_SHOTS = 14, 12


def wind_cost_lines(profile: Profile, wind: Wind) -> list[str]:
    """What a full iron and a low shot of about the same carry lose in a wind, by the flight calculation alone."""
    units = profile.units
    full, low = Cell("7 iron"), Cell("5 iron", 0.0254, Swing.THREE_QUARTER)
    bench = lay_out(profile.bag)
    effects = bench.effects_in(Conditions(wind=wind))
    lines = [f"What {wind_words(wind, units)} does:"]
    for cell in (full, low):
        i = bench.index[cell]
        still, carry = float(effects.carry_still_m[i]), float(effects.carry_m[i])
        cost = whole(change_from_si(abs(carry - still), units.distance))
        verb = "loses" if carry < still else "gains"
        share = f"about {round(20 * abs(carry / still - 1)) * 5} %"
        descent_deg = math.degrees(float(effects.descent_rad[i]))
        run = whole(change_from_si(float(effects.run_m[i]), units.distance))
        lines += [
            f"  {cell_words(cell, units)}: {units.shown_distance(still)} {verb} {cost} {units.distance} ({share}),",
            f"    lands {descent_deg:.0f}° steep and runs {run} {units.distance}",
        ]
    return lines


def demo_text(store: Store, recorders: Sequence[Recorder]) -> str:
    """The whole job of the demonstration as text."""
    as_of = DAYS[-1].when + timedelta(hours=1)
    history = read_history(store, ALIAS, as_of)
    profile = history.profile
    table = snapshot(history, StatedConditions(), as_of)
    parts = [
        f"{ALIAS} at {PLACE}: three windy evenings, all of it invented.",
        "",
        "1. The wind's price, by the flight calculation",
        *wind_cost_lines(profile, DAYS[-1].read_wind),
        "  So: longer club, smaller swing. It only works once you know how far that goes.",
        "",
        "2. Plans and balls",
        *(line for recorder in recorders for line in _agenda_lines(recorder)),
        "",
        "3. Shots, as typed (the first of the last evening)",
        *shots_text(list_shots(store, ALIAS, recorders[-1].session.id)).splitlines()[: SHOWN_SHOTS + 2],
        f"  ... {len(history.shots)} shots in all",
        "",
        "4. The table after three evenings",
        gaps_text(table, profile, every_cell=False),
        "",
        "5. Care",
        *wrapped(CAUTIONS),
    ]
    return "\n".join(parts)


CAUTIONS = (
    "For practice and planning: in a round the Rules of Golf (4.3a, 2023) bar measuring wind and advice from it.",
    "Thunder: stop and wait 30 minutes from the last. In strong gusts the facility's word decides, not this program.",
    "Pain, not tiredness, means stop. Nobody stands forward of the line.",
)
"""Said wherever the whole job is shown."""


def _agenda_lines(recorder: Recorder) -> list[str]:
    planned = recorder.planned
    if planned is None:
        return []
    units = recorder.profile.units
    wind = wind_words(planned.conditions.wind, units)
    lines = [f"{recorder.session.started_at:%d %b}: {planned.plan.title}", f"  {wind}"]
    lines += wrapped(planned.agenda.notes[:2])
    seen: set[str] = set()
    for ball in planned.agenda.balls:
        if ball.reason in seen or len(seen) >= SHOWN_BALLS // 2 or ball.stage.value == "warm-up":
            continue
        seen.add(ball.reason)
        target = "" if ball.target_m is None else units.shown_distance(ball.target_m)
        lines.append(f"  ball {ball.number:>2}  {cell_words(ball.cell, units):34} {target:>7}")
        lines += [f"  {line}" for line in wrapped([ball.reason], 76)]
    return lines
