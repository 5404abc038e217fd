"""Very many players of 60 shots each, fitted in batches whose draws are dropped when their figures are taken.

`python -m tests.benchmarks.players --players 10000 --seed 1` prints one JSON object: processor seconds, the most
memory, how far the ends of the 80 % ranges are from a long run's as a share of their width (rms over a hundred
players' cells), how far those of as many independent draws are, and for what share of the players the diagnostics
would let every scale be reported.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Iterator, Sequence
from itertools import islice
from typing import Any

import numpy as np

from tests.benchmarks.told import peak_mb
from tests.core.estimate.simulate import bag, hit, plan, player
from trainer.core.estimate.evidence import CellSet, Floats
from trainer.core.estimate.observations import Observations
from trainer.core.estimate.posterior import Posterior, fit_players
from trainer.core.estimate.priors import ClubPriors

SHOTS, BATCH = 60, 250
WARM_UP, KEPT = 40, 700
"""So many sweeps leave the ends within 3 % of the width."""

CHECKED, LONG = 100, 5000


def invented(cells: CellSet, players: int, seed: int) -> Iterator[Observations]:
    """One evening of each of some players drawn from the priors."""
    rng, priors = np.random.default_rng(seed), ClubPriors()
    for _ in range(players):
        asked = plan(rng, cells, SHOTS, days=1)
        yield hit(rng, cells, asked, player(rng, cells, asked, priors), priors)


def ends(posteriors: Sequence[Posterior]) -> Floats:
    """Ends (2, p, c) of the 80 % ranges of log still-air carry."""
    return np.stack([np.quantile(each.draws.eta, [0.1, 0.9], axis=0) for each in posteriors], axis=1)


def rms_error(found: Floats, true: Floats) -> float:
    """Root mean square distance of the ends from the true ones, over the width."""
    return float(np.sqrt(np.mean(((found - true) / (true[1] - true[0])) ** 2)))


def in_batches(players: int, seed: int) -> dict[str, Any]:
    """Fit all of them; what it cost and how it ended. What inventing their shots costs is left out."""
    cells = bag()
    took, reliable, fitted = 0.0, 0, 0
    coming = invented(cells, players, seed)
    for number, seen in enumerate(iter(lambda: tuple(islice(coming, BATCH)), ())):
        began = time.process_time()
        reliable += _one_batch(cells, seen, np.random.default_rng((seed, number)))
        took += time.process_time() - began
        fitted += len(seen)
    return {"players": fitted, "cpu_s": took, "peak_mb": peak_mb(), "reliable": reliable / fitted}


def _one_batch(cells: CellSet, seen: Sequence[Observations], rng: np.random.Generator) -> int:
    """Fit a batch, take its ranges and drop its draws; how many of it may be reported whole."""
    posteriors = fit_players(cells, seen, rng, ClubPriors(), warm_up=WARM_UP, kept=KEPT)
    ends(posteriors)
    return sum(each.diagnostics.reliable for each in posteriors)


def end_errors(seed: int) -> dict[str, float]:
    """Rms errors of the ends, over the width: of so short a run, and of as many independent draws."""
    cells, priors, rng = bag(), ClubPriors(), np.random.default_rng((seed, CHECKED))
    seen = list(invented(cells, CHECKED, seed))
    long = fit_players(cells, seen, rng, priors, warm_up=200, kept=LONG)
    true = ends(long)
    apart = np.stack(
        [np.quantile(rng.choice(each.draws.eta, KEPT, replace=False), [0.1, 0.9], axis=0) for each in long], axis=1
    )
    del long
    short = fit_players(cells, seen, rng, priors, warm_up=WARM_UP, kept=KEPT)
    return {"rms_end_error": rms_error(ends(short), true), "independent_rms_end_error": rms_error(apart, true)}


def main(arguments: Sequence[str]) -> str:
    """One JSON object."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.players", description=__doc__)
    parser.add_argument("--players", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args(arguments)
    return json.dumps({**in_batches(asked.players, asked.seed), **end_errors(asked.seed)})


if __name__ == "__main__":
    sys.stdout.write(main(sys.argv[1:]) + "\n")
