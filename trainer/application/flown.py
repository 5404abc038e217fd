"""What the flight makes of each shot's cell, wind and air; flown once for each distinct one and kept.

An evening has a few dozen distinct ones, however many balls it has.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from trainer.application.cells import Bench
from trainer.application.history import History, wind_of
from trainer.core.conditions import Air, Turf
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.flight.wind import wind_field
from trainer.store.records import ShotRecord


@dataclass(frozen=True, slots=True)
class WindTerms:
    """Per shot (n,): carry of the reference delivery still and in its wind, its slopes there, its run and scatter."""

    still_m: Floats
    carry_m: Floats
    slope_m_per_mps: Floats
    across_slope_m_per_mps: Floats
    run_m: Floats
    spread_log: Floats


_TERMS = len(WindTerms.__dataclass_fields__)

_Key = tuple[int, float, float, float]
"""A cell's place in the bench, and a wind field's along, across and height."""


def wind_terms(shots: Sequence[ShotRecord], cells: Ints, history: History, bench: Bench) -> WindTerms:
    """The terms of `shots`, whose cells are at `cells` in the bench."""
    terms = np.zeros((_TERMS, len(shots)))
    groups: dict[tuple[Air, Turf], list[int]] = defaultdict(list)
    for i, shot in enumerate(shots):
        session = history.sessions[shot.session_id]
        groups[session.air, session.turf].append(i)
    for (air, turf), members in groups.items():
        fields = [wind_field(wind_of(history, shots[i])) for i in members]
        keys = [
            (
                int(cells[i]),
                float(np.asarray(f.along_mps)),
                float(np.asarray(f.across_mps)),
                float(np.asarray(f.height_m)),
            )
            for i, f in zip(members, fields, strict=True)
        ]
        known = _known_terms(bench, air, turf)
        missing = [key for key in dict.fromkeys(keys) if key not in known]
        if missing:
            known.update(zip(missing, _flown_terms(missing, bench, air, turf), strict=True))
        terms[:, members] = np.array([known[key] for key in keys]).T
    return WindTerms(*terms)


@lru_cache(maxsize=64)
def _known_terms(bench: Bench, air: Air, turf: Turf) -> dict[_Key, Floats]:
    """What was flown before: a new ball mostly meets a cell and a wind that were met, and costs no flight then."""
    return {}


def _flown_terms(keys: Sequence[_Key], bench: Bench, air: Air, turf: Turf) -> Floats:
    """Terms (k, 6) of cells in winds, flown together."""
    table = np.array(keys)
    cells = table[:, 0].astype(np.int64)
    effects = bench.effects(cells, table[:, 1], table[:, 2], table[:, 3], air, turf)
    scatter = bench.scatter(cells, table[:, 1], table[:, 2], table[:, 3], air)
    return np.stack(
        [
            effects.carry_still_m,
            effects.carry_m,
            effects.slope_along_m_per_mps,
            effects.slope_across_m_per_mps,
            effects.run_m,
            scatter.log_carry_sd,
        ],
        axis=1,
    )
