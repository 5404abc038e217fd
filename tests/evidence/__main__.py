"""Simulated seasons from the command line: `python -m tests.evidence --players 12 --seed 1 [--json]`."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Mapping, Sequence
from typing import Any

from tests.evidence.season_choices import BANDS_MPS
from tests.evidence.season_evenings import BALLS, EVENINGS
from tests.evidence.season_golfers import AERODYNAMICS
from tests.evidence.season_methods import OURS
from tests.evidence.seasons import ARMS, GOAL_YD, play_seasons, table_of

FIRST_COLUMNS = (
    ("rmse_yd", "still-air error, yd"),
    ("coverage80", "80 % held"),
    ("balls_to_goal", f"balls to ±{GOAL_YD:g} yd"),
    ("regret_yd", "regret, yd"),
)
ARM_TITLES = {
    "agenda": "balls of six shipped plans",
    "round_robin": "the twelve wanted shots in turn",
}


def main(arguments: Sequence[str]) -> str:
    """The table as text, or as one JSON object."""
    parser = argparse.ArgumentParser(prog="python -m tests.evidence", description=__doc__)
    parser.add_argument("--players", type=int, default=12, help="how many golfers (default 12)")
    parser.add_argument("--seed", type=int, default=1, help="of everything drawn (default 1)")
    parser.add_argument("--json", action="store_true", help="one object, every figure")
    asked = parser.parse_args(arguments)
    if asked.players < 1 or asked.seed < 0:
        parser.error("give at least one player, and a seed of 0 or more")
    table = table_of(play_seasons(asked.players, asked.seed))
    if asked.json:
        return json.dumps({"players": asked.players, "seed": asked.seed, "aerodynamics": AERODYNAMICS} | table)
    return in_words(table, asked.players, asked.seed)


def in_words(table: Mapping[str, Any], players: int, seed: int) -> str:
    """Markdown tables with the command that made them."""
    command = f"python -m tests.evidence --players {players} --seed {seed}"
    lines = [
        f"`{command}`: {players} invented golfers, tour to 30 handicap, {EVENINGS} evenings of {BALLS} balls, "
        f"flown by {' and '.join(AERODYNAMICS)}.",
    ]
    for arm in ARMS:
        lines += ["", f"**{ARM_TITLES[arm].capitalize()}**", "", *_after_the_season(table[arm])]
        lines += ["", *_by_evening(table[arm]), "", _when_fresh(table[arm][OURS])]
    return "\n".join(lines)


def _after_the_season(rows: Mapping[str, Any]) -> list[str]:
    bands = [f"regret {band}" for band in BANDS_MPS]
    called = ["called 50 % held", "called 80 % held", "CRPS, yd"]
    said_calls = any(row.get("called80_held") is not None for row in rows.values())
    head = ["method", *(title for _, title in FIRST_COLUMNS), *bands, *(called if said_calls else [])]
    lines = [_line(head), _line(["---", *["---:"] * (len(head) - 1)])]
    for name, row in rows.items():
        cells = [_said(row.get(key), key) for key, _ in FIRST_COLUMNS]
        by_wind = row.get("regret_yd_by_wind", {})
        cells += [_said(by_wind.get(band), "regret_yd") for band in BANDS_MPS]
        if said_calls:
            cells += [_said(row.get(key), key) for key in ("called50_held", "called80_held", "called_crps_yd")]
        lines.append(_line([name.replace("_", " "), *cells]))
    return lines


def _by_evening(rows: Mapping[str, Any]) -> list[str]:
    played = len(rows[OURS]["rmse_yd_by_evening"])
    head = ["after evening", *(str(number) for number in range(1, played + 1))]
    lines = [_line(head), _line(["---", *["---:"] * played])]
    for key, what in (
        ("rmse_yd", "still-air error, yd"),
        ("coverage80", "still-air 80 % held"),
        ("today_rmse_yd", "today's error, yd"),
        ("today_coverage80", "today's 80 % held"),
    ):
        for name, row in rows.items():
            values = row.get(f"{key}_by_evening")
            if values is not None and any(value is not None for value in values):
                cells = [_said(value, key) for value in values]
                lines.append(_line([f"{name.replace('_', ' ')}: {what}", *cells]))
    return lines


def _when_fresh(ours: Mapping[str, Any]) -> str:
    error, held = (_said(ours[key], key) for key in ("fresh_rmse_yd", "fresh_coverage80"))
    return (
        f"Held against what he carries when fresh, not halfway through a session: ours {error} yd, 80 % held {held}."
    )


def _said(value: float | None, key: str) -> str:
    if value is None:
        return "–"
    if "coverage" in key or "held" in key:
        return f"{value:.2f}"
    return f"{value:.0f}" if key == "balls_to_goal" else f"{value:.1f}"


def _line(cells: Sequence[str]) -> str:
    return f"| {' | '.join(cells)} |"


if __name__ == "__main__":
    sys.stdout.write(main(sys.argv[1:]) + "\n")
