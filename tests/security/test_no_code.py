"""No file that is read can run: not TOML, CSV, a result file, a store, or what is kept beside it."""

from __future__ import annotations

import ast
import pickle
import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from tests.cli.program import Program
from trainer.application.estimates.kept import KeptPosteriors
from trainer.application.estimates.learning import forget_all

PACKAGE = Path(__file__).parents[2] / "trainer"
MODULES = sorted(PACKAGE.rglob("*.py"))

FORBIDDEN_MODULES = {
    "pickle", "marshal", "shelve", "dbm", "yaml", "dill", "joblib", "code", "codeop", "runpy", "ctypes", "cffi",
    "subprocess", "pty", "multiprocessing", "xmlrpc", "http", "urllib", "ftplib", "smtplib", "socket", "socketserver",
    "ssl", "telnetlib", "webbrowser", "requests", "httpx", "xml", "jinja2",
}  # fmt: skip
FORBIDDEN_CALLS = {"eval", "exec", "compile", "__import__", "breakpoint", "input"}
FORBIDDEN_ATTRIBUTES = {
    "system", "popen", "spawnv", "execv", "execve", "startfile", "fork", "load_extension", "enable_load_extension",
    "executescript", "fromstring", "loadtxt", "genfromtxt", "format_map", "from_markup",
}  # fmt: skip
LOADERS = {"cli/main.py": "COMMAND_MODULES", "tui/screens/where.py": "DESTINATIONS"}
"""The two modules that load others by name, and the constants that the names come from."""


@cache
def nodes() -> list[tuple[str, ast.AST]]:
    """Every import and every call of every module, with where the module is."""
    found: list[tuple[str, ast.AST]] = []
    for path in MODULES:
        where = str(path.relative_to(PACKAGE))
        walked = ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        found += [(where, node) for node in walked if isinstance(node, ast.Import | ast.ImportFrom | ast.Call)]
    return found


def imported(node: ast.AST) -> list[str]:
    if isinstance(node, ast.Import):
        return [alias.name.split(".")[0] for alias in node.names]
    if isinstance(node, ast.ImportFrom) and node.module:
        return [node.module.split(".")[0]]
    return []


def test_nothing_is_imported_that_runs_reads_code_or_reaches_out() -> None:
    found = {(where, name) for where, node in nodes() for name in imported(node)}
    assert len(found) > 100
    assert not {(where, name) for where, name in found if name in FORBIDDEN_MODULES}


def test_nothing_is_called_that_runs_text() -> None:
    found = []
    for where, node in nodes():
        if not isinstance(node, ast.Call):
            continue
        name = node.func.id if isinstance(node.func, ast.Name) else ""
        attribute = node.func.attr if isinstance(node.func, ast.Attribute) else ""
        # `re.compile` and `ast`-free modules: a bare name runs text, a method of that name is another thing.
        if name in FORBIDDEN_CALLS or attribute in FORBIDDEN_ATTRIBUTES:
            found.append((where, node.lineno, name or attribute))
    assert not found


def test_arrays_are_read_without_pickles_and_modules_loaded_by_our_own_names_only() -> None:
    loads = 0
    for where, node in nodes():
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute):
            continue
        if node.func.attr == "load" and isinstance(node.func.value, ast.Name) and node.func.value.id == "np":
            loads += 1
            given = {word.arg: word.value for word in node.keywords}
            allowed = given.get("allow_pickle")
            assert isinstance(allowed, ast.Constant), where
            assert allowed.value is False, where
        if node.func.attr == "import_module":
            assert where in LOADERS, where
            assert isinstance(node.args[0], ast.JoinedStr), where
            assert LOADERS[where] in (PACKAGE / where).read_text(encoding="utf-8")
    assert loads == 1


class Bomb:
    """What a pickle may do when it is read."""

    def __init__(self, target: Path) -> None:
        self.target = target

    def __reduce__(self) -> tuple[object, tuple[object, ...]]:
        return Path.touch, (self.target,)


def test_a_kept_file_with_a_pickle_in_it_is_passed_over(tmp_path: Path) -> None:
    # It lies beside the store, where anybody who may write there may put one.
    program = Program(tmp_path / "data" / "store.db")
    assert program("setup", "--from-carry", "7 iron=150yd").code == 0
    program.lines("7 iron: 140", "7 iron: 150")
    before = program.json("gaps")["cells"]
    kept = list((tmp_path / "data" / "kept").glob("*.npz"))
    assert kept
    bomb = Bomb(tmp_path / "touched")
    for path in kept:
        with np.load(path) as held:
            arrays = dict(held)
        np.savez(path, **{**arrays, "eta": np.array([bomb], dtype=object)})
    forget_all()
    assert program.json("gaps")["cells"] == before
    for path in kept:
        path.write_bytes(pickle.dumps(bomb))
    forget_all()
    assert program.json("gaps")["cells"] == before
    assert not (tmp_path / "touched").exists()
    pickle.loads(pickle.dumps(bomb))
    assert (tmp_path / "touched").exists(), "the bomb was none: nothing was tested"


def test_what_is_kept_is_known_by_a_key_that_no_path_can_be(tmp_path: Path) -> None:
    keys = re.compile(r"draws-[0-9a-f]{16,64}\.npz")
    program = Program(tmp_path / "data" / "store.db")
    assert program("setup", "--from-carry", "7 iron=150yd", "--player", "../../etc").code == 0
    program.json("gaps")
    assert all(keys.fullmatch(path.name) for path in (tmp_path / "data" / "kept").iterdir())
    assert KeptPosteriors(tmp_path / "nowhere").folder == tmp_path / "nowhere"


KNOWN = '[known_carry]\nclub = "7 iron"\ncarry = "150 yd"\n'


@pytest.mark.parametrize(
    "alias",
    ["!!python/object/apply:os.system ['true']", "{0.__class__.__mro__}", "%(x)s %s $(id) `id`"],
)
def test_text_that_would_run_elsewhere_is_text(tmp_path: Path, alias: str) -> None:
    (tmp_path / "p.toml").write_text(f'format = 1\nalias = "{alias}"\n{KNOWN}')
    program = Program(tmp_path / "store.db")
    assert program("setup", "--profile", str(tmp_path / "p.toml")).code == 0
    assert program.json("setup")["player"] == alias
    assert alias in program("report").out
