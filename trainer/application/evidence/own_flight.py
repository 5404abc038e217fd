"""The flight of a ball itself, where more than its carry was seen: launch data, time in the air or height.

The wind effect of such a ball is its own, not its cell's: a low strike that was said to be a full one then costs no
more wind than it met. Launch data give a second carry, that of the flight calculation; a device that computed the
carry from them has said the same thing once already, so there only one of the two is taken.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from trainer.application.evidence.cells import Bench
from trainer.application.evidence.flown import WindTerms, by_air, field_of
from trainer.application.evidence.history import History
from trainer.core.conditions import Air, Conditions, Seen
from trainer.core.estimate.evidence import Floats, Ints
from trainer.core.estimate.observations import Bools
from trainer.core.flight.limits import LIMITS
from trainer.core.flight.sighting import Sight, strike_from_sight
from trainer.core.flight.trajectory import Launch, fly
from trainer.core.flight.wind import WindField
from trainer.core.flight.wind_effect import wind_effects
from trainer.core.shot import CarryOrigin, ShotEntry
from trainer.store.records import ShotRecord

HANG_SD_S = 0.15
"""Two taps of a key on the strike and the landing, s.d. (common practice)."""

APEX_RELATIVE_SD = {Seen.EYE: 0.25, Seen.FLAG: 0.25, Seen.LASER: 0.10, Seen.DEVICE: 0.05}
LOG_SPEED_SD, LAUNCH_SD_RAD, LOG_SPIN_SD = 0.01, np.deg2rad(1.5), 0.15
"""How far a ball speed, a launch angle and a spin are off (common practice)."""

GUESSED_LOG_SPIN_SD = 0.25
"""A spin that was not measured is taken from the cell's reference delivery."""

WORTH_IT = 0.25
"""A sight is used where it tells the wind effect better than the prior of the player's wind response, a quarter."""


@dataclass(frozen=True, slots=True)
class OwnFlights:
    """Per shot (n,): `told` where its own flight is known, `wind_log` its wind effect, slopes of log carry per m/s.

    `flown_m` is the still-air carry of its launch data, 0 where there are none, with the error `flown_sd_log`. Where
    the flight was told by a sight, `per_carry` is how much of the carry's error is left in the still-air carry, and
    `sight_sd_log` what the sight's own error adds; elsewhere they are 1 and 0. `launch_rad` and `log_spin_ratio` (of
    spin to ball speed, rad/m) are the strike's; a spin that nobody measured is the cell's own.
    """

    told: Bools
    wind_log: Floats
    along_per_mps: Floats
    across_per_mps: Floats
    flown_m: Floats
    flown_sd_log: Floats
    per_carry: Floats
    sight_sd_log: Floats
    launch_rad: Floats
    log_spin_ratio: Floats
    spread_log: Floats


_ROWS = (
    "wind_log", "along_per_mps", "across_per_mps", "flown_m", "flown_sd_log", "per_carry", "sight_sd_log",
    "launch_rad", "log_spin_ratio",
)  # fmt: skip
_Row = tuple[float, ...]


def own_flights(
    shots: Sequence[ShotRecord], cells: Ints, history: History, bench: Bench, terms: WindTerms
) -> OwnFlights:
    """The own flights of `shots`, whose cells are at `cells` in the bench and whose reference flights are `terms`.

    They do not depend on what was learned of the cells' deliveries.
    """
    bench = bench.unshifted
    values, told = np.zeros((len(_ROWS), len(shots))), np.zeros(len(shots), dtype=bool)
    values[_ROWS.index("per_carry")] = 1.0
    spread = terms.spread_log.copy()
    for (air, _), members in by_air(shots, history).items():
        flights = _Flights([shots[i] for i in members], cells[members], history, bench, air)
        for which, rows in (flights.launched(), flights.sighted(np.log(terms.carry_m / terms.still_m)[members])):
            at = np.array(members, dtype=np.int64)[which]
            values[:, at], told[at] = rows, True
            calm = bench.scatter_in(Conditions(air=air)).log_carry_sd
            spread[at] = calm[cells[at]]
    return OwnFlights(told=told, spread_log=spread, **dict(zip(_ROWS, values, strict=True)))


def has_launch_data(shot: ShotRecord) -> bool:
    """Whether a ball's launch data are a word of their own on its carry."""
    entry = shot.entry
    if entry.ball_speed_mps is None or entry.launch_rad is None:
        return False
    if entry.carry_m is not None and shot.carry_origin is not CarryOrigin.SEEN:
        return False
    spin = 0.0 if entry.spin_rad_s is None else entry.spin_rad_s
    data = (("ball speed", entry.ball_speed_mps), ("launch angle", entry.launch_rad), ("spin", spin))
    return all(LIMITS[name].low <= value <= LIMITS[name].high for name, value in data)


def _sight_of(shot: ShotRecord) -> tuple[Sight, float, float] | None:
    """What was seen beside a carry, and its error."""
    entry = shot.entry
    if entry.carry_m is None or entry.mishit or shot.carry_origin is not CarryOrigin.SEEN or has_launch_data(shot):
        return None
    if entry.hang_s is not None:
        return Sight.HANG, entry.hang_s, HANG_SD_S
    if entry.apex_m is not None:
        return Sight.APEX, entry.apex_m, APEX_RELATIVE_SD[shot.seen] * entry.apex_m
    return None


class _Flights:
    """Shots of one air, to be flown together; each is flown once and kept."""

    def __init__(self, shots: Sequence[ShotRecord], cells: Ints, history: History, bench: Bench, air: Air) -> None:
        self._shots, self._cells, self._bench, self._air = shots, cells, bench, air
        self._wind = field_of(shots, history)

    def launched(self) -> tuple[list[int], Floats]:
        """Which shots have launch data, and their rows (…, k)."""
        which = [i for i, shot in enumerate(self._shots) if has_launch_data(shot)]
        return which, self._kept(which, self._flown)

    def sighted(self, wind_log: Floats) -> tuple[list[int], Floats]:
        """Which shots a sight tells more of than the cell's own flight, and their rows (…, k)."""
        seen = [i for i, shot in enumerate(self._shots) if _sight_of(shot) is not None]
        rows = self._kept(seen, self._solved)
        error = rows[_ROWS.index("sight_sd_log")]
        better = (error > 0) & (error < WORTH_IT * np.abs(wind_log[seen]))
        return [i for i, use in zip(seen, better, strict=True) if use], rows[:, better]

    def _kept(self, which: Sequence[int], fly_them: Callable[[Ints], Floats]) -> Floats:
        """Rows (…, k) of the shots `which`; what was flown before is not flown again."""
        if not which:
            return np.zeros((len(_ROWS), 0))
        known = _known_rows(self._bench, self._air)
        keys = [self._key(i) for i in which]
        missing = np.array([i for i, key in zip(which, keys, strict=True) if key not in known], dtype=np.int64)
        if len(missing):
            known.update(zip((self._key(int(i)) for i in missing), fly_them(missing).T, strict=True))
        return np.array([known[key] for key in keys]).T

    def _key(self, i: int) -> tuple[object, ...]:
        entry, wind, shot = self._shots[i].entry, self._wind, self._shots[i]
        seen = (entry.carry_m, entry.hang_s, entry.apex_m, shot.seen)
        launch = (entry.ball_speed_mps, entry.launch_rad, entry.spin_rad_s)
        met = tuple(float(np.asarray(part)[i]) for part in (wind.along_mps, wind.across_mps, wind.height_m))
        return int(self._cells[i]), *seen, *launch, *met

    def _wind_of(self, which: Ints) -> WindField:
        along, across, height = (
            np.asarray(part)[which] for part in (self._wind.along_mps, self._wind.across_mps, self._wind.height_m)
        )
        return WindField(along, across, height)

    def _flown(self, which: Ints) -> Floats:
        """Rows of shots with launch data: what the flight makes of them, and of the device's errors."""
        entries = [self._shots[i].entry for i in which]
        usual = np.asarray(self._bench.deliveries.launch.spin_rad_s)[self._cells[which]]
        guessed = np.array([entry.spin_rad_s is None for entry in entries])
        speed, launch, spin = (_measured(entries, name) for name in ("ball_speed_mps", "launch_rad", "spin_rad_s"))
        spin = np.where(guessed, usual, spin)
        wind = self._wind_of(which)
        effects = wind_effects(
            Launch(speed, launch, spin), wind.along_mps, wind.across_mps, wind.height_m, air=self._air
        )
        still = np.maximum(effects.carry_still_m, 1.0)
        spin_error = np.where(guessed, GUESSED_LOG_SPIN_SD, LOG_SPIN_SD)
        slower = speed * np.exp(LOG_SPEED_SD * np.array([[-1.0], [0.0], [0.0]]))
        less = fly(
            Launch(
                np.maximum(slower, LIMITS["ball speed"].low),
                np.maximum(launch - LAUNCH_SD_RAD * np.array([[0.0], [1.0], [0.0]]), LIMITS["launch angle"].low),
                spin * np.exp(-spin_error * np.array([[0.0], [0.0], [1.0]])),
            )
        ).carry_m
        error = np.sqrt(np.sum(np.log(np.maximum(less, 1.0) / still) ** 2, axis=0))
        carry = np.maximum(effects.carry_m, 1.0)
        rows = (
            np.log(carry / still), effects.slope_along_m_per_mps / carry, effects.slope_across_m_per_mps / carry,
            still, error, np.ones(len(which)), np.zeros(len(which)), launch, np.log(np.maximum(spin, 1.0) / speed),
        )  # fmt: skip
        return np.stack(rows)

    def _solved(self, which: Ints) -> Floats:
        """Rows of shots with a sight: the strike that explains it and the carry; nothing where none does."""
        rows = np.zeros((len(_ROWS), len(which)))
        sights = [_sight_of(self._shots[i]) for i in which]
        for kind in Sight:
            of = np.array([sight is not None and sight[0] is kind for sight in sights])
            if of.any():
                seen, error = (np.array([s[k] for s in sights if s is not None and s[0] is kind]) for k in (1, 2))
                rows[:, of] = self._solved_by(which[of], kind, seen, error)
        return rows

    def _solved_by(self, which: Ints, kind: Sight, seen: Floats, error: Floats) -> Floats:
        carry = _measured([self._shots[i].entry for i in which], "carry_m")
        launch = self._bench.deliveries.launch
        cells = self._cells[which]
        usual = Launch(*(np.asarray(v)[cells] for v in (launch.ball_speed_mps, launch.launch_rad, launch.spin_rad_s)))
        wind = self._wind_of(which)
        # A metre a second less along and across, and the same carry and sight: another strike, another still carry.
        # Towards no wind, so that none passes the flight's limit.
        along, across = np.asarray(wind.along_mps), np.asarray(wind.across_mps)
        steps = np.where(along > 0, -1.0, 1.0), np.where(across > 0, -1.0, 1.0)
        winds = WindField(
            along + steps[0] * np.array([[0.0], [1.0], [0.0]]),
            across + steps[1] * np.array([[0.0], [0.0], [1.0]]),
            np.asarray(wind.height_m),
        )
        told = strike_from_sight(carry, seen, kind, usual, winds, self._air)
        can = told.can_tell.all(axis=0)
        still, one, other = np.where(can, told.carry_m, 1.0)
        rows = np.stack([
            np.log(carry / still), -steps[0] * np.log(one / still), -steps[1] * np.log(other / still),
            np.zeros(len(which)),
            np.zeros(len(which)), told.slope_carry[0] * carry / still, np.abs(told.slope_seen[0]) * error / still,
            told.launch_rad[0], np.log(np.maximum(told.spin_rad_s[0], 1.0) / np.maximum(told.ball_speed_mps[0], 1.0)),
        ])  # fmt: skip
        return np.where(can, rows, 0.0)


def _measured(entries: Sequence[ShotEntry], name: str) -> Floats:
    return np.array([getattr(entry, name) or 0.0 for entry in entries])


@lru_cache(maxsize=64)
def _known_rows(bench: Bench, air: Air) -> dict[tuple[object, ...], Floats]:
    return {}
