"""What tonight's balls can prove at this player's spread, said before the first of them."""

from __future__ import annotations

import math

import numpy as np

from trainer.application.estimates.learning import Known
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import Conditions
from trainer.core.schedule.agenda import Agenda
from trainer.core.schedule.block import shot_in_words
from trainer.core.schedule.power import Question, balls_for_difference, balls_for_spread, tonight
from trainer.core.schedule.stages import Stage
from trainer.core.units import UnitChoice

HEIGHT_SEEN_SD_M = 2.0
"""How far off a peak height is judged against a mark, one s.d. (common practice)."""

STRAIGHTER = 7 / 9
"""A side spread that falls so far is one a player would notice."""


def provable(known: Known, agenda: Agenda, conditions: Conditions, units: UnitChoice) -> tuple[str, ...]:
    """One line a question: low against full, an inch of grip, and a straighter shot; none without a low shot."""
    recorded = [ball.cell for ball in agenda.balls if ball.stage is not Stage.WARM_UP]
    low = next((cell for cell in recorded if _is_low(cell) and cell in known.bench.index), None)
    if low is None:
        return ()
    cells = [low, Cell(low.club), Cell(low.club, 0.0, low.swing)]
    here = [known.bench.index[cell] for cell in cells if cell in known.bench.index]
    if len(here) < len(cells):
        return ()
    at, full, normal = here
    effects, scatter = known.bench.effects_in(conditions), known.bench.scatter_in(conditions)
    posterior = known.posterior
    club = known.bench.arrays.club[at]
    own = float(posterior.weights @ np.exp(posterior.draws.log_spread[:, club]))
    shot = shot_in_words(low, units)
    questions = []
    lower_m = float(effects.apex_m[full] - effects.apex_m[at])
    if lower_m > 0:
        spread_m = math.hypot(own * float(np.max(scatter.apex_sd_m[here])), HEIGHT_SEEN_SD_M)
        questions.append(Question(f"{shot} flies lower than full", balls_for_difference(lower_m, spread_m)))
    longer_m = float(effects.run_m[at] - effects.run_m[full])
    if longer_m > 0:
        spread_m = float(np.max(effects.run_spread_m[here]))
        questions.append(Question("it runs farther", balls_for_difference(longer_m, spread_m)))
    change_m = float(effects.carry_m[normal] - effects.carry_m[at])
    if low.grip_down_m and change_m > 0:
        spread_m = own * float(scatter.log_carry_sd[at] * effects.carry_m[at])
        words = f"what {units.shown_grip(low.grip_down_m)} of grip takes off, {units.shown_distance(change_m)}"
        questions.append(Question(words, balls_for_difference(change_m, spread_m)))
    side_m = own * float(scatter.side_sd_m[at])
    words = f"straighter, {units.shown_distance(side_m)} to {units.shown_distance(STRAIGHTER * side_m)} either way"
    questions.append(Question(words, balls_for_spread(side_m, STRAIGHTER * side_m)))
    return tonight(questions, len(recorded) // 2)


def _is_low(cell: Cell) -> bool:
    return cell.swing is not Swing.FULL
