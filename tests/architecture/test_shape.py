"""The shape of the house: lengths, docstrings, layers and what a light command may load."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "trainer"
MODULES = sorted(PACKAGE.rglob("*.py"))
LINES_A_MODULE, LINES_A_FUNCTION, LINES_A_CLASS = 400, 50, 300


def definitions(tree: ast.Module) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef]:
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            yield node


def reachable(tree: ast.Module) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef]:
    """Definitions that a reader can import or call on a class; those inside functions are not."""
    waiting: list[ast.Module | ast.ClassDef] = [tree]
    while waiting:
        for node in waiting.pop().body:
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
                yield node
            if isinstance(node, ast.ClassDef):
                waiting.append(node)


def length(node: ast.stmt) -> int:
    assert node.end_lineno is not None
    return node.end_lineno - node.lineno + 1


def too_long(path: Path) -> Iterator[str]:
    text = path.read_text(encoding="utf-8")
    if text.count("\n") > LINES_A_MODULE:
        yield str(path)
    for node in definitions(ast.parse(text)):
        if length(node) > (LINES_A_CLASS if isinstance(node, ast.ClassDef) else LINES_A_FUNCTION):
            yield f"{path}: {node.name}"


def without_docstring(path: Path) -> Iterator[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    if path.name != "__init__.py" and not ast.get_docstring(tree):
        yield str(path)
    for node in reachable(tree):
        if not node.name.startswith("_") and not ast.get_docstring(node):
            yield f"{path}: {node.name}"


def test_modules_functions_and_classes_stay_short() -> None:
    modules = [*MODULES, *(ROOT / "tests").rglob("*.py")]
    assert len(modules) > len(MODULES) > 0
    assert [found for path in modules for found in too_long(path)] == []


def test_everything_public_says_what_it_is() -> None:
    assert [found for path in MODULES for found in without_docstring(path)] == []


def test_the_top_level_holds_only_its_own() -> None:
    tracked = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    ).stdout.split()
    top = {name.split("/", 1)[0] for name in tracked if not name.startswith(".")}
    assert top <= {"README.md", "DEVELOPERS.md", "pyproject.toml", "trainer", "plans", "tests"}


def loaded_after(code: str) -> set[str]:
    script = f"import sys\n{code}\nprint(*sorted(name for name in sys.modules if '.' not in name))"
    result = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=ROOT)
    return set(result.stdout.splitlines()[-1].split())


HEAVY = {"numpy", "pydantic", "rich", "textual", "sqlite3"}


def test_help_loads_nothing_heavy() -> None:
    loaded = loaded_after(
        "from trainer.cli.main import run_process\ntry:\n    run_process(['--help'])\nexcept SystemExit:\n    pass"
    )
    assert not loaded & HEAVY


def test_a_wrong_word_is_refused_before_anything_heavy_loads() -> None:
    loaded = loaded_after("from trainer.cli.main import run_process\nrun_process(['no-such-command'])")
    assert not loaded & HEAVY


def test_importing_the_core_loads_no_edge() -> None:
    modules = [
        str(path.relative_to(ROOT).with_suffix("")).replace("/", ".")
        for path in (PACKAGE / "core").rglob("*.py")
        if path.name != "__init__.py"
    ]
    loaded = loaded_after("\n".join(f"import {name}" for name in modules))
    assert not loaded & {"sqlite3", "textual", "rich", "pydantic", "tomllib", "tomli_w"}
