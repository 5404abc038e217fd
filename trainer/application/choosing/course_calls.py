"""Where an approach of a round was to come to rest by all evidence before it: the card's word as a called range."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from trainer.application.choosing.options import blowing_mps
from trainer.application.estimates.calling import Call, call_from
from trainer.application.estimates.learning import Known, learn
from trainer.application.estimates.traits_seen import traits_of
from trainer.application.evidence.gathering import SEEN_SD_M
from trainer.application.evidence.history import History
from trainer.application.evidence.reading_error import reading_sd_mps
from trainer.application.flights.cell_flights import flown, gust_share
from trainer.core.bag import Cell
from trainer.core.conditions import Ball, Conditions, Seen, Surface
from trainer.core.decide.outcomes import Doubt, Traits, come_to_rest, roll_balls
from trainer.core.profile import Hand
from trainer.core.units import to_si


@dataclass(frozen=True, slots=True)
class BeforeTheRound:
    """What the range shots before a round taught."""

    history: History
    known: Known
    traits: Traits


def before_the_round(history: History, as_of: datetime) -> BeforeTheRound:
    """What `history`, read up to the round, teaches as of its day."""
    known = learn(history, as_of)
    return BeforeTheRound(history, known, traits_of(history, known, np.random.default_rng(known.seed)))


def call_rest(before: BeforeTheRound, cell: Cell, conditions: Conditions, seen: Seen) -> Call | None:
    """Where a ball of `cell` is called to come to rest along the line, as it will be seen; bad strikes in.

    None for a cell that neither the bag nor an earlier shot holds, and where the estimate has not settled.
    """
    known, wind = before.known, conditions.wind
    at = known.bench.index.get(cell)
    if at is None or not known.posterior.diagnostics.reliable:
        return None
    rng = np.random.default_rng(known.seed)
    sd = reading_sd_mps(wind)
    doubt = Doubt(sd, sd, range_ball=conditions.ball is Ball.RANGE, mat=conditions.surface is Surface.MAT)
    left = before.history.profile.hand is Hand.LEFT
    here, speed = np.array([at]), blowing_mps(wind)
    balls = roll_balls(known.posterior, before.traits, doubt, rng, left_handed=left).of(here)
    flights = flown(known.bench, here, conditions, np.array([speed])).taken(0)
    rest_m = come_to_rest(balls, flights, gust_share(wind) * speed).along_m[:, 0]
    rest_m = np.maximum(rest_m, 1.0)
    eye_sd = known.posterior.priors.eye_day_sd if seen is Seen.EYE else 0.0
    noise = np.hypot(seen_sd_log(seen, float(np.median(rest_m))), eye_sd) * rng.standard_normal(len(rest_m))
    return call_from(cell, None, rest_m * np.exp(noise), np.full(len(rest_m), 1 / len(rest_m)))


def seen_sd_log(seen: Seen, near_m: float) -> float:
    """How far off a distance near `near_m` is seen, one s.d. of its log."""
    return SEEN_SD_M[seen] * float(np.clip(near_m / to_si(150, "yd"), 0.5, 1.5)) / near_m
