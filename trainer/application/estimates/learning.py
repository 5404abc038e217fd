"""What a player's shots have taught: the posterior for a history, computed once and kept.

The key of a posterior is the evidence, the as-of day (shots fade with age), the model's version and the seed; the
seed itself comes from the evidence, so the same shots give the same draws in every program.
"""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, fields, replace
from datetime import datetime
from threading import Lock

import numpy as np

from trainer.application.estimates.kept import KeptPosteriors
from trainer.application.evidence.cells import Bench, lay_out
from trainer.application.evidence.gathering import GatheredEvidence, gather
from trainer.application.evidence.history import History
from trainer.application.evidence.own_delivery import bench_as_hit
from trainer.core.bag import Cell
from trainer.core.errors import InputError
from trainer.core.estimate.evidence import CellSet, Ints
from trainer.core.estimate.observations import SHOT_FIELDS, Observations
from trainer.core.estimate.online import continues, needs_refresh_now, refresh, reweighted
from trainer.core.estimate.posterior import MODEL_VERSION, Draws, Posterior, fit
from trainer.core.estimate.priors import MEASURED_CARRY, REMEMBERED_CARRY, ClubPriors
from trainer.core.profile import CarryBasis

MOST_IN_MEMORY = 8
KEPT_DRAWS = 2048


@dataclass(frozen=True, slots=True)
class Known:
    """What the shots taught: the posterior with the cells and evidence it is of, and the key it is kept by."""

    bench: Bench
    evidence: GatheredEvidence
    posterior: Posterior
    key: str

    @property
    def seed(self) -> int:
        """For whatever is drawn from this posterior."""
        return int(self.key[:12], 16)


def learn(history: History, as_of: datetime, asked: Sequence[Cell] = ()) -> Known:
    """The posterior of a history, for every cell of the bag, those hit and those `asked` for."""
    bench, evidence, priors, key = _question(history, as_of, asked)
    held = _recalled(history, bench, evidence, priors, key)
    if held is None:
        held = _fitted(bench.arrays, evidence.observations, priors, key)
        KeptPosteriors(history.kept_folder).write(key, held)
        _remember(key, held)
    return Known(bench, evidence, held, key)


def recall(history: History, as_of: datetime) -> Known | None:
    """As `learn`, where its posterior is held in memory or on disk; None, and nothing fitted, where it is not."""
    bench, evidence, priors, key = _question(history, as_of, ())
    held = _recalled(history, bench, evidence, priors, key)
    return None if held is None else Known(bench, evidence, held, key)


def _recalled(
    history: History, bench: Bench, evidence: GatheredEvidence, priors: ClubPriors, key: str
) -> Posterior | None:
    held = _in_memory(key)
    if held is None:
        held = KeptPosteriors(history.kept_folder).read(key, bench.arrays, priors, evidence.observations)
        if held is not None:
            _remember(key, held)
    return held


def _fitted(cells: CellSet, seen: Observations, priors: ClubPriors, key: str) -> Posterior:
    """Fit the shots in an order of their own, so that the order they were hit in cannot matter."""
    rng = np.random.default_rng(int(key[:16], 16))
    posterior = fit(cells, seen.taken(_order(seen)), rng, priors)
    return replace(thinned(posterior), observations=seen)


def _order(seen: Observations) -> Ints:
    """Shots by day, reading, cell and what was seen of them."""
    carries = (seen.flown_m, seen.seen_sd_log, seen.marked, seen.high_m, seen.low_m)
    keys = (seen.own_wind_log, *carries, seen.cell, seen.reading, seen.day)
    return np.lexsort(keys).astype(np.int64)


def learn_on(before: Known, history: History, as_of: datetime, asked: Sequence[Cell] = ()) -> Known:
    """As `learn`, at once: where `history` only goes on from what `before` knew its draws are reweighted.

    Not `posterior.current` then; `learn` may be asked for the same later. Where reweighting would say too little, or
    a shot was corrected, the draws are refreshed from where they stood.
    """
    bench, evidence, priors, key = _question(history, as_of, asked)
    held = _in_memory(key)
    if held is not None:
        return Known(bench, evidence, held, key)
    if key == before.key and bench is before.bench:
        return Known(bench, evidence, before.posterior, key)
    if bench is not before.bench or priors != before.posterior.priors:
        return learn(history, as_of, asked)
    rng = np.random.default_rng(int(key[:16], 16))
    now = evidence.observations
    if continues(before.posterior.observations, now):
        # Where a clock was set back a new shot may be days old: only a refresh is right then.
        with suppress(InputError):
            quick = reweighted(before.posterior, now, rng)
            if not needs_refresh_now(quick):
                return Known(bench, evidence, quick, key)
    return Known(bench, evidence, refreshed(before.posterior, now, rng), key)


def refreshed(posterior: Posterior, now: Observations, rng: np.random.Generator) -> Posterior:
    """`posterior` drawn anew for the evidence as it is `now`."""
    done = None
    for step in refresh(posterior, now, rng):
        done = step.posterior or done
    if done is None:
        raise RuntimeError("a refresh ended without a posterior")
    return thinned(done)


def thinned(posterior: Posterior, most: int = KEPT_DRAWS) -> Posterior:
    """Every so-manieth draw, at most `most`: neighbours in a chain say nearly the same. The others are let go."""
    step = -(-len(posterior.draws) // most)
    if step == 1:
        return posterior
    draws = Draws(**{field.name: getattr(posterior.draws, field.name)[::step].copy() for field in fields(Draws)})
    weights = posterior.weights[::step]
    return replace(posterior, draws=draws, weights=weights / weights.sum())


_IN_MEMORY: OrderedDict[str, Posterior] = OrderedDict()
_LOCK = Lock()


def forget_all() -> None:
    """Drop what is held in memory; what is kept on disk stays."""
    with _LOCK:
        _IN_MEMORY.clear()


def _in_memory(key: str) -> Posterior | None:
    """What is held under `key`; what was asked for last is let go last."""
    with _LOCK:
        held = _IN_MEMORY.get(key)
        if held is not None:
            _IN_MEMORY.move_to_end(key)
        return held


def _remember(key: str, posterior: Posterior) -> None:
    with _LOCK:
        _IN_MEMORY[key] = posterior
        _IN_MEMORY.move_to_end(key)
        while len(_IN_MEMORY) > MOST_IN_MEMORY:
            _IN_MEMORY.popitem(last=False)


def bench_of(history: History, asked: Sequence[Cell] = ()) -> Bench:
    """Every cell of the bag, those hit and those `asked` for, delivered as the player's strikes show."""
    hit = [shot.cell for shot in history.shots_that_count]
    return bench_as_hit(history, lay_out(history.profile.bag, [*hit, *asked]))


def _question(
    history: History, as_of: datetime, asked: Sequence[Cell]
) -> tuple[Bench, GatheredEvidence, ClubPriors, str]:
    bench = bench_of(history, asked)
    evidence = gather(history, bench, as_of)
    measured = history.profile.known_carry.basis is CarryBasis.MEASURED
    priors = MEASURED_CARRY if measured else REMEMBERED_CARRY
    seen = evidence.observations
    return bench, evidence, priors, _key(bench.arrays, seen.taken(_order(seen)), priors)


def _key(cells: CellSet, seen: Observations, priors: ClubPriors) -> str:
    """A digest of all that the posterior is a function of."""
    digest = hashlib.sha256(f"{MODEL_VERSION}|{priors}".encode())
    arrays: list[object] = [getattr(cells, field.name) for field in fields(CellSet)]
    arrays += [getattr(seen, name) for name in (*SHOT_FIELDS, "age_days")]
    arrays += [
        getattr(part, field.name) for part in (seen.readings, seen.told, seen.response) for field in fields(part)
    ]
    for array in arrays:
        values = np.ascontiguousarray(array)
        digest.update(f"{values.dtype.str}{values.shape}".encode())
        digest.update(values.tobytes())
    return digest.hexdigest()
