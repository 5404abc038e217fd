"""The priors that the committed reference was made with, held fast whatever the product's become."""

from __future__ import annotations

from dataclasses import replace

from trainer.core.estimate.priors import ClubPriors, Normal

REFERENCE_PRIORS = replace(ClubPriors(), cell_sd=0.015, range_ball=Normal(-0.03, 0.04))
