"""An invented player with 60 shots on each of many evenings (5,000 on 84) in as many winds, some of them mishit."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from trainer.application.demo.playing import Golfer, demo_profile
from trainer.core.bag import Cell, Swing
from trainer.core.conditions import REFERENCE_AIR, Wind, WindKnowledge
from trainer.core.flight.trajectory import fly
from trainer.core.flight.wind import wind_field
from trainer.core.shot import ShotEntry
from trainer.core.units import to_si
from trainer.store.records import NewImport, NewSession, NewShot
from trainer.store.store import open_store

EVENINGS, CELLS, BALLS = 84, 5, 12
INCH_M = to_si(1, "in")


def keep_long_history(path: Path, now: datetime, seed: int = 5, evenings: int = EVENINGS) -> int:
    """Fill a store up to `now`; gives how many shots it holds."""
    rng = np.random.default_rng(seed)
    golfer = Golfer(demo_profile())
    clubs = [*(f"{number} iron" for number in range(5, 10)), "pitching wedge"]
    kinds = ((0.0, Swing.FULL), (INCH_M, Swing.THREE_QUARTER), (INCH_M, Swing.FULL))
    cells = [Cell(club, grip_m, swing) for club in clubs for grip_m, swing in kinds]
    with open_store(path, write=True) as store:
        player = store.save_profile(golfer.profile, now - timedelta(days=3 * evenings + 1))
        for evening in range(evenings):
            start = now - timedelta(days=3 * (evenings - evening))
            wind = Wind(WindKnowledge.READ, float(rng.uniform(1, 8)), float(rng.choice([0.0, 0.5, 1.6, 3.1])))
            chosen = [cells[i] for i in rng.choice(len(cells), CELLS, replace=False)]
            shots = _evening(golfer, chosen, wind, start, rng)
            read = replace(wind, speed_mps=max(wind.speed_mps + float(rng.normal(0, 0.6)), 0.3))
            session = NewSession(player.id, start)
            raw = ((1, "flown"),)
            name, mark = f"evening-{evening}.csv", f"{evening:064x}"
            store.add_import(NewImport(player.id, session, name, mark, start, raw, shots, wind=read))
        return len(store.shots())


def _evening(
    golfer: Golfer, cells: list[Cell], wind: Wind, start: datetime, rng: np.random.Generator
) -> tuple[NewShot, ...]:
    day_log = float(rng.normal(0, golfer.day_log_sd))
    shots: list[NewShot] = []
    for cell in cells:
        launch = golfer.struck(cell, day_log, BALLS, rng)
        bad = rng.random(BALLS) < golfer.mishit_share
        lost = np.where(bad, np.exp(-np.abs(rng.normal(0.12, 0.05, BALLS))), 1.0)
        launch = replace(launch, ball_speed_mps=np.asarray(launch.ball_speed_mps) * lost)
        flight = fly(launch, wind_field(wind), REFERENCE_AIR, golfer.ball)
        for ball in range(BALLS):
            entry = ShotEntry(
                carry_m=round(float(flight.carry_m[ball] + rng.normal(0, golfer.eye_sd_m)), 1),
                side_m=round(float(flight.side_m[ball] + rng.normal(0, 2)), 1),
                mishit=bool(bad[ball] and rng.random() < 2 / 3),
            )
            shots.append(NewShot(at=start + timedelta(seconds=30 * len(shots)), cell=cell, entry=entry))
    return tuple(shots)
