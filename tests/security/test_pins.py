"""The dependencies are pinned: every one that an installation brings, by name and version and nothing else."""

from __future__ import annotations

import re
import tomllib
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[2]


def pins() -> dict[str, str]:
    found = {}
    for line in (ROOT / ".ci" / "constraints.txt").read_text(encoding="utf-8").splitlines():
        match = re.fullmatch(r"([A-Za-z0-9._-]+)==([A-Za-z0-9.+!-]+)", line)
        assert match, f"neither a name nor a version: {line!r}"
        found[str(canonicalize_name(match[1]))] = match[2]
    return found


def needed() -> set[str]:
    """Every distribution that `pip install '.[dev]'` and the build of a wheel bring, here and now."""
    with (ROOT / "pyproject.toml").open("rb") as file:
        project = tomllib.load(file)
    texts = [
        *project["project"]["dependencies"],
        *project["project"]["optional-dependencies"]["dev"],
        *project["build-system"]["requires"],
    ]
    waiting = [Requirement(text) for text in texts]
    known: set[str] = set()
    while waiting:
        one = waiting.pop()
        name = str(canonicalize_name(one.name))
        try:
            requires = distribution(name).requires or []
        except PackageNotFoundError:
            assert name in known, f"{name} is not installed"
            continue
        extras = {"", *one.extras}
        if name in known and not one.extras:
            continue
        known.add(name)
        for text in requires:
            more = Requirement(text)
            if more.marker is None or any(more.marker.evaluate({"extra": extra}) for extra in extras):
                waiting.append(more)
    return known


def test_every_dependency_is_pinned() -> None:
    assert needed() - set(pins()) == set()


def test_the_pins_are_what_is_tested_here() -> None:
    held, wanted = pins(), needed()
    assert len(wanted) > 20
    installed = {name: distribution(name).version for name in wanted}
    assert installed == {name: held[name] for name in wanted}


def test_run_time_dependencies_have_a_least_version_and_no_place_they_come_from() -> None:
    with (ROOT / "pyproject.toml").open("rb") as file:
        project = tomllib.load(file)
    for text in project["project"]["dependencies"]:
        one = Requirement(text)
        assert one.url is None
        assert str(one.specifier).startswith(("<", ">="))
        assert pins()[str(canonicalize_name(one.name))] in one.specifier
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "--constraint .ci/constraints.txt" in script
