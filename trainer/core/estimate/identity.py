"""Is it the shot it says it is? A "low" ball that flew like a full one is asked about before it teaches the low cell.

Height, hang time, run, launch and spin of the ball are compared with what the flight expects of the cell that was
said and of the same club's stock full swing, in the same wind. Assumption: normal errors, independent given which
shot it was; seeing and strike scatter both belong in the s.d. Carry is not asked: it is what the shot is to teach.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainer.core.estimate import normal
from trainer.core.estimate.evidence import Floats
from trainer.core.estimate.observations import Bools

PRIOR_OF_ANOTHER = 0.05
"""How often a ball entered as a low shot is in truth a full one, before anything of it is seen (common practice)."""

ASKED_ABOUT = 0.8
"""From this probability on the player is asked."""


@dataclass(frozen=True, slots=True)
class Features:
    """Features of n shots, f to a shot: `seen`, where `known`; what the said cell and the full swing would give."""

    seen: Floats
    known: Bools
    said_mean: Floats
    said_sd: Floats
    full_mean: Floats
    full_sd: Floats


def probability_full(features: Features, prior: float = PRIOR_OF_ANOTHER) -> Floats:
    """Probability (n,) that each shot was the full swing; the prior where nothing of it was seen."""
    seen = np.where(features.known, features.seen, 0.0)
    full = normal.log_density((seen - features.full_mean) / features.full_sd, features.full_sd)
    said = normal.log_density((seen - features.said_mean) / features.said_sd, features.said_sd)
    odds = np.sum(np.where(features.known, full - said, 0.0), axis=1) + np.log(prior) - np.log1p(-prior)
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip(odds, -700, 700))))


def flew_like_full(features: Features) -> Bools:
    """Which shots (n,) to ask about before their carry teaches the cell they say."""
    return np.asarray(probability_full(features) >= ASKED_ABOUT)
