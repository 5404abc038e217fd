"""Two flights as pictures: from the side, and from above."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from trainer.application.flights.comparing import Comparison, comparison_rows, comparison_text
from trainer.application.flights.pattern import side_word
from trainer.application.views.axis import Axis
from trainer.application.views.gaps import short_cell
from trainer.application.views.look import FlightsView, Path
from trainer.application.views.practice import harmless
from trainer.application.views.words import wind_words
from trainer.core.estimate.evidence import Floats
from trainer.core.units import UnitChoice, from_si, to_si
from trainer.exchange.cell_text import print_cell

LEAST_ACROSS_M = to_si(10, "yd")
"""Half the width of the picture from above where nothing drifts further."""

_ROOM = 1.08


def flights_view(comparison: Comparison, units: UnitChoice) -> FlightsView:
    """Both shots of a comparison on axes that they share. Heights and drift are drawn larger than distances."""
    sides = (comparison.one, comparison.other)
    paths = [side.path for side in sides]
    along = Axis(0.0, from_si(_ROOM * max(float(path.along_m.max()) for path in paths), units.distance))
    high = Axis(0.0, from_si(_ROOM * max(float(path.height_m.max()) for path in paths), units.height))
    drift_m = max(LEAST_ACROSS_M, *(_ROOM * float(np.abs(path.side_m).max()) for path in paths))
    across = Axis(-from_si(drift_m, units.distance), from_si(drift_m, units.distance))
    one, other = (short_cell(side.figures.cell, units) for side in sides)
    far, tall = units.distance, units.height
    return FlightsView(
        names=(one, other),
        typed="; ".join(print_cell(side.figures.cell, units) for side in sides),
        side=_both(*(_path(along, path.along_m, high, path.height_m, (far, tall)) for path in paths)),
        above=_both(*(_path(along, path.along_m, across, -path.side_m, (far, far)) for path in paths)),
        along=along.ticks(unit=units.distance),
        heights=high.ticks(3, units.height),
        across=tuple(replace(tick, word=side_word(_turned(tick.word))) for tick in across.ticks(5)),
        rows=comparison_rows(comparison, units),
        wind_words=wind_words(comparison.conditions.wind, units),
        text=harmless(comparison_text(comparison, units), keep_lines=True),
    )


def _turned(number: str) -> str:
    """On this axis left is positive, since it is drawn up."""
    return number[1:] if number.startswith("-") else number if number == "0" else f"-{number}"


def _both(one: Path, other: Path) -> tuple[Path, Path]:
    return one, other


def _path(axis: Axis, along_m: Floats, aside: Axis, aside_m: Floats, names: tuple[str, str]) -> Path:
    return tuple(
        (axis.share(from_si(far_m, names[0])), aside.share(from_si(off_m, names[1])))
        for far_m, off_m in zip(along_m.tolist(), aside_m.tolist(), strict=True)
    )
