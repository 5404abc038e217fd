"""Posteriors kept on disk beside the store, so that no program computes what another has.

A file is only a copy of what can be computed again: one that is missing, damaged or foreign is passed over, and where
none can be written nothing is lost. No pickle is ever read.
"""

from __future__ import annotations

import contextlib
import os
import zipfile
from dataclasses import dataclass, fields
from pathlib import Path

import numpy as np

from trainer.core.estimate.diagnostics import Diagnostics
from trainer.core.estimate.evidence import CellSet
from trainer.core.estimate.observations import Observations
from trainer.core.estimate.posterior import Draws, Posterior
from trainer.core.estimate.priors import ClubPriors

MOST_ON_DISK = 12
LONGEST_WRITE_S = 600.0
"""A file half written for so long has no writer any more."""
_MARK = "draws-"


@dataclass(frozen=True, slots=True)
class KeptPosteriors:
    """The folder of kept posteriors; None keeps none."""

    folder: Path | None

    def read(self, key: str, cells: CellSet, priors: ClubPriors, seen: Observations) -> Posterior | None:
        """The posterior kept under `key`, or None."""
        if self.folder is None:
            return None
        try:
            path = self.folder / f"{_MARK}{key}.npz"
            with path.open("rb") as file, np.load(file, allow_pickle=False) as held:
                draws = Draws(**{field.name: held[field.name] for field in fields(Draws)})
                numbers = held["diagnostics"]
                diagnostics = Diagnostics(
                    float(numbers[0]), float(numbers[1]), float(numbers[2]), str(held["worst"].item())
                )
                weights = held["draw_weights"]
        except (OSError, KeyError, ValueError, IndexError, EOFError, zipfile.BadZipFile):
            return None
        if draws.eta.shape != (len(weights), len(cells)) or not bool(np.isfinite(draws.eta).all()):
            return None
        return Posterior(cells, priors, seen, draws, weights, diagnostics)

    def write(self, key: str, posterior: Posterior) -> None:
        """Keep a posterior whole or not at all; the oldest beyond `MOST_ON_DISK` go."""
        if self.folder is None:
            return
        arrays = {field.name: getattr(posterior.draws, field.name) for field in fields(Draws)}
        said = posterior.diagnostics
        # A folder that cannot be written only costs time: the posterior is computed again.
        with contextlib.suppress(OSError):
            self.folder.mkdir(mode=0o700, exist_ok=True)
            unfinished = self.folder / f"{_MARK}{key}.{os.getpid()}.part"
            try:
                with os.fdopen(os.open(unfinished, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as file:
                    np.savez(
                        file,
                        **arrays,
                        draw_weights=posterior.weights,
                        diagnostics=np.array([said.r_hat, said.bulk, said.tail]),
                        worst=np.array(said.worst),
                    )
                unfinished.replace(self.folder / f"{_MARK}{key}.npz")
            finally:
                unfinished.unlink(missing_ok=True)  # where the disk was full: half a file helps nobody
            self._drop_oldest()

    def _drop_oldest(self) -> None:
        if self.folder is None:
            return
        held = sorted(self.folder.glob(f"{_MARK}*.npz"), key=lambda path: path.stat().st_mtime, reverse=True)
        for path in held[MOST_ON_DISK:]:
            path.unlink(missing_ok=True)
        newest_s = held[0].stat().st_mtime if held else 0.0
        for path in self.folder.glob(f"{_MARK}*.part"):  # what a killed program left
            if path.stat().st_mtime < newest_s - LONGEST_WRITE_S:
                path.unlink(missing_ok=True)

    def forget(self) -> None:
        """Remove every kept posterior: nothing of a purged player may stay."""
        if self.folder is None or not self.folder.is_dir():
            return
        for path in self.folder.glob(f"{_MARK}*"):
            path.unlink(missing_ok=True)
