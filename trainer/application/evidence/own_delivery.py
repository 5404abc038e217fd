"""What the player's own strikes say of the cells' deliveries: how high and with how much spin each is really hit."""

from __future__ import annotations

import numpy as np

from trainer.application.evidence.cells import Bench
from trainer.application.evidence.doubted import doubted
from trainer.application.evidence.flown import wind_terms
from trainer.application.evidence.history import History
from trainer.application.evidence.own_flight import OwnFlights, own_flights
from trainer.application.evidence.unlike import unlike
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.estimate.observations import ResponseTold
from trainer.core.estimate.traits import LAUNCH_SHIFT_RAD, LOG_SPIN_SHIFT, mean_shift

RESPONSE_CELL_SD, RESPONSE_SHOT_SD = 0.10, 0.20
"""How far one cell's wind effect lies from what its delivery says, as a share of it, and one ball's as it is seen
(common practice: launch scatters by a degree or two, each of which changes a wind's cost by a tenth)."""

LEAST_WIND_LOG = 0.03
"""A wind that changes a carry by less says nothing of how a flight answers it."""


def bench_as_hit(history: History, bench: Bench) -> Bench:
    """`bench` with the deliveries shifted as the player's strikes show; player, swing and cell have each a part."""
    unfit = {*doubted(history, bench), *unlike(history, bench)}
    shots = [shot for shot in history.shots_that_count if not shot.entry.mishit and shot.id not in unfit]
    cells = np.array([bench.index[shot.cell] for shot in shots], dtype=np.int64)
    own = own_flights(shots, cells, history, bench, wind_terms(shots, cells, history, bench))
    if not own.told.any():
        return bench
    launch = bench.deliveries.launch
    usual_launch = np.asarray(launch.launch_rad)
    usual_spin = np.log(np.asarray(launch.spin_rad_s) / np.asarray(launch.ball_speed_mps))
    hit, balls, shift_rad = _medians(cells, own.told, own.launch_rad - usual_launch[cells])
    _, _, spin = _medians(cells, own.told, own.log_spin_ratio - usual_spin[cells])
    return bench.shifted(
        mean_shift(bench.arrays, hit, balls, shift_rad, LAUNCH_SHIFT_RAD),
        mean_shift(bench.arrays, hit, balls, spin, LOG_SPIN_SHIFT),
    )


def response_told(cells: Ints, own: OwnFlights, usual_wind_log: Floats) -> ResponseTold:
    """By how much own wind effects exceed the cells', which are `usual_wind_log` (n,): a word for each cell."""
    told = own.told & (np.abs(usual_wind_log) > LEAST_WIND_LOG)
    excess = own.wind_log / np.where(told, usual_wind_log, 1.0) - 1.0
    _, balls, value = _medians(cells, told, excess)
    return ResponseTold(value, np.hypot(RESPONSE_CELL_SD, RESPONSE_SHOT_SD / np.sqrt(np.maximum(balls, 1.0))))


def _medians(
    cells: Ints, of: np.ndarray[tuple[int], np.dtype[np.bool_]], seen: Floats
) -> tuple[Ints, Floats, Floats]:
    """Cells, how many balls of each count, and the median of what was seen: one bad strike moves it little."""
    hit = np.unique(cells[of])
    balls = np.array([float(np.sum(of & (cells == cell))) for cell in hit.tolist()])
    middle = np.array([float(np.median(seen[of & (cells == cell)])) for cell in hit.tolist()])
    return hit.astype(np.int64), balls, middle
