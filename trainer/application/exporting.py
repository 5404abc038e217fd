"""Everything of a player as files, by name: what leaves is readable without the trainer."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime

from trainer.application.conditions import StatedConditions
from trainer.application.estimates import snapshot
from trainer.application.history import read_history
from trainer.application.reports import gaps_data
from trainer.application.shot_list import list_shots, shots_csv, shots_data
from trainer.exchange.profile_toml import write_profile
from trainer.store.store import Store


def export_files(store: Store, alias: str | None, now: datetime) -> Mapping[str, str]:
    """Texts by file name: `shots.csv` (a row a shot in recorded order), `shots.json`, `profile.toml`, `gaps.json`."""
    listed = list_shots(store, alias)
    history = read_history(store, alias)
    figures = gaps_data(snapshot(history, StatedConditions(), now), history.profile)
    return {
        "shots.csv": shots_csv(listed),
        "shots.json": json.dumps(shots_data(listed), allow_nan=False, ensure_ascii=False, indent=1),
        "profile.toml": write_profile(history.profile),
        "gaps.json": json.dumps(figures, allow_nan=False, ensure_ascii=False, indent=1),
    }
