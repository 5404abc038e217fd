"""The dependencies are pinned: every one that an installation brings, by name and version and nothing else."""

from __future__ import annotations

import re
import tomllib
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

ROOT = Path(__file__).parents[2]

MENDED_IN = {
    "filelock": "3.20.3",  # CVE-2025-68146, CVE-2026-22701: a lock's file could be a link to another
    "markdown-it-py": "2.2.0",  # GHSA-vrjv-mxr7-vjf8, GHSA-jrwr-5x3p-hvc3: a crafted text stops the reader
    "numpy": "1.22.2",  # CVE-2021-33430, CVE-2021-41495, CVE-2021-41496; CVE-2019-6446 (pickles: none here)
    "pydantic": "2.4.0",  # CVE-2024-3772: a crafted e-mail address stops the check
    "pygments": "2.20.0",  # CVE-2026-4539: a crafted text stops a lexer
    "pytest": "9.0.3",  # CVE-2025-71176: temporary folders of a name that others can guess
}
"""The first version without any hole we know of, as read in the projects' own advisories on 1 December 2026.

Nothing was found of the other distributions that the program installs (annotated-types, linkify-it-py,
mdit-py-plugins, mdurl, platformdirs, rich, textual, tomli-w, typing-extensions, typing-inspection). A search by hand
is no database: before a release the command in DEVELOPERS.md asks one.
"""


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


def test_no_pin_is_older_than_the_mend_of_a_known_hole() -> None:
    held = pins()
    assert {name for name, mended in MENDED_IN.items() if Version(held[name]) < Version(mended)} == set()


def test_no_declared_dependency_lets_in_a_version_with_a_known_hole() -> None:
    with (ROOT / "pyproject.toml").open("rb") as file:
        project = tomllib.load(file)["project"]
    for text in [*project["dependencies"], *project["optional-dependencies"]["dev"]]:
        one = Requirement(text)
        if mended := MENDED_IN.get(str(canonicalize_name(one.name))):
            least = next(part.version for part in one.specifier if part.operator == ">=")
            assert Version(least) >= Version(mended), one.name
