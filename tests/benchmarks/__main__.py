"""Every benchmark in one run, as a table or as JSON: `python -m tests.benchmarks [--json] [--only EXPRESSION]`.

One thread, one after another. What a machine that does something else too loses is lost by the named peers of the
same run as well, so ratios hold; figures in their own unit are only worth as much as the load beside them.
"""

from __future__ import annotations

import argparse
import compileall
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from tests.benchmarks.told import LISTENER, Told, number

ROOT = Path(__file__).parents[2]
COLUMNS = ("name", "figure", "wanted", "ratio", "of", "goal", "met", "load")


def main(arguments: Sequence[str]) -> tuple[str, int]:
    """What to print, and the exit code: 1 where a ratio's goal is missed or a benchmark broke."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("--json", action="store_true", help="one object, every figure")
    parser.add_argument("--only", default="", help="those whose names match, as pytest's -k")
    asked = parser.parse_args(arguments)
    found, code = run(asked.only)
    if asked.json:
        rows = [{**row_of(told), "met": told.met} for told in found]
        return json.dumps({"processors": os.cpu_count(), "all_ran": code in (0, 1), "benchmarks": rows}), code
    return in_words(found), code


def run(only: str) -> tuple[list[Told], int]:
    """Run the benchmarks, their talk on standard error; what they told, and pytest's exit code."""
    compileall.compile_dir(str(ROOT / "trainer"), quiet=2)
    with tempfile.TemporaryDirectory(prefix="benchmarks-") as scratch:
        listener = Path(scratch) / "told.jsonl"
        listener.touch()
        environ = {**os.environ, LISTENER: str(listener), "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
        command = [sys.executable, "-m", "pytest", "tests/benchmarks", "-m", "benchmark", "-q", "-s"]
        if only:
            command += ["-k", only]
        done = subprocess.run(command, cwd=ROOT, env=environ, stdout=sys.stderr, check=False)
        lines = listener.read_text(encoding="utf-8").splitlines()
    return [Told(**json.loads(line)) for line in lines], done.returncode


def row_of(told: Told) -> dict[str, object]:
    """The fields of a line."""
    return {name: getattr(told, name) for name in Told.__slots__}


def in_words(found: Sequence[Told]) -> str:
    """A Markdown table, then the goals that were not met."""
    rows = [COLUMNS, ["---"] * len(COLUMNS), *(_cells(told) for told in found)]
    lines = [f"| {' | '.join(row)} |" for row in rows]
    missed = [str(told) for told in found if not told.met]
    return "\n".join(
        [*lines, "", "Goals not met:" if missed else "Every goal met.", *(f"- {each}" for each in missed)]
    )


def _cells(told: Told) -> Sequence[str]:
    of = f"× {told.ratio_of} of {told.peer}"
    figure = f"{number(told.figure)} {told.unit}"
    met = "yes" if told.met else "no" if not told.ratio_met else "ratio only"
    return (told.name, figure, told.figure_goal or "", number(told.ratio), of, told.goal, met, f"{told.load:.1f}")


if __name__ == "__main__":
    said, exit_code = main(sys.argv[1:])
    sys.stdout.write(said + "\n")
    sys.exit(exit_code)
