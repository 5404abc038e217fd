"""One shot in full: its last balls, where they came down, what is known of its carry, and its counterpart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np

from trainer.application.conditions.stated import StatedConditions
from trainer.application.estimates.gapping import cell_words
from trainer.application.estimates.learning import Known
from trainer.application.estimates.snapshot import CellFigures, Snapshot, setting_of, snapshot
from trainer.application.evidence.flown import wind_terms
from trainer.application.evidence.history import History, local, wind_of
from trainer.application.flights.comparing import compare
from trainer.application.flights.counterpart import counterpart
from trainer.application.flights.pattern import pattern_of
from trainer.application.flights.pictures import flights_view
from trainer.application.views.axis import Axis
from trainer.application.views.folding import wrapped
from trainer.application.views.gaps import balls_words
from trainer.application.views.look import CellView, EstimateView, Hump
from trainer.application.views.practice import harmless
from trainer.application.views.wind import view_wind
from trainer.application.views.words import cell_data, range_data, wind_words
from trainer.core.bag import Cell
from trainer.core.estimate import report
from trainer.core.estimate.evidence import Floats
from trainer.core.shot import CarryOrigin
from trainer.core.units import UnitChoice, change_from_si, from_si, whole
from trainer.store.records import ShotRecord

SHOTS_SHOWN = 40
SHOTS_HEAD = f"{'day':9} {'carry':>5} {'side':>4}  {'wind':22} in still air"
NO_BALL = "no ball of this shot yet"
STEPS = 120
"""Places along the axis at which a hump is drawn."""

_BALLS_FROM = 0.02
"""The axis holds all but this share of either hump on each side."""


@dataclass(frozen=True, slots=True)
class Ball:
    """A recorded ball; `still_m` is its carry worked back to still air, None where no carry was seen."""

    shot: ShotRecord
    still_m: float | None


def cell_view(history: History, cell: Cell, stated: StatedConditions, as_of: datetime, known: Known) -> CellView:
    """Everything of one cell in the stated conditions, or today's. KeyError for a cell that is not in the bag."""
    units = history.profile.units
    table = snapshot(history, stated, as_of, known=known)
    figures = table.figures(cell)
    other = counterpart(cell, table.still_air_m, history.profile.bag)
    balls = balls_of(history, cell, known)
    flights = flights_view(compare(history, (cell, other), stated, as_of), units)
    estimate = _estimate(known, table, figures, stated, balls, units)
    lines = tuple(harmless(_ball_line(ball, history, units)) for ball in reversed(balls[-SHOTS_SHOWN:]))
    pattern = pattern_of([ball.shot for ball in balls], units)
    summary = _summary(figures, table, units)
    name = harmless(cell_words(cell, units))
    said = [*summary, *estimate.sentences, *(() if pattern is None else pattern.sentences)]
    return CellView(
        cell=cell,
        name=name,
        wind=view_wind(table.conditions.wind, units),
        summary=summary,
        shots_head=SHOTS_HEAD,
        shots=lines,
        pattern=pattern,
        estimate=estimate,
        flights=flights,
        text="\n".join(
            [name, *wrapped(said), "", *((SHOTS_HEAD, *lines) if lines else (NO_BALL,)), "", flights.text]
        ),
    )


def cell_page_data(
    history: History, cell: Cell, stated: StatedConditions, as_of: datetime, known: Known
) -> dict[str, Any]:
    """One cell in SI: its estimate, its counterpart, and every ball as it was seen and worked back to still air."""
    table = snapshot(history, stated, as_of, known=known)
    figures = table.figures(cell)
    return {
        "as_of": as_of.isoformat(),
        **cell_data(cell),
        "still_air_carry_m": range_data(figures.still_air_carry_m),
        "carry_today_m": range_data(figures.carry_today_m),
        "shots": figures.shots,
        "days": figures.days,
        "trust": str(figures.trust),
        "counterpart": cell_data(counterpart(cell, table.still_air_m, history.profile.bag)),
        "balls": [
            {
                "id": ball.shot.id,
                "time": ball.shot.at.isoformat(),
                "carry_m": ball.shot.entry.carry_m,
                "side_m": ball.shot.entry.side_m,
                "still_air_carry_m": ball.still_m,
                "mishit": ball.shot.entry.mishit,
            }
            for ball in balls_of(history, cell, known)
        ],
    }


def balls_of(history: History, cell: Cell, known: Known) -> tuple[Ball, ...]:
    """The balls hit with a cell's club as it is now, oldest first."""
    shots = [shot for shot in history.shots_that_count if shot.cell == cell]
    if not shots:
        return ()
    at = np.full(len(shots), known.bench.index[cell], dtype=np.int64)
    terms = wind_terms(shots, at, history, known.bench)
    share = (terms.still_m / terms.carry_m).tolist()
    made = [Ball(shot, _still_m(shot, share[i])) for i, shot in enumerate(shots)]
    return tuple(sorted(made, key=lambda ball: (local(ball.shot.at), ball.shot.id)))


def _still_m(shot: ShotRecord, still_share: float) -> float | None:
    carry_m = shot.entry.carry_m
    if carry_m is None:
        return None
    return carry_m * still_share if shot.carry_origin is CarryOrigin.SEEN else carry_m


def _ball_line(ball: Ball, history: History, units: UnitChoice) -> str:
    """`14 May 26  142   6L  14 mph from 1h  about 158  mishit`."""
    shot, entry = ball.shot, ball.shot.entry
    carry = "-" if entry.carry_m is None else whole(from_si(entry.carry_m, units.distance))
    side = ""
    if entry.side_m is not None:
        off = round(change_from_si(abs(entry.side_m), units.distance))
        side = f"{off}{'R' if entry.side_m > 0 else 'L'}" if off else "0"
    still = "" if ball.still_m is None else f"about {whole(from_si(ball.still_m, units.distance))}"
    seen = {CarryOrigin.COMPUTED: "computed", CarryOrigin.CORRECTED: "corrected"}.get(shot.carry_origin, "")
    marks = [
        *(["mishit"] if entry.mishit else []),
        *([str(shot.mark)] if shot.mark else []),
        *([seen] if seen else []),
    ]
    wind = wind_words(wind_of(history, shot), units).partition(" (")[0]
    line = f"{local(shot.at):%d %b %y} {carry:>5} {side:>4}  {wind:22.22} {still:10} {', '.join(marks)}"
    return line.rstrip()


def _summary(figures: CellFigures, table: Snapshot, units: UnitChoice) -> tuple[str, ...]:
    unit = units.distance
    return (
        f"still air {figures.still_air_carry_m.words(units)} {unit}, "
        f"today {figures.carry_today_m.words(units)}; {balls_words(figures)}",
        f"today: {harmless(wind_words(table.conditions.wind, units))}",
    )


def _estimate(
    known: Known,
    table: Snapshot,
    figures: CellFigures,
    stated: StatedConditions,
    balls: Sequence[Ball],
    units: UnitChoice,
) -> EstimateView:
    still, today = _draws_of(known, table, figures.cell, stated, units)
    weights = known.posterior.weights
    ends = [
        float(end)
        for draws in (still, today)
        for end in report.quantiles(draws, weights, (_BALLS_FROM, 1 - _BALLS_FROM))
    ]
    seen = [ball.still_m for ball in balls if ball.still_m is not None and not ball.shot.entry.mishit]
    axis = Axis.around(ends, least=20.0)
    names = (("still air", still, figures.still_air_carry_m), ("today", today, figures.carry_today_m))
    humps = [Hump(name, hill(draws, weights, axis), axis.bar(carry, units)) for name, draws, carry in names]
    return EstimateView(
        still=humps[0],
        today=humps[1],
        ticks=axis.ticks(unit=units.distance),
        balls=tuple(axis.share(from_si(carry_m, units.distance)) for carry_m in seen),
        sentences=_estimate_sentences(figures, len(seen), units),
    )


def _draws_of(
    known: Known, table: Snapshot, cell: Cell, stated: StatedConditions, units: UnitChoice
) -> tuple[Floats, Floats]:
    """Draws (n,) of the cell's carry in still air and in the table's conditions, in the player's unit."""
    effects = known.bench.effects_in(table.conditions)
    setting = setting_of(known, table.conditions, table.reading, stated, effects, table.as_of)
    rng = np.random.default_rng(known.seed)
    i, posterior = known.bench.index[cell], known.posterior
    stock = from_si(float(posterior.cells.stock_carry_m[posterior.cells.club[i]]), units.distance)
    here = report.log_carry_in(posterior, setting, rng)[:, i]
    return stock * np.exp(posterior.draws.eta[:, i]), stock * np.exp(here)


def hill(draws: Floats, weights: Floats, axis: Axis) -> tuple[float, ...]:
    """A smooth picture of weighted draws: Gaussian kernels, Silverman's width, the highest place 1."""
    places = np.linspace(axis.low, axis.high, STEPS)
    mean = float(weights @ draws)
    sd = max(float(np.sqrt(weights @ (draws - mean) ** 2)), (axis.high - axis.low) / (4 * STEPS))
    size = 1.0 / float(np.sum(weights**2))
    width = 1.06 * sd * size**-0.2
    drawn = np.exp(-0.5 * ((places[:, None] - draws) / width) ** 2) @ weights
    return tuple((drawn / drawn.max()).tolist())


def _estimate_sentences(figures: CellFigures, seen: int, units: UnitChoice) -> tuple[str, ...]:
    said = [
        f"{seen} seen {'ball' if seen == 1 else 'balls'} worked back to still air." if seen else "No ball seen yet."
    ]
    if figures.shots and figures.wind_share >= 0.05:
        floor = round(change_from_si(figures.wind_floor_m, units.distance))
        share = 5 * round(20 * figures.wind_share)
        said.append(
            f"{share}% of what is not known of it is not knowing the wind; more balls in these winds leave ±{floor}."
        )
    return tuple(said)
