"""The plans are found from a wheel as from an editable install."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A wheel built from this tree and unpacked, as an installer does."""
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=ROOT,
        check=True,
        capture_output=True,
        timeout=120,
    )
    site = folder / "site"
    with zipfile.ZipFile(next(folder.glob("*.whl"))) as wheel:
        wheel.extractall(site)
    return site


def plan_ids(python_path: Path | None, cwd: Path) -> set[str]:
    environ = {**os.environ, "TRAINER_STORE": str(cwd / "store.db")}
    argv = [sys.executable, "-m", "trainer", "plan", "list", "--json"]
    if python_path is not None:
        # -P and the path in front: the package comes from there, not from the checkout that pytest runs in.
        argv = [sys.executable, "-P", "-m", "trainer", "plan", "list", "--json"]
        environ["PYTHONPATH"] = str(python_path)
    result = subprocess.run(argv, cwd=cwd, env=environ, capture_output=True, text=True, check=True, timeout=60)
    return {plan["id"] for plan in json.loads(result.stdout)["plans"]}


def shipped() -> set[str]:
    return {path.stem for path in (ROOT / "plans").glob("*.toml")}


def test_a_wheel_brings_the_plans(unpacked: Path, tmp_path: Path) -> None:
    assert (unpacked / "trainer" / "shipped_plans").is_dir()
    assert plan_ids(unpacked, tmp_path) == shipped()


def test_a_checkout_finds_the_plans_at_its_top(tmp_path: Path) -> None:
    assert plan_ids(ROOT, tmp_path) == shipped()


def test_a_wheel_holds_the_program_and_no_tests(unpacked: Path) -> None:
    names = {path.relative_to(unpacked).parts[0] for path in unpacked.rglob("*") if path.is_file()}
    assert {name for name in names if not name.endswith(".dist-info")} == {"trainer"}
