"""Called ranges scored against what one would foresee without the club model, on the same balls."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from trainer.application.estimates.learning import Known
from trainer.application.evidence.flown import wind_terms
from trainer.application.evidence.history import History, local, wind_of
from trainer.core.conditions import WindKnowledge
from trainer.core.decide.baselines import (
    BallsSeen,
    by_cell_means,
    by_least_squares,
    by_no_balls,
    by_rule,
    error_sd_log,
)
from trainer.core.decide.change import Level, level_of
from trainer.core.decide.scoring import LEVELS, crps_of_normal, crps_of_quantiles
from trainer.core.estimate.evidence import Floats
from trainer.core.shot import CarryOrigin
from trainer.core.units import UnitChoice, change_from_si
from trainer.store.records import ShotRecord

LEAST_SCORED = 20
"""Fewer scored balls are not told: a score of a few balls is chance (common practice)."""

OTHERS = {
    "cell_means": "averages of each shot",
    "least_squares": "a straight fit",
    "rule": "the rule of thumb",
    "no_balls": "what was believed before any ball",
}
"""The ways of foreseeing that calls are held against, by key."""


@dataclass(frozen=True, slots=True)
class OtherScore:
    """One other way: its mean score, m, and how much the calls' is above it (negative: closer)."""

    name: str
    mean_m: float
    difference_m: Level

    @property
    def verdict(self) -> str:
        """`closer`, `wider` or `no clear difference` of the calls against it."""
        if self.difference_m.low95 <= 0 <= self.difference_m.high95:
            return "no clear difference"
        return "closer" if self.difference_m.mean < 0 else "wider"


@dataclass(frozen=True, slots=True)
class CallScores:
    """Mean CRPS of called ranges over `balls`, m, smaller better, and of each other way on the same balls."""

    balls: int
    days: int
    mean_m: float
    others: tuple[OtherScore, ...]


def call_scores(history: History, known: Known) -> CallScores | None:
    """Scores of every ball that was called, bad ones too; None where they are too few to tell."""
    shots = [shot for shot in history.shots if _is_seen(shot, history)]
    scored = np.array([len(shot.called_shape_m or ()) == len(LEVELS) for shot in shots], dtype=bool)
    if scored.sum() < LEAST_SCORED:
        return None
    cells = known.bench.arrays
    seen = _balls_seen(shots, history, known)
    foreseen = {
        "rule": by_rule(cells, seen),
        "cell_means": by_cell_means(cells, seen),
        "least_squares": by_least_squares(cells, seen),
        "no_balls": by_no_balls(cells, known.posterior.priors, seen),
    }
    sds = {name: error_sd_log(values, seen.carry_m) for name, values in foreseen.items()}
    scored &= np.all([sd > 0 for sd in sds.values()], axis=0)
    if scored.sum() < LEAST_SCORED:
        return None
    chosen = np.flatnonzero(scored)
    carry_m = seen.carry_m[chosen]
    days = np.array([local(shots[i].at).toordinal() for i in chosen.tolist()], dtype=np.int64)
    own = np.array([
        crps_of_quantiles(shots[i].called_shape_m or (), carry)
        for i, carry in zip(chosen.tolist(), carry_m.tolist(), strict=True)
    ])  # fmt: skip
    others = []
    for name in OTHERS:
        middle = foreseen[name][chosen]
        score = crps_of_normal(middle, middle * sds[name][chosen], carry_m)
        difference = level_of(own - score, days)
        if difference is not None:
            others.append(OtherScore(name, float(score.mean()), difference))
    return CallScores(len(own), len(np.unique(days)), float(own.mean()), tuple(others))


def _is_seen(shot: ShotRecord, history: History) -> bool:
    carry_m = shot.entry.carry_m
    return carry_m is not None and shot.carry_origin is CarryOrigin.SEEN and shot.club_id in history.club_ids


def _balls_seen(shots: list[ShotRecord], history: History, known: Known) -> BallsSeen:
    cell = np.array([known.bench.index[shot.cell] for shot in shots], dtype=np.int64)
    terms = wind_terms(shots, cell, history, known.bench)
    winds = [wind_of(history, shot) for shot in shots]
    along: Floats = np.array([0.0 if w.knowledge is WindKnowledge.UNKNOWN else w.along_mps for w in winds])
    return BallsSeen(
        cell=cell,
        carry_m=np.array([shot.entry.carry_m or 1.0 for shot in shots]),
        wind_log=np.log(terms.carry_m / terms.still_m),
        along_mps=along,
        teaches=np.array([not shot.entry.mishit for shot in shots], dtype=bool),
    )


def scores_data(scores: CallScores | None) -> dict[str, Any] | None:
    """Scores in m; differences are the calls' less the other's."""
    if scores is None:
        return None
    return {
        "balls": scores.balls,
        "days": scores.days,
        "called_m": scores.mean_m,
        **{f"{each.name}_m": each.mean_m for each in scores.others},
        "against": {
            each.name: {
                "difference_m": each.difference_m.mean,
                "low95_m": each.difference_m.low95,
                "high95_m": each.difference_m.high95,
                "verdict": each.verdict,
            }
            for each in scores.others
        },
    }


def scores_sentence(scores: CallScores | None, units: UnitChoice) -> str:
    """The scores in two sentences; empty where there are none."""
    if scores is None:
        return ""

    def said(metres: float) -> str:
        return f"{change_from_si(metres, units.distance):.1f}"

    beside = ", ".join(f"{OTHERS[each.name]} {said(each.mean_m)}" for each in scores.others)
    closer = [OTHERS[each.name] for each in scores.others if each.verdict == "closer"]
    wider = [OTHERS[each.name] for each in scores.others if each.verdict == "wider"]
    found = [f"clearly closer than {_joined(closer)}"] if closer else []
    found += [f"clearly wider than {_joined(wider)}"] if wider else []
    verdict = " and ".join(found) or "not clearly better or worse than any of them"
    return (
        f"Score of the called ranges over {scores.balls} balls (CRPS, {units.distance}, smaller is better): "
        f"{said(scores.mean_m)}; {beside}. Your called ranges were {verdict}."
    )


def _joined(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
