"""What was seen of a player's sides, runs and heights, as evidence for the traits that go with his carry."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from trainer.application.estimates.learning import Known
from trainer.application.evidence.flown import WindTerms, wind_terms
from trainer.application.evidence.gathering import NO_READING
from trainer.application.evidence.history import History
from trainer.application.evidence.own_flight import APEX_RELATIVE_SD
from trainer.application.evidence.sides import mirrored, reading_places, side_evidence
from trainer.core.conditions import Seen
from trainer.core.decide.outcomes import PLAYERS, Traits
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.estimate.traits import APEX, RUN, RatioDraws, ratio_draws, side_draws
from trainer.core.profile import Hand
from trainer.core.shot import CarryOrigin
from trainer.store.records import ShotRecord

LEAST_RUN_M = 1.0
"""A shorter run, seen or expected, has no useful ratio."""


def traits_of(history: History, known: Known, rng: np.random.Generator) -> Traits:
    """Draws of the player's side and run; those of a left-handed player are his mirror image's."""
    told, cells, terms = _struck(history, known)
    seen = known.evidence
    readings = reading_places(told, seen.reading_index, NO_READING), seen.observations.readings
    sides = side_evidence(told, cells, known.bench, terms, readings)
    if history.profile.hand is Hand.LEFT:
        sides = mirrored(sides)
    return Traits(
        side=side_draws(len(history.profile.bag.clubs), sides, rng, draws=PLAYERS),
        run=run_draws(history, known, rng),
    )


def run_draws(history: History, known: Known, rng: np.random.Generator) -> RatioDraws:
    """Draws of every cell's run over what the flight and the turf expect of it."""
    told, cells, terms = _struck(history, known)
    return ratio_draws(known.bench.arrays, *_runs(told, cells, terms), RUN, rng, draws=PLAYERS)


def height_draws(history: History, known: Known, rng: np.random.Generator) -> RatioDraws:
    """Draws of every cell's height over what the flight expects of it.

    A height that an eye guessed counts for less by as much as it errs more: such heights of a cell are taken as one.
    """
    told, cells, terms = _struck(history, known)
    return ratio_draws(known.bench.arrays, *_heights(told, cells, terms), APEX, rng, draws=PLAYERS)


def _struck(history: History, known: Known) -> tuple[list[ShotRecord], Ints, WindTerms]:
    """Balls that were struck as they were said to be, their cells and their reference flights."""
    unfit = {*known.evidence.asked, *known.evidence.unlike}
    told = [
        shot
        for shot in history.shots_that_count
        if not shot.entry.mishit and shot.carry_origin is CarryOrigin.SEEN and shot.id not in unfit
    ]
    cells = np.array([known.bench.index[shot.cell] for shot in told], dtype=np.int64)
    return told, cells, wind_terms(told, cells, history, known.bench)


def _runs(shots: Sequence[ShotRecord], cells: Ints, terms: WindTerms) -> tuple[Ints, Floats]:
    """Cells (n,) and log of seen over expected run (n,) of the balls whose landing and stop were both seen."""
    of, ratios = [], []
    for i, shot in enumerate(shots):
        entry, expected = shot.entry, float(terms.run_m[i])
        if entry.total_m is None or entry.carry_m is None or expected < LEAST_RUN_M:
            continue
        seen = entry.total_m - entry.carry_m
        if seen >= LEAST_RUN_M:
            of.append(cells[i])
            ratios.append(float(np.log(seen / expected)))
    return np.array(of, dtype=np.int64), np.array(ratios, dtype=np.float64)


def _heights(shots: Sequence[ShotRecord], cells: Ints, terms: WindTerms) -> tuple[Ints, Floats]:
    """Cells (n,) and log of seen over expected height (n,); the eye's heights of a cell as their mean."""
    of, ratios = [], []
    guessed: dict[int, list[float]] = {}
    for i, shot in enumerate(shots):
        apex_m = shot.entry.apex_m
        if not apex_m:
            continue
        ratio = float(np.log(apex_m / terms.apex_m[i]))
        if APEX_RELATIVE_SD[shot.seen] > APEX_RELATIVE_SD[Seen.LASER]:
            guessed.setdefault(int(cells[i]), []).append(ratio)
        else:
            of.append(int(cells[i]))
            ratios.append(ratio)
    for cell, values in guessed.items():
        of.append(cell)
        ratios.append(float(np.mean(values)))
    return np.array(of, dtype=np.int64), np.array(ratios, dtype=np.float64)
