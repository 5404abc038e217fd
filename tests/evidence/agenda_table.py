"""The table that is kept of the agenda's race, and how it is made anew: `python -m tests.evidence.agenda_table`."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from tests.evidence.agenda_evenings import GOAL_M, SCENARIOS, WANTED, Stretch, stretches
from tests.evidence.agenda_players import Golfer, invent
from tests.evidence.agenda_race import STOPS, Finish, mean_balls, race
from tests.evidence.agenda_rules import RULES
from tests.evidence.agenda_sampler import race_together

KEPT = Path(__file__).with_name("agenda_results.json")
FIRST_SEED = 1000
PLAYERS = {"exact": 64, "sampled": 60}
SAMPLED_RULES = ("whole session", "balls that tell", "round-robin")
BASE = "round-robin"

Finishes = Mapping[str, Sequence[Mapping[str, Finish]]]
"""By rule, of each golfer, by stop rule."""

Row = dict[str, float]
Table = dict[str, dict[str, Row]]
"""By stop rule and rule."""


def golfers(scenario: str, players: int) -> list[tuple[Golfer, list[Stretch]]]:
    """The same golfers and winds for every rule and model."""
    found = []
    for player in range(players):
        rng = np.random.default_rng(FIRST_SEED + player)
        found.append((invent(rng), stretches(rng, scenario)))
    return found


def run_exact(scenario: str, players: int, rules: Sequence[str] = tuple(RULES)) -> Finishes:
    """Every rule on the exact Gaussian model."""
    who = golfers(scenario, players)
    return {
        rule: [race(golfer, winds, RULES[rule], seed) for seed, (golfer, winds) in enumerate(who)] for rule in rules
    }


def run_sampled(scenario: str, players: int, rules: Sequence[str] = SAMPLED_RULES) -> Finishes:
    """The rules on the sampled model."""
    who = golfers(scenario, players)
    return {rule: race_together(who, RULES[rule], FIRST_SEED) for rule in rules}


def table_of(finishes: Finishes) -> Table:
    """Mean balls, their ratio to round-robin's, the share of truths held at stopping, and who was not done."""
    return {stop: {rule: _row(stop, rule, finishes) for rule in finishes} for stop in STOPS}


def _row(stop: str, rule: str, finishes: Finishes) -> Row:
    of = [golfer[stop] for golfer in finishes[rule]]
    balls, base = mean_balls(of), mean_balls(golfer[stop] for golfer in finishes[BASE])
    done = [one.held for one in of if one.balls is not None]
    return {
        "balls": round(balls, 1),
        "of_round_robin": round(balls / base, 3),
        "held_80": round(float(np.mean(done)), 3),
        "not_done": sum(one.balls is None for one in of),
    }


def in_words(title: str, table: Table) -> str:
    """The table as lines of text."""
    lines = [title]
    for stop, rows in table.items():
        lines.append(f"  {stop}:")
        for rule, row in rows.items():
            words = f"    {rule:16} {row['balls']:6.0f} balls, {row['of_round_robin']:.2f} of round-robin"
            lines.append(f"{words}, 80 % intervals held {row['held_80']:.2f}, not done {row['not_done']:.0f}")
    return "\n".join(lines)


def main(models: Sequence[str], scenarios: Sequence[str] = SCENARIOS) -> None:
    """Run the races of `models` and put their tables in the kept file; the others stay as they are."""
    kept = json.loads(KEPT.read_text(encoding="utf-8")) if KEPT.exists() else {}
    kept["about"] = (
        f"balls until {len(WANTED)} still-air carries are within ±{GOAL_M / 0.9144:.0f} yd (80 %) beyond the floor; "
        f"golfers from seed {FIRST_SEED} on; made by: python -m tests.evidence.agenda_table {' '.join(PLAYERS)}"
    )
    run = {"exact": run_exact, "sampled": run_sampled}
    for model in models:
        for scenario in scenarios:
            table = table_of(run[model](scenario, PLAYERS[model]))
            kept.setdefault(model, {})[scenario] = {"golfers": PLAYERS[model], "stops": table}
            sys.stdout.write(in_words(f"{model}, {scenario}", table) + "\n")
            KEPT.write_text(json.dumps(kept, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:] or tuple(PLAYERS))
