"""Small wrong programs that the tests ought to find out: `python -m tests.mutation --part flight --sample 20`.

One place of trainer/core is changed at a time (a comparison's end, an operator, a constant by a tenth, a condition
turned round, a result dropped) in a copy of the tree, and the tests of its own folder are run. What survives either
does the same as the right program, or shows a test that is missing.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from tests.mutation.running import Fate, Trial, trials


def main(arguments: Sequence[str]) -> str:
    """The score and the survivors, as text or as one JSON object; each trial is told as it ends."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("--part", action="append", help="folder or module below trainer/core, again for more")
    parser.add_argument("--sample", type=int, default=30, help="how many mutants, 0 for all (default 30)")
    parser.add_argument("--seed", type=int, default=1, help="of the choice among them (default 1)")
    parser.add_argument("--json", action="store_true", help="one object, every trial")
    asked = parser.parse_args(arguments)
    parts: list[str] = asked.part or ["all"]
    done: list[Trial] = []
    with tempfile.TemporaryDirectory(prefix="mutants-") as scratch:
        for trial in trials(parts, asked.sample, asked.seed, Path(scratch)):
            done.append(trial)
            sys.stderr.write(_line(trial) + "\n")
            sys.stderr.flush()
    found = [trial for trial in done if trial.fate is not Fate.SURVIVED]
    if asked.json:
        rows = [
            {"module": t.module, "line": t.mutant.line, "before": t.mutant.before, "after": t.mutant.after,
             "fate": t.fate.value}
            for t in done
        ]  # fmt: skip
        return json.dumps(
            {"parts": parts, "seed": asked.seed, "tried": len(done), "found": len(found), "trials": rows}
        )
    survivors = [_line(trial) for trial in done if trial.fate is Fate.SURVIVED]
    return "\n".join([f"{len(found)} of {len(done)} mutants found out; survivors:", *(survivors or ["none"])])


def _line(trial: Trial) -> str:
    mutant = trial.mutant
    return f"{trial.fate}: {trial.module}:{mutant.line}: {mutant.before}  ->  {mutant.after}"


if __name__ == "__main__":
    sys.stdout.write(main(sys.argv[1:]) + "\n")
