"""One mutant at a time in a copy of the tree, held against the tests of its own folder."""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from tests.mutation.mutants import Mutant, mutants, mutated

ROOT = Path(__file__).parents[2]
CORE = Path("trainer/core")
COPIED = ("trainer", "tests", "plans", "pyproject.toml", "README.md")
SLOWER, AT_LEAST_S = 4.0, 20.0
"""A mutant that takes so many times as long as the right program, and this long at least, never ends."""


class Fate(StrEnum):
    """What became of a mutant; one that never ended was found out too."""

    KILLED = "killed"
    ENDLESS = "never ended"
    SURVIVED = "survived"


@dataclass(frozen=True, slots=True)
class Trial:
    """A mutant of a module (path below trainer/core) and its fate."""

    module: str
    mutant: Mutant
    fate: Fate


def modules_of(part: str) -> list[Path]:
    """Modules of a part: a folder or one module below trainer/core, or `all`; paths from the root."""
    if part == "all":
        found = sorted((ROOT / CORE).rglob("*.py"))
    else:
        place = ROOT / CORE / part
        found = sorted(place.rglob("*.py")) if place.is_dir() else [place.with_suffix(".py")]
    paths = [path for path in found if path.is_file() and path.name != "__init__.py"]
    if not paths:
        raise SystemExit(f"--part {part}: no such folder or module below {CORE}, try units or flight/wind")
    return [path.relative_to(ROOT) for path in paths]


def chosen(parts: list[str], sample: int, seed: int) -> list[tuple[Path, Mutant]]:
    """`sample` mutants (0: all) of the parts' modules, drawn alike from all of them, module by module."""
    every = [
        (path, mutant)
        for path in dict.fromkeys(path for part in parts for path in modules_of(part))
        for mutant in mutants((ROOT / path).read_text(encoding="utf-8"))
    ]
    if not sample or sample >= len(every):
        return every
    return [every[at] for at in sorted(random.Random(seed).sample(range(len(every)), sample))]


def own_tests(module: Path) -> list[str]:
    """The module's own tests first, then those of its folder, as paths from the root."""
    folder = Path("tests") / module.relative_to("trainer").parent
    own = folder / f"test_{module.name}"
    if module.parent == CORE and (ROOT / own).exists():
        return [str(own)]
    every = sorted(path.relative_to(ROOT) for path in (ROOT / folder).glob("test_*.py"))
    return [str(path) for path in sorted(every, key=lambda path: path != own)]


def trials(parts: list[str], sample: int, seed: int, scratch: Path) -> Iterator[Trial]:
    """Try mutants one after another in a copy of the tree below `scratch`.

    Raises RuntimeError where the tests of a module fail before it is changed, or are not those of the copy.
    """
    copy = scratch / "tree"
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, copy / name, ignore=shutil.ignore_patterns("__pycache__", ".*"))
        else:
            copy.mkdir(exist_ok=True)
            shutil.copy2(source, copy / name)
    _require_own(copy)
    limits: dict[Path, float] = {}
    for module, mutant in chosen(parts, sample, seed):
        if module.parent not in limits or module.parent == CORE:
            limits[module.parent] = _limit_s(copy, module)
        path = copy / module
        right = path.read_text(encoding="utf-8")
        path.write_text(mutated(right, mutant.number), encoding="utf-8")
        try:
            fate = _fate(copy, module, limits[module.parent])
        finally:
            path.write_text(right, encoding="utf-8")
        yield Trial(str(module.relative_to(CORE)), mutant, fate)


def _require_own(copy: Path) -> None:
    script = "import trainer; print(trainer.__file__)"
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=copy, env=_environ(copy), capture_output=True, text=True, check=True
    )
    if not Path(done.stdout.strip()).is_relative_to(copy):
        raise RuntimeError(f"the copy's tests would run {done.stdout.strip()}, not the copy")


def _limit_s(copy: Path, module: Path) -> float:
    began = time.perf_counter()
    done = _run(copy, module, None)
    if done != 0:
        raise RuntimeError(f"the tests of {module} fail before anything is changed")
    return max(AT_LEAST_S, SLOWER * (time.perf_counter() - began))


def _fate(copy: Path, module: Path, limit_s: float) -> Fate:
    try:
        return Fate.SURVIVED if _run(copy, module, limit_s) == 0 else Fate.KILLED
    except subprocess.TimeoutExpired:
        return Fate.ENDLESS


def _run(copy: Path, module: Path, limit_s: float | None) -> int:
    """The exit code of the module's tests in the copy."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", "-p", "tests.mutation.plugin"]
    done = subprocess.run(
        [*command, *own_tests(module)],
        cwd=copy, env=_environ(copy), capture_output=True, timeout=limit_s, check=False,
    )  # fmt: skip
    return done.returncode


def _environ(copy: Path) -> dict[str, str]:
    """No byte code (a mutant made within a second of the last would be taken for it), the copy before all else."""
    return {**os.environ, "PYTHONDONTWRITEBYTECODE": "1", "PYTHONPATH": str(copy), "OMP_NUM_THREADS": "1", "CI": "1"}
