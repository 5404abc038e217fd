"""What the flight makes of each shot's cell, wind and air; flown once for each distinct one and kept.

An evening has a few dozen distinct ones, however many balls it has.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from trainer.application.evidence.cells import Bench
from trainer.application.evidence.history import History, wind_of
from trainer.core.conditions import Air, Turf
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.flight.wind import WindField, wind_field
from trainer.store.records import ShotRecord


@dataclass(frozen=True, slots=True)
class WindTerms:
    """Per shot (n,), of its cell's reference delivery in its wind and air, turned to its target.

    Carries still and in the wind, their slopes, and the same of the side; run, height and time in the air; the s.d.
    that an ordinary strike's scatter makes of log carry, height and time.
    """

    still_m: Floats
    carry_m: Floats
    slope_m_per_mps: Floats
    across_slope_m_per_mps: Floats
    side_m: Floats
    side_slope_along_m_per_mps: Floats
    side_slope_across_m_per_mps: Floats
    run_m: Floats
    apex_m: Floats
    flight_s: Floats
    spread_log: Floats
    apex_sd_m: Floats
    flight_sd_s: Floats


_TERMS = len(WindTerms.__dataclass_fields__)

_Key = tuple[int, float, float, float]
"""A cell's place in the bench, and a wind field's along, across and height."""


def by_air(shots: Sequence[ShotRecord], history: History) -> dict[tuple[Air, Turf], list[int]]:
    """The places of the shots that were hit in one air and on one turf: they are flown together."""
    groups: dict[tuple[Air, Turf], list[int]] = defaultdict(list)
    for i, shot in enumerate(shots):
        session = history.sessions[shot.session_id]
        groups[session.air, session.turf].append(i)
    return groups


def field_of(shots: Sequence[ShotRecord], history: History) -> WindField:
    """The winds (n,) that shots were hit in, turned to their targets."""
    fields = [wind_field(wind_of(history, shot)) for shot in shots]
    along, across, height = (
        np.array([float(np.asarray(getattr(field, name))) for field in fields])
        for name in ("along_mps", "across_mps", "height_m")
    )
    return WindField(along, across, height)


def wind_terms(shots: Sequence[ShotRecord], cells: Ints, history: History, bench: Bench) -> WindTerms:
    """The terms of `shots`, whose cells are at `cells` in the bench."""
    terms = np.zeros((_TERMS, len(shots)))
    for (air, turf), members in by_air(shots, history).items():
        field = field_of([shots[i] for i in members], history)
        winds = np.stack([field.along_mps, field.across_mps, field.height_m], axis=1).tolist()
        keys: list[_Key] = [(int(cells[i]), *wind) for i, wind in zip(members, winds, strict=True)]
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
    """Terms (k, …) of cells in winds, flown together, in the order of WindTerms."""
    table = np.array(keys)
    cells = table[:, 0].astype(np.int64)
    effects = bench.effects(cells, table[:, 1], table[:, 2], table[:, 3], air, turf)
    scatter = bench.scatter(cells, table[:, 1], table[:, 2], table[:, 3], air)
    terms = WindTerms(
        still_m=effects.carry_still_m,
        carry_m=effects.carry_m,
        slope_m_per_mps=effects.slope_along_m_per_mps,
        across_slope_m_per_mps=effects.slope_across_m_per_mps,
        side_m=effects.side_m,
        side_slope_along_m_per_mps=effects.side_slope_along_m_per_mps,
        side_slope_across_m_per_mps=effects.side_slope_across_m_per_mps,
        run_m=effects.run_m,
        apex_m=effects.apex_m,
        flight_s=effects.flight_s,
        spread_log=scatter.log_carry_sd,
        apex_sd_m=scatter.apex_sd_m,
        flight_sd_s=scatter.flight_sd_s,
    )
    return np.stack([getattr(terms, name) for name in WindTerms.__dataclass_fields__], axis=1)
